"""Reading the machines' counters: at the opening, during the day and at the close."""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass, field

from sqlalchemy import Connection, func, select

from app.desk.doubted import Insisted, Kept, keep, kept_before
from app.desk.outcomes import Refused
from app.desk.roster import Roster
from app.records import queries
from app.records.bodies_day import MachineCounted, ZeroReportSeen
from app.records.clock import from_text, to_text
from app.records.entry import Actor, Entry
from app.records.unit import Unit
from app.rules.coded import Coded
from app.rules.day_gathering import reading_of
from app.rules.doubts import Doubt
from app.rules.faults import BadRequest
from app.rules.machine_readings import (
    ONE_ROUND,
    STILL_VOTING,
    Reading,
    ZeroReport,
    doubts_about,
    off_by,
    placed,
    standing,
)
from app.rules.moment import Phase
from app.rules.setting import Machine, Setting

_TAKES_AWAY = ("signature.withdrawn", "voter.left", "voter.returned")


@dataclass(frozen=True, slots=True)
class ReadingsOff:
    """The machines, read one after the other, are not where the table is.

    `difference` is above 0 where they are ahead of all who `signed`; below, it is by how many
    they trail those who must have voted. `entry` is the last of the readings.
    """

    difference: int
    machines: int
    signed: int
    serials: tuple[str, ...]
    entry: Entry


@dataclass(frozen=True, slots=True)
class MachineRead:
    """One machine: what the package states, what was read, and what of it is doubted."""

    serial: str
    packaged: Machine | None
    entries: tuple[Entry, ...]
    opening: Entry | None
    latest: Entry | None
    close: Entry | None
    doubts: tuple[Doubt, ...]


@dataclass(frozen=True, slots=True)
class MachinesRead:
    machines: tuple[MachineRead, ...]
    signed: int
    off: ReadingsOff | None
    replaced_by: dict[int, int] = field(default_factory=dict)


def record_reading(
    unit: Unit, roster: Roster, actor: Actor, token: str, reading: Reading, insisted: Insisted
) -> Kept | Refused:
    """Record what a machine's counters were read as, unless something about it is doubted.

    BadRequest where it stands in for no reading that stands, or counts an unknown ballot.
    """
    body = _body(reading, insisted.reason)
    setting = roster.setting
    before = kept_before(unit, token, body, insisted)
    if before:
        return _with_flags(unit.connection, setting, before)
    stands = placed(map(reading_of, _entries(unit.connection)))
    refused = _not_now(unit.connection, reading) or _read_already(reading, stands)
    if refused:
        return refused
    _check_asked(setting, reading, stands, insisted)
    kept = keep(
        unit,
        actor,
        token,
        body,
        doubts_about(reading, stands, _packaged(setting, reading.serial)),
        insisted,
        about="machine",
        refusal="reading-doubtful",
        machine=reading.serial,
    )
    return kept if isinstance(kept, Refused) else _with_flags(unit.connection, setting, kept)


def read_machines(roster: Roster) -> MachinesRead:
    """Every machine of the package, then those that were read besides."""

    def read(connection: Connection) -> MachinesRead:
        entries = _entries(connection)
        serials = [one.serial for one in roster.setting.machines]
        serials += [entry.body["serial"] for entry in entries]
        machines = tuple(
            _machine(entries, serial, _packaged(roster.setting, serial))
            for serial in dict.fromkeys(serials)
        )
        replaced = {one.body["replaces"]: one.seq for one in entries if one.body["replaces"]}
        off = readings_off(connection, roster.setting)
        return MachinesRead(machines, signed_by(connection), off, replaced)

    return roster.store.read(read)


def readings_off(connection: Connection, setting: Setting) -> ReadingsOff | None:
    """The last readings, where they differ from what the table had signed by then; else None.

    Nothing is said before every machine was read since the opening, nor of machines that trail
    because one was read an hour before the other.
    """
    if queries.day_state(connection).phase not in (Phase.OPEN, Phase.CUT_OFF):
        return None
    entries = {entry.seq: entry for entry in _entries(connection)}
    latest = {one.serial: one for one in placed(map(reading_of, entries.values()))}
    serials = {one.serial for one in setting.machines} | latest.keys()
    counted = [one for one in latest.values() if one.at_moment != "opening"]
    if not serials or len(counted) < len(serials):
        return None
    first, last = counted_span(counted)
    machines, most = sum(one.public for one in counted), signed_by(connection, last.place)
    first_at, last_at = (from_text(entries[one.place].at) for one in (first, last))
    is_over = all(one.at_moment == "close" for one in counted)
    voted_by = None if is_over else to_text(first_at - STILL_VOTING)
    difference = off_by(machines, signed_by(connection, first.place, voted_by), most)
    if difference == 0 or (difference < 0 and last_at - first_at > ONE_ROUND):
        return None
    return ReadingsOff(difference, machines, most, tuple(sorted(serials)), entries[last.seq])


def counted_span(counted: Collection[Reading]) -> tuple[Reading, Reading]:
    """The first and the last of the readings, by their places in the day."""
    ordered = sorted(counted, key=lambda one: one.place)
    return ordered[0], ordered[-1]


def signed_by(connection: Connection, seq: int | None = None, at: str | None = None) -> int:
    """How many had signed and not left before entry `seq` and by the time `at`; now, for None.

    Signatures are counted, not read: this is asked every few seconds by the lead's page.
    """
    log = queries.day_log
    recorded = select(func.count()).where(log.c.kind == "signature.recorded")
    recorded = recorded if seq is None else recorded.where(log.c.seq < seq)
    recorded = recorded if at is None else recorded.where(log.c.at <= at)
    signed = int(connection.execute(recorded).scalar_one())
    left: set[str | None] = set()
    for entry in queries.entries_of(connection, *_TAKES_AWAY):
        if (seq is not None and entry.seq >= seq) or (at is not None and entry.at > at):
            continue
        signed -= entry.kind == "signature.withdrawn"
        if entry.kind == "voter.left":
            left.add(entry.line_id)
        else:
            left.discard(entry.line_id)
    return signed - len(left)


def _body(reading: Reading, reason: str) -> MachineCounted:
    report = reading.zero_report
    return MachineCounted(
        serial=reading.serial,
        at_moment=reading.at_moment,
        public=reading.public,
        protective=reading.protective,
        by_button=dict(reading.by_button) if reading.by_button is not None else None,
        zero_report=_seen(report) if report else None,
        replaces=reading.replaces,
        reason=reason,
    )


def _seen(report: ZeroReport) -> ZeroReportSeen:
    return ZeroReportSeen(
        time_right=report.time_right,
        serial_right=report.serial_right,
        precinct_right=report.precinct_right,
        candidates_zero=report.candidates_zero,
        protective_on_screen=report.protective_on_screen,
    )


def _not_now(connection: Connection, reading: Reading) -> Refused | None:
    """Before the opening nothing was voted: what is read then is the zero report."""
    phase = queries.day_state(connection).phase
    if reading.at_moment == "opening" or phase is not Phase.NOT_OPEN:
        return None
    return Refused("turn-out-of-order", {"phase": phase.value})


def _read_already(reading: Reading, stands: list[Reading]) -> Refused | None:
    """An opening or a closing stands once; during the day a machine is read as often as wanted."""
    now = standing(stands, reading.serial, reading.at_moment)
    if now is None or reading.at_moment == "during" or reading.replaces is not None:
        return None
    return Refused("counted-already", {"seq": now.seq, "public": now.public})


def _check_asked(
    setting: Setting, reading: Reading, stands: list[Reading], insisted: Insisted
) -> None:
    if reading.replaces is not None:
        mine = [one for one in stands if one.seq == reading.replaces]
        same = [(one.serial, one.at_moment) for one in mine]
        if same != [(reading.serial, reading.at_moment)]:
            raise BadRequest(field="replaces", expected="the entry of the reading that stands")
        if not insisted.reason:
            raise BadRequest(field="reason", expected="why the reading is replaced")
    known = set(map(str, setting.ballot_buttons))
    if reading.by_button is not None and not reading.by_button.keys() <= known:
        raise BadRequest(field="by_button", expected="ballot buttons of this precinct")


def _with_flags(connection: Connection, setting: Setting, kept: Kept) -> Kept:
    if kept.entry.body["at_moment"] == "opening":
        return kept
    off = readings_off(connection, setting)
    if off is None or off.entry.seq != kept.entry.seq:
        return kept
    facts = {"machines": off.machines, "signed": off.signed, "difference": off.difference}
    flags: tuple[Coded, ...] = (Doubt("reading-differs", facts),)
    return Kept(kept.entry, kept.irregularity, flags)


def _machine(entries: list[Entry], serial: str, packaged: Machine | None) -> MachineRead:
    mine = {entry.seq: entry for entry in entries if entry.body["serial"] == serial}
    stands = placed(map(reading_of, mine.values()))
    opening, close = (standing(stands, serial, moment) for moment in ("opening", "close"))
    doubts = [
        doubt
        for n, one in enumerate(stands)
        for doubt in doubts_about(_whole(mine[one.seq], one), stands[:n], packaged)
    ]
    return MachineRead(
        serial,
        packaged,
        tuple(mine.values()),
        mine[opening.seq] if opening else None,
        mine[stands[-1].seq] if stands else None,
        mine[close.seq] if close else None,
        tuple(doubts),
    )


def _whole(entry: Entry, reading: Reading) -> Reading:
    """With its zero report, and as if it had come first at its place in the day."""
    seen = entry.body["zero_report"]
    report = ZeroReport(**seen) if seen else None
    return Reading(
        reading.serial,
        reading.at_moment,
        reading.public,
        reading.protective,
        reading.by_button,
        report,
        seq=reading.seq,
        place=reading.place,
    )


def _entries(connection: Connection) -> list[Entry]:
    return queries.entries_of(connection, MachineCounted.kind)


def _packaged(setting: Setting, serial: str) -> Machine | None:
    return next((one for one in setting.machines if one.serial == serial), None)
