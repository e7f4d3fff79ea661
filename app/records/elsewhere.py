"""The people of other precincts: put there by the package, read to send somebody there."""

from __future__ import annotations

import hashlib
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import asdict, dataclass

from sqlalchemy import Connection, func, insert, select

from app.records import queries
from app.records.entry import canonical
from app.records.queries import ROWS_AT_ONCE
from app.records.unit import Unit
from app.rules.elsewhere import ElsewhereLine
from app.rules.faults import NotFound


@dataclass(frozen=True, slots=True)
class ElsewherePerson:
    """A row with its identifier, which carries nothing personal and may stand in the log."""

    elsewhere_id: str
    line: ElsewhereLine


def identified(lines: Sequence[ElsewhereLine]) -> list[ElsewherePerson]:
    """The people with their identifiers, in the same order."""
    width = len(str(len(lines)))
    return [ElsewherePerson(f"e{place:0{width}}", line) for place, line in enumerate(lines, 1)]


def store(unit: Unit, people: Sequence[ElsewherePerson]) -> None:
    rows = [as_row(person) for person in people]
    for start in range(0, len(rows), ROWS_AT_ONCE):
        unit.connection.execute(insert(queries.elsewhere), rows[start : start + ROWS_AT_ONCE])


def all_people(connection: Connection) -> Iterator[ElsewherePerson]:
    """Everybody, by identifier, which is the order of the file."""
    order = queries.elsewhere.c.elsewhere_id
    for row in connection.execute(select(queries.elsewhere).order_by(order)).mappings():
        values = dict(row)
        yield ElsewherePerson(values.pop("elsewhere_id"), ElsewhereLine(**values))


def person(connection: Connection, elsewhere_id: str) -> ElsewherePerson:
    """NotFound where there is no such row."""
    mine = queries.elsewhere.c.elsewhere_id == elsewhere_id
    row = connection.execute(select(queries.elsewhere).where(mine)).mappings().first()
    if row is None:
        raise NotFound(what="person elsewhere")
    values = dict(row)
    return ElsewherePerson(values.pop("elsewhere_id"), ElsewhereLine(**values))


def count(connection: Connection) -> int:
    return int(connection.execute(select(func.count()).select_from(queries.elsewhere)).scalar_one())


def elsewhere_digest(people: Iterable[ElsewherePerson]) -> str:
    """SHA-256 over the canonical JSON of each row, a newline after each, by identifier."""
    digest = hashlib.sha256()
    for one in people:
        digest.update(canonical(as_row(one)).encode() + b"\n")
    return digest.hexdigest()


def as_row(one: ElsewherePerson) -> dict[str, object]:
    return {"elsewhere_id": one.elsewhere_id, **asdict(one.line)}
