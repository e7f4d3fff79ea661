"""How soon a PIN may be tried again: by a clock that only goes forward, never the wall's.

The record counts (`app.records.people`), so that a restart forgives nothing; here stands when.
What this server has not seen counts as if it had happened when it started. Used from several
threads: the writer's alone decides, the others only look.
"""

from __future__ import annotations

import math
import threading
import time
from collections.abc import Callable, Mapping

from app.records.people import MOST_TRIES, WrongPins
from app.rules.faults import PinLocked, PinWait

HOUR_SECONDS = 3_600.0

# Four slips cost nothing; from the fifth on each costs more, before the tenth locks.
WAIT_SECONDS: Mapping[int, float] = {5: 5.0, 6: 15.0, 7: 30.0, 8: 60.0, 9: 120.0}

# One station that tries everybody's PIN in turn: a table of ten has no so bad a morning.
STATION_FREE_TRIES = 20
STATION_FIRST_WAIT_SECONDS = 5.0
# Whoever works at that station waits too, so it must end while a voter still waits.
STATION_MOST_WAIT_SECONDS = 60.0

_NONE = WrongPins()


class PinTries:
    """`ticking` answers seconds that only ever go up."""

    def __init__(self, ticking: Callable[[], float] = time.monotonic) -> None:
        self._ticking = ticking
        self._started = ticking()
        self._times: dict[str, list[float]] = {}
        self._stations: dict[str, tuple[int, float]] = {}
        self._lock = threading.Lock()

    def recent(self, initials: str, kept: WrongPins) -> int:
        """How many wrong tries of the last hour there are."""
        with self._lock:
            return len(self._recent(initials, kept))

    def check(
        self,
        initials: str,
        kept: WrongPins,
        device: str,
        *,
        is_deciding: bool = False,
        elsewhere: WrongPins = _NONE,
    ) -> int:
        """How many of the last hour count; PinWait or PinLocked where none may be made now.

        `is_deciding`: asked in the writer's thread with what stands in the record, where another
        process may have forgiven some. `elsewhere` comes on top, and is never too old to count.
        """
        with self._lock:
            times = self._recent(initials, kept)
            times = times[max(0, len(times) - kept.recent) :]
            if is_deciding:
                self._times[initials] = times
            wrong = kept.wrong + elsewhere.wrong
            if WrongPins(wrong, len(times) + elsewhere.recent).is_locked:
                raise PinLocked
            wait = WAIT_SECONDS.get(min(wrong, MOST_TRIES - 1), 0.0)
            last = times[-1] if times else self._started
            self._hold(last, wait)
            count, at = self._stations.get(device, (0, 0.0))
            self._hold(at, _station_wait(count))
            return len(times)

    def counted(self, initials: str, device: str) -> None:
        """A try is about to be looked at."""
        with self._lock:
            self._times.setdefault(initials, []).append(self._ticking())
            count, _ = self._stations.get(device, (0, 0.0))
            self._stations[device] = count + 1, self._ticking()

    def right(self, initials: str, device: str) -> None:
        """The try was right, and no wrong one."""
        with self._lock:
            times = self._times.get(initials)
            if times:
                times.pop()
            self._stations.pop(device, None)

    def forgiven(self, initials: str) -> None:
        """By the lead: as if none had been made."""
        with self._lock:
            self._times[initials] = []

    def _recent(self, initials: str, kept: WrongPins) -> list[float]:
        times = self._times.get(initials)
        if times is None:
            times = [self._started] * kept.recent
        since = self._ticking() - HOUR_SECONDS
        times = [at for at in times if at > since]
        if times or initials in self._times:
            self._times[initials] = times
        return times

    def _hold(self, last: float, wait: float) -> None:
        left = last + wait - self._ticking()
        if wait and left > 0:
            raise PinWait(seconds=math.ceil(left))


def _station_wait(count: int) -> float:
    over = count - STATION_FREE_TRIES
    if over < 0:
        return 0.0
    doubled: float = STATION_FIRST_WAIT_SECONDS * 2.0 ** min(over, 8)
    return min(doubled, STATION_MOST_WAIT_SECONDS)
