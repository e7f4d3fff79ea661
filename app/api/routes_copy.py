"""For the laptop that follows: it joins with a code, fetches the record, asks for each change."""

from __future__ import annotations

import asyncio
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Annotated, Any

from fastapi import APIRouter, Depends, Request
from fastapi.responses import Response
from pydantic import BaseModel, Field
from sqlalchemy import Connection
from starlette.concurrency import run_in_threadpool
from starlette.datastructures import Headers
from starlette.types import Scope

from app.api.access import OpenRoster, Token
from app.api.answers_standby import CopyCodeAnswer
from app.api.door import Door
from app.api.requests import Asked, Nothing
from app.desk import standing_by
from app.desk.roster import Roster
from app.desk.standing_by import Pairing
from app.records import changes, queries, standby_epoch
from app.records.entry import LARGEST_NUMBER
from app.records.standby import Standby, ToDo
from app.rules.faults import JoinCodeWrong, NotFound, NotJoined

router = APIRouter()

# How long a question waits for an answer, so that a laptop that follows is heard of at least so
# often.
POLL_SECONDS = 2.0
_NUMBER = Annotated[int, Field(ge=0, le=LARGEST_NUMBER)]


class JoinCopyAsked(Asked):
    code: Annotated[str, Field(min_length=1, max_length=40)]


class ChangesAsked(Asked):
    """How far the asking laptop holds the record; `epoch` is the highest it knows of."""

    no: _NUMBER
    head: Annotated[str, Field(max_length=64)]
    epoch: _NUMBER


class TookOverAsked(Asked):
    epoch: _NUMBER


class JoinedCopyAnswer(BaseModel):
    """`authority` made the certificate of this laptop (PEM), empty without TLS."""

    secret: str
    authority: str
    encrypted: bool
    officers: int


class ChangesAnswer(BaseModel):
    """What to do: `fetch`, `apply` the change, or `wait` and ask again."""

    do: str
    change: str
    epoch: int


class TookOverAnswer(BaseModel):
    gives_way: bool


def standby_of(request: Request) -> Standby:
    return following_of(request).standby


def following_of(request: Request) -> Following:
    """NotFound where no laptop may follow this one."""
    following: Following | None = request.app.state.following
    if following is None:
        raise NotFound(what="second laptop here")
    return following


async def follower(request: Request) -> Standby:
    """The standby, if it is the laptop that follows which asks. NotJoined for anybody else."""
    standby = standby_of(request)
    if not standing_by.is_secret(request.app.state.follower, _secret_in(request.scope)):
        raise NotJoined
    return standby


def _secret_in(scope: Scope) -> str:
    return Headers(scope=scope).get("authorization", "").removeprefix("Bearer ")


Follower = Annotated[Standby, Depends(follower)]


async def replacing(request: Request) -> None:
    """As `follower`, also where this laptop was started anew so that nobody may follow it."""
    state = request.app.state
    if state.following is None and state.follower is None:
        raise NotFound(what="second laptop here")
    if not standing_by.is_secret(state.follower, _secret_in(request.scope)):
        raise NotJoined


@router.post("/api/copy/join")
async def join_copy(asked: JoinCopyAsked, roster: OpenRoster, request: Request) -> JoinedCopyAnswer:
    following = following_of(request)
    try:
        following.pairing.take(asked.code)
    except JoinCodeWrong:
        request.app.state.door.refuse("wrong-code", request.scope)
        raise
    future = roster.store.writer.submit(standing_by.keep_secret)
    secret = await asyncio.shield(asyncio.wrap_future(future))
    request.app.state.follower = standing_by.known_secret(roster.store)
    following.standby.joined()
    return JoinedCopyAnswer(
        secret=secret,
        authority=following.authority,
        encrypted=bool(request.app.state.encrypted),
        officers=roster.setting.policy.passphrase_officers,
    )


@router.post("/api/copy/code")
async def make_copy_code(_: Nothing, _token: Token, request: Request) -> CopyCodeAnswer:
    """Shown once, kept nowhere in clear. Whoever types it at their laptop has the whole record."""
    following = following_of(request)
    command = standing_by.command_to_follow(following.url, following.pairing.renew())
    return CopyCodeAnswer(command=command, seconds=int(standing_by.CODE_SECONDS))


@router.get("/api/copy/snapshot")
async def read_whole(standby: Follower, roster: OpenRoster) -> Response:
    """Every row, in lines of JSON: see `app.records.changes.every_row`."""
    standby.fetching()
    whole = await run_in_threadpool(roster.store.read, _whole)
    standby.sent(whole.no, whole.head)
    return Response(whole.data, media_type="application/jsonl")


@router.post("/api/copy/changes")
async def read_changes(
    asked: ChangesAsked, standby: Follower, roster: OpenRoster, request: Request
) -> ChangesAnswer:
    """The next change, once there is one. The question says that those before are durable."""
    epoch = roster.store.read(standby_epoch.epoch_of)
    if asked.epoch > epoch:
        await run_in_threadpool(standing_by.give_way, roster.store, asked.epoch)
    standby.heard(asked.no, asked.head)
    todo = await _next(standby, request.app.state.copy_moved)
    if todo is None:
        return ChangesAnswer(do="wait", change="", epoch=epoch)
    if todo.change is None:
        return ChangesAnswer(do="keep" if todo.keep else "fetch", change="", epoch=epoch)
    return ChangesAnswer(do="apply", change=todo.change.text, epoch=epoch)


@router.post("/api/copy/took-over", dependencies=[Depends(replacing)])
async def took_over(asked: TookOverAsked, roster: OpenRoster) -> TookOverAnswer:
    gives_way = await run_in_threadpool(standing_by.give_way, roster.store, asked.epoch)
    return TookOverAnswer(gives_way=gives_way)


async def _next(standby: Standby, moved: asyncio.Event) -> ToDo | None:
    loop = asyncio.get_running_loop()
    until = loop.time() + POLL_SECONDS
    while (left := until - loop.time()) > 0:
        moved.clear()
        if todo := standby.todo():
            return todo
        try:
            await asyncio.wait_for(moved.wait(), left)
        except TimeoutError:
            break
    return None


@dataclass(frozen=True, slots=True)
class _Whole:
    """Every row, and how far it is the record: the number of its last change, and its head."""

    data: bytes
    no: int
    head: str


def _whole(connection: Connection) -> _Whole:
    def pieces() -> Iterator[str]:
        for line in changes.every_row(connection):
            yield line
            yield "\n"

    data = "".join(pieces()).encode()
    return _Whole(data, changes.change_no(connection), queries.head(connection).hash)


@dataclass(frozen=True, slots=True)
class Following:
    """What it takes to let a laptop follow. `authority` made our certificate, empty without TLS;
    `url` is where the second laptop reaches this one.
    """

    standby: Standby
    pairing: Pairing
    authority: str = ""
    url: str = "http://127.0.0.1:8407"


def install(state: Any, door: Door, roster: Roster, following: Following | None) -> None:
    """Let a laptop follow, if one may; call it on the event loop."""
    state.following, state.copy_moved = following, asyncio.Event()
    # Kept here, so that a stranger who tries costs no look into the record. Whoever followed once
    # may say that it took over.
    state.follower = standing_by.known_secret(roster.store)
    door.is_follower = lambda scope: standing_by.is_secret(state.follower, _secret_in(scope))
    if following is None:
        return
    loop = asyncio.get_running_loop()
    following.standby.woken = lambda: _wake(loop, state.copy_moved)
    door.may_be_followed = True


def _wake(loop: asyncio.AbstractEventLoop, moved: asyncio.Event) -> None:
    if not loop.is_closed():
        loop.call_soon_threadsafe(moved.set)
