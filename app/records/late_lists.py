"""Late lists beside the log: the list, its rows as read, what was decided, and what each row did.

Rows are personal data: of an applied list the entry has a digest of them, salted. Rows, decisions
and results are plain JSON here; what they mean is for the desk to say.
"""

from __future__ import annotations

import hashlib
import json
from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import asdict, dataclass, field
from typing import Any

from sqlalchemy import Connection, bindparam, func, insert, select, update

from app.records.engine import path_of
from app.records.entry import canonical
from app.records.queries import ROWS_AT_ONCE
from app.records.reserve import PERSON_BYTES, ROW_BYTES, check_room
from app.records.tables import LateGoneRow, LateListedRow, LateListRow, table
from app.records.unit import Unit
from app.rules.faults import NotFound
from app.rules.late_list import Effect, ListKind

late_lists, late_rows, late_gone = table(LateListRow), table(LateListedRow), table(LateGoneRow)

_SET_RESULT = (
    update(late_rows)
    .where(late_rows.c.list_id == bindparam("of_list"))
    .where(late_rows.c.row_number == bindparam("of_row"))
    .values(result=bindparam("new_result"))
)


@dataclass(frozen=True, slots=True)
class KeptList:
    """A list as it is kept. `about` says how a file was read; `place` is its order of arrival."""

    place: int
    list_id: str
    token: str
    kind: ListKind
    form: str
    name: str
    status: str
    salt: str
    brought_by: str
    brought_at: str
    digest: str | None = None
    printed_total: int | None = None
    corrects: str | None = None
    about: Mapping[str, Any] = field(default_factory=dict)
    started_seq: int | None = None
    done_seq: int | None = None
    reason: str = ""

    @property
    def seq(self) -> int | None:
        """The entry that marks of this list name: its start on paper, else its application."""
        return self.started_seq or self.done_seq


@dataclass(frozen=True, slots=True)
class KeptRow:
    """`decision` None: nobody decided. `result` None: nothing was done yet."""

    row_number: int
    row: Mapping[str, Any]
    decision: Mapping[str, Any] | None = None
    result: Mapping[str, Any] | None = None

    @property
    def is_taken_back(self) -> bool:
        """A row of a list on paper that was keyed by mistake."""
        return self.decision is not None and self.decision["how"] == "undone"

    @property
    def waits(self) -> bool:
        """A row of a list on paper that the lead has to decide."""
        effect = (self.result or {}).get("proposal", {}).get("effect")
        return self.decision is None and effect == Effect.SETTLE


@dataclass(frozen=True, slots=True)
class KeptGone:
    """A line that a corrected list no longer names, and the entry that could be undone."""

    line_id: str
    row_number: int
    undo_seq: int
    decision: Mapping[str, Any] | None = None


def next_place(connection: Connection) -> int:
    """One more than the last list's place."""
    last = connection.execute(select(func.max(late_lists.c.place))).scalar_one()
    return int(last or 0) + 1


def keep(unit: Unit, kept: KeptList, rows: Iterable[KeptRow] = ()) -> None:
    """Keep a new list with its rows."""
    row = {**asdict(kept), "kind": kept.kind.value, "about": canonical(dict(kept.about))}
    unit.connection.execute(insert(late_lists), row)
    add_rows(unit, kept.list_id, rows)


def add_rows(unit: Unit, list_id: str, rows: Iterable[KeptRow]) -> None:
    values = [
        {
            "list_id": list_id,
            "row_number": row.row_number,
            "row": json.dumps(row.row, ensure_ascii=False),
            "decision": _text(row.decision),
            "result": _text(row.result),
        }
        for row in rows
    ]
    for start in range(0, len(values), ROWS_AT_ONCE):
        unit.connection.execute(insert(late_rows), values[start : start + ROWS_AT_ONCE])


def change(unit: Unit, list_id: str, **values: object) -> None:
    """Set columns of the list: its status, the entry that did it, why."""
    mine = late_lists.c.list_id == list_id
    unit.connection.execute(update(late_lists).where(mine).values(**values))


def set_decision(
    unit: Unit, list_id: str, row_number: int, decision: Mapping[str, Any] | None
) -> None:
    mine = (late_rows.c.list_id == list_id) & (late_rows.c.row_number == row_number)
    statement = update(late_rows).where(mine).values(decision=_text(decision))
    unit.connection.execute(statement)


def set_results(unit: Unit, list_id: str, results: Mapping[int, Mapping[str, Any]]) -> None:
    """What rows did, by row number."""
    values = [
        {"of_list": list_id, "of_row": number, "new_result": _text(result)}
        for number, result in results.items()
    ]
    for start in range(0, len(values), ROWS_AT_ONCE):
        unit.connection.execute(_SET_RESULT, values[start : start + ROWS_AT_ONCE])


def keep_gone(unit: Unit, list_id: str, gone: Sequence[KeptGone]) -> None:
    values = [{**asdict(one), "list_id": list_id, "decision": None} for one in gone]
    for start in range(0, len(values), ROWS_AT_ONCE):
        unit.connection.execute(insert(late_gone), values[start : start + ROWS_AT_ONCE])


def decide_gone(unit: Unit, list_id: str, line_id: str, decision: Mapping[str, Any]) -> None:
    mine = (late_gone.c.list_id == list_id) & (late_gone.c.line_id == line_id)
    unit.connection.execute(update(late_gone).where(mine).values(decision=_text(decision)))


def all_lists(connection: Connection) -> list[KeptList]:
    """Every list, in the order of arrival."""
    rows = connection.execute(select(late_lists).order_by(late_lists.c.place)).mappings()
    return [_list(row) for row in rows]


def one(connection: Connection, list_id: str) -> KeptList:
    """NotFound where there is no such list."""
    mine = select(late_lists).where(late_lists.c.list_id == list_id)
    row = connection.execute(mine).mappings().first()
    if row is None:
        raise NotFound(what="late list")
    return _list(row)


def by_token(connection: Connection, token: str) -> KeptList | None:
    row = connection.execute(select(late_lists).where(late_lists.c.token == token)).mappings()
    found = row.first()
    return _list(found) if found else None


def rows_of(connection: Connection, list_id: str) -> list[KeptRow]:
    """The rows of a list, by row number."""
    mine = select(late_rows).where(late_rows.c.list_id == list_id)
    rows = connection.execute(mine.order_by(late_rows.c.row_number))
    return [_row(row) for row in rows]


def decided_rows(connection: Connection, list_id: str) -> list[KeptRow]:
    """The rows of a list that a person has decided."""
    mine = (late_rows.c.list_id == list_id) & late_rows.c.decision.is_not(None)
    return [_row(row) for row in connection.execute(select(late_rows).where(mine))]


def row_of(connection: Connection, list_id: str, row_number: int) -> KeptRow:
    """NotFound where the list has no such row."""
    mine = select(late_rows).where(
        late_rows.c.list_id == list_id, late_rows.c.row_number == row_number
    )
    row = connection.execute(mine).first()
    if row is None:
        raise NotFound(what="row of the list")
    return _row(row)


def row_resting_on(connection: Connection, line_id: str) -> KeptRow | None:
    """A row, of whatever list, that found its person on this line already; None where none did."""
    rows = connection.execute(select(late_rows).where(late_rows.c.result.contains(line_id)))
    for row in map(_row, rows):
        result = row.result or {}
        is_there = result["line_id"] == line_id and result["proposal"]["effect"] == Effect.ALREADY
        if is_there and not row.is_taken_back:
            return row
    return None


def decided_count(connection: Connection, list_id: str) -> int:
    """How many rows of the list have a decision."""
    mine = (late_rows.c.list_id == list_id) & late_rows.c.decision.is_not(None)
    counted = select(func.count()).select_from(late_rows).where(mine)
    return int(connection.execute(counted).scalar_one())


def decision_texts(connection: Connection, list_id: str) -> tuple[tuple[int, str], ...]:
    """The decisions by row number, as kept: they tell one moment of a draft from another."""
    mine = (late_rows.c.list_id == list_id) & late_rows.c.decision.is_not(None)
    of = late_rows.c
    kept = select(of.row_number, of.decision).where(mine).order_by(of.row_number)
    return tuple((row.row_number, row.decision) for row in connection.execute(kept))


def gone_of(connection: Connection, list_id: str) -> list[KeptGone]:
    """What the corrected list no longer names, by row number of the earlier one."""
    mine = select(late_gone).where(late_gone.c.list_id == list_id)
    rows = connection.execute(mine.order_by(late_gone.c.row_number, late_gone.c.line_id))
    return [
        KeptGone(row.line_id, row.row_number, row.undo_seq, value_of(row.decision)) for row in rows
    ]


def rows_digest(connection: Connection, kept: KeptList) -> str:
    """Of its rows as they are kept: see `digest_of`."""
    mine = select(late_rows.c.row).where(late_rows.c.list_id == kept.list_id)
    texts = connection.execute(mine.order_by(late_rows.c.row_number)).scalars()
    return digest_of(kept.salt, texts)


def digest_of(salt: str, texts: Iterable[str]) -> str:
    """SHA-256 over the salt and each row, a newline after each."""
    digest = hashlib.sha256(salt.encode() + b"\n")
    for text in texts:
        digest.update(text.encode() + b"\n")
    return digest.hexdigest()


def open_row_counts(connection: Connection) -> dict[str, int]:
    """How many rows of each list wait for a person, by list_id: of applied lists, of pages."""
    of_applied = late_rows.join(late_lists, late_lists.c.list_id == late_rows.c.list_id)
    is_open = (late_lists.c.status == "applied") & late_rows.c.result.is_(None)
    counted = select(late_rows.c.list_id, func.count()).select_from(of_applied).where(is_open)
    rows = connection.execute(counted.group_by(late_rows.c.list_id))
    return {**{str(row[0]): int(row[1]) for row in rows}, **_waiting_on_pages(connection)}


def _waiting_on_pages(connection: Connection) -> dict[str, int]:
    """The same of supplemental pages keyed from paper; rows of other lists on paper never wait."""
    pages = (late_lists.c.form == "paper") & (late_lists.c.kind == ListKind.SUPPLEMENTAL.value)
    undecided = (
        select(late_rows)
        .join(late_lists, late_lists.c.list_id == late_rows.c.list_id)
        .where(pages, late_rows.c.decision.is_(None))
    )
    return dict(Counter(row.list_id for row in connection.execute(undecided) if _row(row).waits))


def open_gone_counts(connection: Connection) -> dict[str, int]:
    """How many lines each corrected list lacks of which nobody decided, by list_id."""
    undecided = select(late_gone.c.list_id, func.count()).where(late_gone.c.decision.is_(None))
    rows = connection.execute(undecided.group_by(late_gone.c.list_id))
    return {str(row[0]): int(row[1]) for row in rows}


def _list(row: Mapping[Any, Any]) -> KeptList:
    values = dict(row)
    kind, about = ListKind(values.pop("kind")), json.loads(values.pop("about"))
    return KeptList(**values, kind=kind, about=about)


def _row(row: Any) -> KeptRow:
    values = json.loads(row.row)
    return KeptRow(row.row_number, values, value_of(row.decision), value_of(row.result))


def value_of(text: str | None) -> dict[str, Any] | None:
    return None if text is None else dict(json.loads(text))


def _text(value: Mapping[str, Any] | None) -> str | None:
    return None if value is None else json.dumps(value, ensure_ascii=False)


def check_room_for(connection: Connection, kind: ListKind, rows: int) -> None:
    """DiskNearlyFull where a list of so many rows would take too much of what is left."""
    row_bytes = PERSON_BYTES if kind is ListKind.SUPPLEMENTAL else ROW_BYTES
    check_room(path_of(connection.engine), rows, row_bytes)
