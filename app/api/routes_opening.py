"""The opening, and what is read during the day: checks, machines, seals, ballots on paper."""

from __future__ import annotations

from typing import Annotated

from fastapi import APIRouter, Path, Request

from app.api.access import Acting, OpenRoster, Token
from app.api.answers import Receipt
from app.api.answers_day import (
    ChecklistAnswer,
    CountsAnswer,
    KeptReceipt,
    MachinesAnswer,
    SealsAnswer,
    checklist_answer,
    counts_answer,
    kept_receipt,
    machines_answer,
    seals_answer,
)
from app.api.requests_day import (
    BallotsAsked,
    OpenAsked,
    ReadingAsked,
    SealAsked,
    SerialText,
    TickAsked,
)
from app.api.writing import done, record
from app.desk import ballots, machines, opening, seals
from app.rules.checklists import Stage
from app.rules.faults import NotFound

router = APIRouter()

STAGES: dict[str, Stage] = {"opening": "opening", "closing": "closing"}


@router.get("/api/checklists/{stage}")
async def read_checklist(stage: str, roster: OpenRoster, request: Request) -> ChecklistAnswer:
    found = opening.read_checklist(roster, _stage(stage))
    clockface = request.app.state.clockface
    return checklist_answer(_stage(stage), found, roster.setting.registrar, clockface)


@router.post("/api/checklists/{stage}")
async def tick(
    stage: str, asked: TickAsked, actor: Acting, token: Token, roster: OpenRoster, request: Request
) -> KeptReceipt:
    of = _stage(stage)
    kept = await done(
        request,
        lambda unit: opening.tick(
            unit, roster, actor, token, of, asked.code, passed=asked.passed, note=asked.note
        ),
    )
    return kept_receipt(kept, roster.setting.registrar, request.app.state.clockface)


@router.post("/api/day/open")
async def open_polls(
    asked: OpenAsked, actor: Acting, token: Token, roster: OpenRoster, request: Request
) -> Receipt:
    return await record(
        request, lambda unit: opening.open_polls(unit, roster, actor, token, asked.anyway)
    )


@router.get("/api/machines")
async def read_machines(roster: OpenRoster, request: Request) -> MachinesAnswer:
    return machines_answer(machines.read_machines(roster), request.app.state.clockface)


@router.post("/api/machines/{serial}/readings")
async def record_reading(
    serial: Annotated[SerialText, Path()],
    asked: ReadingAsked,
    actor: Acting,
    token: Token,
    roster: OpenRoster,
    request: Request,
) -> KeptReceipt:
    kept = await done(
        request,
        lambda unit: machines.record_reading(
            unit, roster, actor, token, asked.reading(serial), asked.insisted()
        ),
    )
    return kept_receipt(kept, roster.setting.registrar, request.app.state.clockface)


@router.get("/api/seals")
async def read_seals(roster: OpenRoster, request: Request) -> SealsAnswer:
    return seals_answer(seals.read_seals(roster), request.app.state.clockface)


@router.post("/api/seals")
async def record_seal(
    asked: SealAsked, actor: Acting, token: Token, roster: OpenRoster, request: Request
) -> KeptReceipt:
    kept = await done(
        request,
        lambda unit: seals.record_seal(unit, actor, token, asked.seal(), asked.insisted()),
    )
    return kept_receipt(kept, roster.setting.registrar, request.app.state.clockface)


@router.get("/api/ballots-counted")
async def read_counts(roster: OpenRoster, request: Request) -> CountsAnswer:
    return counts_answer(ballots.read_counts(roster), request.app.state.clockface)


@router.post("/api/ballots-counted")
async def record_count(
    asked: BallotsAsked, actor: Acting, token: Token, roster: OpenRoster, request: Request
) -> Receipt:
    return await record(
        request,
        lambda unit: ballots.record_count(
            unit, roster, actor, token, asked.what, asked.count, asked.replaces, asked.reason
        ),
    )


def _stage(text: str) -> Stage:
    if text not in STAGES:
        raise NotFound(what="checklist")
    return STAGES[text]
