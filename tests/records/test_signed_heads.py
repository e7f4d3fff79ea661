"""The signed head: a log that was cut off or put back is found, at the start and by `verify`."""

from __future__ import annotations

import json
import shutil
import sqlite3
from pathlib import Path

import pytest

from app.records import engine, queries, signed_heads
from app.records.bodies_trust import LogKeyChanged
from app.records.clock import SystemClock
from app.records.entry import PROGRAM
from app.records.store import open_store, verify_database
from app.records.tables import SCHEMA_VERSION
from app.records.unit import Unit
from app.rules.faults import StorageRefused
from app.trust.log_key import LogKey, is_signed
from tests.records.conftest import Loaded, load

SIGNED = 6


@pytest.fixture
def day(loaded: Loaded) -> Path:
    """A closed record of seven entries."""
    for place in range(SIGNED):
        loaded.sign(place)
    loaded.store.close()
    path = engine.sqlite_path(loaded.url)
    assert path is not None
    return path


def url_of(path: Path) -> str:
    return f"sqlite:///{path.as_posix()}"


def run(path: Path, *statements: str) -> None:
    with sqlite3.connect(path) as connection:
        for statement in statements:
            connection.execute(statement)
    connection.close()


def why_not_started(path: Path) -> str:
    with pytest.raises(StorageRefused) as refused, open_store(url_of(path), SystemClock()):
        pass
    return str(refused.value.facts["why"])


def test_every_commit_leaves_the_newest_head_signed(loaded: Loaded) -> None:
    path = engine.sqlite_path(loaded.url)
    assert path is not None
    for place in range(SIGNED):
        loaded.sign(place)
        head = loaded.store.read(queries.head)
        newest = loaded.store.read(signed_heads.newest_signed)
        assert newest is not None
        assert (newest.seq, newest.hash) == (head.seq, head.hash)
        assert signed_heads.read_beside(path) == newest
    (first,) = loaded.store.read(lambda c: queries.entries_of(c, "package.loaded"))
    assert is_signed(first.body["log_key"], newest.seq, newest.hash, newest.signature)


def test_a_log_that_nobody_touched_starts_and_holds(day: Path) -> None:
    with open_store(url_of(day), SystemClock()):
        pass
    assert verify_database(url_of(day)).holds


def cut(path: Path, *, last: int = 2, signatures: bool = False) -> None:
    """Take the last entries off, with everything that was derived from them."""
    after = SIGNED + 1 - last
    gone = f"(SELECT line_id FROM day_log WHERE seq > {after})"
    # What the states were before: those of a line on which nothing has happened.
    plain = "(SELECT state FROM line_state WHERE version = 0 AND standing = 'open' LIMIT 1)"
    run(
        path,
        f"UPDATE line_state SET version = 0, standing = 'open', state = {plain} "
        f"WHERE line_id IN {gone}",
        f"DELETE FROM day_log WHERE seq > {after}",
    )
    if signatures:
        run(path, f"DELETE FROM head_signature WHERE seq > {after}")


@pytest.mark.parametrize("last", [1, 2, 5])
def test_a_cut_tail_is_found(day: Path, last: int) -> None:
    cut(day, last=last)
    found = verify_database(url_of(day))
    assert f"signed it up to entry {SIGNED + 1}" in str(found.fault)
    assert f"ends with entry {SIGNED + 1 - last}" in why_not_started(day)


def test_a_cut_tail_is_found_where_its_signatures_went_too(day: Path) -> None:
    cut(day, signatures=True)
    assert f"signed it up to entry {SIGNED + 1}" in str(verify_database(url_of(day)).fault)
    assert "its end was cut off" in why_not_started(day)


def test_a_cut_tail_is_found_without_the_file_beside_the_record(day: Path) -> None:
    signed_heads.path_beside(day).unlink()
    cut(day)
    assert f"signed it up to entry {SIGNED + 1}" in str(verify_database(url_of(day)).fault)
    cut(day, signatures=True)
    assert "is not signed" in str(verify_database(url_of(day)).fault)
    assert "is not signed" in why_not_started(day)


def test_an_older_copy_put_back_is_found_and_what_to_do_is_said(
    loaded: Loaded, tmp_path: Path
) -> None:
    loaded.sign(0)
    loaded.store.close()
    path = engine.sqlite_path(loaded.url)
    assert path is not None
    older = Path(shutil.copy(path, tmp_path / "older.db"))
    with open_store(loaded.url, SystemClock()) as store:
        Loaded(loaded.url, store, loaded.lines).sign(2)
    shutil.copy(older, path)
    assert "an older copy was put back" in str(verify_database(loaded.url).fault)
    why = why_not_started(path)
    assert "call the registrar" in why
    assert "day.db.head" in why
    # What the registrar may decide: to go on with it.
    signed_heads.path_beside(path).unlink()
    assert verify_database(loaded.url).holds
    with open_store(loaded.url, SystemClock()):
        pass


def test_another_record_put_in_the_place_is_told_by_nothing_but_its_own(
    day: Path, tmp_path: Path
) -> None:
    """The head beside it was signed by another key: it is no witness against this record."""
    other = tmp_path / "other" / "day.db"
    other.parent.mkdir()
    with open_store(url_of(other), SystemClock()) as store:
        load(store)
    shutil.copy(other, day)
    assert verify_database(url_of(day)).holds


def test_a_head_beside_the_record_that_is_torn_or_invented_stops_nobody(day: Path) -> None:
    beside = signed_heads.path_beside(day)
    whole = beside.read_bytes()
    said = json.loads(whole)
    forged = json.dumps({**said, "seq": 99})
    for content in (b"", whole[:40], b"\0" * 320, forged.encode(), b"[]", b"{}"):
        beside.write_bytes(content)
        assert verify_database(url_of(day)).holds
        with open_store(url_of(day), SystemClock()):
            pass


def test_a_forked_record_is_found(loaded: Loaded, tmp_path: Path) -> None:
    """The older copy went on by itself: as many entries, but others."""
    loaded.sign(0)
    loaded.store.close()
    path = engine.sqlite_path(loaded.url)
    assert path is not None
    fork = Path(shutil.copy(path, tmp_path / "fork.db"))
    for url, place in ((loaded.url, 2), (url_of(fork), 3)):
        with open_store(url, SystemClock()) as store:
            Loaded(url, store, loaded.lines).sign(place)
    shutil.copy(fork, path)
    assert "another record was put back" in str(verify_database(loaded.url).fault)
    assert "another record was put back" in why_not_started(path)


@pytest.mark.parametrize(
    "statement",
    [
        "UPDATE head_signature SET signature = replace(signature, '0', '1')",
        "UPDATE head_signature SET hash = replace(hash, '0', '1')",
        "DELETE FROM head_signature",
    ],
)
def test_a_signature_that_was_changed_or_taken_away_is_found(day: Path, statement: str) -> None:
    run(day, statement)
    assert "sign" in str(verify_database(url_of(day)).fault)
    assert "sign" in why_not_started(day)


def test_a_log_made_anew_with_another_key_in_entry_one_is_found(day: Path) -> None:
    other = LogKey.fresh()
    with sqlite3.connect(day) as connection:
        (text,) = connection.execute("SELECT body FROM day_log WHERE seq = 1").fetchone()
        body = json.loads(text)
        body["log_key"] = other.public_text
        said = json.dumps(body, sort_keys=True, separators=(",", ":"))
        connection.execute("UPDATE day_log SET body = ? WHERE seq = 1", (said,))
    connection.close()
    assert not verify_database(url_of(day)).holds


def test_older_signatures_are_kept_few_and_the_newest_always(
    loaded: Loaded, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(signed_heads, "KEPT_EVERY", 3)
    for place in range(8):
        loaded.sign(place)
    kept = [one.seq for one in loaded.store.read(signed_heads.all_signed)]
    assert kept[-1] == 9
    assert len(kept) <= 9 // 3 + 1
    assert loaded.store.read(signed_heads.all_signed) != []
    assert verify_database(loaded.url).holds


def test_a_fault_signs_nothing(loaded: Loaded) -> None:
    def fails(unit: Unit) -> None:
        unit.append(PROGRAM, "token-that-goes-nowhere", LogKeyChanged(log_key="", reason=""))
        raise StorageRefused(why="invented")

    before = loaded.store.read(signed_heads.all_signed)
    with pytest.raises(StorageRefused):
        loaded.store.writer.write(fails)
    assert loaded.store.read(signed_heads.all_signed) == before


def test_a_record_put_together_anew_goes_on_with_a_key_of_its_own(loaded: Loaded) -> None:
    loaded.sign(0)

    def change(unit: Unit) -> None:
        key = signed_heads.make_key(unit.connection)
        body = LogKeyChanged(log_key=key, reason="recovered")
        unit.append(PROGRAM, "token-of-the-new-key", body)

    loaded.store.writer.write(change)
    loaded.sign(2)
    loaded.store.close()
    assert verify_database(loaded.url).holds
    with open_store(loaded.url, SystemClock()):
        pass


def test_the_private_half_stands_in_no_entry_and_not_beside_the_record(day: Path) -> None:
    with sqlite3.connect(day) as connection:
        (private,) = connection.execute("SELECT text FROM about WHERE name = 'log_key'").fetchone()
        log = str(connection.execute("SELECT * FROM day_log").fetchall())
    connection.close()
    assert private not in log
    assert private.encode() not in signed_heads.path_beside(day).read_bytes()


def test_a_head_that_cannot_be_written_beside_the_record_fails_no_action(
    loaded: Loaded, monkeypatch: pytest.MonkeyPatch
) -> None:
    def full(*_: object) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(signed_heads, "_write", full)
    loaded.sign(0)
    assert verify_database(loaded.url).holds


def test_a_record_of_the_schema_before_is_refused_in_clear_words(
    day: Path,
) -> None:
    run(day, "UPDATE about SET text = '4' WHERE name = 'schema_version'")
    said = f"the database has schema version 4, this program knows {SCHEMA_VERSION}"
    assert said in why_not_started(day)
