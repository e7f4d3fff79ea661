"""Nobody leaves without an answer: people found nowhere, affidavits, provisional ballots."""

from __future__ import annotations

import asyncio
import time
from typing import Annotated

from fastapi import APIRouter, Path, Request

from app.api.access import LEAD_AND_REGISTRAR, Acting, Admitted, OpenRoster, Token
from app.api.answers_corrections import (
    CorrectionReceipt,
    PapersReceipt,
    correction_receipt,
    papers_receipt,
)
from app.api.answers_ways import (
    AffidavitAnswer,
    AffidavitCheckAnswer,
    FindElsewhereAnswer,
    PeopleDirectedAnswer,
    ProvisionalBallotsAnswer,
    ProvisionalReceipt,
    WaysAnswer,
    affidavit_answer,
    affidavit_check_answer,
    find_elsewhere_answer,
    people_directed_answer,
    provisional_ballots_answer,
    provisional_receipt,
    ways_answer,
)
from app.api.problems import RefusedByRules
from app.api.requests import ReasonAsked
from app.api.requests_ways import (
    AffidavitAsked,
    AffidavitWords,
    DirectionAsked,
    ElsewhereAsked,
    ProvisionalAsked,
    WaysOutAsked,
)
from app.api.writing import done
from app.desk import affidavits, directing, provisional, ways
from app.desk.outcomes import Refused
from app.records.entry import LARGEST_NUMBER
from app.rules.faults import NotAllowed

router = APIRouter()


@router.post("/api/ways-out")
async def ways_out(asked: WaysOutAsked, roster: OpenRoster, request: Request) -> WaysAnswer:
    found = ways.ask(roster, asked.situation.situation(), asked.typed)
    return ways_answer(found, request.app.state.caution)


@router.post("/api/elsewhere/find")
async def find_elsewhere(asked: ElsewhereAsked, roster: OpenRoster) -> FindElsewhereAnswer:
    """A POST, so that what was typed stands in no address, log or history."""
    started = time.perf_counter()
    found = roster.elsewhere.find(asked.text)
    took_ms = (time.perf_counter() - started) * 1_000
    return find_elsewhere_answer(found, has_list=roster.elsewhere.has_people, took_ms=took_ms)


@router.post("/api/people-directed")
async def direct_person(
    asked: DirectionAsked, actor: Acting, token: Token, roster: OpenRoster, request: Request
) -> PapersReceipt:
    direction = asked.direction()
    recorded = await done(
        request, lambda unit: directing.direct(unit, roster, actor, token, direction)
    )
    return papers_receipt(recorded, request.app.state.clockface)


@router.get("/api/people-directed")
async def read_people_directed(roster: OpenRoster, request: Request) -> PeopleDirectedAnswer:
    return people_directed_answer(directing.read_directed(roster), request.app.state.clockface)


@router.post("/api/correction-affidavits")
async def add_by_affidavit(
    asked: AffidavitAsked,
    actor: Acting,
    signed_on: Admitted,
    token: Token,
    roster: OpenRoster,
    request: Request,
) -> AffidavitAnswer:
    if asked.somebody_else and signed_on and signed_on.worker.role not in LEAD_AND_REGISTRAR:
        raise NotAllowed(role=signed_on.worker.role)
    affidavit = asked.affidavit()
    # Reads the whole register: not for the event loop, and not while others wait to write.
    alike = await asyncio.to_thread(affidavits.look_alikes, roster, affidavit)
    added = await done(
        request,
        lambda unit: affidavits.add(unit, roster, actor, token, affidavit, alike),
        afterwards=lambda added: roster.add_to_finder(added.line),
    )
    return affidavit_answer(added, request.app.state.clockface)


@router.post("/api/correction-affidavits/check")
async def check_affidavit(
    asked: AffidavitWords, roster: OpenRoster, request: Request
) -> AffidavitCheckAnswer:
    checked = affidavits.check(roster, asked.affidavit())
    if isinstance(checked, Refused):
        raise RefusedByRules(checked)
    return affidavit_check_answer(checked, request.app.state.caution)


@router.post("/api/provisional-ballots")
async def give_provisional_ballot(
    asked: ProvisionalAsked, actor: Acting, token: Token, roster: OpenRoster, request: Request
) -> ProvisionalReceipt:
    given = asked.envelope_given()
    recorded = await done(
        request, lambda unit: provisional.record(unit, roster, actor, token, given)
    )
    return provisional_receipt(recorded, request.app.state.clockface)


@router.get("/api/provisional-ballots")
async def read_provisional_ballots(
    roster: OpenRoster, request: Request
) -> ProvisionalBallotsAnswer:
    ballots = provisional.read_provisional(roster)
    return provisional_ballots_answer(ballots, request.app.state.clockface)


@router.post("/api/provisional-ballots/{seq}/withdraw")
async def withdraw_provisional_ballot(
    seq: Annotated[int, Path(ge=1, le=LARGEST_NUMBER)],
    asked: ReasonAsked,
    actor: Acting,
    token: Token,
    request: Request,
) -> CorrectionReceipt:
    recorded = await done(
        request, lambda unit: provisional.withdraw(unit, actor, token, seq, asked.reason)
    )
    return correction_receipt(recorded, request.app.state.clockface)
