"""Making the tables, and refusing a database whose schema this program does not know.

An unknown version is never guessed at: it may be a newer program's record, and
writing into it could lose what that program keeps.
"""

from __future__ import annotations

from sqlalchemy import Connection, insert, inspect
from sqlmodel import SQLModel

from app.records import queries
from app.records.tables import SCHEMA_VERSION
from app.rules.faults import StorageRefused


def prepare(connection: Connection) -> None:
    """Make the tables in an empty database; check the version of any other.

    StorageRefused where the tables are somebody else's or of another version.
    Safe to call at every start.
    """
    names = set(inspect(connection).get_table_names())
    if not names:
        SQLModel.metadata.create_all(connection)
        version = {"name": "schema_version", "text": SCHEMA_VERSION}
        connection.execute(insert(queries.about), version)
    else:
        check(connection)


def check(connection: Connection) -> None:
    """StorageRefused unless the database carries exactly this program's schema version."""
    names = set(inspect(connection).get_table_names())
    if "about" not in names:
        raise StorageRefused(why="there is a database, but not one of Tablebook's")
    found = queries.about_text(connection, "schema_version") or "none"
    if found != SCHEMA_VERSION:
        raise StorageRefused(
            why=f"the database has schema version {found}, this program knows {SCHEMA_VERSION}; "
            "open it with the program that made it"
        )
