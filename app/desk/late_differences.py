"""A corrected list against the one before it: rows that are new, changed, the same, or gone.

A row that is gone withdraws nothing by itself: that a person is missing from a list may be the
correction, or the next mistake. A person decides.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

from sqlalchemy import Connection

from app.desk.late_judging import KEYS, chain, row_from
from app.intake.late_rows import LateRow
from app.records import late_lists, queries
from app.records.late_lists import KeptGone, KeptList, KeptRow
from app.rules.late_list import MARK_OF, ListKind, Proposal
from app.rules.line import LineState

_Person = tuple[Any, ...]


@dataclass(frozen=True, slots=True)
class Difference:
    """How many rows are what, and each row's word by its number."""

    new: int
    changed: int
    same: int
    gone: int = 0
    of_row: Mapping[int, str] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class Gone:
    """A line that an earlier list changed and this one does not name."""

    line_id: str
    row_number: int
    undo_seq: int
    decision: Mapping[str, Any] | None = None


def difference(connection: Connection, kept: KeptList, rows: Sequence[LateRow]) -> Difference:
    """Each row against the list that `kept` corrects: by its number, else by its person."""
    earlier = [row_from(row) for row in late_lists.rows_of(connection, str(kept.corrects))]
    by_number = {KEYS.number(row.voter_number): row for row in earlier if row.voter_number}
    people = {_person(row) for row in earlier}
    of_row = {row.row_number: _change(row, by_number, people) for row in rows}
    counts = Counter(of_row.values())
    return Difference(counts["new"], counts["changed"], counts["same"], of_row=of_row)


def _change(row: LateRow, by_number: Mapping[str, LateRow], people: set[_Person]) -> str:
    same = by_number.get(KEYS.number(row.voter_number)) if row.voter_number else None
    if same is None:
        return "changed" if row.last_name and _person(row) in people else "new"
    return "same" if _person(same) == _person(row) else "changed"


def is_named_again(
    earlier: Iterable[LateRow], rows: Iterable[LateRow]
) -> Callable[[LateRow], bool]:
    """Whether a row of an `earlier` list stands in `rows` again, as it was or put right.

    By its person, or by its number where that row is a changed one: a row that the earlier list
    had rightly too says nothing of another row with the same number.
    """
    known = {(KEYS.number(row.voter_number), _person(row)) for row in earlier}
    now = {(KEYS.number(row.voter_number), _person(row)) for row in rows}
    people = {person for _, person in now if any(person)}
    numbers = {number for number, _ in now - known if number}

    def is_named(row: LateRow) -> bool:
        number, person = KEYS.number(row.voter_number), _person(row)
        return number in numbers or person in people or (number, person) in now

    return is_named


def _person(row: LateRow) -> _Person:
    names = (row.last_name, row.first_name, row.middle_name)
    return (*map(KEYS.name, names), KEYS.suffix(row.suffix), row.birth_date)


def gone_rows(connection: Connection, kept: KeptList, proposals: Iterable[Proposal]) -> list[Gone]:
    """What the earlier lists did, still stands, and no row of this one means.

    Of an applied list: what was written down when it was applied.
    """
    if kept.status != "draft":
        return [_gone(one) for one in late_lists.gone_of(connection, kept.list_id)]
    earlier = chain(connection, kept)
    if not earlier:
        return []
    meant = {
        line_id for each in proposals for line_id in (each.line_id, *each.candidates) if line_id
    }
    done = [one for of in earlier for one in _done_by(connection, of) if one.line_id not in meant]
    states = queries.stored_states(connection, [one.line_id for one in done])
    return [one for one in done if stands(states[one.line_id].state, kept.kind, one.undo_seq)]


def _done_by(connection: Connection, kept: KeptList) -> Iterator[Gone]:
    for row in late_lists.rows_of(connection, kept.list_id):
        if row.result and row.result.get("seq") is not None:
            yield _of_row(row, row.result)


def _of_row(row: KeptRow, result: Mapping[str, Any]) -> Gone:
    return Gone(str(result["line_id"]), row.row_number, int(result["seq"]))


def _gone(kept: KeptGone) -> Gone:
    return Gone(kept.line_id, kept.row_number, kept.undo_seq, kept.decision)


def stands(state: LineState, kind: ListKind, seq: int) -> bool:
    """Whether what entry `seq` of a list did to the line stands there still."""
    if kind is ListKind.REMOVALS:
        return state.removed is not None and state.removed.seq == seq
    if kind is ListKind.SUPPLEMENTAL:
        return state.removed is None
    return any(
        mark.kind is MARK_OF[kind] and mark.act is not None and mark.act.seq == seq
        for mark in state.marks
    )


def resembling(
    connection: Connection, proposals: Sequence[Proposal]
) -> tuple[KeptList, int] | None:
    """The applied list whose marks most of the rows repeat, where that is half of them or more."""
    sources = Counter(
        str(each.contradiction.on_line["source"])
        for each in proposals
        if each.contradiction and each.contradiction.code == "marked-twice"
    )
    if not sources:
        return None
    source, many = sources.most_common(1)[0]
    if 2 * many < len(proposals):
        return None
    lists = late_lists.all_lists(connection)
    named = [one for one in lists if one.name == source and one.status == "applied"]
    return (named[-1], many) if named else None
