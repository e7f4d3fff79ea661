"""Supplemental pages on paper: each row is a person, who is added unless they have a line.

Whom a row means and what it does is decided by the rules of supplemental files, row by row; who
is on the register already is only counted. What disagrees waits for the lead.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import asdict, replace
from typing import Any

from sqlalchemy import Connection

from app.desk.late_applying import Settled, judged_so
from app.desk.late_entries import NewLine, Work, add_lines, new_lines_of
from app.desk.late_judging import (
    Decision,
    Prepared,
    is_stale,
    judge,
    lines_meant,
    listed_as,
    proposal_as_text,
    row_as_text,
    row_from,
)
from app.desk.namesakes import ids_of_look_alikes_now
from app.desk.outcomes import Refused
from app.desk.paper_lists import (
    Counted,
    being_keyed,
    counted,
    keep_row,
    keyed_already,
    proposal_of,
)
from app.desk.roster import Roster
from app.intake.late_lines import printed_line
from app.intake.late_rows import LateRow
from app.records import actions, late_lists, personal, queries
from app.records.bodies_lists import LateListRowKeyed, LateListRowSettled
from app.records.entry import Actor, Entry
from app.records.late_lists import KeptList, KeptRow
from app.records.taken_back import taken_back
from app.records.unit import Pending, Unit
from app.rules.faults import BadRequest, TokenReused
from app.rules.late_list import Effect, ListKind, Proposal, as_on_a_page

_WORD = {Effect.ADD: "add", Effect.ALREADY: "already", Effect.SETTLE: "settle"}


def prepare_person(roster: Roster, list_id: str, row: LateRow) -> Prepared:
    """The lines that the row could mean or be mistaken for; read before writing: it takes long.

    NotFound where there is no such list, BadRequest where it is none of supplemental pages.
    """
    return roster.store.read(lambda connection: _prepared(connection, list_id, row))


def prepare_settling(roster: Roster, list_id: str, row_number: int) -> Prepared:
    """As `prepare_person`, for a row that was keyed; NotFound where there is no such row."""

    def prepared(connection: Connection) -> Prepared:
        row = row_from(late_lists.row_of(connection, list_id, row_number))
        return _prepared(connection, list_id, row)

    return roster.store.read(prepared)


def _prepared(connection: Connection, list_id: str, row: LateRow) -> Prepared:
    kept = _of_pages(late_lists.one(connection, list_id))
    return Prepared(
        kept,
        listed_as(connection, kept),
        (row,),
        tuple(lines_meant(connection, [row])),
        queries.head(connection).seq,
        {row.row_number: _look_alikes(connection, row)},
    )


def _look_alikes(connection: Connection, row: LateRow) -> tuple[str, ...]:
    """The lines that the new one could be mistaken for; nobody for a row that is no person."""
    if row.birth_date is None:
        return ()
    return ids_of_look_alikes_now(connection, printed_line(row), taken_back(connection))


def key_person(
    unit: Unit, actor: Actor, token: str, prepared: Prepared, *, is_twice: bool
) -> Counted | Refused:
    """Record the next row of the page; a person without a line gets one at once.

    TokenReused where the token came with another row.
    """
    connection, list_id = unit.connection, prepared.kept.list_id
    words = _words_of(prepared.rows[0])
    again = queries.entry_by_token(connection, token)
    if again:
        _check_same(connection, again, list_id, words, is_twice=is_twice)
        return counted(connection, again)
    kept = being_keyed(connection, list_id)
    if isinstance(kept, Refused):
        return kept
    rows = late_lists.rows_of(connection, list_id)
    prepared = _numbered(connection, prepared, len(rows) + 1, actor)
    proposal = _proposal(connection, prepared)
    before = _keyed_before(rows, words, proposal)
    if before and not is_twice:
        return keyed_already(connection, before)
    new = new_lines_of(connection, prepared, [proposal])
    sealed = personal.seal(words)
    entries = _append(unit, actor, token, prepared, proposal, new, sealed, is_twice=is_twice)
    return replace(counted(connection, entries[0]), added=tuple(each.line for each in new.values()))


def _append(
    unit: Unit,
    actor: Actor,
    token: str,
    prepared: Prepared,
    proposal: Proposal,
    new: dict[int, NewLine],
    sealed: personal.Sealed,
    *,
    is_twice: bool,
) -> list[Entry]:
    kept, (row,) = prepared.kept, prepared.rows
    started_seq = kept.started_seq or 0
    body = LateListRowKeyed.model_validate(
        {
            "list_seq": started_seq,
            "row_number": row.row_number,
            "effect": _WORD[proposal.effect],
            "twice": is_twice,
            "details_sha256": sealed.digest,
        }
    )
    work = Work(prepared.listed, started_seq, token)
    line = new.get(row.row_number)
    entries = unit.append_all(
        actor, [Pending(token, body, proposal.line_id), *work.of_row(proposal, None, line)]
    )
    add_lines(unit, entries, new)
    personal.keep(unit, entries[0], sealed)
    done_seq = entries[1].seq if line else None
    at = replace(proposal, line_id=line.line.line_id) if line else proposal
    keep_row(unit, kept.list_id, row, at, keyed_seq=entries[0].seq, done_seq=done_seq)
    return entries


def settle(
    unit: Unit, actor: Actor, token: str, prepared: Prepared, decision: Decision
) -> Settled | Refused:
    """Decide a row that waits, done at once; the same token answers the same.

    NotFound where there is no such line.
    """
    connection, list_id = unit.connection, prepared.kept.list_id
    number = prepared.rows[0].row_number
    asked = {"row_number": number, "how": decision.how, "reason": decision.reason}
    again = unit.already(token, LateListRowSettled.kind, decision.line_id, **asked)
    if again:
        return Settled(tuple(actions.entries_of_token(connection, token)))
    row = late_lists.row_of(connection, list_id, number)
    if not row.waits:
        return Refused("nothing-to-settle")
    if decision.line_id:
        queries.line_as_stored(connection, decision.line_id)
    prepared = _fresh(connection, prepared)
    judged = judged_so(connection, prepared, prepared.rows[0], decision)
    if judged is None:
        return Refused("row-cannot-be-added")
    new = new_lines_of(connection, prepared, [judged])
    work = Work(prepared.listed, prepared.kept.started_seq or 0, token)
    entries = unit.append_all(
        actor, list(work.of_row(judged, decision, new.get(number), first_token=token))
    )
    add_lines(unit, entries, new)
    late_lists.set_decision(unit, list_id, number, asdict(decision))
    late_lists.set_results(unit, list_id, {number: _settled(row, judged, decision, entries)})
    return Settled(tuple(entries), tuple(each.line for each in new.values()))


def _settled(
    row: KeptRow, judged: Proposal, decision: Decision, entries: Sequence[Entry]
) -> dict[str, Any]:
    """The row once it is decided: what it contradicted is still told."""
    added = entries[1] if len(entries) > 1 else None
    line_id = added.line_id if added else decision.line_id
    contradiction = proposal_of(row).contradiction
    proposal = replace(judged, line_id=line_id, contradiction=contradiction)
    return {
        **(row.result or {}),
        "proposal": proposal_as_text(proposal),
        "line_id": line_id,
        "seq": added.seq if added else None,
    }


def _of_pages(kept: KeptList) -> KeptList:
    if kept.kind is not ListKind.SUPPLEMENTAL or kept.form != "paper":
        raise BadRequest(field="kind", expected="a list of supplemental pages on paper")
    return kept


def _words_of(row: LateRow) -> dict[str, Any]:
    """What was read of the row, whichever row of the page it became."""
    words = row_as_text(row)
    return {name: words[name] for name in words if name not in ("row_number", "initials")}


def _check_same(
    connection: Connection, again: Entry, list_id: str, words: dict[str, Any], *, is_twice: bool
) -> None:
    is_row = again.kind == LateListRowKeyed.kind and again.body["twice"] is is_twice
    if not is_row or personal.details_of(connection, again) != words:
        raise TokenReused(seq=again.seq, kind=again.kind)
    if queries.entry(connection, again.body["list_seq"]).body["list_id"] != list_id:
        raise TokenReused(seq=again.seq, kind=again.kind)


def _numbered(connection: Connection, prepared: Prepared, number: int, actor: Actor) -> Prepared:
    """The same as the next row of its list, keyed by this worker."""
    fresh = _fresh(connection, prepared)
    (row,), (alike,) = fresh.rows, fresh.alike.values()
    numbered = replace(row, row_number=number, initials=actor.initials)
    return replace(fresh, rows=(numbered,), alike={number: alike})


def _fresh(connection: Connection, prepared: Prepared) -> Prepared:
    """With lines that came, went or were corrected since it was prepared."""
    if not is_stale(connection, prepared):
        return prepared
    return replace(prepared, lines=tuple(lines_meant(connection, prepared.rows)))


def _proposal(connection: Connection, prepared: Prepared) -> Proposal:
    (proposal,) = judge(connection, prepared, {})
    lines = {line.line_id: line for line in prepared.lines}
    return as_on_a_page(proposal, lines.get(proposal.line_id or ""))


def _keyed_before(
    rows: Sequence[KeptRow], words: dict[str, Any], proposal: Proposal
) -> KeptRow | None:
    """A standing row that says the same, or that has the line on which this person is."""
    for row in rows:
        if row.is_taken_back:
            continue
        is_same_line = proposal.effect is Effect.ALREADY and (
            (row.result or {})["line_id"] == proposal.line_id
        )
        if is_same_line or _words_of(row_from(row)) == words:
            return row
    return None
