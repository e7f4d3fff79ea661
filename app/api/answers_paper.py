"""What the API answers of hours on paper."""

from __future__ import annotations

from collections import Counter
from datetime import datetime
from typing import Any

from pydantic import BaseModel, ConfigDict, Field

from app.api.answers import Clockface, Receipt, stamp_fields
from app.api.answers_day import CallAnswer, SaidAnswer, StampAnswer
from app.api.answers_lines import VerdictAnswer
from app.desk.paper_hours import KeyedRow, PaperHour
from app.desk.paper_reading import PaperRead, PersonOnPaper
from app.records.clock import to_text
from app.records.entry import Entry
from app.rules.catching_up import Tally


class PaperTallyAnswer(BaseModel):
    """keyed = signed + duplicates + waiting + no_line + undone; `standing` is without undone."""

    keyed: int
    signed: int
    duplicates: int
    waiting: int
    no_line: int
    undone: int
    standing: int


class KeyedByAnswer(BaseModel):
    initials: str
    rows: int


class ContradictionOnPaper(BaseModel):
    code: str
    on_line: dict[str, Any]
    on_paper: dict[str, Any]


class RowSettledAnswer(StampAnswer):
    """By whom; `reason` where the row stays without a line."""

    reason: str


class UndoneAnswer(StampAnswer):
    reason: str


class PaperRowAnswer(StampAnswer):
    """`time` stands on the paper; `at` and `local_time` are when it was keyed."""

    number: int
    time: str
    page: int
    order: int
    effect: str
    line_id: str | None
    name: str
    said_number: str
    contradiction: ContradictionOnPaper | None
    settled: RowSettledAnswer | None
    undone: UndoneAnswer | None


class PaperEndAnswer(StampAnswer):
    counted: int
    lines: int
    duplicates: int
    waiting: int
    reason: str


class PaperHourAnswer(BaseModel):
    """One time on paper; `waits` and `duplicates` are numbers of rows."""

    model_config = ConfigDict(populate_by_name=True)
    begun_seq: int
    at: str
    local_time: str
    initials: str
    station: str
    reason: str
    head_seq: int | None
    head_hash: str | None
    begins: str = Field(serialization_alias="from")
    until: str
    tally: PaperTallyAnswer
    by: list[KeyedByAnswer]
    rows: list[PaperRowAnswer]
    waits: list[int]
    duplicates: list[int]
    finished: PaperEndAnswer | None


class PaperAnswer(BaseModel):
    """`now` is what this computer's clock shows at the place."""

    now: str
    open: PaperHourAnswer | None
    hours: list[PaperHourAnswer]


class BegunAnswer(Receipt):
    hour: PaperHourAnswer
    irregularity: Receipt | None


class CaughtAnswer(Receipt):
    """`verdict` is the one on the line now; `call` where something is to be told the registrar."""

    row: PaperRowAnswer
    tally: PaperTallyAnswer
    flags: list[SaidAnswer]
    irregularities: list[Receipt]
    verdict: VerdictAnswer | None
    call: CallAnswer | None


class PaperFinishedAnswer(Receipt):
    hour: PaperHourAnswer


def paper_answer(found: PaperRead, clockface: Clockface, now: datetime) -> PaperAnswer:
    hours = [hour_answer(hour, found, clockface) for hour in found.hours]
    still_open = next((hour for hour in hours if hour.finished is None), None)
    return PaperAnswer(now=clockface(to_text(now)), open=still_open, hours=hours)


def hour_answer(hour: PaperHour, found: PaperRead, clockface: Clockface) -> PaperHourAnswer:
    body = hour.begun.body
    stamp = stamp_fields(hour.begun, clockface)
    rows = [row_answer(row, found, clockface) for row in hour.rows]
    return PaperHourAnswer(
        begun_seq=stamp.pop("seq"),
        **stamp,
        reason=body["reason"],
        head_seq=body["head_seq"],
        head_hash=body["head_hash"],
        begins=hour.hours[0],
        until=hour.hours[1],
        tally=tally_answer(hour.tally),
        by=_by(hour),
        rows=rows,
        waits=hour.waiting,
        duplicates=[row.number for row in rows if row.effect == "duplicate" and row.undone is None],
        finished=_end(hour.finished, clockface),
    )


def row_answer(one: KeyedRow, found: PaperRead, clockface: Clockface) -> PaperRowAnswer:
    row, seq = one.row, one.keyed.seq
    who = found.people.get(seq, PersonOnPaper())
    return PaperRowAnswer(
        **stamp_fields(one.keyed, clockface),
        number=row.number,
        time=row.time,
        page=row.page,
        order=row.order,
        effect=row.effect,
        line_id=row.line_id,
        name=who.name,
        said_number=who.said_number,
        contradiction=_contradiction(found.contradictions.get(seq)),
        settled=_settled(one.settled, clockface),
        undone=_undone(one.undone, clockface),
    )


def tally_answer(tally: Tally) -> PaperTallyAnswer:
    return PaperTallyAnswer(
        **{name: getattr(tally, name) for name in PaperTallyAnswer.model_fields}
    )


def _by(hour: PaperHour) -> list[KeyedByAnswer]:
    """Who keyed how many rows that stand, in the order in which they began."""
    standing = Counter(row.keyed.initials for row in hour.rows if not row.row.is_undone)
    return [KeyedByAnswer(initials=who, rows=rows) for who, rows in standing.items()]


def _contradiction(entry: Entry | None) -> ContradictionOnPaper | None:
    if entry is None:
        return None
    facts = entry.body["facts"]
    return ContradictionOnPaper(
        code=entry.body["code"], on_line=facts["on_line"], on_paper=facts["on_list"]
    )


def _settled(entry: Entry | None, clockface: Clockface) -> RowSettledAnswer | None:
    if entry is None:
        return None
    return RowSettledAnswer(**stamp_fields(entry, clockface), reason=entry.body["reason"])


def _undone(entry: Entry | None, clockface: Clockface) -> UndoneAnswer | None:
    if entry is None:
        return None
    return UndoneAnswer(**stamp_fields(entry, clockface), reason=entry.body["reason"])


def _end(entry: Entry | None, clockface: Clockface) -> PaperEndAnswer | None:
    if entry is None:
        return None
    body = {name: entry.body[name] for name in ("counted", "lines", "duplicates", "waiting")}
    return PaperEndAnswer(**stamp_fields(entry, clockface), **body, reason=entry.body["reason"])
