"""Late lists: brought in and looked at, decided row by row, applied once."""

from __future__ import annotations

import asyncio
from collections.abc import Sequence
from typing import Annotated, Literal

from fastapi import APIRouter, Path, Query, Request

from app.api.access import Acting, OpenRoster, Token
from app.api.answers import receipt
from app.api.answers_lists import (
    AppliedAnswer,
    GoneSettledAnswer,
    ListAnswer,
    ListOnly,
    ListsAnswer,
    PreviewAnswer,
    SettledAnswer,
)
from app.api.making_lists import (
    applied_answer,
    file_faults,
    gone_answer,
    list_answer,
    preview_answer,
    settled_answer,
)
from app.api.problems import RefusedByRules
from app.api.requests import Nothing
from app.api.requests_lists import (
    GoneSettlement,
    ListAsked,
    RowSettlement,
    WhyAsked,
)
from app.api.writing import done
from app.desk import late_applying, late_lists, late_views, paper_lists, paper_people
from app.desk.late_gone import settle_gone
from app.desk.late_judging import Decision
from app.desk.late_views import ListView, RowView
from app.desk.listed_people import people, people_of
from app.desk.outcomes import Refused
from app.desk.roster import Roster
from app.intake.faults import Faults
from app.records.entry import Actor
from app.rules.late_list import ListKind
from app.rules.line import Line

router = APIRouter()

FIRST_PAGE = 50
MOST_ROWS = 200
RowNumber = Annotated[int, Path(ge=1, le=2**31)]
Only = Literal[
    "", "open", "applied", "already", "settled", "refused", "contradicting", "new", "changed"
]


@router.post("/api/late-lists")
async def bring_list(
    asked: ListAsked, actor: Acting, token: Token, roster: OpenRoster, request: Request
) -> PreviewAnswer:
    """A file is read and kept as a draft; a list on paper is begun. Nothing changes on a line."""
    if asked.form == "paper":
        total = asked.printed_total or 0
        kept = await done(
            request,
            lambda unit: paper_lists.start(unit, actor, token, asked.kind, asked.name, total),
        )
        return await _preview(roster, request, kept.list_id)
    new = asked.new_list()
    read = await asyncio.to_thread(late_lists.read_file, roster, new)
    if isinstance(read, Faults):
        raise RefusedByRules(Refused("list-unreadable", {"faults": file_faults(read.faults)}))
    kept, is_again = await done(
        request, lambda unit: late_lists.bring(unit, actor, token, read, new.corrects)
    )
    return await _preview(roster, request, kept.list_id, is_again=is_again)


@router.get("/api/late-lists")
async def read_lists(roster: OpenRoster, request: Request) -> ListsAnswer:
    found = await asyncio.to_thread(late_views.all_kept, roster)
    clockface = request.app.state.clockface
    return ListsAnswer(lists=[list_answer(each, clockface) for each in found])


@router.get("/api/late-lists/{list_id}")
async def read_list(
    list_id: str,
    roster: OpenRoster,
    request: Request,
    skip: Annotated[int, Query(alias="from", ge=0, le=100_000)] = 0,
    count: Annotated[int, Query(ge=1, le=MOST_ROWS)] = FIRST_PAGE,
    only: Only = "",
) -> PreviewAnswer:
    return await _preview(roster, request, list_id, skip, count, only)


@router.post("/api/late-lists/{list_id}/rows/{row_number}/settle")
async def settle_row(
    list_id: str,
    row_number: RowNumber,
    asked: RowSettlement,
    actor: Acting,
    token: Token,
    roster: OpenRoster,
    request: Request,
) -> SettledAnswer:
    """Of a draft the decision is kept; of every other list it is carried out at once."""
    decision = asked.decision(actor.initials)
    shown = await asyncio.to_thread(late_views.read_list, roster, list_id)
    settled = late_applying.Settled()
    if shown.kept.status == "draft":
        refusal = late_lists.why_not_decided(shown, row_number, decision)
        if refusal:
            raise RefusedByRules(refusal)
        await done(
            request,
            lambda unit: late_lists.decide(unit, list_id, row_number, decision),
        )
    elif decision is None:
        raise RefusedByRules(Refused("nothing-to-settle"))
    elif shown.kept.form == "paper":
        settled = await _settle_on_paper(roster, request, actor, token, shown, row_number, decision)
    else:
        prepared = await asyncio.to_thread(late_applying.prepare_to_apply, roster, list_id)
        settled = await done(
            request,
            lambda unit: late_applying.settle_row(
                unit, actor, token, prepared, row_number, decision
            ),
            lambda one: find_too(roster, one.added),
        )
    shown = await asyncio.to_thread(late_views.read_list, roster, list_id)
    row = next(row for row in shown.rows if row.row.row_number == row_number)
    clockface = request.app.state.clockface
    return settled_answer(settled, row, shown.tally, people_of(roster, [row]), clockface)


@router.post("/api/late-lists/{list_id}/apply")
async def apply_list(
    list_id: str, _: Nothing, actor: Acting, token: Token, roster: OpenRoster, request: Request
) -> AppliedAnswer:
    prepared = await asyncio.to_thread(late_applying.prepare_to_apply, roster, list_id)
    applied = await done(
        request,
        lambda unit: late_applying.apply(unit, actor, token, prepared),
        lambda one: find_too(roster, one.added),
    )
    shown = ListView(applied.kept, (), applied.tally, late_views.done_by(applied.entry))
    return applied_answer(
        applied, shown, people_of(roster, (), applied.gone), request.app.state.clockface
    )


@router.post("/api/late-lists/{list_id}/gone/{line_id}/settle")
async def settle_gone_line(
    list_id: str,
    line_id: str,
    asked: GoneSettlement,
    actor: Acting,
    token: Token,
    roster: OpenRoster,
    request: Request,
) -> GoneSettledAnswer:
    settled = await done(
        request,
        lambda unit: settle_gone(
            unit, actor, token, list_id, line_id, asked.reason, is_withdrawn=asked.withdraw
        ),
    )
    shown = await asyncio.to_thread(late_views.read_list, roster, list_id)
    gone = next(one for one in shown.gone if one.line_id == line_id)
    clockface = request.app.state.clockface
    return GoneSettledAnswer(
        gone=gone_answer(gone, people(roster, [line_id])),
        receipts=[receipt(entry, clockface) for entry in settled.entries],
    )


@router.post("/api/late-lists/{list_id}/drop")
async def drop_list(
    list_id: str, asked: WhyAsked, _: Acting, __: Token, roster: OpenRoster, request: Request
) -> ListOnly:
    await done(request, lambda unit: late_lists.drop(unit, list_id, asked.reason))
    return ListOnly(list=await list_now(roster, request, list_id))


async def _preview(
    roster: Roster,
    request: Request,
    list_id: str,
    skip: int = 0,
    count: int = FIRST_PAGE,
    only: str = "",
    *,
    is_again: bool = False,
) -> PreviewAnswer:
    def made() -> PreviewAnswer:
        shown = late_views.read_list(roster, list_id)
        rows = [row for row in shown.rows if _fits(row, only)]
        page = rows[skip : skip + count]
        state = request.app.state
        return preview_answer(
            shown,
            page,
            len(rows),
            people_of(roster, page, shown.gone),
            state.clockface,
            state.caution,
            is_again=is_again,
        )

    return await asyncio.to_thread(made)


async def _settle_on_paper(
    roster: Roster,
    request: Request,
    actor: Actor,
    token: str,
    shown: ListView,
    row_number: int,
    decision: Decision,
) -> late_applying.Settled:
    if shown.kept.kind is not ListKind.SUPPLEMENTAL:
        raise RefusedByRules(Refused("nothing-to-settle"))
    prepared = await asyncio.to_thread(
        paper_people.prepare_settling, roster, shown.kept.list_id, row_number
    )
    return await done(
        request,
        lambda unit: paper_people.settle(unit, actor, token, prepared, decision),
        lambda one: find_too(roster, one.added),
    )


def _fits(row: RowView, only: str) -> bool:
    if only in ("new", "changed"):
        return row.change == only
    if only == "contradicting":
        return row.proposal.contradiction is not None
    return not only or row.status == only


async def list_now(roster: Roster, request: Request, list_id: str) -> ListAnswer:
    """How the list stands; NotFound where there is none."""
    shown = await asyncio.to_thread(late_views.read_list, roster, list_id)
    return list_answer(shown, request.app.state.clockface)


def find_too(roster: Roster, added: Sequence[Line]) -> None:
    """Let the box find people who were just added."""
    for line in added:
        roster.add_to_finder(line)
