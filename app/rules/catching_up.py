"""Catching up what was signed on paper: which times can be true, how the day stood, what is odd.

Pure. A signature on paper is a fact: the voter has signed and most likely voted. So nothing that
is keyed is thrown away; what contradicts it stands beside it (`contradiction_with_paper` in
`late_list`).
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Collection, Iterable, Iterator
from dataclasses import dataclass, replace
from datetime import UTC, date, datetime, time, tzinfo
from typing import Literal

from app.rules.doubts import Doubt
from app.rules.line import LineState
from app.rules.moment import DayState
from app.rules.setting import Election

# signed: the signature stands on the line. duplicate: the line was signed already. waits: the
# person is on no line. no_line: the lead wrote why it stays without one.
Effect = Literal["signed", "duplicate", "waits", "no_line"]
WhyNot = Literal["future", "before-opening", "after-closing"]

# Without these a row cannot be meant for the line, or there is no day yet: never keyed anyway.
NEVER_ANYWAY = frozenset({"polls-not-open", "not-this-line"})


@dataclass(frozen=True, slots=True)
class Row:
    """A row that was keyed. `time` is blank where the paper has none."""

    number: int
    line_id: str | None
    time: str
    page: int
    order: int
    effect: Effect
    is_undone: bool = False

    @property
    def place(self) -> tuple[int, int]:
        return self.page, self.order


@dataclass(frozen=True, slots=True)
class Tally:
    """keyed = signed + duplicates + waiting + no_line + undone."""

    signed: int = 0
    duplicates: int = 0
    waiting: int = 0
    undone: int = 0
    no_line: int = 0

    @property
    def standing(self) -> int:
        return self.signed + self.duplicates + self.waiting + self.no_line

    @property
    def keyed(self) -> int:
        return self.standing + self.undone


def tally(rows: Iterable[Row]) -> Tally:
    counted = Counter("undone" if row.is_undone else row.effect for row in rows)
    return Tally(
        counted["signed"],
        counted["duplicate"],
        counted["waits"],
        counted["undone"],
        counted["no_line"],
    )


@dataclass(frozen=True, slots=True)
class Bounds:
    """From when until when somebody can have signed on paper; `closed` None: not yet."""

    earliest: datetime
    now: datetime
    closed: datetime | None

    @property
    def latest(self) -> datetime:
        return min(self.now, self.closed) if self.closed else self.now

    def why_not(self, moment: datetime) -> WhyNot | None:
        """Why nobody can have signed then, None where they can."""
        if self.closed and moment > self.closed:
            return "after-closing"
        if moment > self.now:
            return "future"
        return "before-opening" if moment < self.earliest else None


def bounds(election: Election, day: DayState, zone: tzinfo, now: datetime) -> Bounds:
    """The polls may have been opened on paper, before the record says so: the hours count too."""
    opens = moment_of(day_of(day, zone, now), election.opens.strftime("%H:%M"), zone)
    opened = min(opens, to_minute(day.opened.at)) if day.opened else opens
    return Bounds(opened, now, day.closed.at if day.closed else None)


def day_of(day: DayState, zone: tzinfo, now: datetime) -> date:
    """The day that times on paper are of; what is keyed after midnight is still of yesterday."""
    return (day.opened.at if day.opened else now).astimezone(zone).date()


def moment_of(on: date, local: str, zone: tzinfo) -> datetime:
    """`14:20` of that day at the polling place as a moment."""
    return datetime.combine(on, time.fromisoformat(local), zone).astimezone(UTC)


def to_minute(at: datetime) -> datetime:
    """Paper knows minutes."""
    return at.replace(second=0, microsecond=0)


def day_then(day: DayState, moment: datetime | None) -> DayState:
    """How the day stood when somebody signed on paper; None: nobody knows when.

    Who signed in the minute of the cut-off, signed before it. Where nobody knows when, the place
    in line is asked. That they signed before the closing is for `Bounds` to say.
    """
    cut_off = day.cut_off
    if cut_off and moment is not None and moment <= to_minute(cut_off.at):
        cut_off = None
    return replace(day, cut_off=cut_off, closed=None)


def without_what_stands(state: LineState) -> LineState:
    """The line as it is judged for a signature that was given already: only steps and the day.

    What else stands there contradicts the signature; it does not undo it.
    """
    return replace(
        state, marks=(), signature=None, also_on_paper=(), removed=None, provisional=None
    )


def doubts(
    row: Row, before: Iterable[Row], look_alikes: Collection[str], hours: tuple[str, str]
) -> Iterator[Doubt]:
    """What is odd about a row beside those keyed before; it is recorded all the same.

    A look-alike at the same time or place is the likeliest double entry. `hours` are those of
    the paper as they were said, each blank where not.
    """
    for other in before:
        if other.is_undone or other.line_id == row.line_id:
            continue
        facts = {
            "row_number": other.number,
            "time": other.time,
            "page": other.page,
            "order": other.order,
        }
        if other.place == row.place:
            yield Doubt("place-keyed", facts)
        same = _what_is_same(row, other)
        if same and other.line_id in look_alikes:
            yield Doubt("alike-keyed", {**facts, "same": same, "line_id": other.line_id})
    begins, ends = hours
    if row.time and ((begins and row.time < begins) or (ends and row.time > ends)):
        facts = {"time": row.time, "from": begins, "until": ends}
        yield Doubt("outside-paper-hours", facts)


def _what_is_same(row: Row, other: Row) -> str:
    if row.time and row.time == other.time:
        return "time"
    return "order" if row.order == other.order else ""
