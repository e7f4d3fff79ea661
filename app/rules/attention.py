"""What needs the lead now: what an item says, in which order they come, when a station is quiet.

Pure. Where the items come from is in `app.desk.attention`.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from datetime import datetime
from enum import StrEnum

# A page that is loaded anew, or a laptop that changes its network, is heard again within half a
# minute; a table that is silent for longer than it takes one voter to sign should be looked at.
QUIET_SECONDS = 60


class Need(StrEnum):
    """Each kind of thing that may need the lead."""

    LINE_CONTRADICTS = "line-contradicts"
    IRREGULARITY_OPEN = "irregularity-open"
    LATE_ROWS_OPEN = "late-rows-open"
    LATE_LIST_DRAFT = "late-list-draft"
    PAPER_LIST_OPEN = "paper-list-open"
    CODES_LOCKED = "codes-locked"
    HELPER_OVER_LIMIT = "helper-over-limit"
    READINGS_OFF = "readings-off"
    PAPER_HOURS_OPEN = "paper-hours-open"
    STATION_QUIET = "station-quiet"
    REFUSED_AT_THE_DOOR = "refused-at-the-door"
    COPY_FAILING = "copy-failing"
    OLD_LAPTOP_UNTOLD = "old-laptop-untold"
    DISK_NEARLY_FULL = "disk-nearly-full"


@dataclass(frozen=True, slots=True)
class Item:
    """One thing that needs the lead, since when, and what opens it.

    `about` tells it from others of its kind, the same each time. `facts` are for a sentence:
    no birth date, no mother's name, and nothing that people wrote in their own words.
    """

    need: Need
    since: datetime
    about: str
    facts: Mapping[str, object] = field(default_factory=dict)
    line_id: str | None = None
    list_id: str | None = None
    irregularity_seq: int | None = None
    station: str | None = None

    @property
    def key(self) -> str:
        return f"{self.need.value}:{self.about}"


def oldest_first(items: Iterable[Item]) -> list[Item]:
    """Whoever waits longest comes first; what began together, by key."""
    return sorted(items, key=lambda item: (item.since, item.key))


def is_quiet(silent_seconds: float) -> bool:
    """Whether a station where somebody is signed on has been silent for too long."""
    return silent_seconds > QUIET_SECONDS


def contradicting_since(acts: Iterable[datetime | None], loaded: datetime) -> datetime:
    """When a line began to contradict itself: when the second of its facts came.

    `acts` are the times of the facts, None for what came printed; there are at least two facts.
    """
    first, second, *_ = sorted(loaded if at is None else at for at in acts)
    return max(first, second)
