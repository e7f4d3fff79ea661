"""What the registrar corrected on lines: kept beside the printed rows, and shown over them.

The printed row never changes: entry 1 has its digest. Of a corrected line both are there.
"""

from __future__ import annotations

import json
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import replace
from datetime import date
from typing import Any

from sqlalchemy import Connection, delete, insert, select

from app.records.entry import canonical
from app.records.tables import CorrectedLineRow, LaterLookAlikeRow, table
from app.rules.line import Line, PrintedLine

corrected_lines, later_look_alikes = table(CorrectedLineRow), table(LaterLookAlikeRow)


def details_of(connection: Connection, line_id: str) -> dict[str, Any]:
    """The corrected columns of one line, empty where it stands as printed."""
    mine = corrected_lines.c.line_id == line_id
    row = connection.execute(select(corrected_lines).where(mine)).first()
    return {} if row is None else dict(json.loads(row.details))


def all_details(connection: Connection) -> dict[str, dict[str, Any]]:
    """The corrected columns by line_id; the registrar corrects a handful a day."""
    rows = connection.execute(select(corrected_lines))
    return {row.line_id: json.loads(row.details) for row in rows}


def correct(connection: Connection, line_id: str, detail: str, value: object) -> None:
    """Let one column of a line be `value`; called with the entry that says so."""
    details = {**details_of(connection, line_id), detail: value}
    mine = corrected_lines.c.line_id == line_id
    connection.execute(delete(corrected_lines).where(mine))
    row = {"line_id": line_id, "details": canonical(details)}
    connection.execute(insert(corrected_lines), row)


def as_kept(printed: PrintedLine, detail: str) -> Any:
    """A column as a correction keeps and shows it: a birth date as ISO text, a Y or nothing."""
    value = getattr(printed, detail)
    if isinstance(value, date):
        return value.isoformat()
    return ("Y" if value else "") if isinstance(value, bool) else value


def as_corrected(line: Line, details: Mapping[str, Any]) -> Line:
    """The line with its corrected columns, which are as `as_kept` has them."""
    if not details:
        return line
    values = dict(details)
    if "birth_date" in values:
        values["birth_date"] = date.fromisoformat(values["birth_date"])
    if "assistance" in values:
        values["assistance"] = values["assistance"] == "Y"
    return replace(line, printed=replace(line.printed, **values))


def all_as_corrected(connection: Connection, lines: Iterable[Line]) -> Iterator[Line]:
    """The same lines, each as it stands now."""
    details = all_details(connection)
    for line in lines:
        yield as_corrected(line, details.get(line.line_id, {}))


def add_look_alikes(connection: Connection, line_id: str, others: Iterable[str]) -> None:
    """Lines that a corrected one can now be mistaken for; each holds the other."""
    for one, other in look_alike_pairs(line_id, others):
        mine = (later_look_alikes.c.line_id == one) & (later_look_alikes.c.added_id == other)
        if connection.execute(select(later_look_alikes).where(mine)).first() is None:
            row = {"line_id": one, "added_id": other}
            connection.execute(insert(later_look_alikes), row)


def look_alike_pairs(line_id: str, others: Iterable[str]) -> Iterator[tuple[str, str]]:
    """Both ways for each of the others."""
    for other in others:
        yield line_id, other
        yield other, line_id
