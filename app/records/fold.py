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
from app.rules.moment import DayState, Extension

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
        day = fold_turn(day, entry)
    return day


def fold_turn(day: DayState, entry: Entry) -> DayState:
    """The day after `entry`; DoesNotFit where it cannot follow."""
    return DAY_KINDS[entry.kind](day, act_of(entry), entry.body)


def turn_act(day: DayState, turn: str) -> Act | None:
    """Who took the turn that stands, None where it was not taken."""
    if turn == "hours.extended":
        return day.extension.act if day.extension else None
    act: Act | None = getattr(day, _FIELD_OF_TURN[turn])
    return act


# Kind of entry -> the field of DayState it sets.
_FIELD_OF_TURN: Mapping[str, str] = {
    "day.opened": "opened",
    "line.cut_off": "cut_off",
    "day.closed": "closed",
}


def _turn_taken(turn: str) -> Callable[[DayState, Act, Body], DayState]:
    def taken(day: DayState, act: Act, _body: Body) -> DayState:
        if turn_act(day, turn):
            raise DoesNotFit(f"{turn} stands already")
        return _with_turn(day, turn, act)

    return taken


def _hours_extended(day: DayState, act: Act, body: Body) -> DayState:
    extension = Extension(act, body["reference"], body["until"])
    return replace(day, extensions=(*day.extensions, extension))


def _turn_withdrawn(day: DayState, _act: Act, body: Body) -> DayState:
    turn = body["turn"]
    act = turn_act(day, turn)
    if act is None or act.seq != body["turn_seq"]:
        raise DoesNotFit(f"{turn} of entry {body['turn_seq']} does not stand")
    if turn == "hours.extended":
        return replace(day, extensions=day.extensions[:-1])
    return _with_turn(day, turn, None)


def _with_turn(day: DayState, turn: str, act: Act | None) -> DayState:
    changed: dict[str, Any] = {_FIELD_OF_TURN[turn]: act}
    return replace(day, **changed)


DAY_KINDS: Mapping[str, Callable[[DayState, Act, Body], DayState]] = {
    **{turn: _turn_taken(turn) for turn in _FIELD_OF_TURN},
    "hours.extended": _hours_extended,
    "turn.withdrawn": _turn_withdrawn,
}


def _signature_recorded(state: LineState, act: Act, _body: Body) -> LineState:
    if state.signature:
        raise DoesNotFit(f"the line carries the signature of entry {state.signature.seq}")
    return replace(state, signature=act)


def _signature_withdrawn(state: LineState, _act: Act, body: Body) -> LineState:
    _must_stand(state, body)
    return replace(state, signature=None, left=None)


def _voter_left(state: LineState, act: Act, body: Body) -> LineState:
    _must_stand(state, body)
    if state.left:
        raise DoesNotFit(f"the voter left by entry {state.left.seq}")
    return replace(state, left=act)


def _voter_returned(state: LineState, _act: Act, body: Body) -> LineState:
    _must_stand(state, body)
    if state.left is None:
        raise DoesNotFit("the voter has not left")
    return replace(state, left=None)


def _must_stand(state: LineState, body: Body) -> None:
    if state.signature is None or state.signature.seq != body["signature_seq"]:
        raise DoesNotFit(f"the line does not carry the signature of entry {body['signature_seq']}")


def _provisional_recorded(state: LineState, act: Act, _body: Body) -> LineState:
    if state.provisional:
        raise DoesNotFit(f"a provisional ballot was given by entry {state.provisional.seq}")
    return replace(state, provisional=act)


def _provisional_withdrawn(state: LineState, _act: Act, body: Body) -> LineState:
    seq = body["provisional_seq"]
    if state.provisional is None or state.provisional.seq != seq:
        raise DoesNotFit(f"no provisional ballot of entry {seq} stands on the line")
    return replace(state, provisional=None)


def _mark_recorded(state: LineState, act: Act, body: Body) -> LineState:
    mark = Mark(MarkKind(body["mark"]), body["source"], act.initials, act)
    return replace(state, marks=(*state.marks, mark))


def _mark_withdrawn(state: LineState, _act: Act, body: Body) -> LineState:
    kind = MarkKind(body["mark"])
    kept = tuple(mark for mark in state.marks if not _is_meant(mark, kind, body.get("mark_seq")))
    if len(kept) == len(state.marks):
        raise DoesNotFit(f"the line carries no mark {kind}")
    return replace(state, marks=kept)


def _is_meant(mark: Mark, kind: MarkKind, seq: int | None) -> bool:
    is_entry = seq is None or (mark.act is not None and mark.act.seq == seq)
    return mark.kind is kind and is_entry


def _line_removed(state: LineState, act: Act, _body: Body) -> LineState:
    if state.removed:
        raise DoesNotFit(f"the line was removed by entry {state.removed.seq}")
    return replace(state, removed=act)


def _line_restored(state: LineState, _act: Act, _body: Body) -> LineState:
    if state.removed is None:
        raise DoesNotFit("the line is not removed")
    return replace(state, removed=None)


def _row_keyed(state: LineState, act: Act, body: Body) -> LineState:
    """A row that is signed has its signature in an entry of its own."""
    if body["effect"] != "duplicate":
        return state
    if state.signature is None:
        raise DoesNotFit("the line is not signed, so that the row is no duplicate")
    return replace(state, also_on_paper=(*state.also_on_paper, act))


def _row_undone(state: LineState, _act: Act, body: Body) -> LineState:
    kept = tuple(act for act in state.also_on_paper if act.seq != body["keyed_seq"])
    return replace(state, also_on_paper=kept)


def _address_confirmed(state: LineState, act: Act, _body: Body) -> LineState:
    return replace(state, address_confirmed=act)


def _assistance_recorded(state: LineState, act: Act, _body: Body) -> LineState:
    return replace(state, assistance=act)


_CHANGES: Mapping[str, Callable[[LineState, Act, Body], LineState]] = {
    "signature.recorded": _signature_recorded,
    "signature.withdrawn": _signature_withdrawn,
    "voter.left": _voter_left,
    "voter.returned": _voter_returned,
    "provisional.recorded": _provisional_recorded,
    "provisional.withdrawn": _provisional_withdrawn,
    "mark.recorded": _mark_recorded,
    "mark.withdrawn": _mark_withdrawn,
    "line.removed": _line_removed,
    "line.restored": _line_restored,
    "address.confirmed": _address_confirmed,
    "assistance.recorded": _assistance_recorded,
    "paper.row_keyed": _row_keyed,
    "paper.row_settled": _row_keyed,
    "paper.row_undone": _row_undone,
}

LINE_KINDS = frozenset(_CHANGES)

# These change a line where they speak of one; the person may be on none.
_WITH_OR_WITHOUT_LINE = frozenset(
    {
        "provisional.recorded",
        "provisional.withdrawn",
        "paper.row_keyed",
        "paper.row_settled",
        "paper.row_undone",
    }
)


def changes_line(entry: Entry) -> bool:
    """Whether `entry` is folded into the state of a line."""
    is_free = entry.kind in _WITH_OR_WITHOUT_LINE and entry.line_id is None
    return entry.kind in LINE_KINDS and not is_free
