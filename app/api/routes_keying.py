"""Late lists that are keyed from paper, row by row, counted and finished."""

from __future__ import annotations

import asyncio

from fastapi import APIRouter, Request

from app.api.access import Acting, ActingAsLead, OpenRoster, Token
from app.api.answers import receipt
from app.api.answers_lines import verdict_answer
from app.api.answers_lists import (
    CountedAnswer,
    FinishedAnswer,
)
from app.api.making_lists import (
    counted_answer,
)
from app.api.requests import ReasonAsked
from app.api.requests_lists import (
    KeyedAsked,
    NotFoundAsked,
    PersonAsked,
    WhyAsked,
)
from app.api.routes_lists import RowNumber, find_too, list_now
from app.api.writing import done
from app.desk import paper_lists, paper_people
from app.desk.listed_people import people_of
from app.desk.page_rows import read_page_row
from app.desk.paper_taking_back import undo
from app.desk.reading import verdict_now
from app.desk.roster import Roster
from app.records import queries

router = APIRouter()


@router.post("/api/late-lists/{list_id}/keyed")
async def key_line(
    list_id: str,
    asked: KeyedAsked,
    actor: Acting,
    token: Token,
    roster: OpenRoster,
    request: Request,
) -> CountedAnswer:
    counted = await done(
        request,
        lambda unit: paper_lists.key_line(
            unit, actor, token, list_id, asked.line_id, is_twice=asked.twice
        ),
    )
    return _counted(roster, request, counted, asked.line_id)


@router.post("/api/late-lists/{list_id}/people")
async def key_person(
    list_id: str,
    asked: PersonAsked,
    actor: Acting,
    token: Token,
    roster: OpenRoster,
    request: Request,
) -> CountedAnswer:
    """A row of a supplemental page: the person is added, is there already, or waits."""
    row = read_page_row(roster, asked.page_row())
    prepared = await asyncio.to_thread(paper_people.prepare_person, roster, list_id, row)
    counted = await done(
        request,
        lambda unit: paper_people.key_person(unit, actor, token, prepared, is_twice=asked.twice),
        lambda one: find_too(roster, one.added),
    )
    return _counted(roster, request, counted, counted.row.proposal.line_id)


@router.post("/api/late-lists/{list_id}/not-found")
async def key_not_found(
    list_id: str,
    asked: NotFoundAsked,
    actor: Acting,
    token: Token,
    roster: OpenRoster,
    request: Request,
) -> CountedAnswer:
    counted = await done(
        request,
        lambda unit: paper_lists.key_not_found(
            unit, actor, token, list_id, asked.number, asked.name
        ),
    )
    return _counted(roster, request, counted)


@router.post("/api/late-lists/{list_id}/rows/{row_number}/undo")
async def undo_row(
    list_id: str,
    row_number: RowNumber,
    asked: ReasonAsked,
    actor: Acting,
    token: Token,
    roster: OpenRoster,
    request: Request,
) -> CountedAnswer:
    counted = await done(
        request,
        lambda unit: undo(unit, actor, token, list_id, row_number, asked.reason),
    )
    return _counted(roster, request, counted, counted.row.proposal.line_id)


@router.post("/api/late-lists/{list_id}/finish")
async def finish_list(
    list_id: str,
    asked: WhyAsked,
    actor: Acting,
    token: Token,
    is_lead: ActingAsLead,
    roster: OpenRoster,
    request: Request,
) -> FinishedAnswer:
    kept = await done(
        request,
        lambda unit: paper_lists.finish(unit, actor, token, list_id, asked.reason, is_lead=is_lead),
    )
    entry = roster.store.read(lambda connection: queries.entry(connection, kept.done_seq or 0))
    shown = await list_now(roster, request, list_id)
    return FinishedAnswer(list=shown, receipt=receipt(entry, request.app.state.clockface))


def _counted(
    roster: Roster, request: Request, counted: paper_lists.Counted, line_id: str | None = None
) -> CountedAnswer:
    state = request.app.state
    verdict = verdict_now(roster, line_id) if line_id else None
    shown = verdict_answer(verdict, state.caution) if verdict else None
    return counted_answer(counted, people_of(roster, [counted.row]), state.clockface, shown)
