"""What tells people apart, of every line and without the rest: a large register is read quickly."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date
from typing import NamedTuple

from sqlalchemy import Connection, select

from app.records import queries
from app.records.corrected import all_details
from app.rules.line import Line


class Named(NamedTuple):
    """A line's names, birth date and address, as they stand now."""

    line_id: str
    last_name: str
    first_name: str
    birth_date: date
    street_address: str
    postal_code: str


def named(line: Line) -> Named:
    """What tells apart the person of a line that was read whole."""
    values = {name: getattr(line.printed, name) for name in Named._fields[1:]}
    return Named(line.line_id, **values)


def all_named_now(connection: Connection) -> Iterator[Named]:
    """Every line, by line_id, as it stands now."""
    of = queries.lines.c
    columns = [of[name] for name in Named._fields]
    corrected = all_details(connection)
    for line_id, *printed in connection.execute(select(*columns).order_by(of.line_id)):
        details = corrected.get(line_id)
        now = _corrected(printed, details) if details else printed
        last_name, first_name, birth_date, *address = now
        yield Named(line_id, last_name, first_name, date.fromisoformat(birth_date), *address)


def _corrected(printed: list[str], details: dict[str, str]) -> list[str]:
    names = Named._fields[1:]
    return [details.get(name, value) for name, value in zip(names, printed, strict=True)]
