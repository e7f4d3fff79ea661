"""The rows of late lists that are kept beside the log, compared with what the log says of them."""

from __future__ import annotations

import json
from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from sqlalchemy import Connection, select

from app.records import queries
from app.records.entry import Entry
from app.records.late_lists import KeptRow, value_of
from app.records.refold_lists import Keyed, ListSoFar
from app.records.unreadable import UNREADABLE, short
from app.rules.late_list import APPLIES, Effect

# What a row says of the person whose line it was keyed for, where nothing else was read of them.
_OF_THE_LINE = ("voter_number", "last_name", "first_name", "middle_name", "suffix")
_KEYED_ROWS = queries.day_log.c.kind == "late_list.row_keyed"


@dataclass(frozen=True, slots=True)
class KeyedBeside:
    """Of the rows that were keyed: what was read, by entry, and the lines as stored, by line_id."""

    words: Mapping[int, str]
    lines: Mapping[str, Mapping[str, str]]


def keyed_beside(connection: Connection) -> KeyedBeside:
    """Of every list on paper, with one statement each."""
    log, personal, lines = queries.day_log, queries.personal, queries.lines
    words = select(personal.c.seq, personal.c.details).join(log, log.c.seq == personal.c.seq)
    columns = (lines.c[name] for name in ("line_id", *_OF_THE_LINE))
    of_lines = select(*columns).join(log, log.c.line_id == lines.c.line_id).where(_KEYED_ROWS)
    return KeyedBeside(
        {row.seq: row.details for row in connection.execute(words.where(_KEYED_ROWS))},
        {row["line_id"]: dict(row) for row in connection.execute(of_lines).mappings()},
    )


def rows_fault(stored: Sequence[Any], of: ListSoFar, beside: KeyedBeside) -> str | None:
    """The first row that is not as the log says, or that some are missing; None where all agree.

    `stored` are all rows of the list, as they stand in their table.
    """
    rows = []
    for row in stored:
        try:
            rows.append(_read(row))
            is_so = _is_keyed(rows[-1], of, beside) if of.is_on_paper else _is_applied(rows[-1], of)
        except UNREADABLE as error:
            return f"row {row.row_number} of {of.named} cannot be read: {short(error)}"
        if not is_so:
            return f"row {row.row_number} of {of.named} is not as the log says"
    return _sum_fault(rows, of)


def _read(row: Any) -> KeptRow:
    result, decision = value_of(row.result), value_of(row.decision)
    return KeptRow(row.row_number, json.loads(row.row), decision, result)


def _is_applied(row: KeptRow, of: ListSoFar) -> bool:
    """Whether the row did what the log says, and was decided by whoever it says."""
    number, result = row.row_number, row.result
    done, settled = of.done.get(number), of.settled.get(number)
    if row.row["row_number"] != number or row.decision != _decision(settled):
        return False
    if result is None:
        return done is None
    if done is None:
        return result["seq"] is None and result["proposal"]["effect"] not in APPLIES
    did = (result["seq"], result["line_id"], result["proposal"]["effect"] in APPLIES)
    return did == (done.seq, done.line_id, True)


def _decision(settled: Entry | None) -> dict[str, Any] | None:
    """What a person decided, as it is kept with the row."""
    if settled is None:
        return None
    body = settled.body
    return {
        "how": body["how"],
        "initials": body["settled_by"],
        "line_id": settled.line_id,
        "reason": body["reason"],
    }


def _is_keyed(row: KeptRow, of: ListSoFar, beside: KeyedBeside) -> bool:
    """Whether the row says what was keyed, did what the log says, and stands or does not."""
    number = row.row_number
    keyed, undone = of.keyed.get(number), of.undone.get(number)
    done, settled = of.done.get(number), of.settled.get(number)
    if keyed is None or row.result is None:
        return False
    taken_back = undone and {
        "how": "undone",
        "initials": undone.initials,
        "line_id": None,
        "reason": undone.body["reason"],
    }
    is_decided_so = row.decision == (taken_back or _decision(settled))
    result = row.result
    did = (result["keyed_seq"], result["seq"], result["line_id"], result["proposal"]["effect"])
    line_id = (done or settled or keyed.entry).line_id
    said = (keyed.entry.seq, done.seq if done else None, line_id, _effect(keyed, settled))
    return is_decided_so and did == said and row.row == _row_keyed(keyed, beside)


def _effect(keyed: Keyed, settled: Entry | None) -> str:
    if settled is not None:
        return Effect.ADD if settled.body["how"] == "add" else Effect.REFUSE
    effect = str(keyed.entry.body["effect"])
    return Effect.REFUSE if effect == "not_found" else effect


def _row_keyed(keyed: Keyed, beside: KeyedBeside) -> dict[str, Any]:
    """The row as it was kept when it was keyed; what is blank is not written down."""
    entry = keyed.entry
    words: dict[str, Any]
    if entry.body["details_sha256"] is None:
        line = beside.lines[str(entry.line_id)]
        words = {name: keyed.corrections.get(name, line[name]) for name in _OF_THE_LINE}
    else:
        words = json.loads(beside.words[entry.seq])
        if entry.body["effect"] == "not_found":
            words = {"voter_number": words["number"], "last_name": words["name"]}
    words |= {"row_number": entry.body["row_number"], "initials": entry.initials}
    return {name: value for name, value in words.items() if value != ""}


def _sum_fault(rows: Sequence[KeptRow], of: ListSoFar) -> str | None:
    """Rows that wait, or that somebody took away: the entry has how many there were of each."""
    if of.is_on_paper:
        is_whole = len(rows) == len(of.keyed)
        return None if is_whole else f"the rows of {of.named} are not those that were keyed"
    body = of.entry.body
    counted = Counter(_counted_as(row) for row in rows)
    # Rows that were open when it was applied, and that somebody settled since.
    settled_since = len(of.settled) - body["settled"]
    said = {
        "applied": body["applied"],
        "already": body["already"],
        "settled": len(of.settled),
        "refused": body["refused"],
        "open": body["open"] - settled_since,
    }
    if settled_since < 0 or any(counted[name] != many for name, many in said.items()):
        return f"{of.named} has not as many rows of each sort, or open ones, as the log says"
    return None


_COUNTED_AS = {Effect.ALREADY: "already", Effect.REFUSE: "refused"}


def _counted_as(row: KeptRow) -> str:
    if row.decision is not None:
        return "settled"
    if row.result is None:
        return "open"
    return _COUNTED_AS.get(row.result["proposal"]["effect"], "applied")
