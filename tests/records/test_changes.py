"""What a commit group changes is captured exactly, and makes another database the same."""

from __future__ import annotations

import json
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
import rfc8785
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from sqlalchemy import Connection, select, text
from sqlalchemy.dialects import sqlite
from sqlmodel import SQLModel

from app.records import changes, queries
from app.records.changes import Change, DoesNotFollow
from app.records.clock import SystemClock
from app.records.engine import open_for_writing
from app.records.entry import Head
from app.records.store import open_store
from app.records.unit import Unit
from tests.records.conftest import PAPER, ROSA, Loaded, load

Dump = dict[str, list[tuple[Any, ...]]]
# Values with their SQLite types: 1 is not '1', and NULL is neither.
TRICKY = ["", " ", "1", "null", '"\\', "\n\t\x01\x1f\x7f", "ñ é 漢 🗳", "\u2028", "a\x00b"]


def dump(connection: Connection) -> Dump:
    found: Dump = {}
    for one in changes.copied_tables():
        keys = ", ".join(f'"{c.name}"' for c in one.primary_key)
        rows = connection.exec_driver_sql(f'SELECT * FROM "{one.name}" ORDER BY {keys}')
        found[one.name] = [tuple((type(value), value) for value in row) for row in rows]
    return found


@pytest.fixture
def capturing(tmp_path: Path) -> Iterator[Connection]:
    """A connection that captures, in a transaction that is never committed."""
    engine = open_for_writing(f"sqlite:///{tmp_path.as_posix()}/captured.db")
    with engine.connect() as connection:
        SQLModel.metadata.create_all(connection)
        # What refers to what is not what these tests are about.
        connection.exec_driver_sql("PRAGMA defer_foreign_keys=ON")
        changes.watch(connection)
        yield connection
        connection.rollback()
    engine.dispose()


def about(connection: Connection, name: str, value: str) -> None:
    connection.execute(text("INSERT INTO about VALUES (:n, :t)"), {"n": name, "t": value})


def rows(connection: Connection) -> list[tuple[str, str, dict[str, Any]]]:
    return changes.collect(connection, 1, Head()).rows


class Following:
    """A second database that every change of the first is applied to."""

    def __init__(self, path: Path, whole: Dump) -> None:
        self.engine = open_for_writing(f"sqlite:///{path.as_posix()}")
        with self.engine.begin() as connection:
            SQLModel.metadata.create_all(connection)
            connection.exec_driver_sql("PRAGMA defer_foreign_keys=ON")
            for name, found in whole.items():
                columns = list(SQLModel.metadata.tables[name].columns.keys())
                for row in found:
                    values = {c: v for c, (_, v) in zip(columns, row, strict=True)}
                    changes.put_row(connection, name, values)

    def apply(self, change: Change) -> None:
        with self.engine.begin() as connection:
            changes.apply(connection, change)


class Kept:
    """A copy that keeps every change in memory."""

    which, patience_seconds = "carbon", 5.0

    def __init__(self, read: Any) -> None:
        self.read, self.changes = read, list[Change]()

    def resume(self) -> int:
        return int(self.read(changes.change_no))

    def start_over(self) -> int:
        raise AssertionError("nothing else writes here")

    def write(self, change: Change) -> None:
        self.changes.append(change)

    def close(self) -> None: ...


def test_every_column_has_a_type_that_json_holds_exactly() -> None:
    for one in changes.copied_tables():
        assert one.primary_key, one.name
        for column in one.columns:
            said = column.type.compile(sqlite.dialect())
            assert said in ("INTEGER", "VARCHAR", "BOOLEAN"), column


def test_whatever_the_record_goes_through_the_following_database_is_the_same(
    url: str, tmp_path: Path
) -> None:
    kept: list[Kept] = []

    def make(read: Any) -> Kept:
        kept.append(Kept(read))
        return kept[-1]

    with open_store(url, SystemClock()) as store:
        lines = load(store)
        before = store.read(dump)
    following = Following(tmp_path / "following.db", before)
    with open_store(url, SystemClock(), copy_to=[make]) as store:
        here = Loaded(url, store, lines)
        for place in (0, 3, 5):
            here.sign(place)

        def fail(unit: Unit) -> None:
            unit.append(ROSA, "token-of-the-failing", PAPER, lines[1].line_id)
            raise ValueError("no")

        with pytest.raises(ValueError, match="no"):
            store.writer.write(fail)
        here.sign(6)
        after = store.read(dump)
    assert len(kept[0].changes) == 4, "the request that failed is no change"
    for change in kept[0].changes:
        following.apply(change)
    with following.engine.begin() as connection:
        assert dump(connection) == after
    assert "token-of-the-failing" not in "".join(change.text for change in kept[0].changes)
    following.engine.dispose()


@pytest.mark.parametrize("value", TRICKY)
def test_text_comes_back_exactly(capturing: Connection, value: str) -> None:
    about(capturing, "x", value)
    change = changes.collect(capturing, 1, Head())
    assert change.rows == [("about", "put", {"name": "x", "text": value})]
    assert rfc8785.dumps(json.loads(change.text)).decode() == change.text


@settings(max_examples=200, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(value=st.text(alphabet=st.characters(exclude_categories=["Cs"])))
def test_any_text_comes_back_exactly(capturing: Connection, value: str) -> None:
    capturing.execute(text("DELETE FROM about"))
    changes.collect(capturing, 1, Head())
    about(capturing, "x", value)
    change = changes.collect(capturing, 1, Head())
    assert change.rows == [("about", "put", {"name": "x", "text": value})]
    assert rfc8785.dumps(json.loads(change.text)).decode() == change.text


def test_whole_numbers_truth_values_and_nothing_stay_what_they_are(capturing: Connection) -> None:
    values = "('a', 's', 1, 9223372036854775807, 'x')"
    capturing.exec_driver_sql(
        f"INSERT INTO line_state (line_id, standing, has_left, version, state) VALUES {values}"
    )
    capturing.exec_driver_sql("INSERT INTO personal (seq, salt, details) VALUES (1, 's', NULL)")
    found = rows(capturing)
    assert found[0][2] == {
        "line_id": "a", "standing": "s", "has_left": 1, "version": 2**63 - 1, "state": "x",
    }  # fmt: skip
    assert found[1][2] == {"seq": 1, "salt": "s", "details": None}


def test_a_savepoint_that_is_rolled_back_takes_its_rows_along(capturing: Connection) -> None:
    about(capturing, "kept", "1")
    savepoint = capturing.begin_nested()
    about(capturing, "undone", "1")
    savepoint.rollback()
    assert [row["name"] for _, _, row in rows(capturing)] == ["kept"]


def test_a_row_that_is_replaced_and_another_that_goes_for_it_are_both_captured(
    capturing: Connection,
) -> None:
    """A REPLACE that meets a unique column takes away a row with another key."""
    insert = "INSERT OR REPLACE INTO late_list ({}) VALUES ({})"
    one = {column.name: "x" for column in SQLModel.metadata.tables["late_list"].columns}
    for place, list_id in ((1, "a"), (2, "a")):
        values = {**one, "place": place, "list_id": list_id, "token": f"t{place}"}
        names = ", ".join(values)
        marks = ", ".join(f":{name}" for name in values)
        capturing.execute(text(insert.format(names, marks)), values)
    acts = [(act, row["place"]) for _, act, row in rows(capturing)]
    assert acts == [("put", 1), ("del", 1), ("put", 2)]


def test_a_key_that_changes_is_one_row_gone_and_another_there(capturing: Connection) -> None:
    about(capturing, "old", "1")
    capturing.execute(text("UPDATE about SET name = 'new' WHERE name = 'old'"))
    capturing.execute(text("DELETE FROM about"))
    assert [(act, row["name"]) for _, act, row in rows(capturing)] == [
        ("put", "old"), ("del", "old"), ("put", "new"), ("del", "new"),
    ]  # fmt: skip


def test_no_secret_of_a_browser_is_captured(capturing: Connection) -> None:
    names = [one.name for one in changes.copied_tables()]
    assert "sign_on" not in names
    assert len(names) == len(SQLModel.metadata.tables) - 1
    capturing.execute(
        queries.sign_ons.insert(),
        {"secret_digest": "s", "token": "t", "worker_id": "w", "station": "x"},
    )
    assert rows(capturing) == []


def test_capture_goes_on_after_a_commit_that_failed(loaded: Loaded) -> None:
    """The connection is a new one then."""
    engine = loaded.store.writer._engine
    for _ in range(2):
        with engine.begin() as connection:
            changes.watch(connection)
            about(connection, "x", "1")
            assert len(rows(connection)) == 1
            connection.execute(text("DELETE FROM about WHERE name = 'x'"))
        engine.dispose()


def test_the_number_goes_up_by_one_with_every_group_that_did_something(loaded: Loaded) -> None:
    first = loaded.store.read(changes.change_no)
    assert first == 1
    loaded.sign(0)
    loaded.sign(2)
    assert loaded.store.read(changes.change_no) == 3

    def fail(_unit: Unit) -> None:
        raise ValueError("no")

    with pytest.raises(ValueError, match="no"):
        loaded.store.writer.write(fail)
    assert loaded.store.read(changes.change_no) == 3


def a_change(no: int, head: Head, *extra: list[Any]) -> Change:
    said = [["about", "put", {"name": "change_no", "text": str(no)}], *extra]
    body = {"head": {"hash": head.hash, "seq": head.seq}, "no": no, "rows": said}
    return changes.change_from_text(json.dumps(body))


@pytest.mark.parametrize("no", [0, 1, 3])
def test_a_gap_or_a_change_twice_is_refused(loaded: Loaded, no: int) -> None:
    engine = open_for_writing(loaded.url)
    head = loaded.store.read(queries.head)
    with engine.begin() as connection, pytest.raises(DoesNotFollow, match="does not follow"):
        changes.apply(connection, a_change(no, head))
    with engine.begin() as connection:
        changes.apply(connection, a_change(2, head))
    engine.dispose()


@pytest.mark.parametrize(
    ("extra", "said"),
    [
        (["about; DROP TABLE about", "put", {"name": "x"}], "no table"),
        (["sign_on", "del", {"token": "x"}], "no table"),
        (["about", "put", {"name": "x", 'text" , (SELECT 1)': "y"}], "columns"),
        (["about", "put", {}], "columns"),
    ],
)
def test_a_change_with_names_that_are_none_is_refused(
    loaded: Loaded, extra: list[Any], said: str
) -> None:
    engine = open_for_writing(loaded.url)
    head = loaded.store.read(queries.head)
    before = loaded.store.read(dump)
    with pytest.raises(DoesNotFollow, match=said), engine.begin() as connection:
        changes.apply(connection, a_change(2, head, extra))
    engine.dispose()
    assert loaded.store.read(dump) == before


def test_a_change_that_leads_to_another_head_is_refused(loaded: Loaded) -> None:
    engine = open_for_writing(loaded.url)
    with pytest.raises(DoesNotFollow, match="does not end"), engine.begin() as connection:
        changes.apply(connection, a_change(2, Head(7, "0" * 64)))
    engine.dispose()
    assert loaded.store.read(changes.change_no) == 1
    assert len(loaded.store.read(lambda c: list(c.execute(select(queries.day_log))))) == 1
