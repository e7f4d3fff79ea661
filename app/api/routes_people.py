"""Signing a worker on and off."""

from __future__ import annotations

import asyncio

from fastapi import APIRouter, Request, Response

from app.api.access import Acting, OpenRoster, Token, cookie_of, device_of
from app.api.answers import SignOnAnswer, worker_answer
from app.api.door import STATION, is_from_afar
from app.api.live import Live
from app.api.requests import Nothing, SignOnAsked
from app.desk import signing_on
from app.records import people
from app.records.stations import Station
from app.rules.faults import PinLocked, PinWait

router = APIRouter()


@router.post("/api/sign-on")
async def sign_on(
    asked: SignOnAsked, token: Token, roster: OpenRoster, request: Request, response: Response
) -> SignOnAnswer:
    # A station from afar has the name it joined under, whatever is typed.
    joined: Station | None = request.scope.get(STATION)
    before = request.cookies.get(cookie_of(request))
    try:
        signed_on = await asyncio.to_thread(
            signing_on.sign_on,
            roster,
            initials=asked.initials,
            pin=asked.pin,
            station=joined.name if joined else asked.station,
            token=token,
            device=device_of(request),
            in_place_of=before,
        )
    except (PinLocked, PinWait):
        request.app.state.door.refuse("pin-locked", request.scope)
        raise
    request.app.state.watch.stations.heard(signed_on.station)
    if before:
        live: Live = request.app.state.live
        live.rename(signing_on.digest(before), signing_on.digest(signed_on.secret))
    response.set_cookie(
        cookie_of(request),
        signed_on.secret,
        httponly=True,
        secure=is_from_afar(request.scope),
        samesite="strict",
        path="/",
    )
    return SignOnAnswer(worker=worker_answer(signed_on.worker), station=signed_on.station)


@router.post("/api/cover")
async def cover(_: Nothing, _token: Token, roster: OpenRoster, request: Request) -> Nothing:
    """What the page covers is answered to nobody who has only its cookie."""
    secret_digest = signing_on.digest(request.cookies[cookie_of(request)])
    if roster.here:
        roster.here.cover(secret_digest)
        return Nothing()
    future = roster.store.writer.submit(lambda unit: people.cover_sign_on(unit, secret_digest))
    await asyncio.shield(asyncio.wrap_future(future))
    return Nothing()


@router.post("/api/sign-off")
async def sign_off(
    _: Nothing,
    actor: Acting,
    token: Token,
    roster: OpenRoster,
    request: Request,
    response: Response,
) -> Nothing:
    secret = request.cookies[cookie_of(request)]
    if roster.here:
        roster.here.end(signing_on.digest(secret))
    else:
        future = roster.store.writer.submit(
            lambda unit: signing_on.sign_off(unit, actor, token, secret)
        )
        await asyncio.shield(asyncio.wrap_future(future))
    request.app.state.live.let_go(signing_on.digest(secret))
    response.delete_cookie(
        cookie_of(request),
        path="/",
        httponly=True,
        secure=is_from_afar(request.scope),
        samesite="strict",
    )
    return Nothing()
