"""Calls of the registrar's office, their spoken codes, and irregularities."""

from __future__ import annotations

import asyncio
from collections.abc import Mapping
from typing import Annotated, Any

from fastapi import APIRouter, Path, Request
from pydantic import BaseModel

from app.api.access import Acting, OpenRoster, Token
from app.api.answers import ActAnswer, Clockface, Receipt, act_answer, receipt, receipt_fields
from app.api.answers_corrections import stood_fields
from app.api.answers_lines import VerdictAnswer, verdict_answer
from app.api.answers_lists import (
    PersonAnswer,
)
from app.api.making_lists import (
    person_answer,
)
from app.api.requests_lists import HowAsked, IrregularityAsked, PhoneInAsked, UnlockAsked
from app.api.writing import done, record
from app.desk import irregularities, past_calls, phone_ins, spoken_codes
from app.desk.irregularities import Irregularity
from app.desk.listed_people import Listed, people
from app.desk.phone_ins import Called
from app.desk.roster import Roster
from app.records import late_lists
from app.records.entry import LARGEST_NUMBER, Entry

router = APIRouter()


class PhoneInAnswer(BaseModel):
    """`effect` already: it stood so before, and only the call was written down."""

    phone_in: Receipt
    change: Receipt | None
    effect: str
    code_used: bool
    irregularity: Receipt | None
    before: dict[str, Any]
    after: dict[str, Any]
    verdict: VerdictAnswer | None


class PastCallAnswer(Receipt):
    caller: str
    office: str
    number_called_back: str
    asked: str
    what: str
    argument: str
    code_used: bool
    effect: str
    name: str
    voter_number: str


class PhoneInsAnswer(BaseModel):
    phone_ins: list[PastCallAnswer]


class AuthorisationAnswer(Receipt):
    """`person`: name and birth year as the office gave them."""

    caller: str
    office: str
    person: str


class AuthorisationsAnswer(BaseModel):
    authorisations: list[AuthorisationAnswer]


class OfList(BaseModel):
    list_id: str
    name: str
    row_number: int


class SettledHow(ActAnswer):
    how: str


class IrregularityAnswer(Receipt):
    """`sentence` and `facts` of a contradiction; `what`, `told`, `done` as somebody wrote them."""

    irregularity: str
    code: str
    sentence: str
    facts: dict[str, Any]
    what: str
    told: str
    done: str
    machine: str | None
    person: PersonAnswer | None
    list: OfList | None
    settled: SettledHow | None


class IrregularitiesAnswer(BaseModel):
    irregularities: list[IrregularityAnswer]
    open: int


@router.post("/api/phone-ins")
async def phone_in(
    asked: PhoneInAsked, actor: Acting, token: Token, roster: OpenRoster, request: Request
) -> PhoneInAnswer:
    call = asked.phone_in()
    alike = await asyncio.to_thread(phone_ins.look_alikes, roster, call)
    called = await done(
        request,
        lambda unit: phone_ins.record(unit, roster, actor, token, call, alike),
        lambda one: _find_as_corrected(roster, one),
    )
    state = request.app.state
    clockface = state.clockface
    return PhoneInAnswer(
        phone_in=receipt(called.call, clockface),
        change=receipt(called.change, clockface) if called.change else None,
        effect=called.call.body["effect"],
        code_used=called.call.body["code_used"],
        irregularity=receipt(called.irregularity, clockface) if called.irregularity else None,
        before=stood_fields(called.before, clockface),
        after=stood_fields(called.after, clockface),
        verdict=verdict_answer(called.verdict, state.caution) if called.verdict else None,
    )


@router.get("/api/phone-ins")
async def read_phone_ins(roster: OpenRoster, request: Request) -> PhoneInsAnswer:
    clockface = request.app.state.clockface
    names = ("caller", "office", "number_called_back", "what", "code_used", "effect")
    return PhoneInsAnswer(
        phone_ins=[
            PastCallAnswer(
                **receipt_fields(past.entry, clockface),
                **{name: past.entry.body[name] for name in names},
                asked=past.asked,
                argument=past.argument,
                name=past.name,
                voter_number=past.voter_number,
            )
            for past in past_calls.read_phone_ins(roster)
        ]
    )


@router.get("/api/authorisations")
async def read_authorisations(roster: OpenRoster, request: Request) -> AuthorisationsAnswer:
    """What the office authorised by telephone and nobody has signed for yet, oldest first."""
    clockface = request.app.state.clockface
    return AuthorisationsAnswer(
        authorisations=[
            AuthorisationAnswer(
                **receipt_fields(past.entry, clockface),
                caller=past.entry.body["caller"],
                office=past.entry.body["office"],
                person=past.argument,
            )
            for past in past_calls.read_authorisations(roster)
        ]
    )


@router.post("/api/phone-ins/unlock")
async def unlock_codes(
    asked: UnlockAsked, actor: Acting, token: Token, request: Request
) -> Receipt:
    return await record(
        request,
        lambda unit: spoken_codes.unlock(
            unit, actor, token, asked.number_called_back, asked.reason
        ),
    )


@router.get("/api/irregularities")
async def read_irregularities(roster: OpenRoster, request: Request) -> IrregularitiesAnswer:
    found = irregularities.read_irregularities(roster)
    names = roster.store.read(late_lists.all_lists)
    lists = {one.seq: OfList(list_id=one.list_id, name=one.name, row_number=0) for one in names}
    shown = people(roster, [one.entry.line_id for one in found if one.entry.line_id])
    clockface = request.app.state.clockface
    return IrregularitiesAnswer(
        irregularities=[_irregularity(one, shown, lists, clockface) for one in found],
        open=sum(1 for one in found if one.settled is None),
    )


@router.post("/api/irregularities")
async def write_up(
    asked: IrregularityAsked, actor: Acting, token: Token, request: Request
) -> Receipt:
    written = asked.written()
    return await record(request, lambda unit: irregularities.write_up(unit, actor, token, written))


@router.post("/api/irregularities/{seq}/settle")
async def settle_irregularity(
    seq: Annotated[int, Path(ge=1, le=LARGEST_NUMBER)],
    asked: HowAsked,
    actor: Acting,
    token: Token,
    request: Request,
) -> Receipt:
    return await record(
        request, lambda unit: irregularities.settle(unit, actor, token, seq, asked.how)
    )


def _find_as_corrected(roster: Roster, called: Called) -> None:
    if called.line and called.change and called.change.kind == "line.corrected":
        roster.add_to_finder(called.line)


def _irregularity(
    one: Irregularity,
    shown: Mapping[str, Listed],
    lists: Mapping[int | None, OfList],
    clockface: Clockface,
) -> IrregularityAnswer:
    entry = one.entry
    settled = act_answer(one.settled, clockface)
    return IrregularityAnswer(
        **receipt_fields(entry, clockface),
        irregularity=entry.body["irregularity"],
        code=entry.body["code"],
        sentence=one.what,
        facts=dict(entry.body["facts"]),
        what=one.what,
        told=one.told,
        done=one.done,
        machine=entry.body.get("machine"),
        person=person_answer(shown.get(entry.line_id or "")),
        list=_of_list(entry, lists),
        settled=SettledHow(**settled.model_dump(), how=one.how) if settled else None,
    )


def _of_list(entry: Entry, lists: Mapping[int | None, OfList]) -> OfList | None:
    seq, number = entry.body["list_seq"], entry.body["row_number"]
    named = lists.get(seq) if seq is not None else None
    return named.model_copy(update={"row_number": number}) if named else None
