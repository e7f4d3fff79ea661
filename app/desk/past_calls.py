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
    """A call as the lead reads it later. `name` is that of the line, blank where there is none."""

    entry: Entry
    asked: str
    argument: str
    name: str


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

    def calls(connection: Connection) -> list[PastCall]:
        entries = queries.entries_of(connection, PhoneInRecorded.kind)
        ids = [entry.line_id for entry in entries if entry.line_id]
        lines = queries.lines_with(connection, ids)
        return [
            PastCall(entry, **personal.details_of(connection, entry), name=_name(lines, entry))
            for entry in entries
        ]

    return roster.store.read(calls)


def check_authorisation(connection: Connection, seq: int | None) -> None:
    """BadRequest unless entry `seq` is a call that authorises an affidavit, and unused."""
    if seq is None:
        return
    calls = queries.entries_of(connection, PhoneInRecorded.kind)
    authorising = {
        entry.seq for entry in calls if entry.body["what"] == ChangeCode.AUTHORISE_AFFIDAVIT
    }
    added = queries.entries_of(connection, LineAdded.kind)
    used = {entry.body.get("authorisation_seq") for entry in added}
    if seq not in authorising or seq in used:
        raise BadRequest(field="authorisation_seq", expected="an authorisation not used before")


def _name(lines: Mapping[str, Line], entry: Entry) -> str:
    line = lines.get(entry.line_id or "")
    return line.printed.name_last_first if line else ""
