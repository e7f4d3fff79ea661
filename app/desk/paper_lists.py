"""Late lists on paper: keyed row by row, each recorded at once, counted against the printed total.

A row that was keyed by mistake is undone and no longer counts. A list is finished when the
count is the printed total, or when the lead says why it is not.
"""

from __future__ import annotations

import secrets
from collections.abc import Mapping
from dataclasses import asdict, dataclass
from typing import Any

from sqlalchemy import Connection

from app.desk.irregularities import contradiction_body
from app.desk.late_judging import Decision, listed_as, proposal_as_text, row_as_text
from app.desk.late_lists import LIST_ID_BYTES
from app.desk.late_views import RowView, paper_row
from app.desk.outcomes import Refused
from app.intake.late_rows import LateRow
from app.records import late_lists, personal, queries
from app.records.bodies import LineRemoved, LineRestored, MarkRecorded, MarkWithdrawn
from app.records.bodies_lists import (
    LateListFinished,
    LateListRowKeyed,
    LateListRowUndone,
    LateListStarted,
)
from app.records.body import Body
from app.records.clock import to_text
from app.records.entry import Actor, Entry
from app.records.fold import act_of
from app.records.late_lists import KeptList, KeptRow
from app.records.unit import Pending, Unit
from app.rules.faults import BadRequest, NotAllowed, TokenReused
from app.rules.late_agreement import Agreement, Candidate
from app.rules.late_list import MARK_OF, Effect, ListKind, Proposal, effect_on

_WORD = {Effect.MARK: "mark", Effect.REMOVE: "remove", Effect.ALREADY: "already"}


@dataclass(frozen=True, slots=True)
class Counted:
    """The row that was worked, its entry, and how far the list has come."""

    row: RowView
    entry: Entry
    count: int
    not_found: int
    printed_total: int


def start(
    unit: Unit, actor: Actor, token: str, kind: ListKind, name: str, printed_total: int
) -> KeptList:
    """Begin to work a list. BadRequest for supplemental pages: a line needs more than a row has."""
    if kind is ListKind.SUPPLEMENTAL:
        raise BadRequest(field="kind", expected="mail_voted, early_voted or removals on paper")
    again = unit.already(
        token, LateListStarted.kind, list_kind=kind.value, name=name, printed_total=printed_total
    )
    if again:
        return late_lists.one(unit.connection, again.body["list_id"])
    if late_lists.by_token(unit.connection, token):
        raise TokenReused(what="late list")
    list_id = secrets.token_hex(LIST_ID_BYTES)
    body = LateListStarted(list_id=list_id, list_kind=kind, name=name, printed_total=printed_total)
    entry = unit.append(actor, token, body)
    kept = KeptList(
        place=late_lists.next_place(unit.connection),
        list_id=list_id,
        token=token,
        kind=kind,
        form="paper",
        name=name,
        status="keying",
        salt="",
        brought_by=actor.initials,
        brought_at=to_text(unit.now()),
        printed_total=printed_total,
        started_seq=entry.seq,
    )
    late_lists.keep(unit, kept)
    return kept


def key_line(
    unit: Unit, actor: Actor, token: str, list_id: str, line_id: str, *, is_twice: bool
) -> Counted | Refused:
    """Record that the next row of the list is this line; what contradicts it is written up."""
    connection = unit.connection
    again = unit.already(token, LateListRowKeyed.kind, line_id, twice=is_twice)
    if again:
        return _counted(connection, again)
    kept = _being_keyed(connection, list_id)
    if isinstance(kept, Refused):
        return kept
    line = queries.line(connection, line_id)
    rows = late_lists.rows_of(connection, list_id)
    before = _keyed_before(connection, rows, line_id)
    if before and not is_twice:
        return before
    listed = listed_as(connection, kept)
    number = len(rows) + 1
    state = queries.stored_state(connection, line_id).state
    effect, contradiction = effect_on(Candidate(line, state), number, listed)
    proposal = Proposal(number, Agreement.NUMBER_AND_PERSON, line_id, effect, contradiction)
    keyed = LateListRowKeyed.model_validate(
        {
            "list_seq": kept.started_seq,
            "row_number": number,
            "effect": _WORD[effect],
            "twice": is_twice,
            "details_sha256": None,
        }
    )
    pending = [Pending(token, keyed, line_id)]
    body = _body(kept, effect, number)
    if body:
        pending.append(Pending(f"{token}.1", body, line_id))
    if contradiction:
        found = contradiction_body(contradiction, kept.started_seq, number)
        pending.append(Pending(f"{token}.c", found, line_id))
    entries = unit.append_all(actor, pending)
    printed = line.printed
    row = LateRow(
        number,
        printed.voter_number,
        printed.last_name,
        printed.first_name,
        printed.middle_name,
        printed.suffix,
        initials=actor.initials,
    )
    done = entries[1].seq if body else None
    _keep_row(unit, list_id, row, proposal, keyed_seq=entries[0].seq, done_seq=done)
    return _counted(connection, entries[0])


def key_not_found(
    unit: Unit, actor: Actor, token: str, list_id: str, number: str, name: str
) -> Counted | Refused:
    """Write down a row whose person is on no line; nothing else changes."""
    connection = unit.connection
    if not (number or name):
        raise BadRequest(missing=["number", "name"])
    words = {"number": number, "name": name}
    again = unit.already(token, LateListRowKeyed.kind, effect="not_found")
    if again:
        if personal.details_of(connection, again) != words:
            raise TokenReused(seq=again.seq, kind=again.kind)
        return _counted(connection, again)
    kept = _being_keyed(connection, list_id)
    if isinstance(kept, Refused):
        return kept
    row_number = len(late_lists.rows_of(connection, list_id)) + 1
    sealed = personal.seal(words)
    body = LateListRowKeyed(
        list_seq=kept.started_seq or 0,
        row_number=row_number,
        effect="not_found",
        twice=False,
        details_sha256=sealed.digest,
    )
    entry = unit.append(actor, token, body)
    personal.keep(unit, entry, sealed)
    row = LateRow(row_number, voter_number=number, last_name=name, initials=actor.initials)
    proposal = Proposal(row_number, Agreement.NONE, None, Effect.REFUSE)
    _keep_row(unit, list_id, row, proposal, keyed_seq=entry.seq, done_seq=None)
    return _counted(connection, entry)


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
        return _counted(connection, again)
    kept = _being_keyed(connection, list_id)
    if isinstance(kept, Refused):
        return kept
    if row.decision:
        return Refused("nothing-to-withdraw")
    body = LateListRowUndone(list_seq=kept.started_seq or 0, **asked)
    pending = [Pending(token, body, result["line_id"])]
    undoing = _undoing(connection, kept, result, reason)
    if undoing:
        pending.append(Pending(f"{token}.1", undoing, result["line_id"]))
    entries = unit.append_all(actor, pending)
    decision = Decision("undone", actor.initials, reason=reason)
    late_lists.set_decision(unit, list_id, row_number, asdict(decision))
    return _counted(connection, entries[0])


def finish(
    unit: Unit, actor: Actor, token: str, list_id: str, reason: str, *, is_lead: bool
) -> KeptList | Refused:
    """Close the list. NotAllowed where somebody else than the lead says why totals differ."""
    connection = unit.connection
    again = unit.already(token, LateListFinished.kind, reason=reason)
    kept = late_lists.one(connection, list_id)
    if again:
        if again.body["list_seq"] != kept.started_seq:
            raise TokenReused(seq=again.seq, kind=again.kind)
        return kept
    keying = _being_keyed(connection, list_id)
    if isinstance(keying, Refused):
        return keying
    count, not_found = counts(late_lists.rows_of(connection, list_id))
    total = kept.printed_total or 0
    if count != total and not reason:
        return Refused("totals-differ", {"count": count, "printed_total": total})
    if count != total and not is_lead:
        raise NotAllowed(role="worker")
    body = LateListFinished(
        list_seq=kept.started_seq or 0,
        count=count,
        printed_total=total,
        not_found=not_found,
        reason=reason,
    )
    entry = unit.append(actor, token, body)
    late_lists.change(unit, list_id, status="finished", done_seq=entry.seq, reason=reason)
    return late_lists.one(connection, list_id)


def counts(rows: list[KeptRow]) -> tuple[int, int]:
    """How many rows were worked and stand, and how many of them are people on no line."""
    standing = [row for row in rows if not row.decision]
    none = [row for row in standing if (row.result or {}).get("line_id") is None]
    return len(standing), len(none)


def _being_keyed(connection: Connection, list_id: str) -> KeptList | Refused:
    kept = late_lists.one(connection, list_id)
    if kept.form != "paper":
        return Refused("nothing-to-record")
    if kept.status == "dropped":
        return Refused("list-dropped", {"name": kept.name})
    return kept if kept.status == "keying" else Refused("list-finished", {"name": kept.name})


def _keyed_before(connection: Connection, rows: list[KeptRow], line_id: str) -> Refused | None:
    for row in rows:
        result = row.result or {}
        if result.get("line_id") == line_id and not row.decision:
            act = act_of(queries.entry(connection, result["keyed_seq"]))
            facts = {
                "row_number": row.row_number,
                "at": to_text(act.at),
                "initials": act.initials,
                "station": act.station,
            }
            return Refused("keyed-already", facts)
    return None


def _body(kept: KeptList, effect: Effect, number: int) -> Body | None:
    if effect is Effect.REMOVE:
        return LineRemoved(reason=kept.name, list_seq=kept.started_seq, row_number=number)
    if effect is not Effect.MARK:
        return None
    return MarkRecorded(
        mark=MARK_OF[kept.kind],
        source=kept.name,
        list_seq=kept.started_seq,
        row_number=number,
    )


def _undoing(
    connection: Connection, kept: KeptList, result: Mapping[str, Any], reason: str
) -> Body | None:
    """What takes back the row's own mark or removal; None where it made none, or it is gone."""
    done = result.get("seq")
    if done is None:
        return None
    state = queries.stored_state(connection, str(result["line_id"])).state
    if kept.kind is ListKind.REMOVALS:
        if state.removed is None or state.removed.seq != done:
            return None
        return LineRestored(reason=reason, list_seq=kept.started_seq)
    if not any(mark.act and mark.act.seq == done for mark in state.marks):
        return None
    return MarkWithdrawn(
        mark=MARK_OF[kept.kind], mark_seq=done, reason=reason, list_seq=kept.started_seq
    )


def _keep_row(
    unit: Unit,
    list_id: str,
    row: LateRow,
    proposal: Proposal,
    *,
    keyed_seq: int,
    done_seq: int | None,
) -> None:
    result = {
        "proposal": proposal_as_text(proposal),
        "line_id": proposal.line_id,
        "seq": done_seq,
        "keyed_seq": keyed_seq,
    }
    kept = KeptRow(row.row_number, row_as_text(row), result=result)
    late_lists.add_rows(unit, list_id, [kept])


def _counted(connection: Connection, entry: Entry) -> Counted:
    """The row as it stands and the count now, also where the same was asked before."""
    started = queries.entry(connection, entry.body["list_seq"])
    list_id = started.body["list_id"]
    rows = late_lists.rows_of(connection, list_id)
    row = rows[entry.body["row_number"] - 1]
    count, not_found = counts(rows)
    return Counted(paper_row(row), entry, count, not_found, int(started.body["printed_total"]))
