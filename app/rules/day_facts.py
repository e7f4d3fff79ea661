"""What the log says of the day, gathered for the balance and for the causes of a difference.

Pure: entries in, facts out. Nothing but the entries is asked, so that whoever has the log alone
can gather the same. `Logged` is the shape of an entry, wherever it comes from.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, field
from datetime import datetime
from typing import Any, Literal, Protocol

from app.rules.machine_readings import Reading
from app.rules.paper_ballots import Counted


class Logged(Protocol):
    """An entry of the day log, as far as it is needed here."""

    @property
    def seq(self) -> int: ...
    @property
    def at(self) -> str: ...
    @property
    def station(self) -> str: ...
    @property
    def kind(self) -> str: ...
    @property
    def line_id(self) -> str | None: ...
    @property
    def body(self) -> Mapping[str, Any]: ...


@dataclass(frozen=True, slots=True)
class CaughtUp:
    """From the paper register: the local time written there, and the running number of the line."""

    at: str
    order: int


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

    @property
    def count(self) -> int:
        return len(self.keyed) if self.is_paper else self.total - self.open


@dataclass(slots=True)
class PaperTime:
    """A time in which the table worked on paper. `lines` is what was caught up, as was said."""

    seq: int
    at: datetime
    finished: datetime | None = None
    lines: int | None = None


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

    def add(self, entry: Logged) -> None:
        """Take one entry in; they come in order."""
        gather = _GATHER.get(entry.kind)
        if gather:
            gather(self, entry, datetime.fromisoformat(entry.at))


def gathered(entries: Iterable[Logged]) -> DayFacts:
    """The facts of the entries, which come in order; kinds that say nothing here may be there."""
    facts = DayFacts()
    for entry in entries:
        facts.add(entry)
    return facts


def _signature(facts: DayFacts, entry: Logged, at: datetime) -> None:
    body, line_id = entry.body, str(entry.line_id)
    paper = body.get("caught_up")
    facts.signed[line_id] = Signed(
        entry.seq,
        at,
        entry.station,
        line_id,
        body["ballot_button"],
        body["told_apart"],
        body.get("moved_from"),
        CaughtUp(paper["at"], paper["order"]) if paper else None,
    )
    facts.changes.append(Change(entry.seq, at, 1))


def _withdrawal(facts: DayFacts, entry: Logged, at: datetime) -> None:
    line_id = str(entry.line_id)
    signed = facts.signed.pop(line_id)
    counted = line_id not in facts.left
    facts.left.discard(line_id)
    body = entry.body
    facts.withdrawn.append(
        Withdrawn(
            entry.seq, at, entry.station, line_id, signed, body.get("why", ""), body.get("moved_to")
        )
    )
    facts.changes.append(Change(entry.seq, at, -1 if counted else 0))


def _left(facts: DayFacts, entry: Logged, at: datetime) -> None:
    facts.left.add(str(entry.line_id))
    facts.changes.append(Change(entry.seq, at, -1))


def _returned(facts: DayFacts, entry: Logged, at: datetime) -> None:
    facts.left.discard(str(entry.line_id))
    facts.returned[str(entry.line_id)] = entry.seq
    facts.changes.append(Change(entry.seq, at, 1))


def _line_added(facts: DayFacts, entry: Logged, _at: datetime) -> None:
    by_list = entry.body.get("list_seq") is not None
    facts.added[str(entry.line_id)] = "list" if by_list else "affidavit"


def _step(facts: DayFacts, entry: Logged, at: datetime) -> None:
    line_id = str(entry.line_id)
    facts.steps[line_id] = Point(entry.seq, at, entry.station, line_id)


def _provisional(facts: DayFacts, entry: Logged, at: datetime) -> None:
    facts.provisional_recorded += 1
    button = entry.body["ballot_button"]
    facts.provisional[entry.seq] = Enveloped(
        entry.seq, at, entry.station, entry.line_id or "", button
    )


def _provisional_withdrawn(facts: DayFacts, entry: Logged, _at: datetime) -> None:
    facts.provisional_withdrawn += 1
    facts.provisional.pop(entry.body["provisional_seq"], None)


def _marked(facts: DayFacts, entry: Logged, at: datetime) -> None:
    line_id = str(entry.line_id)
    facts.marked.setdefault(line_id, []).append(Point(entry.seq, at, entry.station, line_id))


def _mark_withdrawn(facts: DayFacts, entry: Logged, _at: datetime) -> None:
    seq, line_id = entry.body.get("mark_seq"), str(entry.line_id)
    kept = [one for one in facts.marked.get(line_id, []) if seq is not None and one.seq != seq]
    facts.marked[line_id] = kept


def _list_began(facts: DayFacts, entry: Logged, at: datetime) -> None:
    body, is_paper = entry.body, entry.kind == "late_list.started"
    total = body["printed_total"] if is_paper else body["rows"]
    facts.lists[entry.seq] = ListTotal(
        entry.seq, at, body["name"], body["list_kind"], total, is_paper, open=body.get("open", 0)
    )


def _row_settled(facts: DayFacts, entry: Logged, _at: datetime) -> None:
    of = facts.lists.get(entry.body["list_seq"])
    if of and not of.is_paper and entry.body["row_number"] is not None:
        of.open -= 1


def _row_keyed(facts: DayFacts, entry: Logged, _at: datetime) -> None:
    of = facts.lists[entry.body["list_seq"]]
    of.keyed[entry.body["row_number"]] = entry.line_id or ""
    of.twice += bool(entry.body["twice"])


def _row_undone(facts: DayFacts, entry: Logged, _at: datetime) -> None:
    facts.lists[entry.body["list_seq"]].keyed.pop(entry.body["row_number"], None)


def _list_finished(facts: DayFacts, entry: Logged, at: datetime) -> None:
    facts.lists[entry.body["list_seq"]].finished = at


def _reading(facts: DayFacts, entry: Logged, at: datetime) -> None:
    facts.readings.append(reading_of(entry))
    facts.read_at[entry.seq] = at


def reading_of(entry: Logged) -> Reading:
    """The reading that an entry `machine.counted` records; without its zero report."""
    body = entry.body
    return Reading(
        body["serial"],
        body["at_moment"],
        body["public"],
        body["protective"],
        body["by_button"],
        replaces=body["replaces"],
        seq=entry.seq,
        place=entry.seq,
    )


def _ballots(facts: DayFacts, entry: Logged, _at: datetime) -> None:
    body = entry.body
    facts.ballots.append(BallotCount(body["what"], body["count"], entry.seq, body["replaces"]))


def _paper_began(facts: DayFacts, entry: Logged, at: datetime) -> None:
    facts.paper.append(PaperTime(entry.seq, at))


def _paper_finished(facts: DayFacts, entry: Logged, at: datetime) -> None:
    for one in facts.paper:
        if one.seq == entry.body["begun_seq"]:
            one.finished, one.lines = at, entry.body["lines"]


def _note(facts: DayFacts, entry: Logged, at: datetime) -> None:
    body = entry.body
    facts.notes.append(
        Note(entry.seq, at, entry.station, entry.line_id or "", body["irregularity"], body["code"])
    )


def _corrected(facts: DayFacts, entry: Logged, _at: datetime) -> None:
    if entry.body["detail"] == "ballot_button":
        facts.corrected_buttons[str(entry.line_id)] = entry.seq


_GATHER: Mapping[str, Callable[[DayFacts, Logged, datetime], None]] = {
    "signature.recorded": _signature,
    "signature.withdrawn": _withdrawal,
    "voter.left": _left,
    "voter.returned": _returned,
    "line.added": _line_added,
    "address.confirmed": _step,
    "assistance.recorded": _step,
    "provisional.recorded": _provisional,
    "provisional.withdrawn": _provisional_withdrawn,
    "mark.recorded": _marked,
    "mark.withdrawn": _mark_withdrawn,
    "late_list.applied": _list_began,
    "late_list.started": _list_began,
    "late_list.row_settled": _row_settled,
    "late_list.row_keyed": _row_keyed,
    "late_list.row_undone": _row_undone,
    "late_list.finished": _list_finished,
    "machine.counted": _reading,
    "ballots.counted": _ballots,
    "paper.begun": _paper_began,
    "paper.caught_up": _paper_finished,
    "irregularity.recorded": _note,
    "line.corrected": _corrected,
}

GATHERED = frozenset(_GATHER)
