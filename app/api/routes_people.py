"""Signing a worker on and off."""

from __future__ import annotations

import asyncio

from fastapi import APIRouter, Request, Response

from app.api.access import COOKIE, Acting, OpenRoster, Token
from app.api.answers import SignOnAnswer, worker_answer
from app.api.requests import Nothing, SignOnAsked
from app.desk import signing_on

router = APIRouter()


@router.post("/api/sign-on")
async def sign_on(
    asked: SignOnAsked, token: Token, roster: OpenRoster, request: Request, response: Response
) -> SignOnAnswer:
    signed_on = await asyncio.to_thread(
        signing_on.sign_on,
        roster,
        initials=asked.initials,
        pin=asked.pin,
        station=asked.station,
        token=token,
    )
    response.set_cookie(
        COOKIE,
        signed_on.secret,
        httponly=True,
        secure=request.url.scheme == "https",
        samesite="strict",
        path="/",
    )
    return SignOnAnswer(worker=worker_answer(signed_on.worker), station=signed_on.station)


@router.post("/api/sign-off")
async def sign_off(
    _: Nothing,
    actor: Acting,
    token: Token,
    roster: OpenRoster,
    request: Request,
    response: Response,
) -> Nothing:
    secret = request.cookies[COOKIE]
    future = roster.store.writer.submit(
        lambda unit: signing_on.sign_off(unit, actor, token, secret)
    )
    await asyncio.shield(asyncio.wrap_future(future))
    response.delete_cookie(COOKIE, path="/", httponly=True, samesite="strict")
    return Nothing()
