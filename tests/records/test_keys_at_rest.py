"""The record at rest: encrypted where a key stands beside it, and then never opened otherwise."""

from __future__ import annotations

import os
import sqlite3
from collections.abc import Iterator
from pathlib import Path

import pytest
from sqlalchemy import text

from app.records import encrypting, engine, keyring, queries, unlocking
from app.records.clock import SystemClock
from app.records.store import open_store, verify_database
from app.rules.faults import AlreadyThere, BadRequest, NotFound, StorageRefused
from app.trust import passphrases
from app.trust.passphrases import SlotKind, WrongPassphrase
from app.trust.recovery_codes import new_code
from app.trust.sealing import Use
from tests.records.conftest import Loaded, load

HERONS, EGRETS = "eleven herons wade", "twelve egrets stand"


@pytest.fixture
def path(url: str) -> Iterator[Path]:
    """Where the record is; its key is forgotten after the test."""
    found = engine.sqlite_path(url)
    assert found is not None
    yield found
    keyring.lock(found)


@pytest.fixture(autouse=True)
def quick(monkeypatch: pytest.MonkeyPatch) -> None:
    """What Argon2id costs is held by the tests of the slots."""
    monkeypatch.setattr(passphrases, "MEMORY_KIB", 64)
    monkeypatch.setattr(passphrases, "PASSES", 1)


@pytest.fixture
def encrypted(url: str, path: Path) -> Loaded:
    """A loaded record with one line signed, closed and locked again."""
    unlocking.make_slots(path, SlotKind.PASSPHRASE, "lead", [HERONS])
    with open_store(url, SystemClock()) as store:
        loaded = Loaded(url, store, load(store))
        loaded.sign(0)
    keyring.lock(path)
    return loaded


def test_nothing_of_an_encrypted_record_can_be_read_off_the_disk(
    url: str, path: Path, tmp_path: Path
) -> None:
    unlocking.make_slots(path, SlotKind.PASSPHRASE, "lead", [HERONS])
    with open_store(url, SystemClock()) as store:
        loaded = Loaded(url, store, load(store))
        loaded.sign(0)
        # While it is open: with its write-ahead log.
        found = {one.name: one.read_bytes() for one in tmp_path.iterdir()}
    assert {"day.db", "day.db-wal", "day.db-shm", "day.db.keys"} <= set(found)
    assert not found["day.db"].startswith(b"SQLite format 3")
    for name, content in found.items():
        for word in (b"Quillfeather", b"Odette", b"1980-05-17", b"CREATE TABLE", HERONS.encode()):
            assert word not in content, name


def test_the_same_record_in_clear_can_be_read_off_the_disk(loaded: Loaded, path: Path) -> None:
    """Or the test above could not fail."""
    loaded.store.close()
    assert b"Quillfeather" in path.read_bytes()


def test_without_its_passphrase_a_record_is_not_opened(encrypted: Loaded) -> None:
    for opening in (engine.open_for_reading, engine.open_for_writing):
        with pytest.raises(StorageRefused) as refused:
            opening(encrypted.url).connect()
        assert "passphrase" in str(refused.value.facts["why"])


def test_with_its_passphrase_it_is_what_it_was(encrypted: Loaded, path: Path) -> None:
    unlocking.unlock(path, [HERONS])
    found = verify_database(encrypted.url)
    assert found.holds
    assert found.entries == 2


def test_every_connection_takes_the_key_first(encrypted: Loaded, path: Path) -> None:
    unlocking.unlock(path, [HERONS])
    reading = engine.open_for_reading(encrypted.url)
    with reading.connect() as one, reading.connect() as other:
        for connection in (one, other):
            assert connection.execute(text("PRAGMA cipher_status")).scalar() == "1"
            assert connection.execute(text("PRAGMA temp_store")).scalar() == 2
    reading.dispose()


def test_a_wrong_passphrase_opens_nothing_and_is_counted(encrypted: Loaded, path: Path) -> None:
    for count in (1, 2):
        with pytest.raises(WrongPassphrase):
            unlocking.unlock(path, [EGRETS])
        assert unlocking.tries_of(path).wrong == count
    assert not keyring.is_unlocked(path)
    unlocking.unlock(path, [HERONS])
    assert unlocking.tries_of(path).wrong == 2


def test_a_try_is_counted_before_it_is_looked_at(
    encrypted: Loaded, path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    class PowerCut(BaseException):
        pass

    def cut(*_: object) -> None:
        assert unlocking.tries_of(path).wrong == 1
        raise PowerCut

    monkeypatch.setattr(passphrases, "open_slots", cut)
    with pytest.raises(PowerCut):
        unlocking.unlock(path, [EGRETS])


def test_a_slip_in_a_recovery_code_is_no_try(encrypted: Loaded, path: Path) -> None:
    code = new_code()
    slip = ("A" if code[0] != "A" else "B") + code[1:]
    with pytest.raises((BadRequest, WrongPassphrase)) as refused:
        unlocking.unlock(path, [slip])
    expected = 0 if refused.type is BadRequest else 1
    assert unlocking.tries_of(path).wrong == expected


def test_the_opening_is_written_into_the_log_with_the_wrong_tries(
    encrypted: Loaded, path: Path
) -> None:
    for _ in range(3):
        with pytest.raises(WrongPassphrase):
            unlocking.unlock(path, [EGRETS])
    slot = unlocking.unlock(path, [HERONS])
    with open_store(encrypted.url, SystemClock()) as store:
        unlocking.note_unlocked(store, path, slot)
        (entry,) = store.read(lambda c: queries.entries_of(c, "storage.unlocked"))
    assert entry.body == {"by": "passphrase", "slot": 1, "wrong_tries": 3, "recovery_uses": 0}
    assert unlocking.tries_of(path) == unlocking.Tries()
    assert verify_database(encrypted.url).holds


def test_each_use_of_the_recovery_code_is_written_into_the_log(
    encrypted: Loaded, path: Path
) -> None:
    unlocking.unlock(path, [HERONS])
    code = new_code()
    with open_store(encrypted.url, SystemClock()) as store:
        unlocking.add_slot(store, path, SlotKind.RECOVERY, "envelope", [code])
    keyring.lock(path)
    # Twice to look at something, once to serve.
    for _ in range(3):
        slot = unlocking.unlock(path, [code])
    with open_store(encrypted.url, SystemClock()) as store:
        unlocking.note_unlocked(store, path, slot)
        (entry,) = store.read(lambda c: queries.entries_of(c, "storage.unlocked"))
    assert (entry.body["by"], entry.body["recovery_uses"]) == ("recovery", 3)


def test_a_slot_is_added_and_removed_and_the_log_says_so(encrypted: Loaded, path: Path) -> None:
    unlocking.unlock(path, [HERONS])
    with open_store(encrypted.url, SystemClock()) as store:
        added = unlocking.add_slot(store, path, SlotKind.PASSPHRASE, "deputy", [EGRETS])
        unlocking.remove_slot(store, path, 1)
        changes = store.read(lambda c: queries.entries_of(c, "storage.keys_changed"))
    assert added.number == 2
    assert [(entry.body["change"], entry.body["slot"]) for entry in changes] == [
        ("added", 2),
        ("removed", 1),
    ]
    keyring.lock(path)
    with pytest.raises(WrongPassphrase):
        unlocking.unlock(path, [HERONS])
    assert unlocking.unlock(path, [EGRETS]).number == 2


def test_the_last_passphrase_is_not_removed_and_no_slot_that_is_not_there(
    encrypted: Loaded, path: Path
) -> None:
    unlocking.unlock(path, [HERONS])
    with open_store(encrypted.url, SystemClock()) as store:
        with pytest.raises(BadRequest):
            unlocking.remove_slot(store, path, 1)
        unlocking.add_slot(store, path, SlotKind.RECOVERY, "envelope", [new_code()])
        with pytest.raises(BadRequest):
            unlocking.remove_slot(store, path, 1)
        with pytest.raises(NotFound):
            unlocking.remove_slot(store, path, 9)
    assert len(unlocking.slots_of(path)) == 2


def test_a_record_in_clear_beside_a_key_is_refused(encrypted: Loaded, path: Path) -> None:
    unlocking.unlock(path, [HERONS])
    path.unlink()
    with sqlite3.connect(path) as connection:
        connection.execute("CREATE TABLE about (name TEXT, text TEXT)")
    connection.close()
    with pytest.raises(StorageRefused) as refused, open_store(encrypted.url, SystemClock()):
        pass
    assert "is not encrypted, although a key stands beside it" in str(refused.value.facts["why"])


def test_a_damaged_record_or_another_ones_key_is_told_and_nothing_is_written(
    encrypted: Loaded, path: Path
) -> None:
    keyring.unlock(path, passphrases.new_key())
    before = path.read_bytes()
    with pytest.raises(StorageRefused) as refused, open_store(encrypted.url, SystemClock()):
        pass
    assert "another record's" in str(refused.value.facts["why"])
    assert path.read_bytes() == before


def test_an_sqlite_that_does_not_encrypt_is_refused(
    encrypted: Loaded, path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The SQLite of Python takes a key without a word and writes in clear."""
    monkeypatch.setattr(engine.sqlite, "connect", sqlite3.connect)
    unlocking.unlock(path, [HERONS])
    path.unlink()
    with pytest.raises(StorageRefused) as refused:
        engine.open_for_writing(encrypted.url).connect()
    assert "does not encrypt" in str(refused.value.facts["why"])


def test_a_key_for_a_new_record_is_not_put_over_another(encrypted: Loaded, path: Path) -> None:
    before = keyring.slots_path(path).read_bytes()
    with pytest.raises(AlreadyThere):
        unlocking.make_slots(path, SlotKind.PASSPHRASE, "lead", [EGRETS])
    assert keyring.slots_path(path).read_bytes() == before


@pytest.mark.skipif(os.name != "posix", reason="files have owners elsewhere")
def test_the_files_of_a_record_are_for_their_owner_alone(loaded: Loaded, tmp_path: Path) -> None:
    loaded.sign(0)
    modes = {one.name: one.stat().st_mode & 0o777 for one in tmp_path.iterdir()}
    assert set(modes.values()) == {0o600}, modes


@pytest.mark.skipif(os.name != "posix", reason="files have owners elsewhere")
def test_a_record_that_everybody_could_read_is_closed_to_them(loaded: Loaded, path: Path) -> None:
    loaded.store.close()
    path.chmod(0o644)
    with open_store(loaded.url, SystemClock()):
        assert path.stat().st_mode & 0o077 == 0


def test_no_key_is_shown_by_what_holds_it(path: Path) -> None:
    key = passphrases.new_key()
    keyring.unlock(path, key)
    assert key.hex() not in repr(keyring._KEYS)
    assert repr(key) not in f"{keyring._KEYS}"
    assert key not in (keyring.key_for(path, use) for use in Use)


def test_a_record_in_clear_is_encrypted_and_stays_what_it_was(
    loaded: Loaded, path: Path, tmp_path: Path
) -> None:
    loaded.sign(0)
    head = loaded.store.read(queries.head)
    loaded.store.close()
    unlocking.make_slots(path, SlotKind.PASSPHRASE, "lead", [HERONS])
    assert encrypting.encrypt(path) == head
    assert b"Quillfeather" not in path.read_bytes()
    found = verify_database(loaded.url)
    assert (found.holds, found.head) == (True, head)
    left = {one.name for one in tmp_path.iterdir()}
    assert left <= {"day.db", "day.db.head", "day.db.keys", "day.db-wal", "day.db-shm"}


def test_a_record_that_is_open_elsewhere_is_not_encrypted(loaded: Loaded, path: Path) -> None:
    loaded.sign(0)
    with pytest.raises(StorageRefused) as refused:
        encrypting.check_can_be_encrypted(path)
    assert "stop the server" in str(refused.value.facts["why"])
    loaded.sign(2)
    assert verify_database(loaded.url).entries == 3


@pytest.mark.parametrize("step", ["_export", "_sync", "_checked"])
def test_encrypting_that_fails_leaves_the_record_as_it_was(
    loaded: Loaded, path: Path, monkeypatch: pytest.MonkeyPatch, step: str
) -> None:
    loaded.sign(0)
    loaded.store.close()
    unlocking.make_slots(path, SlotKind.PASSPHRASE, "lead", [HERONS])

    def full(*_: object) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(encrypting, step, full)
    with pytest.raises(StorageRefused) as refused:
        encrypting.encrypt(path)
    assert "No space left" in str(refused.value.facts["why"])
    assert not list(path.parent.glob("*.encrypted*"))
    keyring.lock(path)
    keyring.slots_path(path).unlink()
    found = verify_database(loaded.url)
    assert (found.holds, found.entries) == (True, 2)


def test_a_record_that_does_not_hold_is_not_encrypted(loaded: Loaded, path: Path) -> None:
    loaded.sign(0)
    loaded.store.close()
    with sqlite3.connect(path) as connection:
        connection.execute("UPDATE day_log SET station = 'elsewhere' WHERE seq = 2")
    connection.close()
    unlocking.make_slots(path, SlotKind.PASSPHRASE, "lead", [HERONS])
    with pytest.raises(StorageRefused) as refused:
        encrypting.encrypt(path)
    assert "entry 2 was changed" in str(refused.value.facts["why"])
    assert engine.is_in_clear(path)
