"""The lead's view: what needs them now, how many came by the hour, and the count on the door."""

from __future__ import annotations

from datetime import datetime
from typing import Any

from fastapi import APIRouter, Request, Response
from pydantic import BaseModel
from starlette.concurrency import run_in_threadpool

from app.api.access import OpenRoster
from app.api.answers import Clockface, HeadAnswer
from app.desk.attention import what_needs_the_lead
from app.desk.roster import Roster
from app.desk.turnout import read_turnout
from app.papers.posted_counts import PostedCount, posted_count
from app.papers.words import Language
from app.records.clock import to_text
from app.rules.attention import Item
from app.rules.turnout import Counts, Hour

router = APIRouter()


class ItemAnswer(BaseModel):
    """`key` is the same each time for the same thing. What does not open it is None."""

    key: str
    kind: str
    since: str
    local_time: str
    line_id: str | None
    list_id: str | None
    irregularity_seq: int | None
    station: str | None
    facts: dict[str, Any]


class AttentionAnswer(BaseModel):
    items: list[ItemAnswer]
    count: int


class CountsAnswer(BaseModel):
    signed: int
    ordinary: int
    affidavit: int
    provisional: int


# Written as JSON wants it: `from` is a word of Python's own.
HourAnswer = dict[str, str | int]


class MarksAnswer(BaseModel):
    mark: str
    source: str
    count: int


class TurnoutAnswer(BaseModel):
    """Counts alone. `share`: of the eligible lines those that are signed or marked.

    `head` is where the log ended at that moment.
    """

    as_of: str
    local_time: str
    date: str
    hours: list[HourAnswer]
    outside: CountsAnswer
    total: CountsAnswer
    left: int
    marks: list[MarksAnswer]
    lines: int
    removed: int
    eligible: int
    marked: int
    share: float | None
    share_signed: float | None
    head: HeadAnswer


@router.get("/api/attention")
async def read_attention(roster: OpenRoster, request: Request) -> AttentionAnswer:
    state = request.app.state
    now = state.clock.now()
    items = await run_in_threadpool(what_needs_the_lead, roster, state.watch, now)
    return AttentionAnswer(items=[_item(item, state.clockface) for item in items], count=len(items))


@router.get("/api/turnout")
async def turnout(roster: OpenRoster, request: Request) -> TurnoutAnswer:
    clockface = request.app.state.clockface
    found = await run_in_threadpool(read_turnout, roster, request.app.state.clock.now())
    as_of = to_text(found.as_of)
    return TurnoutAnswer(
        as_of=as_of,
        local_time=clockface(as_of),
        date=found.hourly.day.isoformat(),
        hours=[_hour(hour, clockface) for hour in found.hourly.hours],
        outside=_counts(found.hourly.outside),
        total=_counts(found.hourly.total),
        left=found.left,
        marks=[
            MarksAnswer(mark=mark, source=source, count=count)
            for (mark, source), count in found.marks.items()
        ],
        lines=found.lines,
        removed=found.removed,
        head=HeadAnswer(seq=found.head.seq, hash=found.head.hash),
        eligible=found.eligible,
        marked=found.marked,
        share=found.share,
        share_signed=found.share_signed,
    )


@router.get("/api/papers/posted-count.pdf")
async def read_posted_count(
    roster: OpenRoster, request: Request, language: Language = "en"
) -> Response:
    """Counts alone, to be put up where everybody reads them."""
    now = request.app.state.clock.now()
    return Response(
        await run_in_threadpool(_posted, roster, now, language), media_type="application/pdf"
    )


def _posted(roster: Roster, now: datetime, language: Language) -> bytes:
    hourly = read_turnout(roster, now).hourly
    return posted_count(roster.setting, PostedCount(now, hourly), language)


def _item(item: Item, clockface: Clockface) -> ItemAnswer:
    since = to_text(item.since)
    return ItemAnswer(
        key=item.key,
        kind=item.need.value,
        since=since,
        local_time=clockface(since),
        line_id=item.line_id,
        list_id=item.list_id,
        irregularity_seq=item.irregularity_seq,
        station=item.station,
        facts=dict(item.facts),
    )


def _counts(counts: Counts) -> CountsAnswer:
    return CountsAnswer(
        signed=counts.signed,
        ordinary=counts.ordinary,
        affidavit=counts.affidavit,
        provisional=counts.provisional,
    )


def _hour(hour: Hour, clockface: Clockface) -> HourAnswer:
    begins, ends = to_text(hour.begins), to_text(hour.ends)
    return {
        "from": begins,
        "to": ends,
        "local_from": clockface(begins),
        "local_to": clockface(ends),
        **_counts(hour.counts).model_dump(),
        "signed_so_far": hour.so_far.signed,
        "provisional_so_far": hour.so_far.provisional,
    }
