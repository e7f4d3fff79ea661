"""What a cause of a difference is looked for in, and what one that is found says.

Pure. `Scene` holds the facts of the day, the balance that does not come out, and who can be
mistaken for whom; it also says between which times the difference arose, where the counters were
read during the day.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import datetime
from functools import cached_property
from typing import Literal

from app.rules.balance import Balance
from app.rules.day_facts import DayFacts, Point, Signed
from app.rules.machine_readings import ONE_ROUND, STILL_VOTING, Reading, placed

Explains = Literal["machines", "marks", "buttons", "protective", "ballots"]


@dataclass(frozen=True, slots=True)
class Span:
    """A time to look at; None is open at that end."""

    begins: datetime | None
    ends: datetime | None


@dataclass(frozen=True, slots=True)
class Found:
    """One thing that would explain a difference.

    `delta`: what it adds to the difference. `evidence` are codes of `app.rules.cause_weights`.
    `about` tells two of a code apart that are two things, such as two lists.
    """

    code: str
    explains: Explains
    delta: int
    evidence: tuple[str, ...] = ()
    facts: Mapping[str, object] = field(default_factory=dict)
    lines: tuple[str, ...] = ()
    serials: tuple[str, ...] = ()
    entries: tuple[int, ...] = ()
    times: tuple[Span, ...] = ()
    about: str = ""


@dataclass(frozen=True, slots=True)
class Suspect:
    """One person or paper that would account for one ballot, and what speaks for it."""

    points: tuple[Point, ...]
    evidence: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Round:
    """All machines read on one walk, and by how much they were ahead of the table.

    `ahead_least`: of all who had signed; `ahead_most`: of those who must have voted by then.
    What is wrong by then lies between the two.
    """

    at: datetime
    ahead_least: int
    ahead_most: int


@dataclass
class Scene:
    """`alike`: the lines that each line can be mistaken for. `packaged`: protective counters."""

    facts: DayFacts
    balance: Balance
    alike: Mapping[str, frozenset[str]]
    packaged: Mapping[str, int]

    @cached_property
    def difference(self) -> int:
        """Machines less signatures, of what is read so far; nothing read is no ballot counted."""
        so_far = self.balance.so_far
        if so_far is None:
            return -self.balance.terms.expected if self.balance.missing else 0
        return so_far

    @cached_property
    def readings(self) -> list[Reading]:
        return placed(self.facts.readings)

    @cached_property
    def voting(self) -> list[Signed]:
        return self.facts.voting

    @cached_property
    def by_line(self) -> dict[str, Signed]:
        return {one.line_id: one for one in self.voting}

    @cached_property
    def window(self) -> Span:
        """Between which times the difference arose, as far as readings during the day tell."""
        difference = self.difference
        if difference > 0:
            seen = [one.at for one in self.rounds if one.ahead_least >= difference]
            clear = [one.at for one in self.rounds if one.ahead_most < difference]
        else:
            seen = [one.at for one in self.rounds if one.ahead_most <= difference]
            clear = [one.at for one in self.rounds if one.ahead_least > difference]
        return Span(clear[-1] if clear else None, seen[0] if seen else None)

    @cached_property
    def rounds(self) -> list[Round]:
        """Each time at which all machines had been read within one walk, before the close."""
        serials = [one.serial for one in self.balance.machines]
        latest: dict[str, Reading] = {}
        found = []
        for reading in (one for one in self.readings if one.at_moment == "during"):
            latest[reading.serial] = reading
            at = self.read_at(reading)
            fresh = [one for one in latest.values() if at - self.read_at(one) <= ONE_ROUND]
            if len(fresh) == len(serials):
                found.append(self._round(at, fresh))
        return found

    def read_at(self, reading: Reading) -> datetime:
        return self.facts.read_at[reading.place]

    def expected_by(self, seq: int, at: datetime | None = None) -> int:
        """How many had signed and not left before an entry, and by a time."""
        return sum(
            change.by
            for change in self.facts.changes
            if change.seq < seq and (at is None or change.at <= at)
        )

    def in_window(self, at: datetime) -> bool | None:
        """None where no reading of the day tells when the difference arose."""
        window = self.window
        if window.begins is None and window.ends is None:
            return None
        return (window.begins is None or at >= window.begins) and (
            window.ends is None or at <= window.ends
        )

    def time_evidence(self, at: datetime) -> tuple[str, ...]:
        is_in = self.in_window(at)
        return () if is_in is None else ("in-window",) if is_in else ("out-of-window",)

    def signed_alike(self, line_id: str) -> list[Signed]:
        """The look-alikes of a line whose voters signed."""
        others = (self.by_line.get(other) for other in sorted(self.alike.get(line_id, ())))
        return [one for one in others if one]

    def noted(self, line_id: str, since: datetime | None = None) -> bool:
        """Whether somebody wrote up an irregularity about the line."""
        return any(
            note.line_id == line_id and (since is None or note.at >= since)
            for note in self.facts.notes
        )

    def _round(self, at: datetime, fresh: Sequence[Reading]) -> Round:
        machines = sum(one.public for one in fresh)
        first = min(fresh, key=lambda one: one.place)
        most = self.expected_by(max(one.place for one in fresh))
        least = self.expected_by(first.place, self.read_at(first) - STILL_VOTING)
        return Round(at, machines - most, machines - least)


def minutes_between(one: Point, other: Point) -> float:
    return abs((one.at - other.at).total_seconds()) / 60


def lines_of(suspects: Iterable[Suspect]) -> tuple[str, ...]:
    """Their lines, each once, in order."""
    points = (point for suspect in suspects for point in suspect.points)
    return tuple(dict.fromkeys(point.line_id for point in points if point.line_id))


def entries_of(suspects: Iterable[Suspect]) -> tuple[int, ...]:
    points = (point for suspect in suspects for point in suspect.points)
    return tuple(dict.fromkeys(point.seq for point in points))


def spans_of(suspects: Iterable[Suspect]) -> tuple[Span, ...]:
    """When each of them was at the table."""
    return tuple(
        Span(min(point.at for point in one.points), max(point.at for point in one.points))
        for one in suspects
    )
