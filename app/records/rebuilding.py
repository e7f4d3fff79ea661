"""A record from the log and what stood beside it: every row that follows from them is made again.

For a record that is put together from a bundle, which has the entries but none of the rows that
only say what they amount to.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

from sqlalchemy import Connection, Table, insert

from app.records import elsewhere, late_lists, loading, queries, refold
from app.records.bodies_copies import LaptopTookOver
from app.records.entry import Entry, canonical
from app.records.fold import changes_line, fold_line
from app.records.rows import entry_to_row, line_to_row, state_to_row
from app.records.standby_epoch import EPOCH
from app.records.tables import CorrectedLineRow, table
from app.rules.elsewhere import ElsewhereLine
from app.rules.line import Line, LineState, state_as_printed

Rows = Sequence[Mapping[str, Any]]


@dataclass(frozen=True, slots=True)
class Kept:
    """What a record is made of: entries, what the package printed, what stood beside the log."""

    entries: Sequence[Entry]
    setting: str
    lines: Sequence[Line]
    added: Sequence[Line]
    elsewhere: Sequence[ElsewhereLine]
    phone_secret: str | None
    personal: Rows
    drawings: Rows
    lists: Rows
    workers: Rows


@dataclass(slots=True)
class _Amounts:
    """What the entries amount to."""

    states: dict[str, LineState] = field(default_factory=dict)
    versions: dict[str, int] = field(default_factory=dict)
    envelopes: dict[str, int] = field(default_factory=dict)
    alike: set[tuple[str, str]] = field(default_factory=set)


def rebuild(connection: Connection, kept: Kept) -> None:
    """Fill an empty database that has its tables. What is made is for `verify` to check."""
    about = {"setting": kept.setting}
    if kept.phone_secret is not None:
        about[loading.PHONE_SECRET] = kept.phone_secret
    for entry in kept.entries:
        if entry.kind == LaptopTookOver.kind:
            about[EPOCH] = str(entry.body["epoch"])
    _insert(connection, queries.about, [{"name": n, "text": t} for n, t in about.items()])
    _insert(connection, queries.day_log, map(entry_to_row, kept.entries))
    _insert(connection, queries.lines, map(line_to_row, (*kept.lines, *kept.added)))
    _insert(connection, queries.personal, kept.personal)
    _insert(connection, queries.drawing, kept.drawings)
    _insert(connection, queries.workers, kept.workers)
    people = elsewhere.identified(kept.elsewhere)
    _insert(connection, queries.elsewhere, map(elsewhere.as_row, people))
    _insert_lists(connection, kept.lists)
    _insert_derived(connection, kept)


def _insert_lists(connection: Connection, lists: Rows) -> None:
    for one in lists:
        about = {**one["list"], "about": canonical(one["list"]["about"])}
        _insert(connection, late_lists.late_lists, [about])
        named = {"list_id": about["list_id"]}
        _insert(connection, late_lists.late_rows, ({**named, **row} for row in one["rows"]))
        gone = ({**named, **row, "decision": _text(row["decision"])} for row in one["gone"])
        _insert(connection, late_lists.late_gone, gone)


def _insert_derived(connection: Connection, kept: Kept) -> None:
    amounts, beside = _Amounts(), refold.Folded()
    for line in (*kept.lines, *kept.added):
        amounts.states[line.line_id] = state_as_printed(line.printed)
        amounts.versions[line.line_id] = 0
    for entry in kept.entries[1:]:
        if entry.kind != "line.added" and changes_line(entry):
            line_id = str(entry.line_id)
            amounts.states[line_id] = fold_line(amounts.states[line_id], entry)
            amounts.versions[line_id] += 1
        if entry.kind == "provisional.recorded":
            amounts.envelopes[entry.body["envelope"]] = entry.seq
        beside.fold(connection, entry)
    later = {(other, line.line_id) for line in kept.added for other in line.look_alikes}
    amounts.alike = later | beside.alike
    _insert(connection, queries.line_states, _state_rows(amounts))
    corrected = (
        {"line_id": line_id, "details": canonical(dict(details))}
        for line_id, details in beside.corrected.items()
    )
    _insert(connection, table(CorrectedLineRow), corrected)
    pairs = ({"line_id": one, "added_id": other} for one, other in sorted(amounts.alike))
    _insert(connection, queries.later_look_alikes, pairs)
    envelopes = ({"envelope": one, "seq": seq} for one, seq in amounts.envelopes.items())
    _insert(connection, queries.envelopes, envelopes)


def _state_rows(amounts: _Amounts) -> Iterable[dict[str, Any]]:
    return (
        state_to_row(line_id, state, amounts.versions[line_id])
        for line_id, state in amounts.states.items()
    )


def _insert(connection: Connection, into: Table, rows: Iterable[Mapping[str, Any]]) -> None:
    every = [dict(row) for row in rows]
    for start in range(0, len(every), queries.ROWS_AT_ONCE):
        connection.execute(insert(into), every[start : start + queries.ROWS_AT_ONCE])


def _text(value: Any) -> str | None:
    return None if value is None else canonical(value)
