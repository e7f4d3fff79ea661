"""What one commit changed, row by row: captured in its transaction, applied to another database.

On SQLite temporary triggers of the write connection put every row that is written into a temporary
table. That is part of the transaction: a request that is undone takes its rows along. A commit
group is one change, and each has the next number, which is kept in the record and is raised by
whoever writes, also where no copy is kept: a copy that missed one notices the gap.
"""

from __future__ import annotations

import json
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from sqlalchemy import Connection, Table, text
from sqlmodel import SQLModel

from app.records import queries
from app.records.entry import Head, canonical
from app.records.tables import SignOnRow, table
from app.rules.faults import StorageRefused

# The row of `about` that counts changes.
CHANGE_NO = "change_no"
# Whoever is signed on signs on anew at another laptop: no secret of a browser leaves this one.
_NOT_COPIED = frozenset({table(SignOnRow).name})

_RAISE = text(
    "INSERT INTO about (name, text) VALUES (:name, '1') ON CONFLICT (name) "
    "DO UPDATE SET text = CAST(CAST(about.text AS INTEGER) + 1 AS TEXT) RETURNING text"
).bindparams(name=CHANGE_NO)
_ROWS = "SELECT said FROM temp.captured_row ORDER BY place"
_CLEAR = "DELETE FROM temp.captured_row"
# Set on the connection once its triggers stand.
_IS_WATCHED = "is_watched"


@dataclass(frozen=True, slots=True)
class Change:
    """What one commit group changed. `text` is all of it as canonical JSON."""

    no: int
    head: Head
    text: str

    @property
    def rows(self) -> list[tuple[str, str, dict[str, Any]]]:
        """Table, `put` or `del`, and the row (of a deleted one its key)."""
        return [(name, act, row) for name, act, row in json.loads(self.text)["rows"]]


class DoesNotFollow(Exception):
    """The change is not the next one of this database, or does not lead where it says."""


def copied_tables() -> list[Table]:
    """Every table that a copy has, those that others refer to first."""
    return [one for one in SQLModel.metadata.sorted_tables if one.name not in _NOT_COPIED]


def watch(connection: Connection) -> None:
    """Capture from now on what is written through this connection. Safe to call every time."""
    if connection.info.get(_IS_WATCHED):
        return
    # Without it a REPLACE would take away a row without any trigger's notice.
    connection.exec_driver_sql("PRAGMA recursive_triggers=ON")
    if connection.exec_driver_sql("PRAGMA recursive_triggers").scalar_one() != 1:
        raise StorageRefused(why="PRAGMA recursive_triggers cannot be set: no copy can be kept")
    connection.exec_driver_sql(
        "CREATE TEMP TABLE IF NOT EXISTS captured_row (place INTEGER PRIMARY KEY, said TEXT)"
    )
    for one in copied_tables():
        for statement in _triggers(one):
            connection.exec_driver_sql(statement)
    connection.info[_IS_WATCHED] = True


def raise_no(connection: Connection) -> int:
    """The number of the change that this transaction is."""
    return int(connection.execute(_RAISE).scalar_one())


def collect(connection: Connection, no: int, head: Head) -> Change:
    """What was captured in this transaction, which is then forgotten. Call it last."""
    rows = ",".join(connection.exec_driver_sql(_ROWS).scalars())
    connection.exec_driver_sql(_CLEAR)
    said = canonical({"hash": head.hash, "seq": head.seq})
    return Change(no, head, f'{{"head":{said},"no":{no},"rows":[{rows}]}}')


def change_from_text(text: str) -> Change:
    """ValueError for anything that is no change."""
    read = json.loads(text)
    try:
        head = Head(int(read["head"]["seq"]), str(read["head"]["hash"]))
        return Change(int(read["no"]), head, text)
    except (KeyError, TypeError) as error:
        raise ValueError("it is no change") from error


def change_no(connection: Connection) -> int:
    """The number of the last change; 0 before the first."""
    return int(queries.about_text(connection, CHANGE_NO) or 0)


def apply(connection: Connection, change: Change) -> None:
    """Do to this database what the change did to its own, inside a transaction.

    DoesNotFollow where it is not the next one, or the log does not end as it says.
    """
    last = change_no(connection)
    if change.no != last + 1:
        raise DoesNotFollow(f"change {change.no} does not follow change {last}")
    connection.exec_driver_sql("PRAGMA defer_foreign_keys=ON")
    for name, act, row in change.rows:
        put_row(connection, name, row) if act == "put" else _delete_row(connection, name, row)
    found = queries.head(connection)
    if (found, change_no(connection)) != (change.head, change.no):
        raise DoesNotFollow(f"after change {change.no} the log does not end as it says")


def put_row(connection: Connection, name: str, row: Mapping[str, Any]) -> None:
    """Insert the row, or make the one with its key the same. DoesNotFollow for an unknown form."""
    columns = _columns(name, row)
    keys = [column.name for column in _table(name).primary_key]
    others = [column for column in columns if column not in keys]
    sets = ", ".join(f"{_quoted(column)} = excluded.{_quoted(column)}" for column in others)
    statement = (
        f"INSERT INTO {_quoted(name)} ({', '.join(map(_quoted, columns))}) "  # noqa: S608 - checked
        f"VALUES ({', '.join('?' * len(columns))}) "
        f"ON CONFLICT ({', '.join(map(_quoted, keys))}) DO "
        + (f"UPDATE SET {sets}" if sets else "NOTHING")
    )
    connection.exec_driver_sql(statement, tuple(row[column] for column in columns))


def every_row(connection: Connection) -> Iterator[str]:
    """The whole record in pieces of canonical JSON: `{"rows":…,"table":…}`, last `{"whole":n}`."""
    written = 0
    for of in copied_tables():
        said = connection.exec_driver_sql(
            f"SELECT {_object(of.columns.keys())} FROM {_quoted(of.name)} ORDER BY rowid"  # noqa: S608
        )
        while some := [row[0] for row in said.fetchmany(queries.ROWS_AT_ONCE)]:
            written += len(some)
            yield f'{{"rows":[{",".join(some)}],"table":"{of.name}"}}'
    yield canonical({"whole": written})


def _delete_row(connection: Connection, name: str, key: Mapping[str, Any]) -> None:
    columns = _columns(name, key)
    where = " AND ".join(f"{_quoted(column)} = ?" for column in columns)
    connection.exec_driver_sql(
        f"DELETE FROM {_quoted(name)} WHERE {where}",  # noqa: S608 - checked by _columns
        tuple(key[column] for column in columns),
    )


def _table(name: str) -> Table:
    found = SQLModel.metadata.tables.get(name)
    if found is None or name in _NOT_COPIED:
        raise DoesNotFollow(f"there is no table {name!r:.80}")
    return found


def _columns(name: str, row: Mapping[str, Any]) -> list[str]:
    """The row's columns: names go into a statement, so that none may come from outside."""
    unknown = row.keys() - set(_table(name).columns.keys())
    if unknown or not row:
        raise DoesNotFollow(f"a row of {name} has columns that the table has not")
    return sorted(row)


def _triggers(of: Table) -> Iterator[str]:
    keys = [column.name for column in of.primary_key]
    put = _capture(of.name, "put", _object(of.columns.keys(), "NEW."))
    gone = _capture(of.name, "del", _object(keys, "OLD."))
    moved = " OR ".join(f"OLD.{_quoted(key)} IS NOT NEW.{_quoted(key)}" for key in keys)
    for when, body in (
        ("INSERT", f"{put};"),
        ("UPDATE", f"{gone} WHERE {moved}; {put};"),
        ("DELETE", f"{gone};"),
    ):
        yield (
            f"CREATE TEMP TRIGGER captured_{when.lower()}_{of.name} AFTER {when} "
            f"ON main.{_quoted(of.name)} BEGIN {body} END"
        )


def _capture(name: str, act: str, row: str) -> str:
    return f"""INSERT INTO captured_row (said) SELECT '["{name}","{act}",' || {row} || ']'"""


def _object(columns: Sequence[str], prefix: str = "") -> str:
    """SQL of the JSON object of these columns, in the order of canonical JSON."""
    pairs = (f"'{column}', {prefix}{_quoted(column)}" for column in sorted(columns))
    return f"json_object({', '.join(pairs)})"


def _quoted(name: str) -> str:
    return f'"{name}"'
