"""The late lists that are kept beside the log, compared with what the log says of them.

Of lists that are not in it the log knows nothing: drafts, and lists that were dropped unapplied.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Any

from sqlalchemy import Connection, select

from app.records.entry import Entry
from app.records.late_lists import (
    KeptGone,
    KeptList,
    digest_of,
    gone_of,
    late_gone,
    late_lists,
    late_rows,
    one,
)
from app.records.refold_list_rows import KeyedBeside, keyed_beside, rows_fault
from app.records.refold_lists import ListSoFar, ListsSoFar
from app.records.unreadable import UNREADABLE, short


def list_faults(connection: Connection, lists: ListsSoFar) -> str | None:
    """The first list that is not as the log says; None where all are."""
    kept_ids = connection.execute(select(late_lists.c.list_id).order_by(late_lists.c.place))
    by_id, ids = lists.by_id(), list(kept_ids.scalars())
    for of in by_id.values():
        if of.list_id not in ids:
            return f"the list {of.list_id} of entry {of.entry.seq} is missing"
    beside = keyed_beside(connection)
    for list_id in ids:
        known = by_id.get(list_id)
        named = f"the list {list_id}" if known is None else known.named
        try:
            kept = one(connection, list_id)
            fault = (
                _unknown_fault(connection, kept)
                if known is None
                else _rows_fault(connection, kept, known, beside)
                or _gone_fault(gone_of(connection, list_id), known, by_id)
            )
        except UNREADABLE as error:
            return f"{named} cannot be read: {short(error)}"
        if fault:
            return fault
    return _rows_of_no_list(connection)


def _unknown_fault(connection: Connection, kept: KeptList) -> str | None:
    """A list that the log does not know changed nothing."""
    seqs = (kept.started_seq, kept.done_seq)
    if kept.status not in ("draft", "dropped") or seqs != (None, None):
        return f"the list {kept.list_id} stands as {kept.status}, and the log does not know it"
    mine = (late_rows.c.list_id == kept.list_id) & late_rows.c.result.is_not(None)
    has_done = connection.execute(select(late_rows.c.row_number).where(mine).limit(1)).first()
    if has_done or gone_of(connection, kept.list_id):
        return f"the list {kept.list_id} did something, and the log does not know it"
    return None


def _rows_fault(
    connection: Connection, kept: KeptList, of: ListSoFar, beside: KeyedBeside
) -> str | None:
    found = _about_fault(kept, of)
    if found:
        return f"{of.named} is not as the log says: {found}"
    mine = select(late_rows).where(late_rows.c.list_id == kept.list_id)
    stored = connection.execute(mine.order_by(late_rows.c.row_number)).all()
    digest = None if of.is_on_paper else digest_of(kept.salt, (row.row for row in stored))
    if digest != of.entry.body.get("rows_sha256"):
        return f"the rows of {of.named} are not those it speaks of"
    return rows_fault(stored, of, beside)


def _about_fault(kept: KeptList, of: ListSoFar) -> str | None:
    """The first column of the list that the log tells otherwise."""
    body = of.entry.body
    said: dict[str, object] = {"kind": body["list_kind"], "name": body["name"]}
    said |= _on_paper(kept, of) if of.is_on_paper else _from_a_file(of)
    return next((name for name, value in said.items() if getattr(kept, name) != value), None)


def _from_a_file(of: ListSoFar) -> dict[str, object]:
    body = of.entry.body
    return {
        "form": "file",
        "status": "applied",
        "digest": body["digest"],
        "corrects": body["corrects"],
        "started_seq": None,
        "done_seq": of.entry.seq,
        "printed_total": None,
        "reason": "",
    }


def _on_paper(kept: KeptList, of: ListSoFar) -> dict[str, object]:
    """A list of which no row was keyed may be dropped, and no entry says so."""
    finished = of.finished
    status = "keying" if finished is None else "finished"
    reason = "" if finished is None else finished.body["reason"]
    if kept.status == "dropped" and finished is None and not of.keyed:
        status, reason = kept.status, kept.reason
    return {
        "form": "paper",
        "status": status,
        "reason": reason,
        "token": of.entry.token,
        "brought_by": of.entry.initials,
        "digest": None,
        "corrects": None,
        "started_seq": of.entry.seq,
        "done_seq": finished.seq if finished else None,
        "printed_total": of.entry.body["printed_total"],
    }


def _gone_fault(
    kept: Iterable[KeptGone], of: ListSoFar, by_id: Mapping[str, ListSoFar]
) -> str | None:
    """Each line was changed by a list that this one corrects, and decided as the log says.

    Whether one is missing of which nobody decided, the log does not tell.
    """
    found = {gone.line_id: gone for gone in kept}
    for line_id in found.keys() | of.gone.keys():
        gone = found.get(line_id)
        is_so = gone is not None and _was_done(gone, of, by_id)
        if gone is None or not is_so or gone.decision != _withdrawal(of.gone.get(line_id)):
            return f"the line {line_id} that {of.named} lacks does not stand as the log says"
    return None


def _was_done(gone: KeptGone, of: ListSoFar, by_id: Mapping[str, ListSoFar]) -> bool:
    at = of.entry.body.get("corrects")
    while at is not None:
        done = by_id[at].done.get(gone.row_number)
        if done and (done.seq, done.line_id) == (gone.undo_seq, gone.line_id):
            return done.seq < of.entry.seq
        at = by_id[at].entry.body.get("corrects")
    return False


def _withdrawal(settled: Entry | None) -> dict[str, Any] | None:
    if settled is None:
        return None
    body = settled.body
    is_withdrawn = body["how"] == "withdraw"
    return {
        "withdraw": is_withdrawn,
        "reason": body["reason"],
        "initials": body["settled_by"],
    }


def _rows_of_no_list(connection: Connection) -> str | None:
    known = select(late_lists.c.list_id)
    for rows in (late_rows, late_gone):
        others = select(rows.c.list_id).where(rows.c.list_id.not_in(known)).limit(1)
        list_id = connection.execute(others).scalar()
        if list_id is not None:
            return f"rows of the list {list_id} are there, and no such list"
    return None
