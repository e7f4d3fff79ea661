"""Taking over at a laptop that follows: on the page, by the lead, with their own PIN again."""

from __future__ import annotations

import asyncio
from typing import Annotated

from fastapi import APIRouter, BackgroundTasks, Request
from pydantic import Field

from app.api.access import Acting, OpenRoster, Token, device_of
from app.api.answers_standby import TakenOverAnswer, head_in_fours
from app.api.live import Live
from app.api.requests import Asked, Words
from app.desk import signing_on
from app.desk.roster import Roster
from app.desk.standby_here import StandbyHere
from app.records import queries
from app.records.bodies_copies import LaptopTookOver
from app.records.entry import Entry
from app.records.replaced import replaced_by
from app.rules.faults import NoStandby

router = APIRouter()


class TakeOverAsked(Asked):
    reason: Annotated[Words, Field(min_length=1)]
    pin: Annotated[str, Field(min_length=1, max_length=64)]


@router.post("/api/standby/take-over")
async def take_over(
    asked: TakeOverAsked,
    actor: Acting,
    token: Token,
    roster: OpenRoster,
    request: Request,
    afterwards: BackgroundTasks,
) -> TakenOverAnswer:
    """Answered before this laptop goes on as the one that records: everybody signs on anew then."""
    standby: StandbyHere | None = request.app.state.standby
    if standby is None:
        return _taken_before(roster, token)
    live: Live = request.app.state.live

    def take() -> TakenOverAnswer:
        signing_on.check_pin(roster, actor.initials, asked.pin, device_of(request))
        entry = standby.take_over(actor, token, asked.reason, live.announce)
        return _answer(entry, is_told=standby.tell())

    answer = await asyncio.to_thread(take)
    afterwards.add_task(request.app.state.end_serving)
    return answer


def _taken_before(roster: Roster, token: str) -> TakenOverAnswer:
    """Asked again with the same key: the same answer. NoStandby where nothing was taken over."""
    entry = roster.store.read(lambda record: queries.entry_by_token(record, token))
    if entry is None or entry.kind != LaptopTookOver.kind:
        raise NoStandby
    replaced = replaced_by(roster.store.path) if roster.store.path else None
    return _answer(entry, is_told=replaced is None or replaced.is_told)


def _answer(entry: Entry, *, is_told: bool) -> TakenOverAnswer:
    return TakenOverAnswer(
        epoch=entry.body["epoch"],
        seq=entry.seq,
        head=head_in_fours(entry.hash),
        is_told=is_told,
    )
