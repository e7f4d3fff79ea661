"""How an entry changes the state of its line, and how the day's turns are read.

The same functions run when an entry is written and when `verify` refolds the
log from entry 1, so what is shown is what the log says.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import replace
from typing import Any

from app.records.clock import from_text
from app.records.entry import Entry
from app.rules.line import Act, LineState, Mark, MarkKind
from app.rules.moment import DayState

Body = Mapping[str, Any]


class DoesNotFit(Exception):
    """An entry that cannot follow the state before it; the text says why."""


def act_of(entry: Entry) -> Act:
    """The entry as who, when and where."""
    return Act(entry.seq, from_text(entry.at), entry.station, entry.initials)


def fold_line(state: LineState, entry: Entry) -> LineState:
    """The state of the line after `entry`; DoesNotFit where it cannot follow."""
    change = _CHANGES.get(entry.kind)
    if change is None:
        raise DoesNotFit(f"{entry.kind} does not change a line")
    return change(state, act_of(entry), entry.body)


def fold_day(entries: Iterable[Entry]) -> DayState:
    """The turns of the day, from the entries of DAY_KINDS in order."""
    day = DayState()
    for entry in entries:
        day = replace(day, **{DAY_KINDS[entry.kind]: act_of(entry)})
    return day


# Kind of entry -> the field of DayState it sets.
DAY_KINDS: Mapping[str, str] = {
    "day.opened": "opened",
    "line.cut_off": "cut_off",
    "day.closed": "closed",
}


def _signature_recorded(state: LineState, act: Act, _body: Body) -> LineState:
    if state.signature:
        raise DoesNotFit(f"the line carries the signature of entry {state.signature.seq}")
    return replace(state, signature=act)


def _signature_withdrawn(state: LineState, _act: Act, body: Body) -> LineState:
    if state.signature is None or state.signature.seq != body["signature_seq"]:
        raise DoesNotFit(f"the line does not carry the signature of entry {body['signature_seq']}")
    return replace(state, signature=None)


def _mark_recorded(state: LineState, act: Act, body: Body) -> LineState:
    mark = Mark(MarkKind(body["mark"]), body["source"], act.initials, act)
    return replace(state, marks=(*state.marks, mark))


def _mark_withdrawn(state: LineState, _act: Act, body: Body) -> LineState:
    kind = MarkKind(body["mark"])
    if not any(mark.kind is kind for mark in state.marks):
        raise DoesNotFit(f"the line carries no mark {kind}")
    return replace(state, marks=tuple(mark for mark in state.marks if mark.kind is not kind))


def _line_removed(state: LineState, act: Act, _body: Body) -> LineState:
    if state.removed:
        raise DoesNotFit(f"the line was removed by entry {state.removed.seq}")
    return replace(state, removed=act)


def _address_confirmed(state: LineState, act: Act, _body: Body) -> LineState:
    return replace(state, address_confirmed=act)


def _assistance_recorded(state: LineState, act: Act, _body: Body) -> LineState:
    return replace(state, assistance=act)


_CHANGES: Mapping[str, Callable[[LineState, Act, Body], LineState]] = {
    "signature.recorded": _signature_recorded,
    "signature.withdrawn": _signature_withdrawn,
    "mark.recorded": _mark_recorded,
    "mark.withdrawn": _mark_withdrawn,
    "line.removed": _line_removed,
    "address.confirmed": _address_confirmed,
    "assistance.recorded": _assistance_recorded,
}

LINE_KINDS = frozenset(_CHANGES)
