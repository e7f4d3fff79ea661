"""What a late list would do: whom a row means, what contradicts it, and a sum that loses nobody."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date
from itertools import permutations
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from app.intake.cells import voter_number_key
from app.intake.fault_codes import Code
from app.matching.names import fold_suffix, glue
from app.rules import late_list
from app.rules.late_agreement import Agreement, Candidate, Keys, match
from app.rules.late_list import (
    APPLIES,
    MARK_OF,
    Effect,
    Listed,
    ListKind,
    Proposal,
    effect_on,
    propose,
    settle,
    settle_by_adding,
)
from app.rules.late_preview import LISTED_TWICE, RowsLost, Tally, preview, tally
from app.rules.line import Line, LineState, Mark, MarkKind, Part
from tests.making import act, line

KEYS = Keys(voter_number_key, glue, fold_suffix)
MAIL = Listed(ListKind.MAIL_VOTED, "mail-1400.csv")
EARLY = Listed(ListKind.EARLY_VOTED, "early-1400.csv")
REMOVALS = Listed(ListKind.REMOVALS, "removals.csv")
SUPPLEMENT = Listed(ListKind.SUPPLEMENTAL, "supplemental-2.csv")
BORN = date(1980, 5, 4)


@dataclass(frozen=True)
class Row:
    """A row with nothing wrong; `tests.making.line(1)` is its person."""

    row_number: int = 2
    voter_number: str = "100000001"
    last_name: str = "Quillfeather"
    first_name: str = "Odette"
    middle_name: str = ""
    suffix: str = ""
    birth_date: date | None = BORN
    problems: Sequence[str] = ()


def person(number: int = 1, state: LineState | None = None, **columns: Any) -> Candidate:
    return Candidate(
        line(number, birth_date=columns.pop("birth_date", BORN), **columns), state or LineState()
    )


def proposed(
    row: Row, *candidates: Candidate, listed: Listed = MAIL
) -> tuple[Agreement, Effect, str | None]:
    proposal = propose(row, candidates, listed, KEYS)
    return proposal.agreement, proposal.effect, proposal.line_id


def marked(kind: MarkKind, source: str, *, printed: bool = False) -> LineState:
    return LineState(marks=(Mark(kind, source, "PO", None if printed else act()),))


SIGNED = LineState(signature=act())
REMOVED = LineState(removed=act())
TWIN = person(2, first_name="Silas")


def test_a_row_that_agrees_in_number_name_and_birth_date_applies_by_itself() -> None:
    assert proposed(Row(), TWIN, person()) == (
        Agreement.NUMBER_AND_PERSON,
        Effect.MARK,
        "line-1",
    )
    assert proposed(Row(), person(), listed=REMOVALS)[1] is Effect.REMOVE


@pytest.mark.parametrize(
    ("written", "printed"),
    [
        ({"last_name": "QUILLFEATHER", "first_name": "odette"}, {}),
        ({"last_name": "O Malley"}, {"last_name": "O’Malley"}),
        ({"last_name": "Muniz"}, {"last_name": "Muñiz"}),
        ({"middle_name": "M."}, {"middle_name": "Marie"}),
        ({"middle_name": "Marie"}, {}),
        ({}, {"middle_name": "Marie", "suffix": "Jr"}),
        ({"suffix": "Junior"}, {"suffix": "Jr."}),
        ({"last_name": "Quillfeather Jr"}, {"suffix": "Jr"}),
        ({"first_name": "Odette M"}, {"middle_name": "Marie"}),
        ({"first_name": "Mary", "middle_name": "Ann"}, {"first_name": "Mary Ann"}),
        ({"first_name": "Mary Ann"}, {"first_name": "Mary", "middle_name": "Ann"}),
        ({"first_name": ""}, {"first_name": ""}),
        ({"voter_number": "ab-1"}, {"voter_number": "AB-1"}),
    ],
)
def test_another_way_of_writing_the_same_name_is_no_difference(
    written: Mapping[str, str], printed: Mapping[str, str]
) -> None:
    found = match(replace(Row(), **written), [person(**printed)], KEYS)  # type: ignore[arg-type]
    assert found.agreement is Agreement.NUMBER_AND_PERSON


@pytest.mark.parametrize(
    ("written", "printed", "reason"),
    [
        ({"last_name": "Pell"}, {}, "name-differs"),
        ({"first_name": "Silas"}, {}, "name-differs"),
        ({"middle_name": "Rue"}, {"middle_name": "Marie"}, "name-differs"),
        ({"middle_name": "R"}, {"middle_name": "Marie"}, "name-differs"),
        ({"suffix": "Sr"}, {"suffix": "Jr"}, "name-differs"),
        ({"last_name": "Odette", "first_name": "Quillfeather"}, {}, "name-differs"),
        ({"first_name": "Odette"}, {"first_name": ""}, "name-differs"),
        ({"last_name": ""}, {}, "name-missing"),
        ({"first_name": ""}, {}, "name-missing"),
        ({"birth_date": None}, {}, "birth-date-missing"),
        ({"birth_date": date(1981, 5, 4)}, {}, "birth-date-differs"),
        ({"birth_date": date(1980, 4, 5)}, {}, "birth-date-swapped"),
    ],
)
def test_a_number_alone_is_settled_by_a_person_and_says_what_differs(
    written: Mapping[str, Any], printed: Mapping[str, str], reason: str
) -> None:
    proposal = propose(replace(Row(), **written), [person(**printed)], MAIL, KEYS)
    assert (proposal.agreement, proposal.effect) == (Agreement.NUMBER_ONLY, Effect.SETTLE)
    assert proposal.line_id == "line-1"
    assert proposal.reasons == (reason,)


@pytest.mark.parametrize(
    ("number", "printed", "reason"),
    [
        ("", "0417", "number-missing"),
        ("999", "0417", "number-unknown"),
        ("417", "0417", "number-lost-zeros"),
    ],
)
def test_name_and_birth_date_alone_are_settled_by_a_person(
    number: str, printed: str, reason: str
) -> None:
    row = Row(voter_number=number)
    proposal = propose(row, [person(voter_number=printed)], MAIL, KEYS)
    assert (proposal.agreement, proposal.effect) == (Agreement.PERSON_ONLY, Effect.SETTLE)
    assert (proposal.line_id, proposal.reasons) == ("line-1", (reason,))


@pytest.mark.parametrize(
    ("row", "candidates"),
    [
        (Row(voter_number=""), (person(1), person(2))),
        (Row(first_name="Silas"), (person(1), TWIN)),
        (Row(), (person(1), person(2, voter_number="100000001"))),
    ],
)
def test_where_several_lines_could_be_meant_a_person_chooses(
    row: Row, candidates: tuple[Candidate, ...]
) -> None:
    proposal = propose(row, candidates, MAIL, KEYS)
    assert (proposal.agreement, proposal.effect) == (Agreement.SEVERAL, Effect.SETTLE)
    assert proposal.line_id is None
    assert proposal.candidates == ("line-1", "line-2")


def test_the_number_decides_between_two_people_of_one_name_and_birth_date() -> None:
    assert proposed(Row(), person(2), person(1))[::2] == (Agreement.NUMBER_AND_PERSON, "line-1")


def test_a_row_that_means_nobody_here_is_not_passed_over() -> None:
    proposal = propose(Row(voter_number="5"), [TWIN], MAIL, KEYS)
    assert (proposal.agreement, proposal.effect) == (Agreement.NONE, Effect.SETTLE)
    assert (proposal.candidates, proposal.reasons) == ((), ("number-unknown",))


def test_a_blank_number_is_nobodys_number() -> None:
    assert proposed(Row(voter_number="", last_name="Pell"), person(voter_number=""))[0] is (
        Agreement.NONE
    )


@pytest.mark.parametrize("problem", [Code.BIRTH_DATE_IMPOSSIBLE, Code.FORMULA_CELL, "other"])
def test_a_row_with_something_unreadable_never_applies_by_itself(problem: str) -> None:
    proposal = propose(Row(problems=(problem,)), [person()], MAIL, KEYS)
    assert (proposal.agreement, proposal.effect) == (Agreement.NUMBER_AND_PERSON, Effect.SETTLE)
    assert proposal.reasons == (problem,)


def test_a_row_of_another_election_is_refused_whoever_it_means() -> None:
    row = Row(problems=(Code.WRONG_ELECTION,))
    assert proposed(row, person()) == (Agreement.NUMBER_AND_PERSON, Effect.REFUSE, None)


def test_a_row_of_another_precinct_is_refused_unless_it_means_somebody_here() -> None:
    row = Row(problems=(Code.WRONG_PRECINCT,))
    assert proposed(row)[1] is Effect.REFUSE
    assert proposed(row, person())[1] is Effect.SETTLE


def test_the_codes_that_refuse_a_row_are_codes_of_faults() -> None:
    codes = late_list._REFUSED_ALWAYS | late_list._REFUSED_UNMATCHED
    assert codes == {Code.WRONG_ELECTION, Code.WRONG_PRECINCT}


@pytest.mark.parametrize(
    ("state", "listed", "code", "fact"),
    [
        (SIGNED, MAIL, "signed-already", "signed"),
        (SIGNED, EARLY, "signed-already", "signed"),
        (SIGNED, REMOVALS, "signed-already", "signed"),
        (replace(SIGNED, left=act()), MAIL, "signed-already", "signed"),
        (marked(MarkKind.VOTED_EARLY, "early.csv"), MAIL, "marked-otherwise", "marked"),
        (marked(MarkKind.VOTED_BY_MAIL, "mail-voted.csv"), EARLY, "marked-otherwise", "marked"),
        (marked(MarkKind.VOTED_BY_MAIL, "list on paper"), MAIL, "marked-twice", "marked"),
        (marked(MarkKind.VOTED_EARLY, "early.csv"), REMOVALS, "marked-already", "marked"),
        (REMOVED, MAIL, "removed-already", "removed"),
        (LineState(provisional=act()), MAIL, "provisional-given", "provisional"),
    ],
)
def test_a_contradiction_carries_both_facts_and_the_list_is_applied_beside_what_stands(
    state: LineState, listed: Listed, code: str, fact: str
) -> None:
    proposal = propose(Row(row_number=9), [person(state=state)], listed, KEYS)
    assert proposal.effect in APPLIES
    contradiction = proposal.contradiction
    assert contradiction is not None
    assert contradiction.code == code
    assert contradiction.on_line["what"] == fact
    assert contradiction.on_list == {
        "kind": listed.kind.value,
        "source": listed.source,
        "row": 9,
    }
    if fact != "marked" or state.marks[0].act:
        assert contradiction.on_line["station"] == "Table 2"


@pytest.mark.parametrize("listed", [MAIL, EARLY, REMOVALS])
def test_where_nothing_stands_on_the_line_there_is_no_contradiction(listed: Listed) -> None:
    assert effect_on(person(), 2, listed)[1] is None
    confirmed = LineState(address_confirmed=act(), assistance=act())
    assert effect_on(person(state=confirmed), 2, listed)[1] is None


@pytest.mark.parametrize(
    ("state", "listed"),
    [
        (marked(MarkKind.VOTED_BY_MAIL, "mail-1400.csv"), MAIL),
        (marked(MarkKind.VOTED_BY_MAIL, "register.csv", printed=True), MAIL),
        (
            marked(MarkKind.VOTED_BY_MAIL, "mail-1200.csv"),
            replace(MAIL, continues=("mail-1200.csv",)),
        ),
        (marked(MarkKind.VOTED_EARLY, "early-1400.csv"), EARLY),
        (REMOVED, REMOVALS),
        (
            replace(marked(MarkKind.VOTED_BY_MAIL, "mail-1400.csv"), signature=act()),
            MAIL,
        ),
    ],
)
def test_what_stands_there_already_is_not_done_again(state: LineState, listed: Listed) -> None:
    proposal = propose(Row(), [person(state=state)], listed, KEYS)
    assert (proposal.effect, proposal.contradiction) == (Effect.ALREADY, None)


def test_a_number_alone_is_asked_about_even_where_the_line_is_marked_already() -> None:
    """Otherwise the person whose number was written down wrongly would be passed over."""
    state = marked(MarkKind.VOTED_BY_MAIL, "mail-1400.csv")
    assert proposed(Row(last_name="Pell"), person(state=state))[1] is Effect.SETTLE


# Supplemental lists


def test_somebody_on_no_line_is_added() -> None:
    assert proposed(Row(), listed=SUPPLEMENT) == (Agreement.NONE, Effect.ADD, None)


def test_an_incomplete_row_is_not_added() -> None:
    row = Row(problems=(Code.BUTTON_MISSING,))
    assert proposed(row, listed=SUPPLEMENT)[1] is Effect.REFUSE


def test_somebody_added_by_a_supplemental_list_already_is_not_added_again() -> None:
    there = person(part=Part.SUPPLEMENTAL)
    proposal = propose(Row(), [there], SUPPLEMENT, KEYS)
    assert (proposal.effect, proposal.contradiction) == (Effect.ALREADY, None)


@pytest.mark.parametrize(
    ("row", "there", "code"),
    [
        (Row(), person(), "on-a-line-already"),
        (Row(voter_number="5"), person(), "on-a-line-already"),
        (Row(voter_number="5"), person(part=Part.SUPPLEMENTAL), "on-a-line-already"),
        (Row(last_name="Pell"), person(), "number-taken"),
        (Row(), person(state=REMOVED), "removed-already"),
        (Row(), person(state=REMOVED, part=Part.SUPPLEMENTAL), "removed-already"),
    ],
)
def test_somebody_on_a_line_already_is_not_added_without_being_asked_about(
    row: Row, there: Candidate, code: str
) -> None:
    proposal = propose(row, [there], SUPPLEMENT, KEYS)
    assert proposal.effect is Effect.SETTLE
    assert proposal.contradiction is not None
    assert proposal.contradiction.code == code
    assert proposal.contradiction.on_line["line_id"] == "line-1"


def test_only_a_namesake_with_a_number_of_their_own_can_be_added_all_the_same() -> None:
    namesake = propose(Row(voter_number="5"), [person()], SUPPLEMENT, KEYS)
    assert settle_by_adding(namesake).effect is Effect.ADD
    for row in (Row(), Row(last_name="Pell"), Row(voter_number="5", problems=("yes-or-blank",))):
        proposal = propose(row, [person()], SUPPLEMENT, KEYS)
        assert settle_by_adding(proposal) == proposal
    by_mail = propose(Row(voter_number="5"), [person()], MAIL, KEYS)
    assert settle_by_adding(by_mail).effect is not Effect.ADD


# Settling


def test_a_person_chooses_the_line_and_what_stands_there_still_contradicts() -> None:
    open_row = propose(Row(voter_number=""), [person(1), person(2)], MAIL, KEYS)
    chosen = settle(open_row, person(2, state=SIGNED), MAIL)
    assert (chosen.effect, chosen.line_id) == (Effect.MARK, "line-2")
    assert chosen.contradiction is not None
    assert chosen.contradiction.code == "signed-already"
    done = marked(MarkKind.VOTED_BY_MAIL, MAIL.source)
    assert settle(open_row, person(2, state=done), MAIL).effect is Effect.ALREADY


def test_a_row_that_a_person_leaves_off_changes_nothing() -> None:
    left_off = settle(propose(Row(last_name="Pell"), [person()], MAIL, KEYS), None, MAIL)
    assert (left_off.effect, left_off.line_id) == (Effect.REFUSE, None)


def test_a_row_that_was_not_open_cannot_be_settled_otherwise() -> None:
    sure = propose(Row(), [person()], MAIL, KEYS)
    assert settle(sure, person(2), MAIL) == sure
    refused = propose(Row(problems=(Code.WRONG_ELECTION,)), [person()], MAIL, KEYS)
    assert settle(refused, person(), MAIL) == refused


# Whole lists


def previewed(
    rows: Sequence[Row], lines: Sequence[Line], listed: Listed = MAIL, **states: LineState
) -> tuple[Proposal, ...]:
    by_id = {name.replace("_", "-"): state for name, state in states.items()}
    return preview(rows, lines, lambda line_id: by_id.get(line_id, LineState()), listed, KEYS)


def test_the_second_row_for_one_line_finds_it_done() -> None:
    rows = [Row(2), Row(3)]
    first, second = previewed(rows, [line(1, birth_date=BORN)])
    assert (first.effect, second.effect) == (Effect.MARK, Effect.ALREADY)
    assert LISTED_TWICE in second.reasons
    assert tally(rows, (first, second)) == Tally(2, applied=1, already=1)


def test_two_rows_that_say_the_same_add_one_line() -> None:
    effects = [each.effect for each in previewed([Row(2), Row(3)], [], SUPPLEMENT)]
    assert effects == [Effect.ADD, Effect.ALREADY]


@pytest.mark.parametrize("other", [Row(3, last_name="Pell"), Row(3, voter_number="5")])
def test_two_rows_that_contradict_each_other_add_nobody_by_themselves(other: Row) -> None:
    proposals = previewed([Row(2), other], [], SUPPLEMENT)
    assert [each.effect for each in proposals] == [Effect.SETTLE, Effect.SETTLE]
    assert all(LISTED_TWICE in each.reasons for each in proposals)


def test_every_row_counts_once_in_the_tally() -> None:
    lines = [line(number, birth_date=BORN) for number in (1, 2)]
    rows = [
        Row(2),
        Row(3, voter_number="100000002"),
        Row(4, last_name="Pell"),
        Row(5, problems=(Code.WRONG_ELECTION,)),
        Row(6, last_name="Crane"),
    ]
    done = marked(MarkKind.VOTED_BY_MAIL, MAIL.source)
    proposals = previewed(rows, lines, line_2=done)
    counted = tally(rows, proposals, settled={6})
    assert counted == Tally(5, applied=1, already=1, settled=1, refused=1, open=1)
    assert not counted.is_complete
    assert tally(rows, proposals, settled={4, 6}).is_complete


@pytest.mark.parametrize(
    "spoil",
    [
        lambda rows, proposals: (rows, proposals[:-1]),
        lambda rows, proposals: (rows[:-1], proposals),
        lambda rows, proposals: (rows, proposals[::-1]),
        lambda rows, proposals: (rows, [proposals[0], proposals[0]]),
        lambda rows, proposals: ([rows[0], rows[0]], [proposals[0], proposals[0]]),
    ],
)
def test_a_row_that_is_lost_or_counted_twice_stops_everything(spoil: Callable[..., Any]) -> None:
    rows = [Row(2), Row(3)]
    with pytest.raises(RowsLost):
        tally(*spoil(rows, previewed(rows, [])))
    with pytest.raises(RowsLost):
        tally(rows, previewed(rows, []), settled={7})


@pytest.mark.parametrize("counts", [{"applied": 1}, {"applied": 3}, {"applied": 3, "open": -1}])
def test_a_sum_that_is_not_right_cannot_be_made(counts: dict[str, int]) -> None:
    with pytest.raises(RowsLost):
        Tally(2, **counts)


# Laws, on a register small enough that rows often mean the same line.

FIRST = st.sampled_from(["Odette", "Silas", "odette", "Ana", ""])
LAST = st.sampled_from(["Quillfeather", "QUILLFEATHER", "Pell", ""])
DATES = st.sampled_from([BORN, date(1980, 4, 5), date(1944, 11, 30)])
NUMBER = st.integers(100_000_000, 100_000_005).map(str)
LINES = st.lists(st.tuples(FIRST, LAST.filter(bool), DATES), min_size=1, max_size=5).map(
    lambda people: [
        line(number, first_name=first, last_name=last, birth_date=born)
        for number, (first, last, born) in enumerate(people, start=1)
    ]
)
ROWS = st.lists(
    st.tuples(
        st.one_of(NUMBER, st.just("")),
        LAST,
        FIRST,
        st.one_of(DATES, st.none()),
        st.sampled_from([(), (), (), (Code.BIRTH_DATE_IMPOSSIBLE,), (Code.WRONG_PRECINCT,)]),
    ),
    max_size=6,
).map(
    lambda cells: [
        Row(at, number, last, first, "", "", born, problems)
        for at, (number, last, first, born, problems) in enumerate(cells, start=2)
    ]
)
LISTS = st.sampled_from([MAIL, EARLY, REMOVALS, Listed(ListKind.MAIL_VOTED, "list on paper")])
STATES = st.sampled_from([LineState(), SIGNED, REMOVED, marked(MarkKind.VOTED_EARLY, "early.csv")])


def applied(
    proposals: Iterable[Proposal], states: Mapping[str, LineState], listed: Listed
) -> dict[str, LineState]:
    """The states once the proposals that apply have been written down."""
    after = dict(states)
    for proposal in proposals:
        if proposal.effect not in APPLIES:
            continue
        assert proposal.line_id is not None
        state = after.get(proposal.line_id, LineState())
        if proposal.effect is Effect.REMOVE:
            state = replace(state, removed=act())
        else:
            mark = Mark(MARK_OF[listed.kind], listed.source, "TB", act())
            state = replace(state, marks=(*state.marks, mark))
        after[proposal.line_id] = state
    return after


@given(ROWS, LINES, LISTS, st.lists(STATES, min_size=5, max_size=5))
@settings(max_examples=200)
def test_applying_twice_is_applying_once(
    rows: list[Row], lines: list[Line], listed: Listed, some: list[LineState]
) -> None:
    states = {each.line_id: state for each, state in zip(lines, some, strict=False)}
    first = preview(rows, lines, states.__getitem__, listed, KEYS)
    after = applied(first, states, listed)
    again = preview(rows, lines, after.__getitem__, listed, KEYS)
    assert tally(rows, again).applied == 0
    assert applied(again, after, listed) == after
    assert tally(rows, first).rows == tally(rows, again).rows == len(rows)
    for one, other in zip(first, again, strict=True):
        assert (one.effect is Effect.SETTLE) == (other.effect is Effect.SETTLE)


@given(st.lists(st.tuples(ROWS, LISTS), min_size=2, max_size=3), LINES)
@settings(max_examples=100)
def test_lists_in_any_order_end_in_the_same_marks(
    lists: list[tuple[list[Row], Listed]], lines: list[Line]
) -> None:
    ends = []
    for order in permutations(lists):
        states = {each.line_id: LineState() for each in lines}
        for rows, listed in order:
            proposals = preview(rows, lines, states.__getitem__, listed, KEYS)
            states = applied(proposals, states, listed)
        ends.append(
            {
                line_id: (
                    {(mark.kind, mark.source) for mark in state.marks},
                    state.removed is not None,
                )
                for line_id, state in states.items()
            }
        )
    assert all(end == ends[0] for end in ends)


@given(ROWS, LINES, LISTS)
@settings(max_examples=200)
def test_looking_up_finds_what_comparing_with_every_line_finds(
    rows: list[Row], lines: list[Line], listed: Listed
) -> None:
    """The slow reference: every line is a candidate of every row."""
    everybody = [Candidate(each, LineState()) for each in lines]
    quick = preview(rows, lines, lambda _: LineState(), listed, KEYS)
    for row, proposal in zip(rows, quick, strict=True):
        slow = propose(row, everybody, listed, KEYS)
        assert set(proposal.candidates) == set(slow.candidates)
        assert proposal.agreement is slow.agreement
        is_second = LISTED_TWICE in proposal.reasons
        assert is_second or proposal == slow


@given(ROWS, LINES, st.sampled_from([MAIL, SUPPLEMENT, REMOVALS]))
@settings(max_examples=200)
def test_nothing_applies_by_itself_to_a_line_that_does_not_agree_in_everything(
    rows: list[Row], lines: list[Line], listed: Listed
) -> None:
    printed = {each.line_id: each.printed for each in lines}
    for row, proposal in zip(rows, previewed(rows, lines, listed), strict=True):
        if proposal.effect in (Effect.MARK, Effect.REMOVE):
            assert proposal.line_id is not None
            its = printed[proposal.line_id]
            assert row.voter_number == its.voter_number
            assert glue(row.last_name) == glue(its.last_name)
            assert glue(row.first_name) == glue(its.first_name)
            assert row.birth_date == its.birth_date
            assert not row.problems
        elif proposal.effect is Effect.ADD:
            assert row.voter_number not in {each.voter_number for each in printed.values()}
