"""The day: what it is, how it stands, and the lead's turns but opening and closing."""

from __future__ import annotations

import datetime
from typing import Any

from fastapi import APIRouter, Request
from pydantic import BaseModel

from app.api.access import Acting, Admitted, OpenRoster, Token
from app.api.answers import HeadAnswer, Receipt, WorkerAnswer, worker_answer
from app.api.answers_corrections import CorrectionReceipt, correction_receipt
from app.api.answers_standby import StandbyAnswer, standby_answer
from app.api.requests import ExtensionAsked, Nothing, TurnAsked
from app.api.writing import done, record
from app.desk.day import extend_hours, may_be_withdrawn, take_turn, withdraw_turn
from app.desk.reading import read_day
from app.desk.spoken_codes import asked_here
from app.desk.standby_here import StandbyHere
from app.records.bodies import LineCutOff
from app.records.clock import to_text
from app.records.entry import Head
from app.rules.moment import DayState
from app.rules.policy import Policy
from app.rules.provisional import BallotClass, is_given
from app.rules.setting import Election, PollingPlace, Precinct, Registrar

router = APIRouter()


class BallotAnswer(BaseModel):
    style: str
    button: int | None


class ExtensionAnswer(BaseModel):
    """`end_is_marked`: until the ordinary end of the line is marked, nobody counts as late."""

    reference: str
    until: str
    seq: int
    local_time: str
    end_is_marked: bool


class PhoneCodeAnswer(BaseModel):
    """Whether a spoken code is asked for: `off` where the package has no secret."""

    asked: str
    locked: bool
    tries_left: int


class CopyAnswer(BaseModel):
    """How a copy of the record stands, since when, and, where it fails, why."""

    which: str
    state: str
    since: datetime.datetime
    why: str | None


class DayHeadAnswer(HeadAnswer):
    """`began` is the hash of entry 1: a page that remembers a head must know of which record."""

    began: str


class DayAnswer(BaseModel):
    """`counts` and `head` are None where nobody is signed on.

    `extended` is the order that extended the hours; `provisional` whether this election
    knows such ballots, by class; `may_withdraw` the turns that the lead can take back.
    `local_time` (`HH:MM`) and `is_election_date` are of the laptop's clock at the polling
    place: shown so that a wrong hour or day is noticed; they decide nothing. `practice`: nothing
    here counts, and no date is the wrong one. `encrypted`: the record on this laptop's disk;
    None where a database server keeps it, which nobody here can tell. `is_covered`: nothing
    more is answered to this browser until the PIN is typed. `refusal` is why nothing at all is
    recorded here: this laptop follows another one, or another one took over. `standby` says how
    a laptop that follows stands, None on one that records; `may_be_followed`: another one may
    follow this one.
    """

    election: Election
    precinct: Precinct
    polling_place: PollingPlace
    registrar: Registrar
    policy: Policy
    ballots: list[BallotAnswer]
    phase: str
    extended: ExtensionAnswer | None
    provisional: dict[str, bool]
    may_withdraw: list[str]
    has_elsewhere: bool
    phone_code: PhoneCodeAnswer
    is_election_date: bool
    local_time: str
    copies: list[CopyAnswer]
    refusal: str | None
    standby: StandbyAnswer | None
    may_be_followed: bool
    counts: dict[str, int] | None
    worker: WorkerAnswer | None
    station: str | None
    is_covered: bool = False
    head: DayHeadAnswer | None
    practice: bool
    encrypted: bool | None


@router.get("/api/day")
async def day(signed_on: Admitted, roster: OpenRoster, request: Request) -> DayAnswer:
    summary = read_day(roster)
    setting = roster.setting
    now = _now(request)
    shown: dict[str, Any] = {"counts": None, "worker": None, "station": None, "head": None}
    if signed_on:
        shown = {
            "counts": summary.counts,
            "worker": worker_answer(signed_on.worker),
            "station": signed_on.station,
            "is_covered": signed_on.is_covered,
            "head": DayHeadAnswer(
                began=summary.began, seq=summary.head.seq, hash=summary.head.hash
            ),
        }
    return DayAnswer(
        election=setting.election,
        precinct=setting.precinct,
        polling_place=setting.polling_place,
        registrar=setting.registrar,
        policy=setting.policy,
        ballots=[BallotAnswer(style=b.style, button=b.button) for b in setting.ballots],
        phase=summary.day.phase,
        extended=_extended(summary.day, request),
        provisional={
            one.value: is_given(one, setting.policy, setting.election) for one in BallotClass
        },
        may_withdraw=list(may_be_withdrawn(summary.day)),
        has_elsewhere=roster.elsewhere.has_people,
        phone_code=PhoneCodeAnswer(
            asked=asked_here(roster),
            locked=summary.code_tries_left == 0,
            tries_left=summary.code_tries_left,
        ),
        is_election_date=setting.is_practice or now.date() == setting.election.date,
        practice=setting.is_practice,
        encrypted=request.app.state.encrypted,
        local_time=now.strftime("%H:%M"),
        copies=[
            CopyAnswer(which=one.which, state=one.standing, since=one.since, why=one.why)
            for one in roster.store.copies.states
        ],
        refusal=refusal.code if (refusal := roster.store.writer.refusal) else None,
        standby=_standby(request, summary.head),
        may_be_followed=request.app.state.following is not None,
        **shown,
    )


@router.post("/api/day/cut-off")
async def cut_off_line(_: Nothing, actor: Acting, token: Token, request: Request) -> Receipt:
    return await record(request, lambda unit: take_turn(unit, actor, token, LineCutOff))


@router.post("/api/day/extend-hours")
async def extend(
    asked: ExtensionAsked, actor: Acting, token: Token, roster: OpenRoster, request: Request
) -> Receipt:
    return await record(
        request,
        lambda unit: extend_hours(unit, roster, actor, token, asked.reference, asked.until_time()),
    )


@router.post("/api/day/withdraw-turn")
async def take_back_turn(
    asked: TurnAsked, actor: Acting, token: Token, request: Request
) -> CorrectionReceipt:
    recorded = await done(
        request, lambda unit: withdraw_turn(unit, actor, token, asked.turn, asked.reason)
    )
    return correction_receipt(recorded, request.app.state.clockface)


def _now(request: Request) -> datetime.datetime:
    """Date and time at the polling place."""
    now: datetime.datetime = request.app.state.clock.now()
    return now.astimezone(request.app.state.clockface.zone)


def _standby(request: Request, head: Head) -> StandbyAnswer | None:
    standby: StandbyHere | None = request.app.state.standby
    if standby is None:
        return None
    return standby_answer(standby, head, request.app.state.clockface)


def _extended(day: DayState, request: Request) -> ExtensionAnswer | None:
    extension = day.extension
    if extension is None:
        return None
    return ExtensionAnswer(
        reference=extension.reference,
        until=extension.until,
        seq=extension.act.seq,
        local_time=request.app.state.clockface(to_text(extension.act.at)),
        end_is_marked=day.cut_off is not None,
    )
