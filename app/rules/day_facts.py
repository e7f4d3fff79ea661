"""What the log says of the day, as the balance and the causes of a difference need it.

Values alone; `app.rules.day_gathering` fills them from the entries.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import datetime
from typing import Literal

from app.rules.machine_readings import Reading
from app.rules.paper_ballots import Counted


@dataclass(frozen=True, slots=True)
class CaughtUp:
    """From the paper register: the local time written there, blank where none is, and the place.

    `order` is which signature of the `page`, `hour` which of the times on paper.
    """

    at: str
    order: int
    page: int = 1
    hour: int = 0

    @property
    def place(self) -> tuple[int, int, int]:
        return self.hour, self.page, self.order


@dataclass(frozen=True, slots=True)
class Point:
    """An entry as a place in the day, and the line it is about."""

    seq: int
    at: datetime
    station: str
    line_id: str


@dataclass(frozen=True, slots=True)
class Signed(Point):
    """A signature that stands. `moved_from` is the line it was moved from."""

    button: int | None = None
    told_apart: bool | None = None
    moved_from: str | None = None
    caught_up: CaughtUp | None = None


@dataclass(frozen=True, slots=True)
class Withdrawn(Point):
    """A signature that was withdrawn. `signed` is the one that stood there."""

    signed: Signed
    why: str
    moved_to: str | None


@dataclass(frozen=True, slots=True)
class Enveloped(Point):
    """A provisional ballot that stands; `line_id` is blank where the person is on no line."""

    button: int | None = None


@dataclass(frozen=True, slots=True)
class Note(Point):
    """An irregularity; `line_id` is blank where it is about no line."""

    about: str
    code: str


@dataclass(slots=True)
class ListTotal:
    """A late list: rows that count, and how many are printed on it or stand in the file."""

    seq: int
    at: datetime
    name: str
    list_kind: str
    total: int
    is_paper: bool
    keyed: dict[int, str] = field(default_factory=dict)
    twice: int = 0
    open: int = 0
    finished: datetime | None = None
    reason: str = ""

    @property
    def count(self) -> int:
        return len(self.keyed) if self.is_paper else self.total - self.open


@dataclass(slots=True)
class PaperTime:
    """A time in which the table worked on paper. `lines`: how many were caught up and signed,
    as was said. `begins` is the local time from when, as was said.
    """

    seq: int
    at: datetime
    finished: datetime | None = None
    lines: int | None = None
    begins: str = ""


@dataclass(frozen=True, slots=True)
class BallotCount:
    what: Counted
    count: int
    seq: int
    replaces: int | None


@dataclass(frozen=True, slots=True)
class Change:
    """By how much an entry changed the number of ballots that the machines should have."""

    seq: int
    at: datetime
    by: int


@dataclass(slots=True)
class DayFacts:
    """`signed`, `left` and `steps` by line_id; `added` says whether a line came by a list or an
    affidavit; `marked` are lines with a mark of today, each with the entries of the marks.

    `steps` are lines on which a first step was recorded, `left` the signed who left without
    voting, `returned` those of whom it was taken back.
    """

    signed: dict[str, Signed] = field(default_factory=dict)
    left: set[str] = field(default_factory=set)
    returned: dict[str, int] = field(default_factory=dict)
    withdrawn: list[Withdrawn] = field(default_factory=list)
    added: dict[str, Literal["list", "affidavit"]] = field(default_factory=dict)
    steps: dict[str, Point] = field(default_factory=dict)
    provisional: dict[int, Enveloped] = field(default_factory=dict)
    provisional_recorded: int = 0
    provisional_withdrawn: int = 0
    marked: dict[str, list[Point]] = field(default_factory=dict)
    lists: dict[int, ListTotal] = field(default_factory=dict)
    readings: list[Reading] = field(default_factory=list)
    read_at: dict[int, datetime] = field(default_factory=dict)
    ballots: list[BallotCount] = field(default_factory=list)
    paper: list[PaperTime] = field(default_factory=list)
    notes: list[Note] = field(default_factory=list)
    corrected_buttons: dict[str, int] = field(default_factory=dict)
    changes: list[Change] = field(default_factory=list)

    @property
    def voting(self) -> list[Signed]:
        """The signatures whose voters should have voted, oldest first."""
        return sorted(
            (one for line_id, one in self.signed.items() if line_id not in self.left),
            key=lambda one: one.seq,
        )
