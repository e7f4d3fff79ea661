"""A supplemental list over a register: all at once flags the same as row by row."""

from __future__ import annotations

from datetime import date

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from app.desk.namesakes import (
    ids_of_look_alikes,
    ids_of_look_alikes_of_each,
    places_of_look_alikes_before,
)
from app.matching.look_alikes import how_alike, look_alikes_of
from app.matching.look_alikes_of_many import look_alikes_of_each
from app.records.named import named
from app.rules.line import Line, PrintedLine
from finding_bench.people import make_people
from tests.making import printed

# Names that are near each other by a slip, by sound and as nicknames, glued, accented and blank.
LASTS = ["Baker", "Bakker", "Barker", "Meyer", "Maier", "Joan", "Li", "Le", "O'Neil", "Oneil", ""]
FIRSTS = ["William", "Bill", "Liam", "Joan", "Jaon", "Joann", "Jo", "Bo", "Ann", "Baker", "Inés"]
LETTERS = st.text(alphabet="abeikmnrs", max_size=5)

PEOPLE = st.builds(
    printed,
    last_name=st.sampled_from(LASTS) | LETTERS,
    first_name=st.sampled_from(["", *FIRSTS]) | LETTERS,
    birth_date=st.sampled_from([date(1980, 5, 17), date(1985, 5, 16), date(1990, 1, 1)]),
    street_address=st.sampled_from(["", "4 Ropewalk Lane", "9 Mill Street"]),
    suffix=st.sampled_from(["", "Jr", "Sr"]),
)


@settings(max_examples=400, deadline=None)
@given(st.lists(PEOPLE, max_size=6), st.lists(PEOPLE, max_size=12))
def test_all_at_once_flags_what_row_by_row_flags(
    new: list[PrintedLine], lines: list[PrintedLine]
) -> None:
    assert look_alikes_of_each(new, lines) == [look_alikes_of(one, lines) for one in new]


@settings(max_examples=100, deadline=None)
@given(st.lists(PEOPLE, max_size=6), st.lists(PEOPLE, max_size=6))
def test_each_row_of_a_list_knows_the_rows_before_it_and_the_lines_that_are_there(
    new: list[PrintedLine], there: list[PrintedLine]
) -> None:
    lines = [Line(f"line-{at}", one) for at, one in enumerate(there)]
    alone = [ids_of_look_alikes(one, lines) for one in new]
    assert ids_of_look_alikes_of_each(new, [named(line) for line in lines]) == alone
    one_by_one = [look_alikes_of(one, new[:at]) for at, one in enumerate(new)]
    assert places_of_look_alikes_before(new) == one_by_one


@pytest.mark.parametrize("seed", ["added/1", "added/2", "added/3"])
def test_all_at_once_flags_what_row_by_row_flags_among_people_as_they_are(seed: str) -> None:
    people = [line.printed for line in make_people(3_000, seed).lines()]
    new, lines = people[:150], people[150:]
    one_by_one = [look_alikes_of(one, lines) for one in new]
    assert look_alikes_of_each(new, lines) == one_by_one
    kinds = {
        how_alike(one, lines[place])
        for one, places in zip(new, one_by_one, strict=True)
        for place in places
    }
    assert len(kinds) >= 2


def test_nobody_new_and_nobody_there_are_no_faults() -> None:
    assert look_alikes_of_each([], [printed()]) == []
    assert look_alikes_of_each([printed()], []) == [()]


def test_the_lines_are_folded_once_however_many_are_added(monkeypatch: pytest.MonkeyPatch) -> None:
    """What made a long list slow: every line of the register was folded again for every row."""
    people = [line.printed for line in make_people(1_200, "folded once").lines()]
    folds = 0
    import app.matching.look_alikes_of_many as module

    fold_line = module.fold_line

    def counted(line: PrintedLine, at: int = 0) -> object:
        nonlocal folds
        folds += 1
        return fold_line(line, at)

    monkeypatch.setattr(module, "fold_line", counted)
    look_alikes_of_each(people[:200], people[200:])
    assert folds <= len(people)
