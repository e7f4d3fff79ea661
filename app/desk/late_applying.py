"""Applying a late list: one transaction, all of it or nothing; and what is settled afterwards.

Every row is judged again in the transaction. Nothing is overwritten: what contradicts a line is
recorded beside what stands there, and an irregularity is opened with both facts. Rows that wait
for a person do not hold the others up: a voter may stand at the table meanwhile.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import asdict, dataclass, replace
from typing import Any

from sqlalchemy import Connection

from app.desk.late_differences import Gone, gone_rows
from app.desk.late_entries import Work, add_lines, new_lines_of
from app.desk.late_judging import (
    Decision,
    Prepared,
    judge,
    judge_again,
    judge_whole,
    prepare,
    proposal_as_text,
    row_from,
)
from app.desk.late_lists import applied_already, fresh
from app.desk.namesakes import ids_of_look_alikes_of_each, places_of_look_alikes_before
from app.desk.outcomes import Refused
from app.desk.roster import Roster
from app.intake.late_lines import printed_line
from app.intake.late_rows import LateRow
from app.records import actions, late_lists, queries
from app.records.bodies import LineAdded, LineRemoved, MarkRecorded
from app.records.bodies_lists import LateListApplied, LateListRowSettled
from app.records.entry import Actor, Entry
from app.records.late_lists import KeptGone, KeptList
from app.records.named import all_named_now
from app.records.unit import Pending, Unit
from app.rules.late_agreement import Candidate
from app.rules.late_list import (
    Effect,
    ListKind,
    Proposal,
    effect_on,
    settle_by_adding,
)
from app.rules.late_preview import Tally, tally
from app.rules.line import Line


@dataclass(frozen=True, slots=True)
class Applied:
    """The list, the entry that applied it, and every entry of the transaction."""

    kept: KeptList
    entry: Entry
    entries: int
    irregularities: int
    tally: Tally
    gone: tuple[Gone, ...]
    added: tuple[Line, ...] = ()


@dataclass(frozen=True, slots=True)
class Settled:
    """What a person's decision recorded, none where the list is a draft still."""

    entries: tuple[Entry, ...] = ()
    added: tuple[Line, ...] = ()


def prepare_to_apply(roster: Roster, list_id: str) -> Prepared:
    """Read before writing, so that the writer is held for as short as can be."""

    def prepared(connection: Connection) -> Prepared:
        found = judge_whole(connection, prepare(connection, list_id))
        if found.kept.kind is not ListKind.SUPPLEMENTAL:
            return found
        return _with_look_alikes(connection, found)

    return roster.store.read(prepared)


def _with_look_alikes(connection: Connection, prepared: Prepared) -> Prepared:
    """Whom each row that may be added could be mistaken for; it takes too long for the writer."""
    numbers = {
        each.row_number for each in prepared.proposals if each.effect in (Effect.ADD, Effect.SETTLE)
    }
    rows = [row for row in prepared.rows if row.row_number in numbers and not row.faults]
    new = [printed_line(row) for row in rows]
    alike = ids_of_look_alikes_of_each(new, list(all_named_now(connection)))
    before = [
        tuple(rows[place].row_number for place in places)
        for places in places_of_look_alikes_before(new)
    ]
    in_order = [row.row_number for row in rows]
    return replace(
        prepared,
        alike=dict(zip(in_order, alike, strict=True)),
        alike_rows=dict(zip(in_order, before, strict=True)),
    )


def apply(unit: Unit, actor: Actor, token: str, prepared: Prepared) -> Applied | Refused:
    """Apply the list as things stand now; the same token answers the same.

    DiskNearlyFull where it has too many rows for what is left.
    """
    connection, list_id = unit.connection, prepared.kept.list_id
    again = unit.already(token, LateListApplied.kind, list_id=list_id)
    if again:
        return _applied(connection, late_lists.one(connection, list_id), again)
    refusal = _refusal(connection, late_lists.one(connection, list_id))
    if refusal:
        return refusal
    late_lists.check_room_for(connection, prepared.kept.kind, len(prepared.rows))
    prepared = judge_again(connection, prepared)
    decisions, proposals = prepared.decisions, prepared.proposals
    counted = tally(prepared.rows, proposals, decisions)
    seq = unit.head.seq + 1
    new_lines = new_lines_of(connection, prepared, proposals)
    work = Work(prepared.listed, seq, token)
    pending: list[Pending] = [Pending(token, _applied_body(connection, prepared, counted))]
    for proposal in proposals:
        decision = decisions.get(proposal.row_number)
        new = new_lines.get(proposal.row_number)
        pending.extend(work.of_row(proposal, decision, new))
    entries = unit.append_all(actor, pending)
    add_lines(unit, entries, new_lines)
    late_lists.set_results(unit, list_id, _results(proposals, decisions, entries))
    gone = gone_rows(connection, prepared.kept, proposals)
    late_lists.keep_gone(
        unit, list_id, [KeptGone(each.line_id, each.row_number, each.undo_seq) for each in gone]
    )
    late_lists.change(unit, list_id, status="applied", done_seq=seq)
    kept = late_lists.one(connection, list_id)
    return _applied(connection, kept, entries[0], [new.line for new in new_lines.values()])


def settle_row(
    unit: Unit, actor: Actor, token: str, prepared: Prepared, number: int, decision: Decision
) -> Settled | Refused:
    """Settle a row that was open when its list was applied; done at once.

    NotFound where there is no such row or line. The same token answers the same.
    """
    connection, kept = unit.connection, late_lists.one(unit.connection, prepared.kept.list_id)
    asked = {"row_number": number, "how": decision.how, "reason": decision.reason}
    again = unit.already(token, LateListRowSettled.kind, decision.line_id, **asked)
    if again:
        return Settled(tuple(_of_token(connection, token)))
    row = late_lists.row_of(connection, kept.list_id, number)
    if row.result is not None or kept.done_seq is None:
        return Refused("nothing-to-settle")
    prepared = fresh(connection, prepared)
    judged = judged_so(connection, prepared, row_from(row), decision)
    if judged is None:
        return Refused("row-cannot-be-added")
    new = new_lines_of(connection, prepared, [judged])
    work = Work(prepared.listed, kept.done_seq, token)
    pending = list(work.of_row(judged, decision, new.get(number), first_token=token))
    entries = unit.append_all(actor, pending)
    add_lines(unit, entries, new)
    results = _results([judged], {number: decision}, entries)
    late_lists.set_decision(unit, kept.list_id, number, asdict(decision))
    late_lists.set_results(unit, kept.list_id, results)
    return Settled(tuple(entries), tuple(each.line for each in new.values()))


def judged_so(
    connection: Connection, prepared: Prepared, row: LateRow, decision: Decision
) -> Proposal | None:
    """What the row does once it is decided so; None where it cannot be added."""
    (proposal,) = judge(connection, prepared, {}, [row])
    open_row = replace(proposal, effect=Effect.SETTLE)
    if decision.how == "add":
        added = settle_by_adding(open_row)
        return added if added.effect is Effect.ADD else None
    if decision.line_id is None or prepared.listed.kind is ListKind.SUPPLEMENTAL:
        return replace(open_row, effect=Effect.REFUSE, line_id=None, contradiction=None)
    line = queries.line(connection, decision.line_id)
    state = queries.stored_state(connection, decision.line_id).state
    effect, contradiction = effect_on(Candidate(line, state), row.row_number, prepared.listed)
    return replace(open_row, effect=effect, line_id=line.line_id, contradiction=contradiction)


def _refusal(connection: Connection, kept: KeptList) -> Refused | None:
    if kept.status == "dropped":
        return Refused("list-dropped", {"name": kept.name})
    if kept.form != "file":
        return Refused("nothing-to-record")
    return applied_already(connection, kept) if kept.status == "applied" else None


def _applied_body(connection: Connection, prepared: Prepared, counted: Tally) -> LateListApplied:
    kept = prepared.kept
    return LateListApplied(
        list_id=kept.list_id,
        list_kind=kept.kind,
        name=kept.name,
        digest=kept.digest or "",
        **asdict(counted),
        corrects=kept.corrects,
        rows_sha256=late_lists.rows_digest(connection, kept),
    )


def _results(
    proposals: Iterable[Proposal], decisions: Mapping[int, Decision], entries: Sequence[Entry]
) -> dict[int, dict[str, Any]]:
    """What each row came to; nothing for rows that wait for a person still."""
    done = {
        entry.body["row_number"]: entry
        for entry in entries
        if entry.kind in (MarkRecorded.kind, LineRemoved.kind, LineAdded.kind)
    }
    found = {}
    for proposal in proposals:
        if proposal.effect is Effect.SETTLE and proposal.row_number not in decisions:
            continue
        entry = done.get(proposal.row_number)
        line_id = entry.line_id if entry else proposal.line_id
        found[proposal.row_number] = {
            "proposal": proposal_as_text(proposal),
            "line_id": line_id,
            "seq": entry.seq if entry else None,
        }
    return found


def _applied(
    connection: Connection, kept: KeptList, entry: Entry, added: Sequence[Line] = ()
) -> Applied:
    """The same answer whenever it is asked: counted from the entries of that transaction."""
    body = entry.body
    counts = {name: body[name] for name in ("applied", "already", "settled", "refused", "open")}
    kinds = actions.kinds_of_token(connection, entry.token)
    return Applied(
        kept,
        entry,
        entries=sum(kinds.values()),
        irregularities=kinds.get("irregularity.recorded", 0),
        tally=Tally(body["rows"], **counts),
        gone=tuple(gone_rows(connection, kept, ())),
        added=tuple(added),
    )


def _of_token(connection: Connection, token: str) -> list[Entry]:
    return actions.entries_of_token(connection, token)
