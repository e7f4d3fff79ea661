"""A page that listens to the live stream: the real app over ASGI, message by message."""

from __future__ import annotations

import asyncio
from collections.abc import AsyncIterator, Callable
from contextlib import asynccontextmanager
from typing import Any

from starlette.testclient import TestClient

from tests.api.conftest import HOST, Precinct

TRIES, PAUSE_SECONDS = 500, 0.01


@asynccontextmanager
async def listening(precinct: Precinct, client: TestClient) -> AsyncIterator[list[dict[str, Any]]]:
    """The messages sent so far to a page with the client's sign-on; it closes at the end.

    Entries are told on this test's event loop from here on.
    """
    sent: list[dict[str, Any]] = []
    closed = asyncio.Event()
    live = precinct.app.state.live
    live._loop = asyncio.get_running_loop()

    async def receive() -> dict[str, Any]:
        await closed.wait()
        return {"type": "http.disconnect"}

    async def send(message: Any) -> None:
        sent.append(dict(message))

    stream = asyncio.create_task(precinct.app(scope_of(client), receive, send))
    assert await happens(lambda: bool(live._listeners))
    yield sent
    closed.set()
    await asyncio.wait_for(stream, 5)


async def happens(what: Callable[[], bool]) -> bool:
    """Whether it comes true within a few seconds."""
    for _ in range(TRIES):
        if what():
            return True
        await asyncio.sleep(PAUSE_SECONDS)
    return False


def scope_of(client: TestClient) -> dict[str, Any]:
    """Of a request for the live stream with the client's sign-on."""
    cookie = "; ".join(f"{each.name}={each.value}" for each in client.cookies.jar)
    path = "/api/log/live"
    headers = {"host": HOST, "cookie": cookie, "accept-encoding": "gzip"}
    return {
        "type": "http",
        "asgi": {"version": "3.0"},
        "http_version": "1.1",
        "method": "GET",
        "scheme": "http",
        "path": path,
        "raw_path": path.encode(),
        "query_string": b"",
        "root_path": "",
        "client": ("127.0.0.1", 1),
        "server": ("127.0.0.1", 8407),
        "headers": [(name.encode(), value.encode()) for name, value in headers.items()],
    }
