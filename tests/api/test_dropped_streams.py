"""A page that goes away with something on its way to it: no fault, and no other fault is hidden."""

from __future__ import annotations

import asyncio
from typing import Any

import anyio
import pytest
from starlette.testclient import TestClient
from starlette.types import Receive, Scope, Send

from app.api import routes_log
from app.api.dropped_streams import DroppedStreams
from tests.api.conftest import Precinct
from tests.api.live_page import happens, scope_of


async def drop_with_entries_on_their_way(precinct: Precinct, client: TestClient) -> None:
    """A page that asks for the stream, reads no more after its first entry, and is closed."""
    is_stuck, is_closed = asyncio.Event(), asyncio.Event()
    live = precinct.app.state.live
    live._loop = asyncio.get_running_loop()

    async def receive() -> dict[str, Any]:
        await is_closed.wait()
        return {"type": "http.disconnect"}

    async def send(message: Any) -> None:
        if b"data:" in message.get("body", b""):
            is_stuck.set()
            await asyncio.Event().wait()

    stream = asyncio.create_task(precinct.app(scope_of(client), receive, send))
    assert await happens(lambda: bool(live._listeners))
    # One is being sent, one waits behind it, one is being passed on, one is made.
    for _ in range(4):
        await asyncio.to_thread(precinct.station, "RM")
    await asyncio.wait_for(is_stuck.wait(), 5)
    await asyncio.sleep(0.05)
    is_closed.set()
    await asyncio.wait_for(stream, 5)
    assert not live._listeners


def test_a_page_that_is_closed_with_entries_on_their_way_is_no_fault(precinct: Precinct) -> None:
    asyncio.run(drop_with_entries_on_their_way(precinct, precinct.station("LO", "Lead's desk")))


def test_what_else_fails_in_a_stream_is_a_fault_also_of_a_page_that_has_gone(
    precinct: Precinct, monkeypatch: pytest.MonkeyPatch
) -> None:
    made: list[object] = []

    def fails_at_the_third(told: object) -> dict[str, Any]:
        made.append(told)
        if len(made) == 3:
            raise RuntimeError("a fault of our own")
        return {}

    monkeypatch.setattr(routes_log, "live_data", fails_at_the_third)
    with pytest.RaisesGroup(pytest.RaisesExc(RuntimeError), flatten_subgroups=True):
        asyncio.run(drop_with_entries_on_their_way(precinct, precinct.station("LO", "Lead's desk")))


@pytest.mark.parametrize("path", ["/api/log/live", "/api/log"])
def test_a_broken_stream_of_a_page_that_is_still_there_is_a_fault(path: str) -> None:
    async def app(_: Scope, receive: Receive, send: Send) -> None:
        await receive()
        raise ExceptionGroup("", [anyio.BrokenResourceError()])

    async def receive() -> dict[str, Any]:
        kind = "http.request" if path == "/api/log/live" else "http.disconnect"
        return {"type": kind, "body": b"", "more_body": False}

    async def send(_: Any) -> None:
        raise AssertionError("nothing is to be sent")

    with pytest.RaisesGroup(anyio.BrokenResourceError):
        asyncio.run(DroppedStreams(app)({"type": "http", "path": path}, receive, send))
