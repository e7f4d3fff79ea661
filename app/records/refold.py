"""What the log says of late lists, phone-ins and irregularities, refolded beside the lines.

`verify` feeds every entry through `Folded.fold` and at the end compares with what is kept.
"""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from typing import Any

from sqlalchemy import Connection

from app.records import late_lists, personal
from app.records.corrected import all_details, look_alike_pairs
from app.records.entry import Entry
from app.records.fold import DoesNotFit
from app.records.refold_day import DaySoFar
from app.records.refold_paper import PaperSoFar

_DID_SOMETHING = frozenset({"mark.recorded", "line.removed", "line.added"})


@dataclass(slots=True)
class ListSoFar:
    """One list as the log tells it, by row number: the entry that did it, what was keyed."""

    entry: Entry
    done: dict[int, int] = field(default_factory=dict)
    settled: set[int] = field(default_factory=set)
    keyed: dict[int, str] = field(default_factory=dict)
    finished: Entry | None = None


@dataclass(slots=True)
class Folded:
    """Everything that stands beside the states of the lines."""

    lists: dict[int, ListSoFar] = field(default_factory=dict)
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
        change = _CHANGES.get(entry.kind)
        if change:
            change(self, connection, entry)
        seq = entry.body.get("list_seq")
        if seq is not None and entry.kind in _DID_SOMETHING:
            number = entry.body.get("row_number")
            if number is not None:
                self.list_of(entry).done[number] = entry.seq

    def list_of(self, entry: Entry) -> ListSoFar:
        try:
            return self.lists[entry.body["list_seq"]]
        except KeyError:
            raise DoesNotFit(f"no list began with entry {entry.body['list_seq']}") from None


def _list_begins(folded: Folded, _connection: Connection, entry: Entry) -> None:
    body = entry.body
    if any(other.entry.body["list_id"] == body["list_id"] for other in folded.lists.values()):
        raise DoesNotFit("the list was applied or started before")
    if entry.kind == "late_list.applied":
        parts = (body[name] for name in ("applied", "already", "settled", "refused", "open"))
        if sum(parts) != body["rows"]:
            raise DoesNotFit("the rows of the list do not add up")
    folded.lists[entry.seq] = ListSoFar(entry)


def _row_settled(folded: Folded, _connection: Connection, entry: Entry) -> None:
    number = entry.body["row_number"]
    of = folded.list_of(entry)
    if number is None:
        return
    if number in of.settled:
        raise DoesNotFit(f"row {number} was settled before")
    if of.entry.kind == "late_list.started" and of.keyed.get(number) != "settle":
        raise DoesNotFit(f"row {number} does not wait to be settled")
    of.settled.add(number)


def _row_keyed(folded: Folded, _connection: Connection, entry: Entry) -> None:
    of, number = folded.list_of(entry), entry.body["row_number"]
    if of.finished or number in of.keyed:
        raise DoesNotFit(f"row {number} was keyed before, or the list was finished")
    of.keyed[number] = entry.body["effect"]


def _row_undone(folded: Folded, _connection: Connection, entry: Entry) -> None:
    of, number = folded.list_of(entry), entry.body["row_number"]
    if of.finished or of.keyed.get(number, "undone") == "undone":
        raise DoesNotFit(f"row {number} does not stand")
    of.keyed[number] = "undone"


def _list_finished(folded: Folded, _connection: Connection, entry: Entry) -> None:
    of, body = folded.list_of(entry), entry.body
    effects = Counter(of.keyed.values())
    count = len(of.keyed) - effects["undone"]
    if of.finished or (count, effects["not_found"]) != (body["count"], body["not_found"]):
        raise DoesNotFit("the list is finished already, or its rows are not as many as it says")
    if count != body["printed_total"] and not body["reason"]:
        raise DoesNotFit("the count is not the printed total, and nobody says why")
    of.finished = entry


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
    "late_list.applied": _list_begins,
    "late_list.started": _list_begins,
    "late_list.row_settled": _row_settled,
    "late_list.row_keyed": _row_keyed,
    "late_list.row_undone": _row_undone,
    "late_list.finished": _list_finished,
    "line.corrected": _line_corrected,
    "phone_in.recorded": _phone_in,
    "irregularity.recorded": _irregularity,
    "irregularity.settled": _irregularity_settled,
}


def faults(connection: Connection, folded: Folded) -> str | None:
    """What is kept beside the log and is not what the log says; None where all agrees."""
    if all_details(connection) != dict(folded.corrected):
        return "the corrections of the lines are not those that the log speaks of"
    kept = {one.list_id: one for one in late_lists.all_lists(connection)}
    in_log = {one.entry.body["list_id"]: one for one in folded.lists.values()}
    for list_id, one in kept.items():
        if list_id not in in_log and one.status not in ("draft", "dropped"):
            return f"the list {list_id} stands as {one.status}, and the log does not know it"
    for list_id, of in in_log.items():
        if list_id not in kept:
            return f"the list {list_id} of entry {of.entry.seq} is missing"
        fault = _list_fault(connection, kept[list_id], of)
        if fault:
            return fault
    return None


def _list_fault(connection: Connection, kept: late_lists.KeptList, of: ListSoFar) -> str | None:
    body, seq = of.entry.body, of.entry.seq
    did = {
        row.row_number: row.result["seq"]
        for row in late_lists.rows_of(connection, kept.list_id)
        if row.result and row.result["seq"] is not None
    }
    if did != of.done:
        return f"the rows of the list of entry {seq} did something else than the log says"
    same = (kept.kind.value, kept.name) == (body["list_kind"], body["name"])
    if not same:
        return f"the list of entry {seq} is not the one it speaks of"
    if of.entry.kind == "late_list.started":
        is_done = of.finished is not None
        said = (seq, of.finished.seq if of.finished else None, is_done)
        stands = (kept.started_seq, kept.done_seq, kept.status == "finished")
        dropped = kept.status == "dropped" and not is_done
        return None if said == stands or dropped else f"the list of entry {seq} stands otherwise"
    if (kept.done_seq, kept.status, kept.digest) != (seq, "applied", body["digest"]):
        return f"the list of entry {seq} is not the one it speaks of"
    if late_lists.rows_digest(connection, kept) != body["rows_sha256"]:
        return f"the rows of the list of entry {seq} are not those it speaks of"
    if len(of.done.keys() - of.settled) != body["applied"]:
        return f"the list of entry {seq} did not do as much as it says"
    if not body["settled"] <= len(of.settled) <= body["settled"] + body["open"]:
        return f"more rows of the list of entry {seq} were settled than it has"
    return None
