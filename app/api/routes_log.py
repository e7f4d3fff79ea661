"""The day log: paged, and live as server-sent events."""

from __future__ import annotations

from collections.abc import AsyncIterator
from typing import Annotated

from fastapi import APIRouter, Query, Request
from fastapi.sse import EventSourceResponse, ServerSentEvent

from app.api.access import Admitted, OpenRoster, known_by
from app.api.answers import HeadAnswer, LogAnswer, entry_answer
from app.api.live import Live, live_data
from app.desk.attention import Watch
from app.records import queries

router = APIRouter()


@router.get("/api/log")
async def read_log(
    roster: OpenRoster,
    request: Request,
    after: Annotated[int, Query(ge=0, le=2**53)] = 0,
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
    """Entries as they are recorded, a late list as one.

    What was missed is read with `GET /api/log?after=`.
    """
    live: Live = request.app.state.live
    watch: Watch = request.app.state.watch
    with watch.stations.listening(signed_on.station if signed_on else ""):
        async for told in live.told(*known_by(request)):
            yield ServerSentEvent(event="entry", id=str(told.last_seq), data=live_data(told))
