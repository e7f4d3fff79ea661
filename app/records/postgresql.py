"""Opening a record on a database server: the one file that knows about PostgreSQL.

Every connection has its settings set and read back, as a file's connections have their pragmas.
Several programs may write to one record there: a transaction that writes first takes a lock of
the whole record, so that all of them together are still one writer, and what it then reads is
what the one before it committed. Whoever wrote tells the others with its commit.

Encryption on the disk, second copies and standbys are the server's own there, and none of ours.
"""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager, suppress
from ipaddress import ip_address
from typing import Any

from sqlalchemy import URL, Connection, Engine, create_engine, event, inspect, text
from sqlalchemy.exc import ArgumentError, DBAPIError, NoSuchModuleError
from sqlalchemy.ext.compiler import compiles
from sqlmodel import AutoString

from app.rules.faults import StorageRefused

DRIVER = "postgresql+psycopg"
# The oldest that the tests have run on, and the oldest that is still mended.
OLDEST_SERVER = 15

# A number of our own that says "this database's record" among a server's advisory locks.
_RECORD_LOCK = 0x7AB1E
# What is sent when a commit has changed the record; nothing of the record is in it.
CHANNEL = "tablebook_changed"

# How long a writer waits for another one; longer means that something is stuck and must be said.
_LOCK_SECONDS = 5
# A program that was stopped while it had the lock loses it after this; loading a county, which
# thinks between two statements, takes a few seconds.
_IDLE_SECONDS = 60
_CONNECT_SECONDS = 5
# A network that swallows everything is noticed after 5 s of silence and three more probes.
_PROBES = {"keepalives_idle": 5, "keepalives_interval": 2, "keepalives_count": 3}
# The same for what was sent and not acknowledged; in milliseconds.
_UNACKNOWLEDGED_MS = 10_000

# Anything less and a power cut takes away what was acknowledged: the first two are the server's
# own and can only be looked at, the third is set.
_DURABLE = {"fsync": "on", "full_page_writes": "on", "synchronous_commit": "on"}


def open_server(url: URL, *, read_only: bool) -> Engine:
    """An engine on the database that `url` names; StorageRefused where it cannot be trusted."""
    engine = _made(url, read_only=read_only)
    _settle_each(engine, read_only=read_only)
    if not read_only:
        _lock_first(engine)
    try:
        with engine.connect():
            pass
    except DBAPIError as error:
        engine.dispose()
        raise refused(error) from None
    return engine


def holds_record(engine: Engine) -> bool:
    """Whether there is a record in the database."""
    return inspect(engine).has_table("about")


def is_its(error: DBAPIError) -> bool:
    """Whether it comes from a database server, and not from SQLite."""
    return type(error.orig).__module__.partition(".")[0] == "psycopg"


def refused(error: DBAPIError) -> StorageRefused:
    return StorageRefused(why=f"the database server cannot be used: {said(error)}")


def said(error: DBAPIError) -> str:
    """What the server said, in a line."""
    return str(error.orig).partition("\n")[0]


def tell_others(connection: Connection) -> None:
    """With the commit of this transaction, every `listening` hears that the record changed."""
    connection.execute(text(f"NOTIFY {CHANNEL}"))


@contextmanager
def listening(engine: Engine) -> Iterator[Any]:
    """A connection that hears of changes from here on; `heard` waits for one."""
    with engine.connect() as connection:
        raw: Any = connection.connection.driver_connection
        connection.rollback()
        raw.autocommit = True
        raw.execute(f"LISTEN {CHANNEL}")
        try:
            yield raw
        finally:
            # It goes on listening: nobody else may get it from the pool.
            connection.invalidate()
            with suppress(Exception):
                raw.close()


def heard(raw: Any, seconds: float) -> bool:
    """Wait so long for a change; whether there was one. Several at once are one."""
    return bool(list(raw.notifies(timeout=seconds, stop_after=1)))


@compiles(AutoString, "postgresql")
def _by_bytes(_type: AutoString, _compiler: object, **_said: object) -> str:
    """Text is ordered as SQLite orders it, whatever language the server was set up for."""
    return 'TEXT COLLATE "C"'


def _made(url: URL, *, read_only: bool) -> Engine:
    if url.drivername not in {"postgresql", DRIVER}:
        raise StorageRefused(
            why=f"a record is kept in a file, sqlite:///day.db, or on PostgreSQL, {DRIVER}://…; "
            f"{url.drivername} is neither"
        )
    try:
        return create_engine(
            url.set(drivername=DRIVER),
            # A reader sees one moment from its first statement to its last; a writer must see
            # what was committed while it waited for the lock.
            isolation_level="REPEATABLE READ" if read_only else "READ COMMITTED",
            pool_size=8 if read_only else 1,
            # One that the server has closed meanwhile is put in its place unnoticed.
            pool_pre_ping=True,
            connect_args={
                "application_name": "tablebook",
                "client_encoding": "utf8",
                "connect_timeout": _CONNECT_SECONDS,
                "tcp_user_timeout": _UNACKNOWLEDGED_MS,
                **_PROBES,
            },
        )
    except (ModuleNotFoundError, NoSuchModuleError):
        raise StorageRefused(
            why="what speaks to PostgreSQL is not installed: pip install 'psycopg[binary]'"
        ) from None
    except ArgumentError as error:
        raise StorageRefused(why=str(error)) from None


def _settle_each(engine: Engine, *, read_only: bool) -> None:
    @event.listens_for(engine, "connect")
    def _settle(connection: Any, _record: object) -> None:
        # Outside any transaction: one that is rolled back would take the settings along.
        was, connection.autocommit = connection.autocommit, True
        _refuse_unfit(connection, read_only=read_only)
        _set_and_read_back(connection, read_only=read_only)
        connection.autocommit = was


def _refuse_unfit(connection: Any, *, read_only: bool) -> None:
    if _passes_in_clear(connection):
        raise StorageRefused(
            why="names would pass the network in clear: let the database server speak TLS, and add "
            "?sslmode=verify-full&sslrootcert=FILE to its URL"
        )
    version = connection.info.server_version // 10_000
    if version < OLDEST_SERVER:
        raise StorageRefused(why=f"PostgreSQL {version} is too old; needed: {OLDEST_SERVER}")
    if _setting(connection, "server_encoding") != "UTF8":
        raise StorageRefused(why="the database does not keep UTF-8; make it with ENCODING 'UTF8'")
    (follows,) = connection.execute("SELECT pg_is_in_recovery()").fetchone()
    if follows and not read_only:
        raise StorageRefused(why="this database server follows another one; name that one")


def _passes_in_clear(connection: Any) -> bool:
    """Whether what is asked and answered can be read between the two computers."""
    address = connection.info.hostaddr
    is_afar = bool(address) and not ip_address(address).is_loopback
    return is_afar and not connection.pgconn.ssl_in_use


def _set_and_read_back(connection: Any, *, read_only: bool) -> None:
    connection.execute("SET synchronous_commit = on")
    wanted = dict(_DURABLE)
    if read_only:
        connection.execute("SET default_transaction_read_only = on")
        wanted["default_transaction_read_only"] = "on"
    else:
        connection.execute(f"SET lock_timeout = '{_LOCK_SECONDS}s'")
        connection.execute(f"SET idle_in_transaction_session_timeout = '{_IDLE_SECONDS}s'")
        wanted["lock_timeout"] = f"{_LOCK_SECONDS}s"
    for name, expected in wanted.items():
        found = _setting(connection, name)
        if found != expected:
            raise StorageRefused(
                why=f"{name} is {found!r} on the database server, wanted {expected}"
            )


def _setting(connection: Any, name: str) -> str:
    (value,) = connection.execute("SELECT current_setting(%s)", (name,)).fetchone()
    return str(value)


def _lock_first(engine: Engine) -> None:
    """As SQLite's BEGIN IMMEDIATE; the server gives the lock back once the commit is durable."""

    @event.listens_for(engine, "begin")
    def _lock(connection: Connection) -> None:
        connection.execute(text(f"SELECT pg_advisory_xact_lock({_RECORD_LOCK})"))
