"""Who really voted, where and when, and who plays whom: what stands beside the record.

The record never sees this; the counters of the machines show it, as they would on the day.
"""

from __future__ import annotations

import random
from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import datetime, timedelta
from zoneinfo import ZoneInfo

from app.records.clock import Clock
from app.rules.line import Line, Part

PACKAGED = {"TM-0417": 18_233, "TM-0418": 17_960}
SERIALS = tuple(PACKAGED)
BUTTONS = (1, 2, 3)

# With seven people who have a story of their own, 900 signatures.
BEFORE_PAPER, ON_PAPER, AFTER_PAPER = 690, 36, 167
ON_LISTS = {"early": 20, "mail": 40, "paper": 25}


def local(text: str) -> datetime:
    """A time of the day in Tern County, `HH:MM`."""
    return datetime.fromisoformat(f"2027-03-02T{text}").replace(tzinfo=ZoneInfo("America/New_York"))


class WallClock(Clock):
    """Stands where the day puts it."""

    def __init__(self) -> None:
        self.at = local("05:45")

    def now(self) -> datetime:
        return self.at


@dataclass(frozen=True, slots=True)
class Vote:
    at: datetime
    serial: str
    button: int


@dataclass
class Truth:
    """Every ballot that a machine took."""

    rng: random.Random = field(default_factory=lambda: random.Random(417))
    votes: list[Vote] = field(default_factory=list)

    def vote(self, at: datetime, button: int | None) -> None:
        serial = self.rng.choices(SERIALS, (5, 4))[0]
        self.votes.append(Vote(at, serial, button or BUTTONS[0]))

    def vote_after(self, signed: datetime, button: int | None) -> None:
        """Some minutes in the booth after the table."""
        self.vote(signed + timedelta(seconds=self.rng.randint(120, 540)), button)

    def public(self, serial: str, at: datetime) -> int:
        return sum(1 for _ in self._on(serial, at))

    def by_button(self, serial: str, at: datetime) -> dict[str, int]:
        counted = Counter(vote.button for vote in self._on(serial, at))
        return {str(button): counted[button] for button in BUTTONS}

    def times(self, begins: str, ends: str, count: int) -> list[datetime]:
        """When so many people come to the table between two times, in order."""
        seconds = int((local(ends) - local(begins)).total_seconds())
        chosen = sorted(self.rng.randint(0, seconds) for _ in range(count))
        return [local(begins) + timedelta(seconds=second) for second in chosen]

    def _on(self, serial: str, at: datetime) -> Iterator[Vote]:
        return (vote for vote in self.votes if vote.serial == serial and vote.at <= at)


@dataclass(frozen=True)
class Cast:
    """Who plays whom. Of a pair the first stays at home and can be mistaken for the second."""

    before_paper: Sequence[Line]
    on_paper: Sequence[Line]
    after_paper: Sequence[Line]
    moved: tuple[Line, Line]
    twins: tuple[Line, Line]
    paper_pair: tuple[Line, Line]
    helped: Line
    leaves: Line
    unmarked: Line
    next_ballot: Line
    spare: Line
    lists: Mapping[str, Sequence[Line]]


def cast_of(lines: Sequence[Line]) -> Cast:
    """The people of the sample register by their numbers, so that each run has the same day."""
    printed = [line for line in lines if line.printed.part is Part.REGISTER]
    ordered = sorted(printed, key=lambda line: line.printed.voter_number)
    plain = {line.line_id: line for line in ordered if _is_plain(line)}
    moved, twins, paper_pair = (next(_pairs(plain)) for _ in range(3))
    rest = list(plain.values())
    random.Random(1800).shuffle(rest)
    take = iter(rest)
    several = {name: [next(take) for _ in range(count)] for name, count in ON_LISTS.items()}
    return Cast(
        [next(take) for _ in range(BEFORE_PAPER)],
        [paper_pair[1], *(next(take) for _ in range(ON_PAPER - 1))],
        [next(take) for _ in range(AFTER_PAPER)],
        moved,
        twins,
        paper_pair,
        next(line for line in ordered if _is_only_helped(line)),
        next(take),
        next(line for line in ordered if _is_only_mailed(line)),
        next(take),
        next(take),
        several,
    )


def _pairs(plain: dict[str, Line]) -> Iterator[tuple[Line, Line]]:
    """Two lines that are like each other and like nobody else; they are taken out of `plain`."""
    for line_id, line in list(plain.items()):
        other = plain.get(line.look_alikes[0]) if len(line.look_alikes) == 1 else None
        if other and other.look_alikes == (line_id,):
            yield plain.pop(line_id), plain.pop(other.line_id)


def _is_plain(line: Line) -> bool:
    """Nothing is to be done before the signature, but to tell look-alikes apart."""
    printed = line.printed
    notes = (printed.assistance, printed.address_confirmation, printed.inactive)
    return not any((*notes, printed.first_time_by_mail, printed.marks))


def _is_only_helped(line: Line) -> bool:
    printed = line.printed
    others = (printed.address_confirmation, printed.inactive, printed.first_time_by_mail)
    return printed.assistance and not any((*others, printed.marks, line.look_alikes))


def _is_only_mailed(line: Line) -> bool:
    printed = line.printed
    notes = (printed.assistance, printed.address_confirmation, printed.inactive)
    sources = [mark.source for mark in printed.marks]
    return sources == ["mail-voted.csv"] and not any((*notes, printed.first_time_by_mail))
