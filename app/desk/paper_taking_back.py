"""Taking back a row that was keyed by mistake: it no longer counts, and what it did is undone.

A mark is withdrawn, a removed line put back, an added line taken off again. A line that somebody
has signed since, that carries a mark or a provisional ballot, or on which another row found its
person, is not taken off.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import asdict
from typing import Any

from sqlalchemy import Connection

from app.desk.late_judging import Decision
from app.desk.outcomes import Refused
from app.desk.paper_lists import Counted, being_keyed, counted
from app.records import late_lists, queries
from app.records.bodies import LineRemoved, LineRestored, MarkWithdrawn
from app.records.bodies_lists import LateListRowUndone
from app.records.body import Body
from app.records.clock import to_text
from app.records.entry import Actor
from app.records.late_lists import KeptList
from app.records.unit import Pending, Unit
from app.rules.late_list import MARK_OF, ListKind
from app.rules.line import Act, LineState


def undo(
    unit: Unit, actor: Actor, token: str, list_id: str, row_number: int, reason: str
) -> Counted | Refused:
    """Take a row out of the count and off its line; NotFound where there is no such row."""
    connection = unit.connection
    row = late_lists.row_of(connection, list_id, row_number)
    result = row.result or {}
    asked = {"row_number": row_number, "reason": reason}
    again = unit.already(token, LateListRowUndone.kind, result.get("line_id"), **asked)
    if again:
        return counted(connection, again)
    kept = being_keyed(connection, list_id)
    if isinstance(kept, Refused):
        return kept
    if row.is_taken_back:
        return Refused("nothing-to-withdraw")
    in_use = _in_use(connection, kept, result)
    if in_use:
        return in_use
    body = LateListRowUndone(list_seq=kept.started_seq or 0, **asked)
    pending = [Pending(token, body, result["line_id"])]
    undoing = _undoing(connection, kept, result, reason)
    if undoing:
        pending.append(Pending(f"{token}.1", undoing, result["line_id"]))
    entries = unit.append_all(actor, pending)
    decision = Decision("undone", actor.initials, reason=reason)
    late_lists.set_decision(unit, list_id, row_number, asdict(decision))
    return counted(connection, entries[0])


def _in_use(connection: Connection, kept: KeptList, result: Mapping[str, Any]) -> Refused | None:
    """Why the line that the row added cannot be taken off; None where it can, or it added none."""
    if kept.kind is not ListKind.SUPPLEMENTAL or result.get("seq") is None:
        return None
    line_id = str(result["line_id"])
    stands = _what_stands(queries.stored_state(connection, line_id).state)
    if stands is None:
        return _rested_on(connection, line_id)
    standing, act = stands
    facts: dict[str, object] = {"line_id": line_id, "standing": standing}
    if act:
        facts |= {"at": to_text(act.at), "initials": act.initials, "station": act.station}
    return Refused("line-in-use", facts)


def _rested_on(connection: Connection, line_id: str) -> Refused | None:
    """Another row says that its person is on this line already: they would be left without one."""
    other = late_lists.row_resting_on(connection, line_id)
    if other is None:
        return None
    facts = {"line_id": line_id, "standing": "listed", "row_number": other.row_number}
    return Refused("line-in-use", facts)


def _what_stands(state: LineState) -> tuple[str, Act | None] | None:
    if state.signature:
        return "signed", state.signature
    if state.provisional:
        return "provisional", state.provisional
    return ("marked", state.marks[-1].act) if state.marks else None


def _undoing(
    connection: Connection, kept: KeptList, result: Mapping[str, Any], reason: str
) -> Body | None:
    """What takes back the row's mark, removal or line; None where it made none, or it is gone."""
    done = result.get("seq")
    if done is None:
        return None
    state = queries.stored_state(connection, str(result["line_id"])).state
    if kept.kind is ListKind.SUPPLEMENTAL:
        return None if state.removed else LineRemoved(reason=reason, list_seq=kept.started_seq)
    if kept.kind is ListKind.REMOVALS:
        if state.removed is None or state.removed.seq != done:
            return None
        return LineRestored(reason=reason, list_seq=kept.started_seq)
    if not any(mark.act and mark.act.seq == done for mark in state.marks):
        return None
    return MarkWithdrawn(
        mark=MARK_OF[kept.kind], mark_seq=done, reason=reason, list_seq=kept.started_seq
    )
