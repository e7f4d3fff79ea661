"""How many rows of late lists wait for a person: what the lead's badge shows.

A list that was corrected has open rows still, and the corrected list has most of them again. Such
a row is one question, and it is asked where the corrected list stands.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass

from sqlalchemy import Connection

from app.desk.late_differences import is_named_again
from app.desk.late_judging import row_from
from app.desk.roster import Roster
from app.records import late_lists
from app.records.late_lists import KeptList


@dataclass(frozen=True, slots=True)
class OpenRows:
    """Of one applied list: rows that nobody settled, and lines that it lacks and nobody decided."""

    rows: int = 0
    gone: int = 0


def waiting_counts(connection: Connection, roster: Roster) -> dict[str, int]:
    """What waits for the lead: drafts, lists on paper being keyed, and rows, each row once."""
    lists = late_lists.all_lists(connection)
    statuses = [one.status for one in lists]
    counted = open_rows(connection, roster, lists).values()
    return {
        "late_lists_draft": statuses.count("draft"),
        "late_lists_keying": statuses.count("keying"),
        "late_rows_open": sum(one.rows + one.gone for one in counted),
    }


def open_rows(
    connection: Connection, roster: Roster, lists: Sequence[KeptList]
) -> dict[str, OpenRows]:
    """What waits of each applied list, by list_id; lists of which nothing waits are left out.

    Of a list that was corrected: what no later list names or decides.
    """
    rows, gone = late_lists.open_row_counts(connection), late_lists.open_gone_counts(connection)
    later = _later_lists(lists)
    found = {
        list_id: OpenRows(
            _not_again(connection, roster, list_id, rows.get(list_id, 0), later.get(list_id, ())),
            # A corrected list asks anew about every line that those before it changed.
            0 if list_id in later else gone.get(list_id, 0),
        )
        for list_id in rows.keys() | gone.keys()
    }
    return {list_id: one for list_id, one in found.items() if one.rows or one.gone}


def _later_lists(lists: Iterable[KeptList]) -> dict[str, tuple[str, ...]]:
    """The applied lists that correct a list, itself or one that does, by its list_id."""
    by_id = {one.list_id: one for one in lists}
    found: dict[str, tuple[str, ...]] = {}
    for one in by_id.values():
        if one.status == "applied":
            for earlier in _earlier(one, by_id):
                found[earlier] = (*found.get(earlier, ()), one.list_id)
    return found


def _earlier(kept: KeptList, by_id: Mapping[str, KeptList]) -> Iterator[str]:
    while kept.corrects is not None:
        yield kept.corrects
        kept = by_id[kept.corrects]


def _not_again(
    connection: Connection, roster: Roster, list_id: str, count: int, later: tuple[str, ...]
) -> int:
    """How many of the `count` open rows of the list none of the `later` ones has again.

    Rows of an applied list never change and are only settled: as long as as many are open, they
    are the same ones, and what was counted is kept.
    """
    if not count or not later:
        return count
    at = (count, later)
    known = roster.open_rows.get(list_id)
    if known and known[0] == at:
        return int(known[1])
    kept = late_lists.rows_of(connection, list_id)
    whole = [row_from(row) for row in kept]
    left = [row for row, each in zip(whole, kept, strict=True) if each.result is None]
    for corrected in later:
        named = is_named_again(whole, map(row_from, late_lists.rows_of(connection, corrected)))
        left = [row for row in left if not named(row)]
    roster.open_rows[list_id] = (at, len(left))
    return len(left)
