"""How long a sign-on has gone on, and since when nothing was heard of its browser.

By a clock that only goes forward, also while the laptop sleeps. What this server has not seen
counts from its start.
"""

from __future__ import annotations

from collections.abc import Callable

from app.records.clock import SystemClock

_CLOCK = SystemClock()

# A shift: from an hour before the polls open until the papers of the close are signed.
SHIFT_SECONDS = 16 * 3_600.0


class Sessions:
    """By the digest of the browser's secret. Used from one event loop."""

    def __init__(self, ticking: Callable[[], float] = _CLOCK.steady) -> None:
        self._ticking = ticking
        self._started = ticking()
        self._began: dict[str, float] = {}
        self._heard: dict[str, float] = {}
        self._slept: set[str] = set()

    def began(self, digest: str) -> None:
        """A worker has just signed on."""
        self._began[digest] = self._heard[digest] = self._ticking()

    def ended(self, digest: str) -> None:
        """Forget it."""
        self._began.pop(digest, None)
        self._heard.pop(digest, None)
        self._slept.discard(digest)

    def is_over(self, digest: str) -> bool:
        """Whether the shift is over that this sign-on was for."""
        return self._ticking() - self._began.get(digest, self._started) > SHIFT_SECONDS

    def was_silent(self, digest: str, idle_minutes: int) -> bool:
        """Whether its browser was ever silent for longer than a page may lie open uncovered; it
        is heard now. A page that is awake asks for the day every second.
        """
        now = self._ticking()
        silent = now - self._heard.get(digest, self._started)
        self._heard[digest] = now
        if idle_minutes and silent > idle_minutes * 60:
            self._slept.add(digest)
        return digest in self._slept
