"""Mistakes put right, voters who leave, forms handed over, help in the booth."""

from __future__ import annotations

from fastapi import APIRouter, Request

from app.api.access import Acting, OpenRoster, Token
from app.api.answers_corrections import (
    CorrectionReceipt,
    FlaggedReceipt,
    HelperAnswer,
    HelpersAnswer,
    MoveAnswer,
    PapersReceipt,
    correction_receipt,
    flagged_receipt,
    move_answer,
    papers_receipt,
)
from app.api.requests import (
    AssistanceAsked,
    LeftAsked,
    MoveAsked,
    Nothing,
    ReasonAsked,
    WithdrawalAsked,
)
from app.api.writing import done
from app.desk import assisting, leaving, moving, signing

router = APIRouter()


@router.post("/api/lines/{line_id}/signature/withdraw")
async def withdraw_signature(
    line_id: str, asked: WithdrawalAsked, actor: Acting, token: Token, request: Request
) -> CorrectionReceipt:
    recorded = await done(
        request,
        lambda unit: signing.withdraw(unit, actor, token, line_id, asked.reason, asked.why),
    )
    return correction_receipt(recorded, request.app.state.clockface)


@router.post("/api/lines/{line_id}/signature/move")
async def move_signature(
    line_id: str,
    asked: MoveAsked,
    actor: Acting,
    token: Token,
    roster: OpenRoster,
    request: Request,
) -> MoveAnswer:
    said = asked.evidence.said()
    moved = await done(
        request,
        lambda unit: moving.move(
            unit, roster, actor, token, line_id, asked.to_line_id, asked.reason, said
        ),
    )
    return move_answer(moved, request.app.state.clockface)


@router.post("/api/lines/{line_id}/left")
async def voter_left(
    line_id: str, asked: LeftAsked, actor: Acting, token: Token, request: Request
) -> CorrectionReceipt:
    recorded = await done(
        request, lambda unit: leaving.leave(unit, actor, token, line_id, asked.reason)
    )
    return correction_receipt(recorded, request.app.state.clockface)


@router.post("/api/lines/{line_id}/returned")
async def voter_returned(
    line_id: str, asked: ReasonAsked, actor: Acting, token: Token, request: Request
) -> CorrectionReceipt:
    recorded = await done(
        request, lambda unit: leaving.come_back(unit, actor, token, line_id, asked.reason)
    )
    return correction_receipt(recorded, request.app.state.clockface)


@router.post("/api/lines/{line_id}/form-given")
async def give_form(
    line_id: str, _: Nothing, actor: Acting, token: Token, request: Request
) -> PapersReceipt:
    recorded = await done(request, lambda unit: leaving.give_form(unit, actor, token, line_id))
    return papers_receipt(recorded, request.app.state.clockface)


@router.post("/api/lines/{line_id}/assistance")
async def record_assistance(
    line_id: str,
    asked: AssistanceAsked,
    actor: Acting,
    token: Token,
    roster: OpenRoster,
    request: Request,
) -> FlaggedReceipt:
    assistance = asked.assistance()
    recorded = await done(
        request,
        lambda unit: assisting.record_assistance(unit, roster, actor, token, line_id, assistance),
    )
    return flagged_receipt(recorded, request.app.state.clockface)


@router.get("/api/helpers")
async def read_helpers(roster: OpenRoster) -> HelpersAnswer:
    limit = roster.setting.policy.helper_limit
    return HelpersAnswer(
        limit=limit,
        helpers=[
            HelperAnswer(name=one.name, helped=one.helped, over=0 < limit < one.helped)
            for one in roster.store.read(assisting.helpers)
        ],
    )
