"""What the person at the table said and showed, turned into evidence about one line."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from typing import Literal

from app.desk.roster import Roster
from app.matching.dates import read_birth_date
from app.rules.faults import BirthDateUnreadable
from app.rules.line import Line
from app.rules.moment import Evidence, Moved


@dataclass(frozen=True, slots=True)
class Said:
    """As it came from the table: the birth date as typed, or None where nobody asked."""

    birth_date: str | None = None
    identification: Literal["shown", "not_shown", "affirmed"] | None = None
    in_line_at_cut_off: bool | None = None
    address_affirmed: bool | None = None
    moved: Moved | None = None


def read_typed_birth_date(roster: Roster, typed: str) -> date:
    """BirthDateUnreadable where what was typed is no date."""
    born = read_birth_date(
        typed,
        date_order=roster.setting.policy.date_order,
        election_year=roster.setting.election.date.year,
    )
    if born is None:
        raise BirthDateUnreadable
    return born


NOTHING_SAID = Said()


def evidence_about(roster: Roster, line: Line, said: Said) -> Evidence:
    """BirthDateUnreadable where the birth date typed is no date."""
    return evidence_of(said, told_apart=_agrees(roster, line, said.birth_date))


def evidence_of(said: Said, told_apart: bool | None) -> Evidence:
    """The evidence, once it is known whether the birth date is the line's."""
    return Evidence(
        told_apart=told_apart,
        identification=said.identification,
        in_line_at_cut_off=said.in_line_at_cut_off,
        address_affirmed=said.address_affirmed,
        moved=said.moved,
    )


def _agrees(roster: Roster, line: Line, typed: str | None) -> bool | None:
    if typed is None:
        return None
    return read_typed_birth_date(roster, typed) == line.printed.birth_date
