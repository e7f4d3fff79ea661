"""The clock, passed in wherever a time is written down.

Wall time is shown and recorded, never used to decide: order is the log's `seq`.
"""

from __future__ import annotations

import time
from datetime import UTC, datetime
from typing import Protocol, runtime_checkable


class Clock(Protocol):
    def now(self) -> datetime:
        """The wall time, aware, in UTC."""
        ...


@runtime_checkable
class Steady(Protocol):
    """A clock that also knows how much time has passed, however its wall time is set."""

    def steady(self) -> float:
        """Seconds since some moment; goes on while the laptop sleeps, and never back."""
        ...


class SystemClock:
    """The laptop's own clock."""

    def now(self) -> datetime:
        return datetime.now(UTC)

    def steady(self) -> float:
        return _passed()


# The clock that goes on while a laptop sleeps: the first under Linux, the second under macOS;
# Windows has neither, and there `time.monotonic` does.
_PASSING: int | None = getattr(time, "CLOCK_BOOTTIME", getattr(time, "CLOCK_MONOTONIC", None))


def _passed() -> float:
    return time.monotonic() if _PASSING is None else time.clock_gettime(_PASSING)


def to_text(at: datetime) -> str:
    """`2027-03-02T14:05:09.123Z`: ISO 8601, UTC, milliseconds, the form that is hashed."""
    return at.astimezone(UTC).isoformat(timespec="milliseconds").replace("+00:00", "Z")


def from_text(text: str) -> datetime:
    """The inverse of `to_text`; ValueError for anything that is no date and time."""
    return datetime.fromisoformat(text)
