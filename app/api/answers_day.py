"""What the API answers of the opening and the close."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from datetime import datetime
from typing import Any

from pydantic import BaseModel

from app.api.answers import Clockface, Receipt, receipt, receipt_fields, stamp_fields
from app.desk.ballots import BallotsRead
from app.desk.doubted import Kept, doubts_as_told
from app.desk.machines import MachineRead, MachinesRead, ReadingsOff
from app.desk.opening import Check, Checklist
from app.desk.seals import Seals
from app.records.clock import to_text
from app.records.entry import Entry
from app.rules.checklists import Stage
from app.rules.setting import Registrar


class CallAnswer(BaseModel):
    """Whom to call: the registrar's office and its number."""

    office: str
    phone: str


class SaidAnswer(BaseModel):
    """A doubt, a flag or a cause: its code, the English sentence, and its facts."""

    code: str
    sentence: str
    facts: dict[str, Any]


class KeptReceipt(Receipt):
    """`irregularity` is what was opened with it, and `call` then says whom to call."""

    irregularity: Receipt | None
    flags: list[SaidAnswer]
    call: CallAnswer | None


class StampAnswer(BaseModel):
    seq: int
    at: str
    local_time: str
    station: str
    initials: str


class TickAnswer(StampAnswer):
    """`note` says what is wrong where the check failed."""

    passed: bool
    note: str
    irregularity_seq: int | None


class CheckAnswer(BaseModel):
    code: str
    sentence: str
    required: bool
    about: str
    tick: TickAnswer | None


class ChecklistAnswer(BaseModel):
    """`shipped`: the package has no such checks, so these are the program's own."""

    stage: str
    shipped: bool
    items: list[CheckAnswer]
    missing: list[str]
    failed: list[str]
    ready: bool
    call: CallAnswer


class ReadingAnswer(StampAnswer):
    """`replaced_by` is the entry that stands in for it."""

    serial: str
    at_moment: str
    public: int
    protective: int | None
    by_button: dict[str, int] | None
    zero_report: dict[str, Any] | None
    replaces: int | None
    replaced_by: int | None
    reason: str


class MachineAnswer(BaseModel):
    serial: str
    in_package: bool
    protective_in_package: int | None
    opening: ReadingAnswer | None
    latest: ReadingAnswer | None
    close: ReadingAnswer | None
    readings: list[ReadingAnswer]
    doubts: list[SaidAnswer]


class OffAnswer(BaseModel):
    """The last readings, and that they are not where the table is; above 0, ahead of it."""

    difference: int
    machines: int
    signed: int
    serials: list[str]
    seq: int
    at: str
    local_time: str


class MachinesAnswer(BaseModel):
    """`public`: the latest readings, added up. `signed`: now, without those who left."""

    machines: list[MachineAnswer]
    public: int
    signed: int
    off: OffAnswer | None


class SealAnswer(StampAnswer):
    of: str
    where: str
    number: str
    act: str
    agrees: bool | None
    reason: str


class SealedThing(BaseModel):
    """`on` are the numbers that are on it now, as far as anybody wrote down."""

    of: str
    where: str
    on: list[str]


class SealsAnswer(BaseModel):
    things: list[SealedThing]
    seals: list[SealAnswer]


class CountAnswer(StampAnswer):
    what: str
    count: int
    replaces: int | None
    replaced_by: int | None
    reason: str


class CountsAnswer(BaseModel):
    counts: list[CountAnswer]
    totals: dict[str, int | None]


def kept_receipt(kept: Kept, registrar: Registrar, clockface: Clockface) -> KeptReceipt:
    opened = kept.irregularity
    return KeptReceipt(
        **receipt_fields(kept.entry, clockface),
        irregularity=receipt(opened, clockface) if opened else None,
        flags=said_answers(doubts_as_told(kept.flags)),
        call=call_answer(registrar) if opened else None,
    )


def call_answer(registrar: Registrar) -> CallAnswer:
    return CallAnswer(office=registrar.office, phone=registrar.phone)


def said_answers(told: Iterable[Mapping[str, Any]]) -> list[SaidAnswer]:
    return [SaidAnswer(**one) for one in told]


def checklist_answer(
    stage: Stage, found: Checklist, registrar: Registrar, clockface: Clockface
) -> ChecklistAnswer:
    ready = found.readiness
    return ChecklistAnswer(
        stage=stage,
        shipped=found.is_shipped,
        items=[_check(one, clockface) for one in found.checks],
        missing=list(ready.missing),
        failed=list(ready.failed),
        ready=ready.is_ready,
        call=call_answer(registrar),
    )


def machines_answer(found: MachinesRead, clockface: Clockface) -> MachinesAnswer:
    machines = [_machine(one, found.replaced_by, clockface) for one in found.machines]
    return MachinesAnswer(
        machines=machines,
        public=sum(one.latest.public for one in machines if one.latest),
        signed=found.signed,
        off=off_answer(found.off, clockface),
    )


def off_answer(off: ReadingsOff | None, clockface: Clockface) -> OffAnswer | None:
    if off is None:
        return None
    return OffAnswer(
        difference=off.difference,
        machines=off.machines,
        signed=off.signed,
        serials=list(off.serials),
        seq=off.entry.seq,
        at=off.entry.at,
        local_time=clockface(off.entry.at),
    )


def seals_answer(found: Seals, clockface: Clockface) -> SealsAnswer:
    return SealsAnswer(
        things=[
            SealedThing(of=on[0].of, where=on[0].where, on=[seal.number for seal in on])
            for on in found.on.values()
            if on
        ],
        seals=[_seal(entry, clockface) for entry in found.entries],
    )


def counts_answer(found: BallotsRead, clockface: Clockface) -> CountsAnswer:
    return CountsAnswer(
        counts=[_count(entry, found.replaced_by, clockface) for entry in found.entries],
        totals=found.totals,
    )


def local_time(at: datetime | None, clockface: Clockface) -> str | None:
    return None if at is None else clockface(to_text(at))


def _check(check: Check, clockface: Clockface) -> CheckAnswer:
    item = check.item
    return CheckAnswer(
        code=item.code,
        sentence=item.sentence,
        required=item.required,
        about=check.about,
        tick=_tick(check, clockface),
    )


def _tick(check: Check, clockface: Clockface) -> TickAnswer | None:
    if check.tick is None:
        return None
    return TickAnswer(
        **stamp_fields(check.tick, clockface),
        passed=check.tick.body["passed"],
        note=check.note,
        irregularity_seq=check.tick.body["irregularity_seq"],
    )


def _machine(
    one: MachineRead, replaced_by: Mapping[int, int], clockface: Clockface
) -> MachineAnswer:
    def reading(entry: Entry | None) -> ReadingAnswer | None:
        return _reading(entry, replaced_by, clockface) if entry else None

    return MachineAnswer(
        serial=one.serial,
        in_package=one.packaged is not None,
        protective_in_package=one.packaged.protective_counter if one.packaged else None,
        opening=reading(one.opening),
        latest=reading(one.latest),
        close=reading(one.close),
        readings=[_reading(entry, replaced_by, clockface) for entry in one.entries],
        doubts=said_answers(doubts_as_told(one.doubts)),
    )


def _reading(entry: Entry, replaced_by: Mapping[int, int], clockface: Clockface) -> ReadingAnswer:
    return ReadingAnswer(
        **stamp_fields(entry, clockface), **entry.body, replaced_by=replaced_by.get(entry.seq)
    )


def _seal(entry: Entry, clockface: Clockface) -> SealAnswer:
    return SealAnswer(**stamp_fields(entry, clockface), **entry.body)


def _count(entry: Entry, replaced_by: Mapping[int, int], clockface: Clockface) -> CountAnswer:
    return CountAnswer(
        **stamp_fields(entry, clockface), **entry.body, replaced_by=replaced_by.get(entry.seq)
    )
