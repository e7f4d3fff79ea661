"""What the person at the table said and showed, turned into evidence about one line."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from app.desk.roster import Roster
from app.matching.dates import read_birth_date
from app.rules.faults import BirthDateUnreadable
from app.rules.line import Line
from app.rules.moment import Evidence


@dataclass(frozen=True, slots=True)
class Said:
    """As it came from the table: the birth date as typed, or None where nobody asked."""

    birth_date: str | None = None
    identification: Literal["shown", "not_shown", "affirmed"] | None = None
    in_line_at_cut_off: bool | None = None


def evidence_about(roster: Roster, line: Line, said: Said) -> Evidence:
    """BirthDateUnreadable where the birth date typed is no date."""
    return Evidence(
        told_apart=_agrees(roster, line, said.birth_date),
        identification=said.identification,
        in_line_at_cut_off=said.in_line_at_cut_off,
    )


def _agrees(roster: Roster, line: Line, typed: str | None) -> bool | None:
    if typed is None:
        return None
    born = read_birth_date(
        typed,
        date_order=roster.setting.policy.date_order,
        election_year=roster.setting.election.date.year,
    )
    if born is None:
        raise BirthDateUnreadable
    return born == line.printed.birth_date
