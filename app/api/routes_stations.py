"""Stations on other devices, and who is signed on where: the lead's screen, and joining."""

from __future__ import annotations

import asyncio
from typing import Annotated

from fastapi import APIRouter, Path, Request, Response
from pydantic import BaseModel
from sqlalchemy import Connection
from starlette.concurrency import run_in_threadpool

from app.api.access import Acting, OpenRoster, Token, device_of
from app.api.answers import Clockface
from app.api.door import STATION_COOKIE, Door, browser_of, is_from_afar
from app.api.live import Live
from app.api.requests import Nothing
from app.api.requests_stations import JoinAsked, LookedAtAsked, PinAsked
from app.desk import door as at_the_door
from app.desk import joining, signing_on
from app.desk.joining import ALPHABET, CODE_SECONDS
from app.records import people, stations
from app.records.entry import LARGEST_NUMBER, Entry
from app.records.people import Kept, WrongPins
from app.records.stations import Station
from app.rules.faults import JoinCodeWrong, NotJoined, PinLocked, PinWait

router = APIRouter()

Seq = Annotated[int, Path(ge=1, le=LARGEST_NUMBER)]


class HealthAnswer(BaseModel):
    """Bare on purpose: whoever asks is nobody yet."""

    serves: bool = True


class JoinAnswer(BaseModel):
    station: str


class CodeAnswer(BaseModel):
    code: str
    seconds: int
    alphabet: str


class StationAnswer(BaseModel):
    station_id: str
    name: str
    address: str
    local_time: str
    is_revoked: bool
    is_here: bool


class KeptSignOnAnswer(BaseModel):
    """`seq` is its entry, by which it is ended."""

    seq: int
    initials: str
    name: str
    role: str
    station: str
    local_time: str
    is_covered: bool


class PinAnswer(BaseModel):
    worker_id: str
    initials: str
    name: str
    role: str
    wrong: int
    is_locked: bool


class RefusedAnswer(BaseModel):
    """What was refused and the lead has not looked at yet."""

    seq: int
    refused: str
    count: int
    address: str
    addresses: int
    local_time: str


class StationsAnswer(BaseModel):
    """`url` and `fingerprint` are None while no other device is served."""

    url: str | None
    fingerprint: str | None
    stations: list[StationAnswer]
    sign_ons: list[KeptSignOnAnswer]
    workers: list[PinAnswer]
    refused: list[RefusedAnswer]


@router.get("/api/health")
async def health() -> HealthAnswer:
    return HealthAnswer()


@router.post("/api/join")
async def join(
    asked: JoinAsked, token: Token, roster: OpenRoster, request: Request, response: Response
) -> JoinAnswer:
    door = _door(request)
    if not is_from_afar(request.scope):
        raise NotJoined
    secret = joining.new_secret()
    browser = browser_of(request.scope)
    try:
        door.codes.take(asked.code, token)
        future = roster.store.writer.submit(
            lambda unit: joining.join(unit, door.codes, token, asked.station, browser, secret)
        )
        station = await asyncio.shield(asyncio.wrap_future(future))
    except Exception as fault:
        door.codes.give_back(token)
        if isinstance(fault, JoinCodeWrong):
            door.refuse("wrong-code", request.scope)
        raise
    door.let_in.keep(station)
    response.set_cookie(
        STATION_COOKIE, secret, httponly=True, secure=True, samesite="strict", path="/"
    )
    return JoinAnswer(station=station.name)


@router.get("/api/stations")
async def read_stations(roster: OpenRoster, request: Request) -> StationsAnswer:
    found = await run_in_threadpool(roster.store.read, _Read)
    clockface: Clockface = request.app.state.clockface
    listening = _door(request).listening
    here = device_of(request)
    return StationsAnswer(
        url=listening.url if listening else None,
        fingerprint=listening.fingerprint if listening else None,
        stations=[_station(one, clockface(at), here) for one, at in found.stations],
        sign_ons=[_sign_on(one, clockface) for one in found.sign_ons],
        workers=found.pins(),
        refused=[_refused(entry, clockface) for entry in found.refused],
    )


@router.post("/api/stations/code")
async def make_code(_: Nothing, _token: Token, request: Request) -> CodeAnswer:
    """Shown once, kept nowhere in clear."""
    return CodeAnswer(
        code=_door(request).codes.make(), seconds=int(CODE_SECONDS), alphabet=ALPHABET
    )


@router.post("/api/stations/{station_id}/revoke")
async def revoke(
    station_id: str, _: Nothing, actor: Acting, token: Token, roster: OpenRoster, request: Request
) -> Nothing:
    future = roster.store.writer.submit(lambda unit: joining.revoke(unit, actor, token, station_id))
    station = await asyncio.shield(asyncio.wrap_future(future))
    _door(request).let_in.keep(station)
    live: Live = request.app.state.live
    live.let_go(station_id)
    return Nothing()


@router.post("/api/sign-ons/{seq}/end")
async def end_sign_on(
    seq: Seq, _: Nothing, actor: Acting, token: Token, roster: OpenRoster, request: Request
) -> Nothing:
    future = roster.store.writer.submit(
        lambda unit: signing_on.end_sign_on(unit, actor, token, seq)
    )
    ended = await asyncio.shield(asyncio.wrap_future(future))
    if ended:
        roster.sessions.ended(ended)
        live: Live = request.app.state.live
        live.let_go(ended)
    return Nothing()


@router.post("/api/workers/{worker_id}/unlock")
async def unlock(
    worker_id: str,
    asked: PinAsked,
    actor: Acting,
    token: Token,
    roster: OpenRoster,
    request: Request,
) -> Nothing:
    """The lead types their own PIN: an open page of theirs alone must not unlock anybody."""
    try:
        await asyncio.to_thread(
            signing_on.unlock,
            roster,
            actor,
            token,
            worker_id=worker_id,
            pin=asked.pin,
            device=device_of(request),
        )
    except (PinLocked, PinWait):
        _door(request).refuse("pin-locked", request.scope)
        raise
    return Nothing()


@router.post("/api/door/looked-at")
async def looked_at(
    asked: LookedAtAsked, actor: Acting, token: Token, roster: OpenRoster
) -> Nothing:
    future = roster.store.writer.submit(
        lambda unit: at_the_door.looked_at(unit, actor, token, asked.up_to_seq)
    )
    await asyncio.shield(asyncio.wrap_future(future))
    return Nothing()


class _Read:
    """What the lead's screen shows, in one snapshot."""

    def __init__(self, connection: Connection) -> None:
        self.stations = stations.all_stations(connection)
        self.sign_ons = people.all_sign_ons(connection)
        self.refused = at_the_door.not_looked_at(connection)
        self._workers = people.all_workers(connection)
        self._wrong = people.all_wrong_pins(connection)

    def pins(self) -> list[PinAnswer]:
        found = []
        for worker in self._workers:
            pins = self._wrong.get(worker.initials, WrongPins())
            found.append(
                PinAnswer(
                    worker_id=worker.worker_id,
                    initials=worker.initials,
                    name=worker.name,
                    role=worker.role,
                    # Of the last hour only where they are why it is locked.
                    wrong=max(pins.wrong, pins.recent) if pins.is_locked else pins.wrong,
                    is_locked=pins.is_locked,
                )
            )
        return found


def _door(request: Request) -> Door:
    door: Door = request.app.state.door
    return door


def _station(station: Station, local_time: str, here: str) -> StationAnswer:
    return StationAnswer(
        station_id=station.station_id,
        name=station.name,
        address=station.address,
        local_time=local_time,
        is_revoked=station.revoked_seq is not None,
        is_here=station.station_id == here,
    )


def _sign_on(kept: Kept, clockface: Clockface) -> KeptSignOnAnswer:
    worker = kept.worker
    return KeptSignOnAnswer(
        seq=kept.seq,
        initials=worker.initials,
        name=worker.name,
        role=worker.role,
        station=kept.station,
        local_time=clockface(kept.at),
        is_covered=kept.is_covered,
    )


def _refused(entry: Entry, clockface: Clockface) -> RefusedAnswer:
    said = entry.body
    return RefusedAnswer(
        seq=entry.seq,
        refused=said["refused"],
        count=said["count"],
        address=said["address"],
        addresses=said["addresses"],
        local_time=clockface(entry.at),
    )
