"""Hours on paper: the lead says when, the table keys what was signed, the counts are compared."""

from __future__ import annotations

import asyncio
from typing import Annotated

from fastapi import APIRouter, Path, Request
from starlette.concurrency import run_in_threadpool

from app.api.access import Acting, ActingAsLead, OpenRoster, Token
from app.api.answers import receipt, receipt_fields
from app.api.answers_day import call_answer, said_answers
from app.api.answers_lines import verdict_answer
from app.api.answers_paper import (
    BegunAnswer,
    CaughtAnswer,
    PaperAnswer,
    PaperFinishedAnswer,
    hour_answer,
    paper_answer,
    row_answer,
    tally_answer,
)
from app.api.requests import ReasonAsked
from app.api.requests_paper import (
    BeginAsked,
    CaughtUpAsked,
    PaperFinishAsked,
    PaperSettleAsked,
)
from app.api.writing import done
from app.desk import catching_up, going_to_paper, paper_settling
from app.desk.doubted import doubts_as_told
from app.desk.paper_reading import read_paper, read_row
from app.desk.paper_row_undoing import undo
from app.desk.reading import verdict_now
from app.desk.roster import Roster

router = APIRouter()

RowNumber = Annotated[int, Path(ge=1, le=2**31)]


@router.get("/api/paper")
async def read_hours(roster: OpenRoster, request: Request) -> PaperAnswer:
    found = await run_in_threadpool(read_paper, roster)
    state = request.app.state
    return paper_answer(found, state.clockface, state.clock.now())


@router.post("/api/paper/begin")
async def begin(
    asked: BeginAsked, actor: Acting, token: Token, roster: OpenRoster, request: Request
) -> BegunAnswer:
    went = await done(
        request, lambda unit: going_to_paper.begin(unit, roster, actor, token, asked.begun())
    )
    clockface = request.app.state.clockface
    found = await run_in_threadpool(read_paper, roster)
    hour = next(one for one in found.hours if one.begun.seq == went.entry.seq)
    return BegunAnswer(
        **receipt_fields(went.entry, clockface),
        hour=hour_answer(hour, found, clockface),
        irregularity=receipt(went.irregularity, clockface) if went.irregularity else None,
    )


@router.post("/api/paper/caught-up")
async def catch_up(
    asked: CaughtUpAsked, actor: Acting, token: Token, roster: OpenRoster, request: Request
) -> CaughtAnswer:
    """One row of the paper; somebody on no line waits for the lead."""
    line_id = asked.line_id
    if line_id is None:
        caught = await done(
            request,
            lambda unit: catching_up.key_nobody(
                unit, roster, actor, token, asked.name, asked.number, asked.place()
            ),
        )
    else:
        caught = await done(
            request,
            lambda unit: catching_up.key_line(
                unit, roster, actor, token, line_id, asked.on_paper()
            ),
        )
    return await _caught(roster, request, caught)


@router.post("/api/paper/rows/{row_number}/undo")
async def undo_row(
    row_number: RowNumber,
    asked: ReasonAsked,
    actor: Acting,
    token: Token,
    roster: OpenRoster,
    request: Request,
) -> CaughtAnswer:
    caught = await done(request, lambda unit: undo(unit, actor, token, row_number, asked.reason))
    return await _caught(roster, request, caught)


@router.post("/api/paper/rows/{row_number}/settle")
async def settle_row(
    row_number: RowNumber,
    asked: PaperSettleAsked,
    actor: Acting,
    token: Token,
    roster: OpenRoster,
    request: Request,
) -> CaughtAnswer:
    """A row that waits is this line, or stays without one."""
    line_id = asked.line_id
    if line_id is None:
        caught = await done(
            request,
            lambda unit: paper_settling.settle_without_line(
                unit, actor, token, row_number, asked.reason
            ),
        )
    else:
        caught = await done(
            request,
            lambda unit: paper_settling.settle_on_line(
                unit, roster, actor, token, row_number, line_id, asked.on_paper()
            ),
        )
    return await _caught(roster, request, caught)


@router.post("/api/paper/finish")
async def finish(
    asked: PaperFinishAsked,
    actor: Acting,
    token: Token,
    is_lead: ActingAsLead,
    roster: OpenRoster,
    request: Request,
) -> PaperFinishedAnswer:
    entry = await done(
        request,
        lambda unit: going_to_paper.finish(
            unit, actor, token, asked.counted, asked.reason, is_lead=is_lead
        ),
    )
    found = await run_in_threadpool(read_paper, roster)
    hour = next(one for one in found.hours if one.begun.seq == entry.body["begun_seq"])
    clockface = request.app.state.clockface
    return PaperFinishedAnswer(
        **receipt_fields(entry, clockface), hour=hour_answer(hour, found, clockface)
    )


async def _caught(roster: Roster, request: Request, caught: catching_up.Caught) -> CaughtAnswer:
    """The row, the verdict on its line now, and whom to call where two facts contradict."""
    state = request.app.state
    line_id = caught.row.row.line_id
    read, verdict = await asyncio.to_thread(
        lambda: (
            read_row(roster, caught.row),
            verdict_now(roster, line_id) if line_id else None,
        )
    )
    opened = caught.irregularities
    return CaughtAnswer(
        **receipt_fields(caught.entry, state.clockface),
        row=row_answer(caught.row, read, state.clockface),
        tally=tally_answer(caught.tally),
        flags=said_answers(doubts_as_told(caught.flags)),
        irregularities=[receipt(one, state.clockface) for one in opened],
        verdict=verdict_answer(verdict, state.caution) if verdict else None,
        call=call_answer(roster.setting.registrar) if opened else None,
    )
