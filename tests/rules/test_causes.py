"""Each cause by itself: what it is found in, how much it accounts for, and when it is not told."""

from __future__ import annotations

import random
from collections.abc import Callable
from datetime import timedelta

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from app.rules.balance import balance_of, terms_of
from app.rules.cause_scene import Found, Scene, Span
from app.rules.cause_weights import EVIDENCE, PRIOR, TELLING, worth
from app.rules.causes import FINDERS, Cause, by_code, causes, fits
from app.rules.causes_of_counters import one_digit_other, swapped
from app.rules.day_gathering import gathered
from app.rules.day_sentences import DAY_SENTENCES
from app.rules.policy import Policy
from app.rules.setting import Machine
from tests.making import setting
from tests.rules.made_days import CLOSES, OPENS, PACKAGED, Made, MadeDay, Vote, explained, quiet_day
from tests.rules.planted import NEEDS_PAPER, PLANTED, digits_swapped

ONE, OTHER = PACKAGED


@pytest.fixture
def day() -> MadeDay:
    return quiet_day(random.Random("causes"), voters=60)


def found_in(day: MadeDay) -> dict[str, Cause]:
    return dict(by_code(explained(day)[1]))


def hours(number: float) -> timedelta:
    return timedelta(hours=number)


def test_every_cause_has_a_weight_and_a_sentence() -> None:
    assert set(PRIOR) <= set(DAY_SENTENCES)
    assert len(FINDERS) >= 20


def test_two_digits_swapped_are_told_with_the_number_that_the_protective_counter_tells(
    day: MadeDay,
) -> None:
    counted = sum(vote.serial == ONE for vote in day.votes)
    for number in range(57 - counted):
        day.votes.append(Vote(OPENS + hours(12), ONE, 1))
        day.sign(f"more-{number}", OPENS + hours(11.9), votes=False)
    day.read[ONE] = lambda _: 75
    cause = found_in(day)["digits-swapped"]
    assert cause.facts == {"serial": ONE, "read": 75, "likely": 57}
    assert (cause.delta, cause.wholly) == (18, True)
    assert "protective-tells" in cause.why


def test_a_counter_that_its_protective_fellow_confirms_was_not_misread(day: MadeDay) -> None:
    day.votes.pop()
    assert "digit-misread" not in found_in(day)
    day = quiet_day(random.Random("causes"), voters=60)
    day.votes.pop()
    day.has_protective = False
    assert "digit-misread" in found_in(day)


def test_a_digit_is_looked_for_where_the_ballots_by_button_do_not_add_up(day: MadeDay) -> None:
    """Of two machines that could both have been misread, since no protective counter was read."""
    day.has_protective = False
    day.read["TM-0418"] = lambda count: count + 10 if count % 100 < 90 else count - 10
    cause = found_in(day)["digit-misread"]
    assert (cause.serials, cause.score) == (("TM-0418",), max(c.score for c in explained(day)[1]))
    assert "buttons-add-up-to-it" in cause.why


def test_a_protective_counter_misread_is_told_where_the_public_counters_balance(
    day: MadeDay,
) -> None:
    scene = day.scene()
    (closing,) = [
        made
        for made in day.entries
        if made.body.get("at_moment") == "close" and made.body["serial"] == ONE
    ]
    closing.body["protective"] += 9
    scene = Scene(gathered(_ordered(day)), scene.balance, {}, PACKAGED)
    scene = Scene(scene.facts, balance_of(scene.facts, setting(machines=_machines())), {}, PACKAGED)
    (cause,) = causes(scene)
    assert (cause.code, cause.explains, cause.delta) == ("protective-misread", "protective", 9)


def test_a_machine_read_before_the_last_voters_signed(day: MadeDay) -> None:
    for number in range(3):
        moment = CLOSES + timedelta(minutes=40 + number)
        day.sign(f"late-{number}", moment, votes=False)
    cause = found_in(day)["read-before-end"]
    assert (cause.delta, cause.facts["signed_after"]) == (-3, 3)
    assert cause.lines == ("late-0", "late-1", "late-2")


def test_the_number_of_an_earlier_reading_copied_at_the_close(day: MadeDay) -> None:
    noon = OPENS + hours(8)
    earlier = sum(vote.serial == ONE and vote.moment <= noon for vote in day.votes)
    day.read[ONE] = lambda _: earlier
    cause = found_in(day)["old-reading"]
    assert cause.facts["read"] == earlier
    assert (cause.times[0].begins, cause.wholly) == (noon, True)


def test_a_count_that_neither_swapping_nor_one_digit_explains(day: MadeDay) -> None:
    day.read[ONE] = lambda count: count + 113
    cause = found_in(day)["counter-misread"]
    assert (cause.delta, cause.wholly) == (113, True)


def test_test_votes_are_told_where_no_zero_report_stands(day: MadeDay) -> None:
    day.before[ONE] = 4
    scene = day.scene()
    kept = [
        made
        for made in day.entries
        if not (made.body.get("at_moment") == "opening" and made.body["serial"] == ONE)
    ]
    facts = gathered(sorted(kept, key=lambda made: made.seq))
    balance = balance_of(facts, setting(machines=_machines()))
    found = by_code(causes(Scene(facts, balance, scene.alike, PACKAGED)))
    assert (found["test-votes"].delta, found["test-votes"].why) == (4, ("no-zero-report",))


def test_a_zero_report_read_late_is_no_sign_of_votes_before_the_opening(day: MadeDay) -> None:
    """Read at eleven for the first time, when voters had voted: that is no error of itself."""
    day.vote(OPENS + hours(5), 1)
    assert "votes-before-opening" not in found_in(day)
    scene = day.scene()
    for made in day.entries:
        if made.kind == "machine.counted" and made.body["at_moment"] == "opening":
            made.moment, made.body = OPENS + hours(4), {**made.body, "public": 1}
    facts = gathered(_ordered_by_time(day))
    balance = balance_of(facts, setting(machines=_machines()))
    found = by_code(causes(Scene(facts, balance, scene.alike, PACKAGED)))
    assert balance.difference == 1
    assert "votes-before-opening" not in found


def test_a_voter_who_was_said_to_be_back_is_the_first_to_be_asked_about(day: MadeDay) -> None:
    signed = day.signed["voter-9"]
    day.votes.remove(day.vote_of["voter-9"])
    day.add(signed.moment + hours(0.1), "voter.left", "voter-9", signature_seq=signed)
    day.add(signed.moment + hours(0.2), "voter.returned", "voter-9", signature_seq=signed)
    cause = found_in(day)["left-unrecorded"]
    assert (cause.lines, "said-back" in cause.why) == (("voter-9",), True)


def test_a_signature_moved_and_the_wrong_line_signed_once_more(day: MadeDay) -> None:
    moment = OPENS + hours(3)
    day.sign("a-wrong", moment, votes=False)
    day.withdraw("a-wrong", moment + timedelta(minutes=3), "wrong_line", "a-right")
    day.sign("a-right", moment + timedelta(minutes=4), moved_from="a-wrong")
    day.sign("a-wrong", moment + timedelta(minutes=6), votes=False)
    cause = found_in(day)["moved-and-signed-again"]
    assert (cause.delta, cause.lines) == (-1, ("a-wrong",))


def test_an_envelope_and_a_signature_on_one_line(day: MadeDay) -> None:
    moment = OPENS + hours(3)
    day.add(moment, "provisional.recorded", "voter-9", ballot_button=2)
    day.votes.remove(day.vote_of["voter-9"])
    cause = explained(day)[1][0]
    assert (cause.code, cause.lines, cause.why) == (
        "signed-and-provisional",
        ("voter-9",),
        ("same-line",),
    )


def test_an_affidavits_line_and_the_line_that_was_there(day: MadeDay) -> None:
    day.add(OPENS + hours(2), "line.added", "added", list_seq=None)
    day.pair("added", "voter-9")
    day.sign("added", day.signed["voter-9"].moment + timedelta(minutes=3), votes=False)
    found = found_in(day)
    assert found["affidavit-and-line"].lines == ("voter-9", "added")
    assert "signed-on-two-lines" not in found


def test_a_line_of_a_list_signed_instead_of_marked(day: MadeDay) -> None:
    signed = day.sign("mailer-3", OPENS + hours(2), votes=False)
    cause = explained(day)[1][0]
    assert (cause.code, cause.lines) == ("signed-instead-of-marked", ("mailer-3",))
    assert signed.line_id == "mailer-3"


def test_lines_of_the_paper_register_that_are_not_keyed(day: MadeDay) -> None:
    begun = day.add(OPENS + hours(5), "paper.begun", None, reason="x", head_seq=1, head_hash="")
    for order in (1, 2, 4, 5):
        moment = OPENS + hours(6) + timedelta(minutes=order)
        day.sign(f"paper-{order}", moment, caught_up={"at": "12:10", "order": order})
    day.vote(OPENS + hours(5.2), 1)
    done = {"begun_seq": begun, "lines": 5, "duplicates": 0}
    day.add(OPENS + hours(7), "paper.caught_up", None, **done)
    cause = explained(day)[1][0]
    assert (cause.code, cause.delta, cause.facts["orders"]) == ("page-not-caught-up", 1, [3])


def test_a_row_keyed_twice_on_a_list(day: MadeDay) -> None:
    started = day.keyed[0].body["list_seq"]
    again = {"list_seq": started, "row_number": 99, "effect": "already", "twice": True}
    day.add(OPENS - hours(0.5), "late_list.row_keyed", "mailer-3", **again)
    (cause,) = explained(day)[1]
    assert (cause.code, cause.explains, cause.delta) == ("list-row-twice", "marks", 1)


def test_a_pack_of_unused_ballots_that_was_counted_twice() -> None:
    here = setting(policy=Policy(counted_by="paper_ballots"))
    day = MadeDay(random.Random("paper"))
    for number in range(40):
        day.sign(f"voter-{number}", OPENS + timedelta(minutes=number))
    for what, count in (("received", 200), ("unused", 210), ("spoiled", 0)):
        day.add(CLOSES, "ballots.counted", None, what=what, count=count, replaces=None)
    facts = gathered(_ordered(day))
    balance = balance_of(facts, here)
    assert balance.difference == -50
    cause = causes(Scene(facts, balance, {}, {}))[0]
    right = {"what": "unused", "counted": 210, "likely": 160}
    assert (cause.code, right in _options(cause)) == ("ballots-miscounted", True)


def test_who_left_with_a_ballot_on_paper_is_told() -> None:
    here = setting(policy=Policy(counted_by="paper_ballots"))
    day = MadeDay(random.Random("paper"))
    signed = [day.sign(f"voter-{n}", OPENS + timedelta(minutes=n)) for n in range(40)]
    day.add(OPENS + hours(2), "voter.left", "voter-7", signature_seq=signed[7])
    for what, count in (("received", 200), ("unused", 160), ("spoiled", 0)):
        day.add(CLOSES, "ballots.counted", None, what=what, count=count, replaces=None)
    facts = gathered(_ordered(day))
    found = by_code(causes(Scene(facts, balance_of(facts, here), {}, {})))
    assert found["left-with-ballot"].lines == ("voter-7",)


def test_readings_during_the_day_narrow_the_time_to_look_at(day: MadeDay) -> None:
    """Two ballots too many, cast at two in the afternoon: seen at three, not at eleven."""
    for _ in range(2):
        day.vote(OPENS + hours(7), 1)
    window = day.scene().window
    assert window.ends in (OPENS + hours(8), OPENS + hours(11.5))
    assert window.begins in (None, OPENS + hours(4))
    assert Span(window.begins, window.ends) in found_in(day)["voted-unsigned"].times


def test_forty_missing_ballots_are_not_laid_to_forty_people(day: MadeDay) -> None:
    day.read[ONE] = lambda count: max(count - 40, 0)
    codes = [cause.code for cause in explained(day)[1]]
    assert codes.index("left-unrecorded") == len(codes) - 1


@given(st.integers(0, 9_999_999))
def test_swapping_the_same_two_digits_again_gives_the_number_back(number: int) -> None:
    for other in swapped(number):
        assert (number - other) % 9 == 0
        assert number in swapped(other) or str(number)[0] == "0"


@given(st.integers(0, 9_999_999))
def test_one_digit_other_is_one_digit_and_noughts_away(number: int) -> None:
    for other, _ in one_digit_other(number):
        assert len(str(other)) == len(str(number))
        assert str(abs(number - other)).rstrip("0") in "123456789"


@given(
    st.integers(-60, 60).filter(bool),
    st.integers(-60, 60),
    st.lists(st.sampled_from(sorted(EVIDENCE)), max_size=3),
)
def test_what_fits_leaves_less_and_goes_past_nothing_without_strong_evidence(
    difference: int, delta: int, evidence: list[str]
) -> None:
    found = Found("left-unrecorded", "machines", delta, tuple(evidence))
    rest = difference - delta
    if fits(found, difference):
        assert abs(rest) < abs(difference)
        assert rest * difference >= 0 or worth(found.evidence) >= TELLING
    else:
        assert rest != 0


@given(st.integers(0, 10_000), st.sampled_from(PLANTED))
def test_applying_the_deltas_of_what_is_told_never_makes_a_difference_worse(
    seed: int, plant: Callable[[MadeDay], str]
) -> None:
    if plant in NEEDS_PAPER:
        return
    day = quiet_day(random.Random(seed), voters=40)
    assume(plant is not digits_swapped or _can_be_swapped(day))
    plant(day)
    balance, found = explained(day)
    for cause in (one for one in found if one.explains == "machines"):
        so_far = balance.so_far or 0
        assert abs(so_far - cause.delta) < abs(so_far)
        assert cause.wholly == (so_far == cause.delta)


@given(st.integers(0, 10_000), st.sampled_from(["digits_swapped", "digit_misread"]))
def test_writing_down_the_likely_number_makes_the_day_balance(seed: int, name: str) -> None:
    day = quiet_day(random.Random(seed), voters=80)
    assume(name == "digit_misread" or _can_be_swapped(day))
    next(plant for plant in PLANTED if plant.__name__ == name)(day)
    _, found = explained(day)
    cause = found[0]
    again = quiet_day(random.Random(seed), voters=80)
    again.read[str(cause.facts["serial"])] = lambda _: int(str(cause.facts["likely"]))
    assert explained(again)[0].balances


def _can_be_swapped(day: MadeDay) -> bool:
    return any(swapped(sum(vote.serial == serial for vote in day.votes)) for serial in PACKAGED)


def _options(cause: Cause) -> list[object]:
    options = cause.facts["options"]
    assert isinstance(options, list)
    return options


def _ordered(day: MadeDay) -> list[Made]:
    entries = sorted(day.entries, key=lambda made: (made.seq or 0, made.moment))
    for seq, made in enumerate(entries, 1):
        made.seq = seq
        made.body = {n: v.seq if isinstance(v, Made) else v for n, v in made.body.items()}
    return entries


def _ordered_by_time(day: MadeDay) -> list[Made]:
    entries = sorted(day.entries, key=lambda made: made.moment)
    for seq, made in enumerate(entries, 1):
        made.seq = seq
    return entries


def _machines() -> tuple[Machine, ...]:
    return tuple(Machine(serial, count) for serial, count in PACKAGED.items())


def test_the_terms_name_what_counts_them(day: MadeDay) -> None:
    assert terms_of(gathered(_ordered(day)), "machines").counted is None
