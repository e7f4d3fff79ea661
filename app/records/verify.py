"""Refolding the log from entry 1 and comparing everything that was derived from it.

Nothing is trusted but the entries themselves: hashes, order, bodies, drawings,
the printed lines and the setting (by the digests in entry 1), and every derived row.
Signed heads tell whether the log once was longer, or another.
"""

from __future__ import annotations

import gc
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from typing import Any

from sqlalchemy import Connection, Select, func, select
from sqlalchemy.exc import DBAPIError

from app.records import elsewhere, postgresql, queries, refold
from app.records.beside_entries import BesideEntries
from app.records.bodies import BODY_OF_KIND
from app.records.entry import FIRST_PREV, Entry, Head, is_canonical, sha256_hex
from app.records.fold import DAY_KINDS, DoesNotFit, changes_line, fold_line, fold_turn
from app.records.loading import rows_digest
from app.records.rows import entry_from_row, state_as_printed_in, state_to_row
from app.records.signed_heads import SignaturesFollowed, SignedHead, all_signed
from app.records.unreadable import UNREADABLE, short
from app.rules.faults import NotFound
from app.rules.line import Line, LineState, state_as_printed
from app.rules.moment import DayState

# Enough that reading them one by one costs nothing, few enough to be held beside all the lines.
_ROWS_AT_ONCE = 1000

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


def verify(
    connection: Connection,
    progress: Progress | None = None,
    beside: SignedHead | None = None,
) -> Verification:
    """Check the whole record behind `connection`, from the first entry on.

    `beside` is the head kept outside the record, read before anything of it was.
    """
    found = Verification()
    try:
        with _nothing_collected():
            _verify(connection, found, progress or _say_nothing, beside)
    except _Fault as fault:
        found.fault, found.entry = str(fault), fault.entry
    except DBAPIError as error:
        found.fault = damage(error)
    return found


@contextmanager
def _nothing_collected() -> Iterator[None]:
    """What is read is kept to the end: looking at it over and over takes a third of the time."""
    was_on = gc.isenabled()
    gc.disable()
    try:
        yield
    finally:
        if was_on:
            gc.enable()


def damage(error: DBAPIError) -> str:
    """What to say of what SQLite itself, or the database server, cannot read."""
    if postgresql.is_its(error):
        return f"the database server cannot read the record: {postgresql.said(error)}"
    return f"the database file is damaged: {error.orig}"


@dataclass(slots=True)
class _Refolded:
    """What the log amounts to so far: the state of each line, and how the day stands."""

    states: dict[str, LineState] = field(default_factory=dict)
    versions: dict[str, int] = field(default_factory=dict)
    added: dict[str, Line] = field(default_factory=dict)
    envelopes: dict[str, int] = field(default_factory=dict)
    day: DayState = field(default_factory=DayState)
    beside: refold.Folded = field(default_factory=refold.Folded)

    def start(self, line_id: str, state: LineState) -> None:
        """A line on which nothing has happened yet."""
        self.states[line_id] = state
        self.versions[line_id] = 0


def _verify(
    connection: Connection, found: Verification, progress: Progress, beside: SignedHead | None
) -> None:
    folded = _Refolded()
    signed = SignaturesFollowed(all_signed(connection), beside)
    with _readable("what stands beside the log"):
        kept = BesideEntries(connection)
    total = connection.execute(select(func.count()).select_from(queries.day_log)).scalar_one()
    for entry in _checked_entries(connection, found):
        try:
            if entry.seq == 1:
                _check_loaded(connection, entry, folded)
            else:
                _fold(connection, folded, entry)
            _must_not(kept.fault_at(entry) or signed.fault_at(entry), entry.seq)
        except UNREADABLE as error:
            words = f"what is kept of entry {entry.seq} cannot be read: {short(error)}"
            raise _Fault(words, entry.seq) from error
        progress(entry.seq, total)
    _must_not(kept.fault_at_end())
    with _readable("the signatures of the log"):
        _must_not(signed.fault_at_end(found.head) if found.head.seq else None)
    with _readable("what follows from the log"):
        _check_derived(connection, folded)
    found.lines = len(folded.states)


@contextmanager
def _readable(what: str) -> Iterator[None]:
    try:
        yield
    except UNREADABLE as error:
        raise _Fault(f"{what} cannot be read: {short(error)}") from error


def _rows(connection: Connection, query: Select[Any]) -> Iterator[dict[str, Any]]:
    """Rows as dicts, many read at once and put together here: several times as fast as one by
    one by way of their mappings.
    """
    found = connection.execute(query)
    names = tuple(found.keys())
    for some in found.partitions(_ROWS_AT_ONCE):
        for row in some:
            yield dict(zip(names, row, strict=False))


def _must_not(fault: str | None, entry: int | None = None) -> None:
    if fault:
        raise _Fault(fault, entry)


def _checked_entries(connection: Connection, found: Verification) -> Iterator[Entry]:
    """Entries in order, each checked by itself and against the one before."""
    rows = _rows(connection, select(queries.day_log).order_by(queries.day_log.c.seq))
    head = Head(0, FIRST_PREV)
    for row in rows:
        expected = head.seq + 1
        if row["seq"] != expected:
            raise _Fault(f"entry {expected} is missing", expected)
        try:
            entry = entry_from_row(row)
            if not is_canonical(row["body"], entry.body):
                raise ValueError("its body is not in canonical form")
            BODY_OF_KIND[entry.kind].model_validate(entry.body, strict=False)
            computed = entry.computed_hash(row["body"])
        except UNREADABLE as error:
            raise _Fault(f"entry {expected} cannot be read: {short(error)}", expected) from error
        if entry.prev != head.hash:
            raise _Fault(f"entry {expected} does not follow the entry before it", expected)
        if entry.hash != computed:
            raise _Fault(f"entry {expected} was changed: its hash does not fit", expected)
        head = Head(entry.seq, entry.hash)
        found.entries, found.head = entry.seq, head
        yield entry


def _check_loaded(connection: Connection, entry: Entry, folded: _Refolded) -> None:
    """Lines, people elsewhere and setting are the ones entry 1 speaks of."""
    if entry.kind != "package.loaded":
        raise _Fault("entry 1 is not package.loaded", 1)
    folded.beside.laptop.fold(entry)
    lines = _printed_lines(connection, entry.body["lines_sha256"])
    people = elsewhere.all_people(connection)
    if elsewhere.elsewhere_digest(people) != entry.body["elsewhere_sha256"]:
        raise _Fault("the people of other precincts are not those that entry 1 loaded")
    text = queries.about_text(connection, "setting")
    if text is None or sha256_hex(text.encode()) != entry.body["setting_sha256"]:
        raise _Fault("the setting is not the one that entry 1 loaded")
    for line_id, state in lines.items():
        folded.start(line_id, state)


def _printed_lines(connection: Connection, expected: str) -> dict[str, LineState]:
    """How the lines that are not added ones stand as printed, if their rows have this digest.

    It is taken over the rows as they stand: what is stored is what was hashed.
    """
    added = queries.ids_of_added_lines(connection)
    stored = _rows(connection, select(queries.lines).order_by(queries.lines.c.line_id))
    rows = [row for row in stored if row["line_id"] not in added]
    with _readable("a printed line"):
        digest = rows_digest(rows)
        states = {row["line_id"]: state_as_printed_in(row["marks"]) for row in rows}
    if digest != expected:
        raise _Fault("the printed lines are not those that entry 1 loaded")
    return states


def _fold(connection: Connection, folded: _Refolded, entry: Entry) -> None:
    """What the entry changes: the day, a line, or that there is one more line."""
    try:
        if entry.kind in DAY_KINDS:
            folded.day = fold_turn(folded.day, entry)
        elif entry.kind == "line.added":
            line = queries.line_as_stored(connection, str(entry.line_id))
            folded.added[line.line_id] = line
            folded.start(line.line_id, state_as_printed(line.printed))
        elif changes_line(entry):
            line_id = str(entry.line_id)
            folded.states[line_id] = fold_line(folded.states[line_id], entry)
            folded.versions[line_id] += 1
        folded.beside.fold(connection, entry)
        if entry.kind == "provisional.recorded":
            folded.envelopes[entry.body["envelope"]] = entry.seq
    except (NotFound, KeyError) as error:
        raise _Fault(
            f"entry {entry.seq} speaks of a line that does not exist", entry.seq
        ) from error
    except (DoesNotFit, ValueError) as error:
        raise _Fault(f"entry {entry.seq} cannot follow: {short(error)}", entry.seq) from error


class _AsPrinted:
    """What is kept of lines on which nothing has happened: thousands, and few that differ."""

    def __init__(self) -> None:
        self._kept: dict[LineState, tuple[object, ...]] = {}

    def __call__(self, state: LineState) -> tuple[object, ...]:
        if state not in self._kept:
            self._kept[state] = _kept_of(state, 0)
        return self._kept[state]


_KEPT_OF_STATE = ("standing", "has_left", "version", "state")


def _kept_of(state: LineState, version: int) -> tuple[object, ...]:
    row = state_to_row("", state, version)
    return tuple(row[name] for name in _KEPT_OF_STATE)


def _check_derived(connection: Connection, folded: _Refolded) -> None:
    of = queries.line_states.c
    query = select(of.line_id, *(of[name] for name in _KEPT_OF_STATE))
    kept = {line_id: tuple(rest) for line_id, *rest in connection.execute(query)}
    if kept.keys() != folded.states.keys():
        raise _Fault("the derived states are not those of the lines in the log")
    as_printed = _AsPrinted()
    for line_id, state in folded.states.items():
        version = folded.versions[line_id]
        expected = _kept_of(state, version) if version else as_printed(state)
        if kept[line_id] != expected:
            raise _Fault(f"the state kept for line {line_id} is not what the log says")
    _check_look_alikes(connection, folded)
    beside = refold.faults(connection, folded.beside)
    if beside:
        raise _Fault(beside)
    envelopes = connection.execute(select(queries.envelopes))
    if {row.envelope: row.seq for row in envelopes} != folded.envelopes:
        raise _Fault("the envelope numbers are not those that the log speaks of")


def _check_look_alikes(connection: Connection, folded: _Refolded) -> None:
    rows = connection.execute(select(queries.later_look_alikes))
    kept = {(row.line_id, row.added_id) for row in rows}
    said = {(other, line.line_id) for line in folded.added.values() for other in line.look_alikes}
    if kept != said | folded.beside.alike:
        raise _Fault("the look-alikes that came later are not those that the lines name")
