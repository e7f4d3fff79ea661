"""Refolding the log from entry 1 and comparing everything that was derived from it.

Nothing is trusted but the entries themselves: hashes, order, bodies, drawings,
the printed lines and the setting (by the digests in entry 1), and every derived row.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass, field

from pydantic import ValidationError
from sqlalchemy import Connection, func, select
from sqlalchemy.exc import DBAPIError

from app.records import queries
from app.records.bodies import BODY_OF_KIND
from app.records.entry import FIRST_PREV, Entry, Head, canonical, sha256_hex
from app.records.fold import LINE_KINDS, DoesNotFit, fold_line
from app.records.loading import lines_digest
from app.records.rows import entry_from_row, state_to_text
from app.rules.line import LineState, state_as_printed

Progress = Callable[[int, int], None]


@dataclass(slots=True)
class Verification:
    """What was checked and the first thing that does not fit.

    `fault` is None where everything agrees. `entry` is the number of the first entry
    that does not fit, None where the fault is not an entry's.
    """

    entries: int = 0
    lines: int = 0
    head: Head = field(default_factory=Head)
    fault: str | None = None
    entry: int | None = None

    @property
    def holds(self) -> bool:
        return self.fault is None


def _say_nothing(_done: int, _total: int) -> None:
    """Progress for a caller that does not watch."""


class _Fault(Exception):
    def __init__(self, words: str, entry: int | None = None) -> None:
        super().__init__(words)
        self.entry = entry


def verify(connection: Connection, progress: Progress | None = None) -> Verification:
    """Check the whole record behind `connection`, from the first entry on."""
    found = Verification()
    try:
        _verify(connection, found, progress or _say_nothing)
    except _Fault as fault:
        found.fault, found.entry = str(fault), fault.entry
    except DBAPIError as error:
        found.fault = damage(error)
    return found


def damage(error: DBAPIError) -> str:
    """What to say of a file that SQLite itself cannot read."""
    return f"the database file is damaged: {error.orig}"


def _verify(connection: Connection, found: Verification, progress: Progress) -> None:
    states: dict[str, LineState] = {}
    versions: dict[str, int] = {}
    total = connection.execute(select(func.count()).select_from(queries.day_log)).scalar_one()
    for entry in _checked_entries(connection, found):
        if entry.seq == 1:
            states = _check_loaded(connection, entry)
            versions = dict.fromkeys(states, 0)
        elif entry.kind in LINE_KINDS:
            _fold(states, entry)
            versions[str(entry.line_id)] += 1
        _check_drawing(connection, entry)
        progress(entry.seq, total)
    _check_derived(connection, states, versions)
    found.lines = len(states)


def _checked_entries(connection: Connection, found: Verification) -> Iterator[Entry]:
    """Entries in order, each checked by itself and against the one before."""
    rows = connection.execute(select(queries.day_log).order_by(queries.day_log.c.seq)).mappings()
    head = Head(0, FIRST_PREV)
    for row in rows:
        expected = head.seq + 1
        if row["seq"] != expected:
            raise _Fault(f"entry {expected} is missing", expected)
        try:
            entry = entry_from_row(dict(row))
            if row["body"] != canonical(entry.body):
                raise ValueError("its body is not in canonical form")
            BODY_OF_KIND[entry.kind].model_validate(entry.body, strict=False)
            computed = entry.computed_hash()
        except (ValueError, KeyError, ValidationError) as error:
            raise _Fault(f"entry {expected} cannot be read: {_short(error)}", expected) from error
        if entry.prev != head.hash:
            raise _Fault(f"entry {expected} does not follow the entry before it", expected)
        if entry.hash != computed:
            raise _Fault(f"entry {expected} was changed: its hash does not fit", expected)
        head = Head(entry.seq, entry.hash)
        found.entries, found.head = entry.seq, head
        yield entry


def _check_loaded(connection: Connection, entry: Entry) -> dict[str, LineState]:
    """The lines and the setting are the ones entry 1 speaks of; answers the states as printed."""
    if entry.kind != "package.loaded":
        raise _Fault("entry 1 is not package.loaded", 1)
    try:
        lines = list(queries.all_lines(connection))
    except (ValueError, TypeError, KeyError) as error:
        raise _Fault(f"a printed line cannot be read: {_short(error)}") from error
    if lines_digest(lines) != entry.body["lines_sha256"]:
        raise _Fault("the printed lines are not those that entry 1 loaded")
    text = queries.about_text(connection, "setting")
    if text is None or sha256_hex(text.encode()) != entry.body["setting_sha256"]:
        raise _Fault("the setting is not the one that entry 1 loaded")
    return {line.line_id: state_as_printed(line.printed) for line in lines}


def _fold(states: dict[str, LineState], entry: Entry) -> None:
    if entry.line_id not in states:
        raise _Fault(f"entry {entry.seq} speaks of a line that does not exist", entry.seq)
    try:
        states[entry.line_id] = fold_line(states[entry.line_id], entry)
    except (DoesNotFit, ValueError) as error:
        raise _Fault(f"entry {entry.seq} cannot follow: {_short(error)}", entry.seq) from error


def _check_drawing(connection: Connection, entry: Entry) -> None:
    digest = entry.body.get("strokes_sha256")
    if digest is None:
        return
    strokes = queries.strokes(connection, entry.seq)
    if strokes is None or sha256_hex(strokes.encode()) != digest:
        raise _Fault(f"the drawing of entry {entry.seq} is not the one it speaks of", entry.seq)


def _check_derived(
    connection: Connection, states: dict[str, LineState], versions: dict[str, int]
) -> None:
    rows = {row.line_id: row for row in connection.execute(select(queries.line_states))}
    if rows.keys() != states.keys():
        raise _Fault("the derived states are not those of the printed lines")
    for line_id, state in states.items():
        expected = (state.standing.value, versions[line_id], state_to_text(state))
        row = rows[line_id]
        if (row.standing, row.version, row.state) != expected:
            raise _Fault(f"the state kept for line {line_id} is not what the log says")


def _short(error: Exception) -> str:
    return str(error).splitlines()[0]
