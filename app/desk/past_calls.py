"""Calls and corrections as they are read later: what was asked, what a detail was and is."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from sqlalchemy import Connection

from app.desk.roster import Roster
from app.records import personal, queries
from app.records.bodies import LineAdded, LineCorrected
from app.records.bodies_lists import PhoneInRecorded
from app.records.entry import Entry
from app.records.fold import act_of
from app.rules.faults import BadRequest
from app.rules.line import Act, Line
from app.rules.phone_change import ChangeCode


@dataclass(frozen=True, slots=True)
class PastCall:
    """A call as it is read later. Name and number are those of the line, blank without one."""

    entry: Entry
    asked: str
    argument: str
    name: str
    voter_number: str


@dataclass(frozen=True, slots=True)
class Correction:
    """One detail that was corrected: what is printed or stood before, and what it is since."""

    detail: str
    was: object
    now: object
    act: Act


def corrections(connection: Connection, history: Sequence[Entry]) -> list[Correction]:
    """What was corrected on a line, from its history; a secret address stays blank anyway."""
    found = []
    for entry in history:
        if entry.kind == LineCorrected.kind:
            kept = personal.details_of(connection, entry)
            found.append(Correction(kept["detail"], kept["was"], kept["value"], act_of(entry)))
    return found


def read_phone_ins(roster: Roster) -> list[PastCall]:
    """Every call, oldest first."""
    return roster.store.read(
        lambda connection: _as_read(
            connection, queries.entries_of(connection, PhoneInRecorded.kind)
        )
    )


def read_authorisations(roster: Roster) -> list[PastCall]:
    """The calls that authorise an affidavit and that no affidavit has named, oldest first."""
    return roster.store.read(lambda connection: _as_read(connection, _unused(connection)))


def check_authorisation(connection: Connection, seq: int | None) -> None:
    """BadRequest unless entry `seq` is a call that authorises an affidavit, and unused."""
    if seq is None:
        return
    if seq not in {entry.seq for entry in _unused(connection)}:
        raise BadRequest(field="authorisation_seq", expected="an authorisation not used before")


def _unused(connection: Connection) -> list[Entry]:
    """The calls that authorise an affidavit and have not been used for one."""
    calls = queries.entries_of(connection, PhoneInRecorded.kind)
    added = queries.entries_of(connection, LineAdded.kind)
    used = {entry.body.get("authorisation_seq") for entry in added}
    return [
        entry
        for entry in calls
        if entry.body["what"] == ChangeCode.AUTHORISE_AFFIDAVIT and entry.seq not in used
    ]


def _as_read(connection: Connection, entries: Sequence[Entry]) -> list[PastCall]:
    lines = queries.lines_with(connection, [entry.line_id for entry in entries if entry.line_id])
    return [
        PastCall(entry, **personal.details_of(connection, entry), **_who(lines, entry))
        for entry in entries
    ]


def _who(lines: Mapping[str, Line], entry: Entry) -> dict[str, str]:
    line = lines.get(entry.line_id or "")
    return {
        "name": line.printed.name_last_first if line else "",
        "voter_number": line.printed.voter_number if line else "",
    }
