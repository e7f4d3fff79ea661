"""Encrypting a record that stands in clear: into a file beside it, which then takes its place.

Whatever happens meanwhile, the record in clear stands until the encrypted one is whole, checked
and durable. What stood on the disk before can be brought back from it with tools.
"""

from __future__ import annotations

import os
from pathlib import Path

import sqlcipher3.dbapi2 as sqlite

from app.records import keyring
from app.records.engine import is_in_clear
from app.records.entry import Head
from app.records.store import verify_database
from app.rules.faults import StorageRefused
from app.trust.durable_file import TEMPORARY, sync_folder
from app.trust.sealing import Use

# Beside the record, by its name.
ENDING = ".encrypted" + TEMPORARY


def check_can_be_encrypted(database: Path) -> None:
    """StorageRefused where it is encrypted already, or somebody has it open."""
    if not is_in_clear(database):
        raise StorageRefused(why=f"{database.name} is encrypted already, or no database")
    _fold_in(database)


def encrypt(database: Path) -> Head:
    """Encrypt with the key that `database` was unlocked with; the head of the log as it was.

    StorageRefused where it cannot be done: then the record is what it was before.
    """
    key = keyring.key_for(database, Use.DATABASE)
    if key is None:
        raise StorageRefused(why="there is no key to encrypt with")
    _fold_in(database)
    fresh = database.with_name(database.name + ENDING)
    _remove(fresh)
    try:
        _export(database, fresh, key)
        _sync(fresh)
        found = _checked(fresh, keyring.master_of(database))
        fresh.replace(database)
    except (OSError, sqlite.Error) as error:
        raise StorageRefused(why=f"{database.name} could not be encrypted: {error}") from None
    finally:
        _remove(fresh)
    sync_folder(database.parent)
    return found


def _fold_in(database: Path) -> None:
    """Leave one file and no write-ahead log. StorageRefused while somebody else has it open."""
    connection = sqlite.connect(str(database), timeout=0, isolation_level=None)
    try:
        connection.execute("PRAGMA wal_checkpoint(TRUNCATE)").fetchone()
        (mode,) = connection.execute("PRAGMA journal_mode = DELETE").fetchone()
        if mode != "delete":
            raise StorageRefused(why="the record is open in another program; stop the server first")
    except sqlite.OperationalError:
        raise StorageRefused(
            why="the record is open in another program; stop the server first"
        ) from None
    finally:
        connection.close()


def _export(database: Path, fresh: Path, key: bytes) -> None:
    os.close(os.open(fresh, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600))
    connection = sqlite.connect(str(database), isolation_level=None)
    try:
        connection.execute("PRAGMA temp_store = MEMORY")
        # Bound, not written into the statement: statements can turn up in messages.
        connection.execute("ATTACH DATABASE ? AS sealed KEY ?", (str(fresh), f"x'{key.hex()}'"))
        connection.execute("SELECT sqlcipher_export('sealed')").fetchone()
        connection.execute("DETACH DATABASE sealed")
    finally:
        connection.close()


def _checked(fresh: Path, master: bytes | None) -> Head:
    """The head of the encrypted record, every entry of which was looked at."""
    if is_in_clear(fresh) or master is None:
        raise StorageRefused(why="what was written is not encrypted; nothing was changed")
    keyring.unlock(fresh, master)
    try:
        found = verify_database(f"sqlite:///{fresh.as_posix()}")
    finally:
        keyring.lock(fresh)
    if found.fault:
        raise StorageRefused(why=f"nothing was changed, the record does not hold: {found.fault}")
    return found.head


def _sync(path: Path) -> None:
    handle = os.open(path, os.O_RDWR)
    try:
        os.fsync(handle)
    finally:
        os.close(handle)


def _remove(fresh: Path) -> None:
    for ending in ("", "-wal", "-shm", "-journal"):
        fresh.with_name(fresh.name + ending).unlink(missing_ok=True)
