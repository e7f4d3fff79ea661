"""The clock, passed in wherever a time is written down.

Wall time is shown and recorded, never used to decide: order is the log's `seq`.
"""

from __future__ import annotations

from datetime import UTC, datetime
from typing import Protocol


class Clock(Protocol):
    def now(self) -> datetime:
        """The wall time, aware, in UTC."""
        ...


class SystemClock:
    """The laptop's own clock."""

    def now(self) -> datetime:
        return datetime.now(UTC)


def to_text(at: datetime) -> str:
    """`2027-03-02T14:05:09.123Z`: ISO 8601, UTC, milliseconds, the form that is hashed."""
    return at.astimezone(UTC).isoformat(timespec="milliseconds").replace("+00:00", "Z")


def from_text(text: str) -> datetime:
    """The inverse of `to_text`; ValueError for anything that is no date and time."""
    return datetime.fromisoformat(text)
