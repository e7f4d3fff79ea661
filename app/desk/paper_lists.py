"""Late lists on paper: keyed row by row, each recorded at once, counted against the printed total.

A row that was keyed by mistake is taken back (`paper_taking_back`) and no longer counts. A list
is finished when the count is the printed total, or when the lead says why it is not. The rows of
supplemental pages are people, not lines: see `paper_people`.
"""

from __future__ import annotations

import secrets
from dataclasses import dataclass

from sqlalchemy import Connection

from app.desk.irregularities import contradiction_body
from app.desk.late_judging import listed_as, proposal_as_text, proposal_from, row_as_text
from app.desk.late_lists import LIST_ID_BYTES
from app.desk.late_views import RowView, paper_row
from app.desk.outcomes import Refused
from app.intake.late_rows import LateRow
from app.records import late_lists, personal, queries
from app.records.bodies import LineRemoved, MarkRecorded
from app.records.bodies_lists import (
    LateListFinished,
    LateListRowKeyed,
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
from app.rules.line import Line

_WORD = {Effect.MARK: "mark", Effect.REMOVE: "remove", Effect.ALREADY: "already"}


@dataclass(frozen=True, slots=True)
class Counted:
    """The row that was worked, its entry, and how far the list has come.

    `added` is the line that the row has just added, not when the same is asked again.
    """

    row: RowView
    entry: Entry
    count: int
    not_found: int
    printed_total: int
    added: tuple[Line, ...] = ()


def start(
    unit: Unit, actor: Actor, token: str, kind: ListKind, name: str, printed_total: int
) -> KeptList:
    """Begin to work a list; the same token, the same list."""
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
        return counted(connection, again)
    kept = being_keyed(connection, list_id)
    if isinstance(kept, Refused):
        return kept
    if kept.kind is ListKind.SUPPLEMENTAL:
        raise BadRequest(field="kind", expected="a list of marks or removals: its rows are lines")
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
    keep_row(unit, list_id, row, proposal, keyed_seq=entries[0].seq, done_seq=done)
    return counted(connection, entries[0])


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
        return counted(connection, again)
    kept = being_keyed(connection, list_id)
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
    keep_row(unit, list_id, row, proposal, keyed_seq=entry.seq, done_seq=None)
    return counted(connection, entry)


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
    keying = being_keyed(connection, list_id)
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
    standing = [row for row in rows if not row.is_taken_back]
    none = [
        row for row in standing if not row.decision and proposal_of(row).effect is Effect.REFUSE
    ]
    return len(standing), len(none)


def proposal_of(row: KeptRow) -> Proposal:
    """What a row that was keyed did, or would do."""
    return proposal_from(row.result or {})


def being_keyed(connection: Connection, list_id: str) -> KeptList | Refused:
    """The list while it is worked, or why no row of it can be; NotFound where there is none."""
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
            return keyed_already(connection, row)
    return None


def keyed_already(connection: Connection, row: KeptRow) -> Refused:
    """The refusal that says which row has it, and who keyed that one when."""
    act = act_of(queries.entry(connection, (row.result or {})["keyed_seq"]))
    facts = {
        "row_number": row.row_number,
        "at": to_text(act.at),
        "initials": act.initials,
        "station": act.station,
    }
    return Refused("keyed-already", facts)


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


def keep_row(
    unit: Unit,
    list_id: str,
    row: LateRow,
    proposal: Proposal,
    *,
    keyed_seq: int,
    done_seq: int | None,
) -> None:
    """Keep a row that was keyed, and the entries that did so."""
    result = {
        "proposal": proposal_as_text(proposal),
        "line_id": proposal.line_id,
        "seq": done_seq,
        "keyed_seq": keyed_seq,
    }
    kept = KeptRow(row.row_number, row_as_text(row), result=result)
    late_lists.add_rows(unit, list_id, [kept])


def counted(connection: Connection, entry: Entry) -> Counted:
    """The row as it stands and the count now, also where the same was asked before."""
    started = queries.entry(connection, entry.body["list_seq"])
    list_id = started.body["list_id"]
    rows = late_lists.rows_of(connection, list_id)
    row = rows[entry.body["row_number"] - 1]
    count, not_found = counts(rows)
    return Counted(paper_row(row), entry, count, not_found, int(started.body["printed_total"]))
