"""The record of a laptop that follows: filled and kept up by changes, written by nobody here.

Beside it stands whom it follows, `<database>.follows`: as long as that file is there, the record is
read-only. It holds the secret with which this laptop asks, and is for its owner alone.
"""

from __future__ import annotations

import json
from collections.abc import Iterable
from dataclasses import asdict, dataclass, field
from pathlib import Path

from sqlalchemy import Engine
from sqlmodel import SQLModel

from app.records import changes, queries
from app.records.changes import Change, DoesNotFollow
from app.records.entry import Entry, Head
from app.records.rows import entry_from_row
from app.records.standby_epoch import epoch_of
from app.records.tables import EntryRow, table
from app.rules.faults import StorageRefused
from app.trust.durable_file import write_durably

ENDING = ".follows"


@dataclass(frozen=True, slots=True)
class Followed:
    """Whom a laptop follows: where, the authority of its certificate (PEM), with which secret."""

    url: str
    authority: str
    secret: str = field(repr=False)


def follows_path(database: Path) -> Path:
    return database.with_name(database.name + ENDING)


def followed_by(database: Path) -> Followed | None:
    """Whom the record at `database` follows, None where it is nobody's standby."""
    path = follows_path(database)
    if not path.exists():
        return None
    try:
        return Followed(**json.loads(path.read_text(encoding="utf-8")))
    except (OSError, ValueError, TypeError):
        raise StorageRefused(
            why=f"{path.name} cannot be read; take it away only to promote"
        ) from None


def follow(database: Path, followed: Followed) -> None:
    """From now on the record at `database` is a standby."""
    write_durably(follows_path(database), [json.dumps(asdict(followed)).encode()])


@dataclass(frozen=True, slots=True)
class Holds:
    """How far a standby holds the record."""

    no: int = 0
    head: Head = field(default_factory=Head)


class HoldsMore(DoesNotFollow):
    """The record here has entries that the one which should take its place does not have."""


def holds(engine: Engine) -> Holds:
    """Nothing where the database is new."""
    with engine.begin() as connection:
        SQLModel.metadata.create_all(connection)
        return Holds(changes.change_no(connection), queries.head(connection))


def take_all(engine: Engine, lines: Iterable[str]) -> Holds:
    """Put the whole record in place of what is there, all or nothing.

    Each line is an object with `table` and `rows`, the last one `{"whole": n}`. DoesNotFollow
    where there are not as many rows as it says, or this record has been taken over since;
    HoldsMore where its newest entry is not among them.
    """
    with engine.begin() as connection:
        SQLModel.metadata.create_all(connection)
        epoch, head = epoch_of(connection), queries.head(connection)
        connection.exec_driver_sql("PRAGMA defer_foreign_keys=ON")
        for table in reversed(changes.copied_tables()):
            connection.execute(table.delete())
        written, whole = 0, None
        for line in lines:
            says = json.loads(line)
            whole = says.get("whole")
            for row in says.get("rows", ()):
                changes.put_row(connection, says["table"], row)
                written += 1
        if whole != written:
            raise DoesNotFollow("the record did not come whole")
        if epoch_of(connection) < epoch:
            raise DoesNotFollow("the record is from before this one was taken over")
        if head.seq and not queries.has_head(connection, head):
            raise HoldsMore(f"entry {head.seq} is not in the record that was sent")
        return Holds(changes.change_no(connection), queries.head(connection))


def take(engine: Engine, change: Change) -> Holds:
    """Apply the next change, durably. DoesNotFollow where it is not the next one."""
    with engine.begin() as connection:
        changes.apply(connection, change)
    return Holds(change.no, change.head)


def entries_in(change: Change) -> list[Entry]:
    """The entries that the change appended, in order."""
    log = table(EntryRow).name
    return [entry_from_row(row) for name, act, row in change.rows if (name, act) == (log, "put")]
