"""What a carbon holds, and the record that is put together again from it."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

from sqlalchemy import Connection
from sqlalchemy.exc import DBAPIError, OperationalError
from sqlmodel import SQLModel

from app.records.carbon_file import CarbonBroken, Reading, Said, parsed
from app.records.changes import Change, DoesNotFollow, apply, change_from_text, put_row
from app.records.entry import Head
from app.records.tables import SCHEMA_VERSION
from app.trust.sealing import Sealer

_HEADING = {"carbon", "date", "first", "head", "no", "precinct", "schema"}


@dataclass(frozen=True, slots=True)
class Heading:
    """Of which record the file is (`first`: the hash of entry 1), and from where it begins."""

    first: str
    precinct: str
    date: str
    schema: str
    no: int
    head: Head


@dataclass(frozen=True, slots=True)
class Held:
    """How far a carbon goes; `digest` and `number` are those of its last whole line."""

    first: str
    no: int
    head: Head
    digest: str
    number: int
    is_torn: bool


def held_by(path: Path, sealer: Sealer | None = None) -> Held:
    """How far the carbon goes. CarbonBroken where it does not hold."""
    reading = Reading(path, sealer)
    lines = reading.lines()
    heading, last = _begin(lines)
    rest = None
    for last in lines:
        rest = last
    no, head = heading.no, heading.head
    if rest:
        change = _change(rest)
        no, head = change.no, change.head
    return Held(heading.first, no, head, last.digest, last.number, reading.is_torn)


@dataclass(frozen=True, slots=True)
class PutTogether:
    """What was read out of a carbon: how many changes, and whether half a line was cut off."""

    heading: Heading
    no: int
    head: Head
    is_torn: bool


def heading_of(path: Path, sealer: Sealer | None = None) -> Heading:
    """Of which record the carbon is. CarbonBroken where it cannot be read."""
    return _heading(next(Reading(path, sealer).lines(), None))


def put_together(connection: Connection, path: Path, sealer: Sealer | None = None) -> PutTogether:
    """Fill an empty database from a carbon, inside one transaction.

    CarbonBroken, naming the line, where anything does not fit; OperationalError where it is the
    database that cannot be written.
    """
    reading = Reading(path, sealer)
    lines = reading.lines()
    heading = _heading(next(lines, None))
    SQLModel.metadata.create_all(connection)
    connection.exec_driver_sql("PRAGMA defer_foreign_keys=ON")
    written = _put_rows(connection, lines)
    no, head = heading.no, heading.head
    for said in lines:
        change = _change(said)
        try:
            apply(connection, change)
        except OperationalError:
            raise
        except (DoesNotFollow, DBAPIError, ValueError, TypeError) as error:
            raise CarbonBroken(f"line {said.number} cannot follow: {_short(error)}") from None
        no, head = change.no, change.head
    if not written:
        raise CarbonBroken("there is no row in it")
    return PutTogether(heading, no, head, reading.is_torn)


def _begin(lines: Iterator[Said]) -> tuple[Heading, Said]:
    """The heading, and the line with which the rows of the beginning end."""
    heading = _heading(next(lines, None))
    for said in lines:
        if said.says.startswith('{"whole":'):
            return heading, said
    raise CarbonBroken("the record as it stood at the beginning is not whole")


def _put_rows(connection: Connection, lines: Iterator[Said]) -> int:
    """The rows as they stood when the file was begun; how many."""
    written = 0
    for said in lines:
        says = parsed(said)
        if set(says) == {"whole"}:
            if says["whole"] != written:
                raise CarbonBroken(f"line {said.number} does not end as many rows as there are")
            return written
        try:
            for row in says["rows"]:
                put_row(connection, str(says["table"]), row)
                written += 1
        except OperationalError:
            # A full disk, say: the carbon is as good as it was.
            raise
        except (DoesNotFollow, DBAPIError, KeyError, ValueError, TypeError) as error:
            raise CarbonBroken(f"line {said.number} cannot be used: {_short(error)}") from None
    raise CarbonBroken("the record as it stood at the beginning is not whole")


def _heading(said: Said | None) -> Heading:
    if said is None:
        raise CarbonBroken("it is empty, or its first line was never finished")
    says = parsed(said)
    if set(says) != _HEADING or says["carbon"] != 1:
        raise CarbonBroken("it does not begin as a carbon does")
    if says["schema"] != SCHEMA_VERSION:
        raise CarbonBroken(
            f"it is of schema version {says['schema']}, this program knows {SCHEMA_VERSION}; "
            "use the program that wrote it"
        )
    head = Head(says["head"]["seq"], says["head"]["hash"])
    return Heading(says["first"], says["precinct"], says["date"], says["schema"], says["no"], head)


def _change(said: Said) -> Change:
    try:
        return change_from_text(said.says)
    except (ValueError, RecursionError):
        raise CarbonBroken(f"line {said.number} is no change") from None


def _short(error: Exception) -> str:
    """Without the row, which may hold a name."""
    if isinstance(error, DBAPIError):
        return "the database refuses a row of it"
    return str(error).splitlines()[0] if isinstance(error, DoesNotFollow) else "its form"
