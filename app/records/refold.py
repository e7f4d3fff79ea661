"""What the log says beside the lines: late lists, calls, irregularities, the day, the laptop.

`verify` feeds every entry through `Folded.fold` and at the end compares with what is kept.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from typing import Any

from sqlalchemy import Connection

from app.records import personal
from app.records.corrected import all_details, look_alike_pairs
from app.records.entry import Entry
from app.records.fold import DoesNotFit
from app.records.refold_day import DaySoFar
from app.records.refold_laptop import LaptopSoFar
from app.records.refold_lists import ListsSoFar
from app.records.refold_lists_kept import list_faults
from app.records.refold_paper import PaperSoFar
from app.records.unreadable import UNREADABLE, short


@dataclass(slots=True)
class Folded:
    """Everything that stands beside the states of the lines."""

    lists: ListsSoFar = field(default_factory=ListsSoFar)
    laptop: LaptopSoFar = field(default_factory=LaptopSoFar)
    corrected: dict[str, dict[str, Any]] = field(default_factory=lambda: defaultdict(dict))
    alike: set[tuple[str, str]] = field(default_factory=set)
    counters: set[int] = field(default_factory=set)
    open_irregularities: set[int] = field(default_factory=set)
    day: DaySoFar = field(default_factory=DaySoFar)
    paper: PaperSoFar = field(default_factory=PaperSoFar)

    def fold(self, connection: Connection, entry: Entry) -> None:
        """DoesNotFit where the entry cannot follow those before it."""
        self.day.fold(entry)
        self.paper.fold(connection, entry)
        self.lists.fold(entry, self.corrected)
        self.laptop.fold(entry)
        change = _CHANGES.get(entry.kind)
        if change:
            change(self, connection, entry)


def _line_corrected(folded: Folded, connection: Connection, entry: Entry) -> None:
    details = personal.details_of(connection, entry)
    if details.get("detail") != entry.body["detail"]:
        raise DoesNotFit("what was corrected is not what the entry speaks of")
    line_id = str(entry.line_id)
    folded.corrected[line_id][details["detail"]] = details["value"]
    folded.alike.update(look_alike_pairs(line_id, details.get("look_alikes", ())))


def _phone_in(folded: Folded, _connection: Connection, entry: Entry) -> None:
    counter = entry.body["counter"]
    if entry.body["code_used"] is (counter is None):
        raise DoesNotFit("a code was used without its running number, or the other way round")
    if counter in folded.counters:
        raise DoesNotFit(f"the code with the running number {counter} was used before")
    if counter is not None:
        folded.counters.add(counter)


def _irregularity(folded: Folded, _connection: Connection, entry: Entry) -> None:
    folded.open_irregularities.add(entry.seq)


def _irregularity_settled(folded: Folded, _connection: Connection, entry: Entry) -> None:
    seq = entry.body["irregularity_seq"]
    if seq not in folded.open_irregularities:
        raise DoesNotFit(f"no irregularity of entry {seq} is open")
    folded.open_irregularities.remove(seq)


_CHANGES: Mapping[str, Callable[[Folded, Connection, Entry], None]] = {
    "line.corrected": _line_corrected,
    "phone_in.recorded": _phone_in,
    "irregularity.recorded": _irregularity,
    "irregularity.settled": _irregularity_settled,
}


def faults(connection: Connection, folded: Folded) -> str | None:
    """What is kept beside the log and is not what the log says; None where all agrees."""
    try:
        is_corrected_so = all_details(connection) == dict(folded.corrected)
    except UNREADABLE as error:
        return f"the corrections of the lines cannot be read: {short(error)}"
    if not is_corrected_so:
        return "the corrections of the lines are not those that the log speaks of"
    return list_faults(connection, folded.lists) or folded.laptop.fault(connection)
