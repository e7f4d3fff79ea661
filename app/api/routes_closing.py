"""The close: whether the counts agree, what would explain that they do not, and closing."""

from __future__ import annotations

from dataclasses import asdict
from typing import Any

from fastapi import APIRouter, Request
from pydantic import BaseModel
from starlette.concurrency import run_in_threadpool

from app.api.access import Acting, OpenRoster, Token
from app.api.answers import Clockface, Receipt
from app.api.answers_day import SaidAnswer, local_time
from app.api.problems import RefusedByRules
from app.api.requests_day import CloseAsked
from app.api.writing import record
from app.desk.balance import Reconciled, reconcile
from app.desk.closing import close_polls, with_causes
from app.records.clock import to_text
from app.rules.balance import Balance, MachineBalance
from app.rules.cause_scene import Span
from app.rules.causes import Cause

router = APIRouter()


class SpanAnswer(BaseModel):
    """A time to look at; None is open at that end."""

    begins: str | None
    ends: str | None
    local_begins: str | None
    local_ends: str | None


class CauseAnswer(SaidAnswer):
    """`delta`: what it adds to the difference that it explains; `why`: what speaks for it."""

    explains: str
    delta: int
    wholly: bool
    why: list[str]
    score: int
    lines: list[str]
    serials: list[str]
    entries: list[int]
    times: list[SpanAnswer]


class MachineBalanceAnswer(BaseModel):
    serial: str
    public_opening: int | None
    public_close: int | None
    protective_opening: int | None
    protective_close: int | None
    public_moved: int | None
    protective_moved: int | None
    agrees: bool | None


class MarksAnswer(BaseModel):
    """`reason`: why the two differ, where the lead has said so."""

    list_seq: int
    name: str
    list_kind: str
    printed_total: int
    count: int
    reason: str
    difference: int


class ProvisionalAnswer(BaseModel):
    recorded: int
    withdrawn: int
    apart: int


class ButtonAnswer(BaseModel):
    button: str
    signed: int
    machines: int
    difference: int


class BallotsAnswer(BaseModel):
    """Ballots on paper; `issued_difference`: stubs beside those who should have got one."""

    received: int | None
    resupplied: int | None
    issued: int | None
    spoiled: int | None
    reissued: int | None
    unused: int | None
    issued_difference: int | None


class MissingAnswer(BaseModel):
    what: str
    name: str


class ReconciliationAnswer(BaseModel):
    """`difference` None while something is missing; `so_far` of what is read by now."""

    counted_by: str
    as_of_seq: int
    terms: dict[str, int | str | None]
    machines: list[MachineBalanceAnswer]
    difference: int | None
    so_far: int | None
    balances: bool
    causes: list[CauseAnswer]
    marks: list[MarksAnswer]
    provisional: ProvisionalAnswer
    by_button: list[ButtonAnswer] | None
    ballots: BallotsAnswer | None
    missing: list[MissingAnswer]


@router.get("/api/reconciliation")
async def read_reconciliation(roster: OpenRoster, request: Request) -> ReconciliationAnswer:
    found = await run_in_threadpool(reconcile, roster)
    return _answer(found, request.app.state.clockface)


@router.post("/api/day/close")
async def close(
    asked: CloseAsked, actor: Acting, token: Token, roster: OpenRoster, request: Request
) -> Receipt:
    try:
        return await record(
            request, lambda unit: close_polls(unit, roster, actor, token, asked.reason)
        )
    except RefusedByRules as said_no:
        refused = await run_in_threadpool(with_causes, roster, said_no.refused)
        raise RefusedByRules(refused) from None


def _answer(found: Reconciled, clockface: Clockface) -> ReconciliationAnswer:
    balance = found.balance
    terms = balance.terms
    return ReconciliationAnswer(
        counted_by=terms.counted_by,
        as_of_seq=found.as_of_seq,
        terms=terms.as_body(),
        machines=[_machine(one) for one in balance.machines],
        difference=balance.difference,
        so_far=balance.so_far,
        balances=balance.balances,
        causes=[_cause(one, clockface) for one in found.causes],
        marks=[MarksAnswer(**asdict(one), difference=one.difference) for one in balance.lists],
        provisional=ProvisionalAnswer(
            recorded=terms.provisional_recorded,
            withdrawn=terms.provisional_withdrawn,
            apart=terms.provisional,
        ),
        by_button=_buttons(balance),
        ballots=_ballots(balance),
        missing=[MissingAnswer(what=one.what, name=one.name) for one in balance.missing],
    )


def _machine(one: MachineBalance) -> MachineBalanceAnswer:
    return MachineBalanceAnswer(
        **asdict(one),
        public_moved=one.public_moved,
        protective_moved=one.protective_moved,
        agrees=one.agrees,
    )


def _buttons(balance: Balance) -> list[ButtonAnswer] | None:
    if balance.by_button is None:
        return None
    return [ButtonAnswer(**asdict(one), difference=one.difference) for one in balance.by_button]


def _ballots(balance: Balance) -> BallotsAnswer | None:
    terms = balance.terms
    if terms.counted_by == "machines":
        return None
    names = [name for name in BallotsAnswer.model_fields if name != "issued_difference"]
    counts: dict[str, Any] = {name: getattr(terms, name) for name in names}
    return BallotsAnswer(**counts, issued_difference=terms.issued_difference)


def _cause(one: Cause, clockface: Clockface) -> CauseAnswer:
    return CauseAnswer(
        code=one.code,
        sentence=one.sentence,
        facts=dict(one.facts),
        explains=one.explains,
        delta=one.delta,
        wholly=one.wholly,
        why=list(one.why),
        score=one.score,
        lines=list(one.lines),
        serials=list(one.serials),
        entries=list(one.entries),
        times=[_span(span, clockface) for span in one.times],
    )


def _span(span: Span, clockface: Clockface) -> SpanAnswer:
    return SpanAnswer(
        begins=to_text(span.begins) if span.begins else None,
        ends=to_text(span.ends) if span.ends else None,
        local_begins=local_time(span.begins, clockface),
        local_ends=local_time(span.ends, clockface),
    )
