"""The day log: paged, and live as server-sent events."""

from __future__ import annotations

from collections.abc import AsyncIterator
from contextlib import suppress
from typing import Annotated

from fastapi import APIRouter, Query, Request
from fastapi.sse import EventSourceResponse, ServerSentEvent
from pydantic import BaseModel, Field

from app.api.access import Acting, Admitted, OpenRoster, Token, known_by
from app.api.answers import HeadAnswer, LogAnswer, entry_answer
from app.api.live import Live, Turned, live_data
from app.api.requests import Asked
from app.api.writing import done
from app.desk import seen_heads
from app.desk.attention_look import Watch
from app.desk.seen_heads import Seen
from app.records import queries
from app.records.entry import LARGEST_NUMBER, Head
from app.rules.faults import NewerRecordElsewhere, ReadOnlyStandby

router = APIRouter()

_Hash = Annotated[str, Field(pattern=r"^[0-9a-f]{64}$")]


class SeenAsked(Asked):
    """Where the log ended when a page last saw it, and the hash of its first entry."""

    began: _Hash
    seq: Annotated[int, Field(ge=1, le=LARGEST_NUMBER)]
    hash: _Hash


class SeenAnswer(BaseModel):
    is_there: bool


@router.get("/api/log")
async def read_log(
    roster: OpenRoster,
    request: Request,
    after: Annotated[int, Query(ge=0, le=LARGEST_NUMBER)] = 0,
    limit: Annotated[int, Query(ge=1, le=1_000)] = 200,
) -> LogAnswer:
    entries, head = roster.store.read(
        lambda connection: (
            list(queries.entries_after(connection, after, limit)),
            queries.head(connection),
        )
    )
    return LogAnswer(
        entries=[entry_answer(entry, request.app.state.clockface) for entry in entries],
        head=HeadAnswer(seq=head.seq, hash=head.hash),
    )


@router.get("/api/log/live", response_class=EventSourceResponse)
async def live_log(request: Request, signed_on: Admitted) -> AsyncIterator[ServerSentEvent]:
    """Entries as they are recorded, a late list as one; how a laptop that follows stands.

    What was missed is read with `GET /api/log?after=`.
    """
    live: Live = request.app.state.live
    watch: Watch = request.app.state.watch
    with watch.stations.listening(signed_on.station if signed_on else ""):
        async for told in live.told(*known_by(request)):
            if isinstance(told, Turned):
                yield ServerSentEvent(event="standby", data=told.standby)
                continue
            yield ServerSentEvent(event="entry", id=str(told.last_seq), data=live_data(told))


@router.post("/api/log/seen")
async def compare_seen(
    asked: SeenAsked, actor: Acting, token: Token, roster: OpenRoster, request: Request
) -> SeenAnswer:
    """Whether the record has what a page saw; if not, it is written up for the lead."""
    seen = Seen(asked.began, Head(asked.seq, asked.hash))
    if roster.store.read(lambda connection: seen_heads.fits(connection, seen)):
        return SeenAnswer(is_there=True)
    # Where nothing is recorded the page that asked still hears of it.
    with suppress(ReadOnlyStandby, NewerRecordElsewhere):
        await done(request, lambda unit: seen_heads.write_up(unit, actor, token, seen))
    return SeenAnswer(is_there=False)
