"""What storage is refused, and what is checked at every start."""

from __future__ import annotations

import sqlite3
from pathlib import Path

import pytest
from sqlalchemy import text
from sqlalchemy.exc import OperationalError

from app.records import engine
from app.records.clock import SystemClock
from app.records.store import open_store
from app.rules.faults import AlreadyLoaded, DayNotLoaded, StorageRefused
from tests.records.conftest import Loaded, load


def test_every_connection_has_its_pragmas_set_and_read_back(url: str) -> None:
    writing = engine.open_for_writing(url)
    with writing.connect() as connection:
        found = {
            name: connection.exec_driver_sql(f"PRAGMA {name}").scalar()
            for name in ("journal_mode", "synchronous", "foreign_keys", "mmap_size")
        }
    writing.dispose()
    assert found == {"journal_mode": "wal", "synchronous": 2, "foreign_keys": 1, "mmap_size": 0}


def test_a_pragma_that_does_not_take_is_refused(url: str, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setitem(engine._SYNCHRONOUS_LEVEL, "FULL", 3)
    with pytest.raises(StorageRefused) as refused:
        engine.open_for_writing(url).connect()
    assert "synchronous is 2" in str(refused.value.facts["why"])


def test_an_sqlite_with_the_wal_reset_defect_is_refused(
    url: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(engine.sqlite, "sqlite_version", "3.51.2")
    with pytest.raises(StorageRefused) as refused:
        engine.open_for_writing(url)
    assert "3.51.2 is too old" in str(refused.value.facts["why"])


def test_a_record_in_memory_is_refused() -> None:
    with pytest.raises(StorageRefused):
        engine.open_for_writing("sqlite://")


def test_a_reader_cannot_write(loaded: Loaded) -> None:
    reading = engine.open_for_reading(loaded.url)
    with reading.connect() as connection, pytest.raises(OperationalError):
        connection.execute(text("DELETE FROM day_log"))
    reading.dispose()


def test_a_database_of_an_unknown_schema_version_is_refused_and_left_alone(
    loaded: Loaded,
) -> None:
    loaded.store.close()
    path = engine.sqlite_path(loaded.url)
    assert path is not None
    with sqlite3.connect(path) as connection:
        connection.execute("UPDATE about SET text = '99' WHERE name = 'schema_version'")
    connection.close()
    with pytest.raises(StorageRefused) as refused, open_store(loaded.url, SystemClock()):
        pass
    assert "schema version 99" in str(refused.value.facts["why"])


def test_somebody_elses_database_is_refused(tmp_path: Path) -> None:
    path = tmp_path / "other.db"
    with sqlite3.connect(path) as connection:
        connection.execute("CREATE TABLE recipes (name TEXT)")
    connection.close()
    with (
        pytest.raises(StorageRefused),
        open_store(f"sqlite:///{path.as_posix()}", SystemClock()),
    ):
        pass


def test_a_day_is_never_loaded_over(loaded: Loaded) -> None:
    loaded.sign(0)
    with pytest.raises(AlreadyLoaded):
        load(loaded.store)


def test_an_empty_record_says_that_no_day_is_loaded(url: str) -> None:
    from app.records import queries

    with open_store(url, SystemClock()) as store, pytest.raises(DayNotLoaded):
        store.read(queries.setting)


def test_the_same_package_loaded_with_the_same_key_gives_the_same_identifiers() -> None:
    from app.records import loading
    from tests.making import printed

    people = [printed(1), printed(2)]
    key = loading.fresh_line_key()
    first = [line.line_id for line in loading.identified(people, {}, key)]
    assert first == [line.line_id for line in loading.identified(people, {}, key)]
    other = [line.line_id for line in loading.identified(people, {}, loading.fresh_line_key())]
    assert not set(first) & set(other)
    assert all(person.voter_number not in line_id for person in people for line_id in first)


def test_a_closed_record_is_one_file_that_can_be_copied(loaded: Loaded, tmp_path: Path) -> None:
    from app.records import queries

    loaded.sign(0)
    loaded.store.read(queries.counts)
    loaded.store.close()
    assert {path.name for path in tmp_path.iterdir()} == {"day.db", "day.db.head"}
    copied = tmp_path / "copied.db"
    copied.write_bytes((tmp_path / "day.db").read_bytes())
    with open_store(f"sqlite:///{copied.as_posix()}", SystemClock()) as store:
        assert store.read(queries.head).seq == 2
