"""What of every line tells its person apart, and nothing else: whole lines take much longer.

For comparing somebody new with everybody; for everything else see `queries`.
"""

from __future__ import annotations

from datetime import date
from typing import NamedTuple

from sqlalchemy import Connection, select

from app.records import queries
from app.records.corrected import all_details


class PersonOnLine(NamedTuple):
    """A person as their line stands now."""

    line_id: str
    last_name: str
    first_name: str
    birth_date: date
    street_address: str
    postal_code: str


def people_on_lines(connection: Connection) -> list[PersonOnLine]:
    """Everybody, by line_id; corrected as the registrar corrected them."""
    of = queries.lines.c
    columns = [getattr(of, name) for name in PersonOnLine._fields]
    corrected = all_details(connection)
    rows = connection.execute(select(*columns).order_by(of.line_id))
    return [_person(tuple(row), corrected.get(row[0])) for row in rows]


def _person(values: tuple[str, ...], details: dict[str, str] | None) -> PersonOnLine:
    line_id, last_name, first_name, born, address, postal_code = values
    as_printed = PersonOnLine(
        line_id, last_name, first_name, date.fromisoformat(born), address, postal_code
    )
    if not details:
        return as_printed
    changed: dict[str, object] = {
        name: value for name, value in details.items() if name in PersonOnLine._fields
    }
    if "birth_date" in details:
        changed["birth_date"] = date.fromisoformat(details["birth_date"])
    return as_printed._replace(**changed)  # type: ignore[arg-type]
