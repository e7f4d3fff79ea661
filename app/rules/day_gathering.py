"""The facts of the day, gathered from the entries of the log.

Pure: entries in, facts out. Nothing but the entries is asked, so that whoever has the log alone
can gather the same. `Logged` is the shape of an entry, wherever it comes from.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from datetime import datetime
from typing import Any, Protocol

from app.rules.day_facts import (
    BallotCount,
    CaughtUp,
    Change,
    DayFacts,
    Enveloped,
    ListTotal,
    Note,
    PaperTime,
    Point,
    Signed,
    Withdrawn,
)
from app.rules.machine_readings import Reading


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


def gathered(entries: Iterable[Logged]) -> DayFacts:
    """The facts of the entries, which come in order; kinds that say nothing here may be there."""
    facts = DayFacts()
    for entry in entries:
        gather(facts, entry)
    return facts


def gather(facts: DayFacts, entry: Logged) -> None:
    """Take one entry in; they come in order."""
    change = _GATHER.get(entry.kind)
    if change:
        change(facts, entry, datetime.fromisoformat(entry.at))


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
        _caught_up(paper, len(facts.paper)) if paper else None,
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
    of = facts.lists[entry.body["list_seq"]]
    of.finished, of.reason = at, entry.body.get("reason", "")


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


def _caught_up(paper: Mapping[str, Any], hour: int) -> CaughtUp:
    """One time on paper is caught up before the next begins, so that the last one is meant."""
    return CaughtUp(paper["at"], paper["order"], paper.get("page", 1), hour)


def _paper_began(facts: DayFacts, entry: Logged, at: datetime) -> None:
    facts.paper.append(PaperTime(entry.seq, at, begins=entry.body.get("from_time", "")))


def _paper_finished(facts: DayFacts, entry: Logged, at: datetime) -> None:
    for one in facts.paper:
        if one.seq == entry.body["begun_seq"]:
            body = entry.body
            unsigned = body["duplicates"] + body.get("waiting", 0) + body.get("no_line", 0)
            one.finished, one.lines = at, body["lines"] - unsigned


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
