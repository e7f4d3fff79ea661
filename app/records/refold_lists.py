"""What the log says of late lists, refolded: which rows were keyed, settled, taken back, finished.

Is each entry one that could follow? What is kept of the lists is compared in `refold_lists_kept`.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from typing import Any

from app.records.entry import Entry
from app.records.fold import DoesNotFit

_DID_SOMETHING = frozenset({"mark.recorded", "line.removed", "line.added"})


@dataclass(frozen=True, slots=True)
class Keyed:
    """A row of a list on paper. `corrections` are those of its line, as it was keyed."""

    entry: Entry
    corrections: Mapping[str, Any]


@dataclass(slots=True)
class ListSoFar:
    """One list as the log tells it. By row number: `done` is the entry that did what the row says,
    the others are the entries that keyed, settled or took it back. `gone` are the decisions of
    lines that a corrected list lacks, by line_id.
    """

    entry: Entry
    done: dict[int, Entry] = field(default_factory=dict)
    settled: dict[int, Entry] = field(default_factory=dict)
    keyed: dict[int, Keyed] = field(default_factory=dict)
    undone: dict[int, Entry] = field(default_factory=dict)
    gone: dict[str, Entry] = field(default_factory=dict)
    finished: Entry | None = None

    @property
    def list_id(self) -> str:
        return str(self.entry.body["list_id"])

    @property
    def named(self) -> str:
        return f"the list of entry {self.entry.seq}"

    @property
    def is_on_paper(self) -> bool:
        return self.entry.kind == "late_list.started"


@dataclass(slots=True)
class ListsSoFar:
    """Every list that was applied or started, by the entry that did so."""

    by_seq: dict[int, ListSoFar] = field(default_factory=dict)

    def fold(self, entry: Entry, corrections: Mapping[str, Mapping[str, Any]]) -> None:
        """DoesNotFit where the entry cannot follow those before it.

        `corrections` are those of the lines so far, by line_id.
        """
        if entry.kind not in _KINDS:
            return
        if entry.kind == "late_list.row_keyed":
            _row_keyed(self.of(entry), entry, corrections)
        elif entry.kind in _BEGINS:
            self._begin(entry)
        elif entry.kind in _CHANGES:
            _CHANGES[entry.kind](self.of(entry), entry)
        elif entry.body.get("list_seq") is not None:
            number = entry.body.get("row_number")
            if number is not None:
                self.of(entry).done[number] = entry

    def of(self, entry: Entry) -> ListSoFar:
        """The list that the entry speaks of."""
        try:
            return self.by_seq[entry.body["list_seq"]]
        except KeyError:
            raise DoesNotFit(f"no list began with entry {entry.body['list_seq']}") from None

    def by_id(self) -> dict[str, ListSoFar]:
        return {one.list_id: one for one in self.by_seq.values()}

    def _begin(self, entry: Entry) -> None:
        body = entry.body
        if body["list_id"] in self.by_id():
            raise DoesNotFit("the list was applied or started before")
        if entry.kind == "late_list.applied":
            parts = (body[name] for name in ("applied", "already", "settled", "refused", "open"))
            if sum(parts) != body["rows"]:
                raise DoesNotFit("the rows of the list do not add up")
        self.by_seq[entry.seq] = ListSoFar(entry)


def _row_keyed(of: ListSoFar, entry: Entry, corrections: Mapping[str, Mapping[str, Any]]) -> None:
    number = entry.body["row_number"]
    if of.finished or number in of.keyed:
        raise DoesNotFit(f"row {number} was keyed before, or the list was finished")
    of.keyed[number] = Keyed(entry, dict(corrections.get(entry.line_id or "", {})))


def _row_settled(of: ListSoFar, entry: Entry) -> None:
    number = entry.body["row_number"]
    if number is None:
        of.gone[str(entry.line_id)] = entry
        return
    if number in of.settled:
        raise DoesNotFit(f"row {number} was settled before")
    if of.is_on_paper and not _waits(of, number):
        raise DoesNotFit(f"row {number} does not wait to be settled")
    of.settled[number] = entry


def _waits(of: ListSoFar, number: int) -> bool:
    keyed = of.keyed.get(number)
    return keyed is not None and keyed.entry.body["effect"] == "settle" and number not in of.undone


def _row_undone(of: ListSoFar, entry: Entry) -> None:
    number = entry.body["row_number"]
    if of.finished or number not in of.keyed or number in of.undone:
        raise DoesNotFit(f"row {number} does not stand")
    of.undone[number] = entry


def _list_finished(of: ListSoFar, entry: Entry) -> None:
    body = entry.body
    stand = of.keyed.keys() - of.undone.keys()
    effects = Counter(of.keyed[number].entry.body["effect"] for number in stand)
    count = len(stand)
    if of.finished or (count, effects["not_found"]) != (body["count"], body["not_found"]):
        raise DoesNotFit("the list is finished already, or its rows are not as many as it says")
    if count != body["printed_total"] and not body["reason"]:
        raise DoesNotFit("the count is not the printed total, and nobody says why")
    of.finished = entry


_BEGINS = frozenset({"late_list.applied", "late_list.started"})

_CHANGES: Mapping[str, Callable[[ListSoFar, Entry], None]] = {
    "late_list.row_settled": _row_settled,
    "late_list.row_undone": _row_undone,
    "late_list.finished": _list_finished,
}

# Most entries of a day are of none of these.
_KINDS = _DID_SOMETHING | _BEGINS | _CHANGES.keys() | {"late_list.row_keyed"}
