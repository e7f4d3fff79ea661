"""Telling every open page what was just recorded: no names, no birth dates, only identifiers."""

from __future__ import annotations

import asyncio
from collections.abc import AsyncIterator, Iterable, Iterator, Sequence
from contextlib import contextmanager, suppress
from dataclasses import dataclass
from typing import Any

from app.records.entry import Entry

# A page this far behind has gone to sleep; it is cut off and loads afresh when it wakes.
MOST_WAITING = 1_000


@dataclass(frozen=True, slots=True)
class Told:
    """One thing that pages are told. `line_ids` are the lines that a whole list touched;
    `last_seq` is its last entry, or the entry itself.
    """

    entry: Entry
    last_seq: int
    line_ids: tuple[str, ...] = ()


def together(entries: Sequence[Entry]) -> Iterator[Told]:
    """Entries to be told, those of a list that was applied as one.

    A list of 5,000 rows would be 5,000 messages to every page, each of which may have the one
    line open that matters.
    """
    place = 0
    while place < len(entries):
        entry = entries[place]
        place += 1
        if entry.kind != "late_list.applied":
            yield Told(entry, entry.seq)
            continue
        touched: dict[str, None] = {}
        last = entry
        while place < len(entries) and entries[place].body.get("list_seq") == entry.seq:
            last = entries[place]
            touched.update({last.line_id: None} if last.line_id else {})
            place += 1
        yield Told(entry, last.seq, tuple(touched))


@dataclass(frozen=True, slots=True)
class Turned:
    """At a laptop that follows: how it stands, from now on."""

    standby: dict[str, Any]


class Live:
    """Carries entries from the writer's thread to the pages on the event loop."""

    def __init__(self) -> None:
        self._loop: asyncio.AbstractEventLoop | None = None
        # Each with what it may be let go by: its station, its sign-on.
        self._listeners: dict[asyncio.Queue[Told | Turned | None], frozenset[str]] = {}

    def start(self) -> None:
        """Call on the event loop before the first page listens."""
        self._loop = asyncio.get_running_loop()

    def announce(self, entries: Sequence[Entry]) -> None:
        """Called from the writer's thread after a commit."""
        if self._loop:
            with suppress(RuntimeError):  # the loop is closing: nobody listens any more
                self._loop.call_soon_threadsafe(self._spread, list(together(entries)))

    def turned(self, standby: dict[str, Any]) -> None:
        """Called from the follower's thread."""
        if self._loop:
            with suppress(RuntimeError):
                self._loop.call_soon_threadsafe(self._spread, [Turned(standby)])

    async def told(self, *known_by: str) -> AsyncIterator[Told | Turned]:
        """What is recorded from now on, until the listener is cut off or the server stops.

        `known_by` is what `let_go` knows it by.
        """
        with self._listening(known_by) as waiting:
            while (one := await waiting.get()) is not None:
                yield one

    def stop(self) -> None:
        """Let every listener go."""
        for waiting in tuple(self._listeners):
            self._cut_off(waiting)

    def let_all_go(self) -> None:
        """As `stop`, from another thread; whoever still may, listens again at once."""
        if self._loop:
            with suppress(RuntimeError):
                self._loop.call_soon_threadsafe(self.stop)

    def let_go(self, known_by: str) -> None:
        """Cut off the listeners of a station that was taken out, or of a sign-on that was ended."""
        for waiting, names in tuple(self._listeners.items()):
            if known_by in names:
                self._cut_off(waiting)

    def rename(self, before: str, after: str) -> None:
        """Whoever signed on anew at a page goes on listening; `let_go` knows them by `after`."""
        for waiting, names in tuple(self._listeners.items()):
            if before in names:
                self._listeners[waiting] = (names - {before}) | {after}

    @contextmanager
    def _listening(self, known_by: Iterable[str] = ()) -> Any:
        waiting: asyncio.Queue[Told | Turned | None] = asyncio.Queue(MOST_WAITING)
        self._listeners[waiting] = frozenset(known_by)
        try:
            yield waiting
        finally:
            self._listeners.pop(waiting, None)

    def _spread(self, told: Sequence[Told | Turned]) -> None:
        for waiting in tuple(self._listeners):
            if waiting.qsize() + len(told) >= MOST_WAITING:
                self._cut_off(waiting)
            else:
                for one in told:
                    waiting.put_nowait(one)

    def _cut_off(self, waiting: asyncio.Queue[Told | Turned | None]) -> None:
        self._listeners.pop(waiting, None)
        while not waiting.empty():
            waiting.get_nowait()
        waiting.put_nowait(None)


def live_data(told: Told) -> dict[str, Any]:
    """What a page is told."""
    names = ("at", "kind", "line_id", "station", "initials")
    kept = {name: getattr(told.entry, name) for name in names}
    return {"seq": told.last_seq, **kept, "line_ids": list(told.line_ids)}
