"""What is handed on as data, read in one snapshot: who took part, the register, the log, by name.

Nothing here has a secret address in it: lines are taken as they may be shown.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from datetime import datetime
from functools import cached_property
from zoneinfo import ZoneInfo

from sqlalchemy import Connection

from app import __version__
from app.desk.provisional import ProvisionalBallot, all_ballots
from app.desk.roster import Roster
from app.matching.names import fold, fold_suffix
from app.papers.exports.events import LoggedEvent, documentation_json, events_json
from app.papers.exports.participation import (
    How,
    Participant,
    participation_csv,
    participation_json,
)
from app.papers.exports.register_rows import LineOut, Standing, register_csv, voted_csv
from app.records import queries
from app.records.bodies import ProvisionalRecorded, SignatureRecorded
from app.records.clock import from_text
from app.records.corrected import all_details
from app.records.entry import Entry, canonical
from app.records.taken_back import taken_back
from app.rules.faults import NotFound
from app.rules.line import Act, Line, LineState, MarkKind, Part, PrintedMark, as_shown
from app.rules.setting import Setting

ADDRESS = frozenset({"street_address", "city", "postal_code"})


@dataclass(frozen=True, slots=True)
class LineNow:
    """A line as it may be handed on, and what stands on it."""

    line: Line
    state: LineState


class Snapshot:
    """One reading of the record: what several exports need is read once."""

    def __init__(self, setting: Setting, connection: Connection, made_at: datetime) -> None:
        self.setting = setting
        self.connection = connection
        self.zone = ZoneInfo(setting.election.time_zone)
        self.made_at = self.local(made_at)

    def local(self, at: datetime) -> datetime:
        return at.astimezone(self.zone)

    @cached_property
    def entries(self) -> list[Entry]:
        return list(queries.entries_after(self.connection, 0))

    @cached_property
    def lines(self) -> list[LineNow]:
        """Every line in the order of a register; rows keyed by mistake are left out."""
        gone = taken_back(self.connection)
        every = queries.all_lines_now(self.connection)
        shown = sorted((as_shown(one) for one in every if one.line_id not in gone), key=_place)
        states = queries.stored_states(self.connection, [one.line_id for one in shown])
        return [LineNow(one, states[one.line_id].state) for one in shown]

    @cached_property
    def signatures(self) -> dict[int, Entry]:
        return {one.seq: one for one in self.entries if one.kind == SignatureRecorded.kind}

    @cached_property
    def envelopes(self) -> dict[int, str]:
        """The envelope numbers, by the entries that recorded them."""
        recorded = (one for one in self.entries if one.kind == ProvisionalRecorded.kind)
        return {one.seq: one.body["envelope"] for one in recorded}

    @cached_property
    def corrected(self) -> dict[str, dict[str, object]]:
        return all_details(self.connection)

    def parts(self, *parts: Part) -> Iterator[LineOut]:
        """The lines of these parts with all that stands on them."""
        for one in self.lines:
            if one.line.printed.part in parts:
                marks = tuple(PrintedMark(m.kind, m.source, m.initials) for m in one.state.marks)
                yield LineOut(one.line.printed, marks, self._standing(one))

    def participants(self) -> list[Participant]:
        """Everybody who signed, then every provisional ballot that counts; each in its order."""
        signed = [self._signed(one, act) for one in self.lines if (act := one.state.signature)]
        standing = [one for one in all_ballots(self.connection) if one.withdrawn is None]
        given = [self._given(one) for one in standing]
        return [*sorted(signed, key=lambda one: one.seq), *given]

    def events(self) -> Iterator[LoggedEvent]:
        for entry in self.entries:
            yield LoggedEvent(
                seq=entry.seq,
                at=self.local(from_text(entry.at)),
                kind=entry.kind,
                user=entry.initials or entry.worker_id,
                station=entry.station,
                hash=entry.hash,
                is_failure=_is_failure(entry),
            )

    def _signed(self, one: LineNow, act: Act) -> Participant:
        body, printed = self.signatures[act.seq].body, one.line.printed
        how: How = "affidavit" if printed.part is Part.AFFIDAVIT else "signed"
        return Participant(
            voter_number=printed.voter_number,
            last_name=printed.last_name,
            first_name=printed.first_name,
            middle_name=printed.middle_name,
            suffix=printed.suffix,
            ballot_button=body["ballot_button"],
            how="left" if one.state.left else how,
            at=self.local(act.at),
            station=act.station,
            initials=act.initials,
            seq=act.seq,
            time_on_paper=(body.get("caught_up") or {}).get("at", ""),
        )

    def _given(self, ballot: ProvisionalBallot) -> Participant:
        entry = ballot.entry
        line = self._lines_by_id.get(entry.line_id or "")
        printed = line.printed if line else None
        return Participant(
            voter_number=printed.voter_number if printed else "",
            last_name=printed.last_name if printed else ballot.name,
            first_name=printed.first_name if printed else "",
            middle_name=printed.middle_name if printed else "",
            suffix=printed.suffix if printed else "",
            ballot_button=entry.body["ballot_button"],
            how="provisional",
            at=self.local(from_text(entry.at)),
            station=entry.station,
            initials=entry.initials,
            seq=entry.seq,
            envelope=entry.body["envelope"],
        )

    @cached_property
    def _lines_by_id(self) -> dict[str, Line]:
        return {one.line.line_id: one.line for one in self.lines}

    def _standing(self, one: LineNow) -> Standing:
        state, act = one.state, one.state.signature
        return Standing(
            standing=state.standing.value,
            marks=" ".join(dict.fromkeys(mark.kind.value for mark in state.marks)),
            signed_how=self.signatures[act.seq].body["how"] if act else "",
            signed_at=self._time(act),
            signed_station=act.station if act else "",
            signed_initials=act.initials if act else "",
            left_at=self._time(state.left),
            removed_at=self._time(state.removed),
            envelope=self.envelopes[state.provisional.seq] if state.provisional else "",
            corrected=" ".join(self._corrected(one.line)),
        )

    def _corrected(self, line: Line) -> list[str]:
        """What was corrected; that a secret address was is nobody's business."""
        secret = ADDRESS if line.printed.address_protected else frozenset()
        return [name for name in self.corrected.get(line.line_id, {}) if name not in secret]

    def _time(self, act: Act | None) -> str:
        return self.local(act.at).isoformat(timespec="seconds") if act else ""


def log_lines(entries: list[Entry]) -> bytes:
    """The day log, one canonical JSON line an entry: what is hashed, its hash, the one before."""
    lines = (
        canonical({"entry": entry.content, "hash": entry.hash, "prev": entry.prev})
        for entry in entries
    )
    return "".join(f"{line}\n" for line in lines).encode()


def _listed(kind: MarkKind) -> Callable[[Snapshot], bytes]:
    return lambda snapshot: voted_csv(snapshot.parts(Part.REGISTER, Part.SUPPLEMENTAL), kind)


# By the name of the file.
EXPORTS: Mapping[str, Callable[[Snapshot], bytes]] = {
    "participation.csv": lambda of: participation_csv(of.participants()),
    "participation.json": lambda of: participation_json(of.setting, of.participants()),
    "register.csv": lambda of: register_csv(of.parts(Part.REGISTER)),
    "supplemental.csv": lambda of: register_csv(of.parts(Part.SUPPLEMENTAL)),
    "affidavits.csv": lambda of: register_csv(of.parts(Part.AFFIDAVIT)),
    "mail-voted.csv": _listed(MarkKind.VOTED_BY_MAIL),
    "early-voted.csv": _listed(MarkKind.VOTED_EARLY),
    "events.json": lambda of: events_json(of.setting, __version__, of.made_at, of.events()),
    "events-documentation.json": lambda of: documentation_json(of.setting, __version__, of.made_at),
    "day-log.jsonl": lambda of: log_lines(of.entries),
}


def export(roster: Roster, name: str, now: datetime) -> bytes:
    """One of `EXPORTS`, as of now; NotFound for any other name."""
    make = EXPORTS.get(name)
    if make is None:
        raise NotFound(what="export of this name")
    return roster.store.read(lambda connection: make(Snapshot(roster.setting, connection, now)))


def _place(line: Line) -> tuple[str, ...]:
    """The order of a register, which the finder sorts by too."""
    printed = line.printed
    names = (printed.last_name, printed.first_name, printed.middle_name)
    return (*map(fold, names), fold_suffix(printed.suffix), printed.voter_number, line.line_id)


def _is_failure(entry: Entry) -> bool:
    """What was tried and did not succeed: a code that was no code, a check that failed."""
    return entry.kind == "phone_code.refused" or entry.body.get("passed") is False
