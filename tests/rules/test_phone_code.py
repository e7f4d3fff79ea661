"""A spoken code binds one change to one voter at one precinct, once."""

from __future__ import annotations

import dataclasses

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from app.intake.cells import voter_number_key
from app.rules import phone_code as module
from app.rules.faults import BadRequest
from app.rules.phone_change import DETAILS, Binding, Change, ChangeCode
from app.rules.phone_code import (
    COUNTERS_AHEAD,
    COUNTERS_BEHIND,
    COUNTERS_OPEN,
    MOST_WRONG_CODES,
    POSSIBLE_CODES,
    Checked,
    Counters,
    Refusal,
    false_acceptance,
    new_secret,
    phone_code,
    read_code,
    read_secret,
    tries_left,
    verify_code,
)
from app.rules.spoken_symbols import CHECK_SYMBOLS, SYMBOLS, check_symbol

SECRET = bytes(range(32))
BY_MAIL = Change(ChangeCode.MARK_BY_MAIL)
BOUND = Binding("tern-2027-03-02", "4-07", "TC-100417", BY_MAIL)
CODE = phone_code(SECRET, BOUND, 1)
BUTTON = Change(ChangeCode.SET_BUTTON, "2")

COUNTER = st.integers(1, 10_000)
NUMBERS = st.text(alphabet=SYMBOLS + "-", min_size=1, max_size=12).filter(str.strip)
CHANGES = st.one_of(
    st.sampled_from([code for code in ChangeCode if not code.startswith(("withdraw", "correct"))])
    .filter(lambda code: code is not ChangeCode.SET_BUTTON)
    .map(Change),
    st.integers(1, 999).map(lambda button: Change(ChangeCode.SET_BUTTON, str(button))),
    st.sampled_from(["voted_by_mail", "voted_early"]).map(
        lambda kind: Change(ChangeCode.WITHDRAW_MARK, kind)
    ),
)
BINDINGS = st.builds(
    Binding, st.sampled_from(["tern-2027-03-02", "tern-2027-11-02"]), NUMBERS, NUMBERS, CHANGES
)


def test_the_office_reads_out_what_the_table_makes_for_itself() -> None:
    assert verify_code(CODE, SECRET, BOUND, Counters()) == Checked(counter=1)


def test_a_code_is_always_the_same_code() -> None:
    """A change here would make every office's codes wrong at every older table."""
    assert CODE == "94DT-KYFX"
    assert phone_code(SECRET, dataclasses.replace(BOUND, change=BUTTON), 12) == "FHVT-RWAP"


@given(BINDINGS, COUNTER)
def test_a_code_is_eight_letters_and_digits_in_two_groups(binding: Binding, counter: int) -> None:
    code = phone_code(SECRET, binding, counter)
    assert len(code) == 9
    assert code[4] == "-"
    assert set(code.replace("-", "")) <= set(SYMBOLS + "U")


@given(BINDINGS, BINDINGS, COUNTER, COUNTER)
def test_another_voter_change_precinct_election_or_number_has_another_code(
    one: Binding, other: Binding, first: int, second: int
) -> None:
    assume((one.fields(), first) != (other.fields(), second))
    assert phone_code(SECRET, one, first) != phone_code(SECRET, other, second)


@pytest.mark.parametrize(
    "other",
    [
        dataclasses.replace(BOUND, voter_number="TC-100418"),
        dataclasses.replace(BOUND, precinct="4-08"),
        dataclasses.replace(BOUND, election_id="tern-2027-11-02"),
        dataclasses.replace(BOUND, change=Change(ChangeCode.MARK_EARLY)),
    ],
)
def test_a_right_code_for_something_else_is_a_wrong_code(other: Binding) -> None:
    assert verify_code(CODE, SECRET, other, Counters()) == Checked(refusal=Refusal.WRONG_CODE)


def test_the_code_of_another_secret_is_a_wrong_code() -> None:
    code = phone_code(bytes(32), BOUND, 1)
    assert verify_code(code, SECRET, BOUND, Counters()).refusal is Refusal.WRONG_CODE


def test_what_is_moved_from_one_field_into_the_next_is_another_code() -> None:
    one = Binding("tern", "4-0", "71", BY_MAIL)
    other = Binding("tern", "4-07", "1", BY_MAIL)
    assert phone_code(SECRET, one, 1) != phone_code(SECRET, other, 1)
    assert phone_code(SECRET, one, 11) != phone_code(SECRET, one, 1)


@given(st.sampled_from(["tc-100417", " TC-100417 ", "tc-100417 ", "Tc -100417"]))
def test_a_voter_number_typed_otherwise_has_the_same_code(number: str) -> None:
    assert phone_code(SECRET, dataclasses.replace(BOUND, voter_number=number), 1) == CODE


@given(st.text(alphabet="abXY019-", min_size=1, max_size=8).filter(lambda text: text.strip("-")))
def test_a_voter_number_is_taken_as_the_register_takes_it(number: str) -> None:
    key = voter_number_key(number)
    bound, keyed = (dataclasses.replace(BOUND, voter_number=each) for each in (number, key))
    assert phone_code(SECRET, bound, 1) == phone_code(SECRET, keyed, 1)
    assert bound.fields()[2] == key


@pytest.mark.parametrize(
    "typed",
    [CODE.lower(), CODE.replace("-", ""), CODE.replace("-", " "), f" {CODE}\t", "–".join(CODE)],
)
def test_small_letters_spaces_and_hyphens_do_not_matter(typed: str) -> None:
    assert verify_code(typed, SECRET, BOUND, Counters()).counter == 1


@given(BINDINGS, COUNTER)
def test_letters_that_look_like_digits_are_read_as_those_digits(
    binding: Binding, counter: int
) -> None:
    code = phone_code(SECRET, binding, counter)
    for letter in "IlL":
        assert read_code(code.replace("1", letter)) == read_code(code)
    assert read_code(code.replace("0", "O")) == read_code(code)


@given(BINDINGS, COUNTER, st.integers(0, 7), st.sampled_from(CHECK_SYMBOLS))
def test_any_one_wrong_symbol_is_caught_before_the_code_is_looked_at(
    binding: Binding, counter: int, place: int, wrong: str
) -> None:
    code = phone_code(SECRET, binding, counter).replace("-", "")
    assume(wrong != code[place])
    typed = code[:place] + wrong + code[place + 1 :]
    assert read_code(typed) in (Refusal.MISHEARD, Refusal.UNREADABLE)
    checked = verify_code(typed, SECRET, binding, Counters(counter))
    assert checked.refusal in (Refusal.MISHEARD, Refusal.UNREADABLE)


@given(BINDINGS, COUNTER, st.integers(0, 6))
def test_two_neighbours_exchanged_are_caught(binding: Binding, counter: int, place: int) -> None:
    code = phone_code(SECRET, binding, counter).replace("-", "")
    first, second = code[place], code[place + 1]
    assume(first != second)
    typed = code[:place] + second + first + code[place + 2 :]
    assert read_code(typed) in (Refusal.MISHEARD, Refusal.UNREADABLE)


@pytest.mark.parametrize("typed", ["", "-", CODE[:-1], CODE + "0", "UUUU-UUUU", "ÄBCD-EFGH", "?"])
def test_what_cannot_be_a_code_is_unreadable(typed: str) -> None:
    assert read_code(typed) is Refusal.UNREADABLE


@given(st.text(max_size=12))
def test_whatever_is_typed_is_taken_or_refused(typed: str) -> None:
    checked = verify_code(typed, SECRET, BOUND, Counters())
    assert (checked.counter is None) != (checked.refusal is None)


def test_a_code_is_taken_once() -> None:
    used = Counters().after(1)
    assert verify_code(CODE, SECRET, BOUND, used) == Checked(refusal=Refusal.USED_ALREADY)


def test_a_running_number_used_for_one_voter_is_used_up_for_every_other() -> None:
    other = dataclasses.replace(BOUND, voter_number="TC-100418")
    checked = verify_code(phone_code(SECRET, other, 1), SECRET, other, Counters().after(1))
    assert checked.refusal is Refusal.USED_ALREADY


def test_codes_may_be_typed_in_out_of_order() -> None:
    counters = Counters()
    for counter in (2, 1, 3):
        checked = verify_code(phone_code(SECRET, BOUND, counter), SECRET, BOUND, counters)
        assert checked.counter == counter
        counters = counters.after(counter)
    assert counters == Counters(4, frozenset({1, 2, 3}))


@given(st.lists(COUNTER, max_size=30, unique=True))
def test_no_counter_is_open_twice_and_never_more_than_twenty(order: list[int]) -> None:
    counters = Counters()
    for counter in order:
        counters = counters.after(counter)
        assert not set(counters.open_counters) & counters.used
        assert len(counters.open_counters) <= COUNTERS_OPEN
        assert counters.next_counter in counters.open_counters


def test_a_code_too_far_ahead_or_behind_is_a_wrong_code() -> None:
    counters = Counters(50)
    nearest, farthest = 50 - COUNTERS_BEHIND, 50 + COUNTERS_AHEAD - 1
    for counter, is_taken in (
        (nearest, True),
        (nearest - 1, False),
        (farthest, True),
        (farthest + 1, False),
    ):
        checked = verify_code(phone_code(SECRET, BOUND, counter), SECRET, BOUND, counters)
        assert (checked.counter == counter) is is_taken
        assert is_taken or checked.refusal is Refusal.WRONG_CODE


def test_every_open_counter_is_compared_whichever_fits(monkeypatch: pytest.MonkeyPatch) -> None:
    compared: list[int] = []
    real = module.hmac.compare_digest

    def counting(one: bytes, other: bytes) -> bool:
        compared.append(1)
        return bool(real(one, other))

    monkeypatch.setattr(module.hmac, "compare_digest", counting)
    counts = set()
    for counter in (1, 5, 10):
        compared.clear()
        verify_code(phone_code(SECRET, BOUND, counter), SECRET, BOUND, Counters())
        counts.add(len(compared))
    assert counts == {COUNTERS_AHEAD}


def test_the_number_of_possible_codes_is_counted_right() -> None:
    """Counted one by one for two symbols, and by whole turns of 37 for seven."""
    small = sum(check_symbol(number) not in "*~$=" for number in range(32**2))
    turns, rest = divmod(32**2, 37)
    assert small == turns * 33 + sum(check_symbol(number) not in "*~$=" for number in range(rest))
    turns, rest = divmod(2**35, 37)
    assert turns * 33 + min(rest, 32) == POSSIBLE_CODES == 30_645_172_060


def test_the_odds_of_a_guess_are_those_of_the_documentation() -> None:
    assert false_acceptance(1) == 20 / 30_645_172_060
    assert 1 / false_acceptance(1) == pytest.approx(1.5e9, rel=0.03)
    assert MOST_WRONG_CODES == 5
    assert 1 / false_acceptance() == pytest.approx(306e6, rel=0.01)
    assert 1 / false_acceptance(365_000) == pytest.approx(4_198, rel=0.001)
    assert false_acceptance(10**12) == 1.0
    for figure in ("30,645,172,060", "1 in 1,500 million", "1 in 306 million", "1 in 4,198"):
        assert figure in (module.__doc__ or "").replace("\n", " ")


def test_guesses_are_taken_as_often_as_the_arithmetic_says() -> None:
    """The same odds seen at a size at which guesses do hit: one value of 1,024 in 35 bits."""
    values = [
        module._code_number(SECRET, dataclasses.replace(BOUND, voter_number=str(number)), 1) >> 25
        for number in range(1, 4_001)
    ]
    hits = sum(value == 417 for value in values)
    assert hits <= 15, "1,024 values and 4,000 codes: 3.9 are expected, 16 once in a million"
    assert len(set(values)) > 950


def test_tries_run_out() -> None:
    assert [tries_left(wrong) for wrong in (0, 4, 5, 6)] == [MOST_WRONG_CODES, 1, 0, 0]


def test_a_secret_is_written_and_read_again() -> None:
    assert read_secret(new_secret(SECRET)) == SECRET
    assert read_secret(new_secret(SECRET).upper() + "\n") == SECRET


@pytest.mark.parametrize("text", ["", "00" * 31, "00" * 33, "zz" * 32, "٠٠" * 32])
def test_a_text_that_is_no_secret_is_refused_without_repeating_it(text: str) -> None:
    with pytest.raises(BadRequest) as refused:
        read_secret(text)
    assert refused.value.facts == {"field": "secret", "expected": "64 hexadecimal digits"}


def test_a_short_secret_is_never_used() -> None:
    with pytest.raises(BadRequest):
        new_secret(bytes(31))
    with pytest.raises(BadRequest):
        phone_code(b"", BOUND, 1)
    with pytest.raises(BadRequest):
        phone_code(SECRET, BOUND, 0)


@pytest.mark.parametrize(
    ("code", "argument"),
    [
        (ChangeCode.SET_BUTTON, ""),
        (ChangeCode.SET_BUTTON, "0"),
        (ChangeCode.SET_BUTTON, "two"),
        (ChangeCode.SET_BUTTON, "²"),
        (ChangeCode.SET_BUTTON, "1000"),
        (ChangeCode.WITHDRAW_MARK, ""),
        (ChangeCode.WITHDRAW_MARK, "signed"),
        (ChangeCode.CORRECT_DETAIL, "last_name"),
        (ChangeCode.CORRECT_DETAIL, "voter_number=1"),
        (ChangeCode.REMOVE, "2"),
        (ChangeCode.MARK_EARLY, "voted_early"),
        (ChangeCode.CORRECT_DETAIL, "assistance=perhaps"),
        (ChangeCode.CORRECT_DETAIL, "assistance=1"),
    ],
)
def test_an_argument_that_does_not_fit_the_change_is_refused(
    code: ChangeCode, argument: str
) -> None:
    with pytest.raises(BadRequest):
        Change(code, argument)


@pytest.mark.parametrize(
    ("code", "one", "same", "other"),
    [
        (ChangeCode.SET_BUTTON, "2", " 02", "3"),
        (ChangeCode.WITHDRAW_MARK, "voted_by_mail", "voted_by_mail ", "voted_early"),
        (ChangeCode.CORRECT_DETAIL, "last_name=O'Malley", "last_name=o malley", "last_name=Pell"),
        (ChangeCode.CORRECT_DETAIL, "city=Ternwick", "city=ternwick", "party=Ternwick"),
        (ChangeCode.CORRECT_DETAIL, "assistance=Y", "assistance= yes", "assistance="),
        (ChangeCode.CORRECT_DETAIL, "assistance=", "assistance=No", "assistance=y"),
        (ChangeCode.AUTHORISE_AFFIDAVIT, "Inés Pell 1980", "ines pell 1980", "Ines Pell 1981"),
    ],
)
def test_an_argument_is_bound_as_it_sounds(
    code: ChangeCode, one: str, same: str, other: str
) -> None:
    codes = [
        phone_code(SECRET, dataclasses.replace(BOUND, change=Change(code, argument)), 1)
        for argument in (one, same, other)
    ]
    assert codes[0] == codes[1] != codes[2]


def test_only_an_affidavit_may_be_without_a_voter_number_and_then_names_the_person() -> None:
    named = Change(ChangeCode.AUTHORISE_AFFIDAVIT, "Odette Pell 1980")
    assert phone_code(SECRET, Binding("tern", "4-07", "", named), 1)
    for change in (BY_MAIL, Change(ChangeCode.AUTHORISE_AFFIDAVIT)):
        with pytest.raises(BadRequest):
            Binding("tern", "4-07", " ", change)


def test_the_details_that_can_be_corrected_are_those_of_a_line() -> None:
    from app.rules.line import PrintedLine

    assert set(DETAILS) < {field.name for field in dataclasses.fields(PrintedLine)}
