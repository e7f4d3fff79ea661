"""When each station was last heard of: kept in memory alone, for the log is no place for it.

A ticking clock that never jumps decides (wall time is shown, never used to decide). Used from
one event loop.
"""

from __future__ import annotations

import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager


class Stations:
    """`ticking` answers seconds that only ever go up."""

    def __init__(self, ticking: Callable[[], float] = time.monotonic) -> None:
        self._ticking = ticking
        self._started = ticking()
        self._heard: dict[str, float] = {}
        self._open: dict[str, int] = {}

    def heard(self, station: str) -> None:
        """A page at the station has just called."""
        self._heard[station] = self._ticking()

    @contextmanager
    def listening(self, station: str) -> Iterator[None]:
        """While a page at the station has its live stream open."""
        self._open[station] = self._open.get(station, 0) + 1
        try:
            yield
        finally:
            self._open[station] -= 1
            self.heard(station)

    def was_heard(self, station: str) -> bool:
        """Whether a page there has called here since the start, or signed on."""
        return station in self._heard or station in self._open

    def silent_seconds(self, station: str) -> float:
        """Since a page there was last heard; 0 while one listens.

        After a restart nobody was heard yet: everybody has been silent since then.
        """
        if self._open.get(station):
            return 0.0
        return self._ticking() - self._heard.get(station, self._started)
