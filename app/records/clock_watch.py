"""Noticing that the laptop's clock was set. Nothing is decided by it; it is written down.

While the program runs, the wall time is compared with a clock that only goes forward.
At its start only a wall time before the last entry's tells anything: how long the laptop
was off nobody knows.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime, timedelta

from sqlalchemy import Connection, select

from app.records import queries
from app.records.bodies_trust import ClockJumped
from app.records.clock import Clock, Steady, from_text, to_text

# Less is a clock that is put right by the network, or runs badly.
LARGEST_STEP = timedelta(minutes=2)

_LAST = select(queries.day_log.c.at).order_by(queries.day_log.c.seq.desc()).limit(1)


@dataclass(frozen=True, slots=True)
class _Seen:
    """The wall time at a moment, and the steady clock's; None for a moment before this start."""

    wall: datetime
    steady: float | None


class ClockWatch:
    """Belongs to one writer. `jumped` inside a transaction, `settle` once that is durable."""

    def __init__(self, clock: Clock) -> None:
        self._clock = clock
        self._seen: _Seen | None = None
        self._looked: _Seen | None = None

    def jumped(self, connection: Connection) -> ClockJumped | None:
        """What to write down now; None where the clock goes as it should."""
        before = self._seen or _of_last_entry(connection)
        now = _Seen(self._clock.now(), _steady(self._clock))
        self._looked = now
        if before is None:
            return None
        expected = before.wall
        is_timed = before.steady is not None and now.steady is not None
        if before.steady is not None and now.steady is not None:
            expected += timedelta(seconds=now.steady - before.steady)
        step = now.wall - expected
        if step < -LARGEST_STEP or (is_timed and step > LARGEST_STEP):
            return ClockJumped(
                before=to_text(expected),
                now=to_text(now.wall),
                by_seconds=round(step.total_seconds()),
            )
        # Many small steps are a large one: what was seen first stays what is compared with.
        if self._seen is not None and is_timed:
            self._looked = self._seen
        return None

    def settle(self) -> None:
        """What `jumped` last answered has been written down durably."""
        self._seen = self._looked


def _of_last_entry(connection: Connection) -> _Seen | None:
    at = connection.execute(_LAST).scalar()
    return None if at is None else _Seen(from_text(str(at)), None)


def _steady(clock: Clock) -> float | None:
    return clock.steady() if isinstance(clock, Steady) else None
