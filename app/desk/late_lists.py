"""Late lists from files: brought in, looked at row by row, decided, dropped; nothing is applied.

A draft changes nothing on any line; its rows are kept beside the log. Applying: `late_applying`.
"""

from __future__ import annotations

import secrets
from collections.abc import Sequence
from dataclasses import asdict, dataclass, replace

from sqlalchemy import Connection

from app.desk.late_judging import (
    Decision,
    Prepared,
    is_stale,
    prepare,
    row_as_text,
)
from app.desk.late_views import ListView
from app.desk.outcomes import Refused
from app.desk.roster import Roster
from app.intake.faults import Faults
from app.intake.late_lists import LateRows, read_late_list
from app.intake.late_rows import LateFacts
from app.records import late_lists, queries
from app.records.clock import to_text
from app.records.entry import Actor
from app.records.fold import act_of
from app.records.late_lists import KeptList, KeptRow
from app.records.unit import Unit
from app.rules.faults import BadRequest, NotFound, TokenReused
from app.rules.late_list import ListKind

LIST_ID_BYTES = 8


@dataclass(frozen=True, slots=True)
class NewList:
    """A file as it was brought: its name without a folder, and every byte of it."""

    kind: ListKind
    name: str
    content: bytes
    corrects: str | None = None


def read_file(roster: Roster, new: NewList) -> LateRows | Faults:
    """Every row of the file, or what is wrong with it as a whole. Takes a moment: no event loop."""
    return read_late_list(new.name, new.content, new.kind, LateFacts.of(roster.setting))


def bring(
    unit: Unit, actor: Actor, token: str, read: LateRows, corrects: str | None = None
) -> tuple[KeptList, bool] | Refused:
    """Keep a list that was read as a draft; with it, whether it was here already.

    The very same content, of the same kind, is never kept twice: a draft of it is answered
    again, and where it was applied it is refused. BadRequest where `corrects` is no applied
    list of this kind; TokenReused where the token came with another list; DiskNearlyFull where
    applying it would take too much of what is left.
    """
    connection = unit.connection
    before = late_lists.by_token(connection, token)
    if before:
        if (before.digest, before.kind) != (read.digest, read.kind):
            raise TokenReused(what="late list")
        return before, True
    known = late_lists.all_lists(connection)
    for one in reversed(known):
        if (one.digest, one.kind) == (read.digest, read.kind) and one.status != "dropped":
            return applied_already(connection, one) if one.status == "applied" else (one, True)
    late_lists.check_room_for(connection, read.kind, len(read.rows))
    kept = KeptList(
        place=late_lists.next_place(connection),
        list_id=secrets.token_hex(LIST_ID_BYTES),
        token=token,
        kind=read.kind,
        form="file",
        name=read.name,
        status="draft",
        salt=secrets.token_hex(16),
        brought_by=actor.initials,
        brought_at=to_text(unit.now()),
        digest=read.digest,
        corrects=_corrected(known, read, corrects),
        about={
            "columns": dict(read.columns),
            "ignored": list(read.ignored),
            "titles": list(read.titles),
            "encoding": read.encoding,
        },
    )
    late_lists.keep(unit, kept, (KeptRow(row.row_number, row_as_text(row)) for row in read.rows))
    return kept, False


def applied_already(connection: Connection, kept: KeptList) -> Refused:
    """The calm answer: this was done, by whom and when, and nothing was changed now."""
    facts: dict[str, object] = {"list_id": kept.list_id, "name": kept.name}
    if kept.done_seq is not None:
        act = act_of(queries.entry(connection, kept.done_seq))
        facts |= {"at": to_text(act.at), "initials": act.initials, "station": act.station}
    return Refused("list-applied-already", facts)


def _corrected(known: Sequence[KeptList], read: LateRows, corrects: str | None) -> str | None:
    """The list that the new one corrects: the one named, or the last applied of the same name."""
    usable = [one for one in known if one.kind is read.kind and one.status == "applied"]
    if corrects is not None:
        if all(one.list_id != corrects for one in usable):
            raise BadRequest(field="corrects", expected="an applied list of the same kind")
        return corrects
    named = [one.list_id for one in usable if one.name == read.name]
    return named[-1] if named else None


def why_not_decided(shown: ListView, row_number: int, decision: Decision | None) -> Refused | None:
    """Why this row of a draft cannot be decided so, None where it can.

    NotFound where there is no such row.
    """
    row = next((row for row in shown.rows if row.row.row_number == row_number), None)
    if row is None:
        raise NotFound(what="row of the list")
    if decision is None:
        return None if row.decision else Refused("nothing-to-settle")
    if row.status != "open" and row.decision is None:
        return Refused("nothing-to-settle")
    if decision.how == "add" and row.decision is None and not row.may_be_added:
        return Refused("row-cannot-be-added")
    return None


def decide(
    unit: Unit, list_id: str, row_number: int, decision: Decision | None
) -> KeptList | Refused:
    """Write down what a person decided of an open row of a draft; None opens it again.

    Whether the row is open is for the caller to have looked: applying judges it again.
    """
    kept = late_lists.one(unit.connection, list_id)
    late_lists.row_of(unit.connection, list_id, row_number)
    if kept.status == "dropped":
        return Refused("list-dropped", {"name": kept.name})
    if kept.status != "draft":
        return applied_already(unit.connection, kept)
    if decision and decision.line_id:
        queries.line_as_stored(unit.connection, decision.line_id)
    late_lists.set_decision(unit, list_id, row_number, asdict(decision) if decision else None)
    return kept


def drop(unit: Unit, list_id: str, reason: str) -> KeptList | Refused:
    """Put a list aside of which nothing was done. Safe to call twice."""
    kept = late_lists.one(unit.connection, list_id)
    if kept.status in ("applied", "finished"):
        return applied_already(unit.connection, kept)
    if kept.form == "paper" and late_lists.rows_of(unit.connection, list_id):
        return Refused("nothing-to-withdraw")
    if kept.status != "dropped":
        late_lists.change(unit, list_id, status="dropped", reason=reason)
    return late_lists.one(unit.connection, list_id)


def fresh(connection: Connection, prepared: Prepared) -> Prepared:
    """The same, with lines that came or were corrected since it was prepared."""
    if is_stale(connection, prepared):
        again = prepare(connection, prepared.kept.list_id)
        return replace(again, alike=prepared.alike, alike_rows=prepared.alike_rows)
    return replace(prepared, kept=late_lists.one(connection, prepared.kept.list_id))
