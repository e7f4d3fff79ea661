"""Finding lines and working them: the verdict, the steps, the signature."""

from __future__ import annotations

import time

from fastapi import APIRouter, Request

from app.api.access import Acting, OpenRoster, Token
from app.api.answers import Receipt
from app.api.answers_lines import (
    CheckAnswer,
    FindAnswer,
    SheetAnswer,
    find_answer,
    sheet_answer,
    verdict_answer,
)
from app.api.requests import (
    CheckAsked,
    FindAsked,
    Nothing,
    SignatureAsked,
)
from app.api.writing import record
from app.desk import signing, steps
from app.desk.finding import find
from app.desk.reading import check, read_sheet

router = APIRouter()


@router.post("/api/find")
async def find_lines(asked: FindAsked, roster: OpenRoster) -> FindAnswer:
    """A POST, so that what was typed stands in no address, log or history."""
    started = time.perf_counter()
    hits = find(roster, asked.text, asked.limit)
    return find_answer(hits, (time.perf_counter() - started) * 1_000)


@router.get("/api/lines/{line_id}")
async def read_line(line_id: str, roster: OpenRoster, request: Request) -> SheetAnswer:
    state = request.app.state
    return sheet_answer(read_sheet(roster, line_id), state.caution, state.clockface)


@router.post("/api/lines/{line_id}/check")
async def check_line(
    line_id: str, asked: CheckAsked, roster: OpenRoster, request: Request
) -> CheckAnswer:
    verdict = check(roster, line_id, asked.evidence.said())
    return CheckAnswer(verdict=verdict_answer(verdict, request.app.state.caution))


@router.post("/api/lines/{line_id}/signature")
async def sign_line(
    line_id: str,
    asked: SignatureAsked,
    actor: Acting,
    token: Token,
    roster: OpenRoster,
    request: Request,
) -> Receipt:
    signature = asked.signature()
    return await record(
        request, lambda unit: signing.sign(unit, roster, actor, token, line_id, signature)
    )


@router.post("/api/lines/{line_id}/address-confirmation")
async def confirm_address(
    line_id: str, _: Nothing, actor: Acting, token: Token, roster: OpenRoster, request: Request
) -> Receipt:
    return await record(
        request, lambda unit: steps.confirm_address(unit, roster, actor, token, line_id)
    )
