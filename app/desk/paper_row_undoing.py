"""Taking back a row of paper that was keyed by mistake: its signature is withdrawn with it."""

from __future__ import annotations

from sqlalchemy import Connection

from app.desk.catching_up import Caught, caught, signature_of
from app.desk.outcomes import Refused
from app.desk.paper_hours import KeyedRow, open_hour
from app.records import queries
from app.records.bodies import SignatureWithdrawn
from app.records.bodies_paper import PaperRowUndone
from app.records.entry import Actor, Entry
from app.records.unit import Unit
from app.rules.faults import NotFound


def undo(unit: Unit, actor: Actor, token: str, row_number: int, reason: str) -> Caught | Refused:
    """Take the row out of the count; NotFound where the hour has no such row."""
    connection = unit.connection
    again = queries.entry_by_token(connection, token)
    if again:
        asked = {"row_number": row_number, "reason": reason}
        unit.already(token, PaperRowUndone.kind, again.line_id, **asked)
        return caught(unit, again)
    hour = open_hour(connection)
    if hour is None:
        return Refused("no-paper-hour")
    if not 1 <= row_number <= len(hour.rows):
        raise NotFound(what="row of the paper")
    one = hour.rows[row_number - 1]
    if one.row.is_undone:
        return Refused("nothing-to-withdraw")
    body = PaperRowUndone(
        begun_seq=hour.begun.seq,
        row_number=row_number,
        keyed_seq=one.decided.seq,
        reason=reason,
    )
    entry = unit.append(actor, token, body, one.row.line_id)
    _withdraw(unit, actor, token, one, reason)
    return caught(unit, entry)


def _withdraw(unit: Unit, actor: Actor, token: str, one: KeyedRow, reason: str) -> None:
    """Nothing, where somebody withdrew the signature before, or the row recorded none."""
    signed = signature_of(unit.connection, one.decided)
    stands = _where_it_stands(unit.connection, signed) if signed else None
    if stands:
        body = SignatureWithdrawn(signature_seq=stands.seq, why="other", reason=reason)
        unit.append(actor, f"{token}.1", body, stands.line_id)


def _where_it_stands(connection: Connection, signed: Entry) -> Entry | None:
    """The signature, or what it was moved to; None where it was withdrawn.

    A moved signature is the entry after the withdrawal, in the same transaction.
    """
    for entry in queries.history(connection, str(signed.line_id)):
        is_its = entry.kind == SignatureWithdrawn.kind
        if is_its and entry.body["signature_seq"] == signed.seq:
            if not entry.body["moved_to"]:
                return None
            return _where_it_stands(connection, queries.entry(connection, entry.seq + 1))
    return signed
