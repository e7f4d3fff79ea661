"""Telling every open page what was just recorded: no names, no birth dates, only identifiers."""

from __future__ import annotations

import asyncio
from collections.abc import AsyncIterator, Sequence
from contextlib import contextmanager, suppress
from typing import Any

from app.records.entry import Entry

# A page this far behind has gone to sleep; it is cut off and loads afresh when it wakes.
MOST_WAITING = 1_000


class Live:
    """Carries entries from the writer's thread to the pages on the event loop."""

    def __init__(self) -> None:
        self._loop: asyncio.AbstractEventLoop | None = None
        self._listeners: set[asyncio.Queue[Entry | None]] = set()

    def start(self) -> None:
        """Call on the event loop before the first page listens."""
        self._loop = asyncio.get_running_loop()

    def announce(self, entries: Sequence[Entry]) -> None:
        """Called from the writer's thread after a commit."""
        if self._loop:
            with suppress(RuntimeError):  # the loop is closing: nobody listens any more
                self._loop.call_soon_threadsafe(self._spread, tuple(entries))

    async def entries(self) -> AsyncIterator[Entry]:
        """The entries from now on, until the listener is cut off or the server stops."""
        with self._listening() as waiting:
            while (entry := await waiting.get()) is not None:
                yield entry

    def stop(self) -> None:
        """Let every listener go."""
        for waiting in tuple(self._listeners):
            self._cut_off(waiting)

    @contextmanager
    def _listening(self) -> Any:
        waiting: asyncio.Queue[Entry | None] = asyncio.Queue(MOST_WAITING)
        self._listeners.add(waiting)
        try:
            yield waiting
        finally:
            self._listeners.discard(waiting)

    def _spread(self, entries: Sequence[Entry]) -> None:
        for waiting in tuple(self._listeners):
            if waiting.qsize() + len(entries) >= MOST_WAITING:
                self._cut_off(waiting)
            else:
                for entry in entries:
                    waiting.put_nowait(entry)

    def _cut_off(self, waiting: asyncio.Queue[Entry | None]) -> None:
        self._listeners.discard(waiting)
        while not waiting.empty():
            waiting.get_nowait()
        waiting.put_nowait(None)


def live_data(entry: Entry) -> dict[str, Any]:
    """What a page is told of an entry."""
    return {
        name: getattr(entry, name)
        for name in ("seq", "at", "kind", "line_id", "station", "initials")
    }
