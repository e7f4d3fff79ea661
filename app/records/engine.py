"""Opening the database: the one file that knows about SQLite; `postgresql` knows the other one.

A `sqlite:///…` URL is served by the SQLite inside `sqlcipher3`, since the one that
comes with Python may carry the WAL-reset corruption bug. Every connection has its
pragmas set and read back: a pragma that SQLite ignored would be found out only
after a power cut. A `postgresql+psycopg://…` URL is a database server's; any other is refused.

Where a slots file stands beside the database (`keyring`), the key goes first on every
connection, and a file that is not encrypted is refused: an SQLite without encryption
takes a key in silence and writes in clear.
"""

from __future__ import annotations

import contextlib
import os
from pathlib import Path
from typing import Any
from urllib.parse import quote

import sqlcipher3.dbapi2 as sqlite
from sqlalchemy import URL, Connection, Engine, create_engine, event, text
from sqlalchemy.engine import make_url
from sqlalchemy.exc import ArgumentError
from sqlalchemy.pool import QueuePool

from app.records import keyring, postgresql
from app.rules.faults import StorageRefused
from app.trust.sealing import Use

# Below this a checkpoint can reset the WAL under a reader and corrupt the file
# (SQLite change log of 3.51.3: the defect is in 3.7.0 to 3.51.2).
OLDEST_SQLITE = (3, 51, 3)

# FULL syncs the WAL at every commit; NORMAL would lose acknowledged commits in a power cut.
SYNCHRONOUS = "FULL"
_SYNCHRONOUS_LEVEL = {"OFF": 0, "NORMAL": 1, "FULL": 2, "EXTRA": 3}

# How long a writer waits for another process that holds the write lock (a command
# run beside the server); longer means something is stuck and must be said.
BUSY_SECONDS = 5.0

# How every SQLite file begins that is not encrypted; an encrypted one begins at random.
_IN_CLEAR = b"SQLite format 3\x00"
# Where SQLite keeps what it sorts: names must reach no file beside the database.
_TEMPORARY_IN_MEMORY = 2
# Nobody else on this laptop reads the record, its log and its index of pages.
_OWNER_ONLY = 0o600


def open_for_writing(url: str) -> Engine:
    """An engine whose transactions take the write lock at once; creates the file if absent.

    StorageRefused where the storage cannot be trusted with the record.
    """
    return _open(url, read_only=False)


def open_for_reading(url: str) -> Engine:
    """An engine that cannot write; many connections at once are fine."""
    return _open(url, read_only=True)


def exists(url: str) -> bool:
    """Whether there is a record to open; StorageRefused where its server cannot be asked."""
    path = sqlite_path(url)
    if path is not None:
        return path.is_file()
    engine = open_for_reading(url)
    try:
        return postgresql.holds_record(engine)
    finally:
        engine.dispose()


def sqlite_path(url: str) -> Path | None:
    """The file behind a `sqlite:///` URL, None for any other database."""
    parsed = _parsed(url)
    if parsed.get_backend_name() != "sqlite":
        return None
    if not parsed.database or parsed.database == ":memory:":
        raise StorageRefused(why="a record in memory would be lost; name a file: sqlite:///day.db")
    return Path(parsed.database)


def path_of(engine: Engine) -> Path | None:
    """The file behind an engine, None for any other database."""
    if engine.dialect.name != "sqlite" or not engine.url.database:
        return None
    return Path(engine.url.database)


def is_in_clear(path: Path) -> bool:
    """Whether there is a database at `path` that anybody can read. Never of one that is open."""
    try:
        with path.open("rb") as file:
            return file.read(len(_IN_CLEAR)) == _IN_CLEAR
    except OSError:
        return False


def recover_after_failed_commit(engine: Engine) -> None:
    """Make durable whatever a failed commit left, before anybody reads it as true.

    After a failed sync the kernel may call pages clean that never reached the disk.
    A truncating checkpoint writes them again, into the database file, and syncs that.
    StorageRefused while it cannot be done completely. A database server does it by itself: what
    it began either holds the lock of the record still, or has ended.
    """
    if engine.dialect.name != "sqlite":
        return
    raw = engine.raw_connection()
    try:
        # Outside any transaction, or SQLite would answer that the table is locked.
        is_busy, _, _ = raw.cursor().execute("PRAGMA wal_checkpoint(TRUNCATE)").fetchone()
    finally:
        raw.close()
    if is_busy:
        raise StorageRefused(why="the write-ahead log is in use; it cannot be written out yet")


def _open(url: str, *, read_only: bool) -> Engine:
    path = sqlite_path(url)
    if path is None:
        return postgresql.open_server(_parsed(url), read_only=read_only)
    _check_version()
    engine = create_engine(
        url,
        module=sqlite,
        creator=lambda: _connect(path, read_only=read_only),
        poolclass=QueuePool,
        pool_size=1 if not read_only else 8,
    )
    _begin_explicitly(engine, "BEGIN" if read_only else "BEGIN IMMEDIATE")
    return engine


def _parsed(url: str) -> URL:
    try:
        return make_url(url)
    except ArgumentError:
        # The text may hold a password.
        raise StorageRefused(why="that is no URL of a database: sqlite:///day.db is one") from None


def _check_version() -> None:
    found = tuple(int(part) for part in sqlite.sqlite_version.split("."))
    if found < OLDEST_SQLITE:
        oldest = ".".join(map(str, OLDEST_SQLITE))
        raise StorageRefused(why=f"SQLite {sqlite.sqlite_version} is too old; needed: {oldest}")


def _connect(path: Path, *, read_only: bool) -> Any:
    key = _key_of(path)
    if not read_only:
        _keep_to_owner(path)
    mode = "ro" if read_only else "rwc"
    connection = sqlite.connect(
        f"file:{quote(str(path.absolute().as_posix()))}?mode={mode}",
        uri=True,
        timeout=BUSY_SECONDS,
        isolation_level=None,
        check_same_thread=False,
    )
    try:
        if key is not None:
            _set_key(connection, key)
        _set_pragmas(connection, read_only=read_only)
    except BaseException as fault:
        connection.close()
        if key is not None and isinstance(fault, sqlite.DatabaseError):
            raise StorageRefused(why=_why_not_opened(path, fault)) from None
        raise
    return connection


def _key_of(path: Path) -> bytes | None:
    """The key of the database; StorageRefused where it must have one and has not."""
    key = keyring.key_for(path, Use.DATABASE)
    if key is None and keyring.slots_path(path).exists():
        raise StorageRefused(why=f"{path.name} is encrypted; its passphrase was not entered")
    return key


def _keep_to_owner(path: Path) -> None:
    """Make the file, if it is not there, readable by its owner alone; SQLite's others follow it.

    One that is there is never opened here: closing it would take away the locks that this
    process has on it.
    """
    with contextlib.suppress(OSError):
        if not path.exists():
            os.close(os.open(path, os.O_RDWR | os.O_CREAT | os.O_EXCL, _OWNER_ONLY))
        elif os.name == "posix" and path.stat().st_mode & 0o077:
            path.chmod(_OWNER_ONLY)


def _why_not_opened(path: Path, error: sqlite.DatabaseError) -> str:
    if is_in_clear(path):
        return (
            f"{path.name} is not encrypted, although a key stands beside it; if it was being "
            "encrypted when the laptop stopped, run: tablebook encrypt"
        )
    if str(error) == "file is not a database":
        return f"{path.name} is damaged, or the key file beside it is another record's"
    return f"{path.name} cannot be opened: {error}"


def _set_key(connection: Any, key: bytes) -> None:
    """Before anything else is asked. Read back: a library without encryption knows no status."""
    # What it finds is told by its errors; its own lines on the screen would only frighten.
    connection.execute("PRAGMA cipher_log_level = NONE")
    connection.execute(f"PRAGMA key = \"x'{key.hex()}'\"")
    found = connection.execute("PRAGMA cipher_status").fetchone()
    if found is None or str(found[0]) != "1":
        raise StorageRefused(why="this SQLite does not encrypt; install the one that is locked")


def _set_pragmas(connection: Any, *, read_only: bool) -> None:
    wanted: dict[str, tuple[str, object]] = {
        "synchronous": (SYNCHRONOUS, _SYNCHRONOUS_LEVEL[SYNCHRONOUS]),
        "foreign_keys": ("ON", 1),
        "mmap_size": ("0", 0),
        "temp_store": ("MEMORY", _TEMPORARY_IN_MEMORY),
    }
    if read_only:
        wanted["query_only"] = ("ON", 1)
    else:
        wanted = {"journal_mode": ("WAL", "wal"), **wanted}
    for name, (value, expected) in wanted.items():
        connection.execute(f"PRAGMA {name}={value}")
        found = connection.execute(f"PRAGMA {name}").fetchone()
        if found is None or found[0] != expected:
            shown = found[0] if found else None
            raise StorageRefused(why=f"PRAGMA {name} is {shown!r}, wanted {value}")


def _begin_explicitly(engine: Engine, statement: str) -> None:
    """Transactions start where SQLAlchemy says so; the driver's own guess breaks savepoints."""

    @event.listens_for(engine, "begin")
    def _begin(connection: Connection) -> None:
        connection.execute(text(statement))
