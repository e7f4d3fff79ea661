"""Lines that a corrected list no longer names: what the earlier list did stands or is undone.

Only after the corrected list was applied, one at a time, by a person who says why.
"""

from __future__ import annotations

from sqlalchemy import Connection

from app.desk.late_applying import Settled
from app.desk.late_differences import stands
from app.desk.outcomes import Refused
from app.records import actions, late_lists, queries
from app.records.bodies import LineRemoved, LineRestored, MarkWithdrawn
from app.records.bodies_lists import LateListRowSettled
from app.records.body import Body
from app.records.entry import Actor
from app.records.late_lists import KeptGone, KeptList
from app.records.unit import Pending, Unit
from app.rules.faults import NotFound
from app.rules.late_list import MARK_OF, ListKind


def settle_gone(
    unit: Unit,
    actor: Actor,
    token: str,
    list_id: str,
    line_id: str,
    reason: str,
    *,
    is_withdrawn: bool,
) -> Settled | Refused:
    """Undo what the earlier list did to the line, or let it stand; the same token, the same answer.

    NotFound where the list has no such line.
    """
    connection = unit.connection
    how = "withdraw" if is_withdrawn else "keep"
    again = unit.already(token, LateListRowSettled.kind, line_id, how=how, reason=reason)
    if again:
        return Settled(tuple(actions.entries_of_token(connection, token)))
    kept = late_lists.one(connection, list_id)
    gone = _gone(connection, list_id, line_id)
    if gone.decision is not None or kept.done_seq is None:
        return Refused("nothing-to-settle")
    body = LateListRowSettled(
        list_seq=kept.done_seq,
        row_number=None,
        how="withdraw" if is_withdrawn else "keep",
        reason=reason,
        settled_by=actor.initials,
    )
    pending = [Pending(token, body, line_id)]
    state = queries.stored_state(connection, line_id).state
    if is_withdrawn and stands(state, kept.kind, gone.undo_seq):
        pending.append(Pending(f"{token}.1", _undoing(kept, gone, reason), line_id))
    entries = unit.append_all(actor, pending)
    decision = {"withdraw": is_withdrawn, "reason": reason, "initials": actor.initials}
    late_lists.decide_gone(unit, list_id, line_id, decision)
    return Settled(tuple(entries))


def _gone(connection: Connection, list_id: str, line_id: str) -> KeptGone:
    for one in late_lists.gone_of(connection, list_id):
        if one.line_id == line_id:
            return one
    raise NotFound(what="line that is gone from the list")


def _undoing(kept: KeptList, gone: KeptGone, reason: str) -> Body:
    if kept.kind is ListKind.REMOVALS:
        return LineRestored(reason=reason, list_seq=kept.done_seq)
    if kept.kind is ListKind.SUPPLEMENTAL:
        return LineRemoved(reason=reason, list_seq=kept.done_seq)
    mark = MARK_OF[kept.kind]
    return MarkWithdrawn(mark=mark, mark_seq=gone.undo_seq, reason=reason, list_seq=kept.done_seq)
