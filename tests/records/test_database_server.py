"""A record on a PostgreSQL server: what is refused, what is certain, several writers at once."""

from __future__ import annotations

import sys
import threading
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from types import SimpleNamespace

import pytest
from sqlalchemy import Connection, Engine, inspect, text
from sqlalchemy.exc import DBAPIError, InternalError

from app.records import engine, postgresql, queries
from app.records.carbon import carbon_into
from app.records.clock import SystemClock
from app.records.entry import Entry
from app.records.fold import DoesNotFit
from app.records.store import Store, open_store, verify_database
from app.records.unit import Unit
from app.rules.faults import CopyRefused, OutcomeUnknown, StorageRefused
from tests.database_server import ON_SERVER, DatabaseServer, name_of, running_server
from tests.records.conftest import PAPER, ROSA, Loaded, load

# Whatever is waited for here comes within a second; after this it never does.
LONG_SECONDS = 30.0


def refusal(attempt: Callable[[], object]) -> str:
    with pytest.raises(StorageRefused) as refused:
        attempt()
    return str(refused.value.facts["why"])


@contextmanager
def disposed(made: Engine) -> Iterator[Connection]:
    try:
        with made.connect() as connection:
            yield connection
    finally:
        made.dispose()


def wait_until(is_so: Callable[[], object]) -> None:
    ends = time.monotonic() + LONG_SECONDS
    while not is_so():
        assert time.monotonic() < ends, "it never came"
        time.sleep(0.01)


def settings_of(made: Engine) -> dict[str, str]:
    names = ("synchronous_commit", "default_transaction_read_only", "transaction_isolation")
    with disposed(made) as connection:
        return {name: str(connection.execute(text(f"SHOW {name}")).scalar()) for name in names}


def test_durable_commits_and_read_only_readers_are_set_whatever_the_database_says(
    database_server: DatabaseServer, postgresql_url: str
) -> None:
    with database_server.admin() as admin:
        admin.execute(f'ALTER DATABASE "{name_of(postgresql_url)}" SET synchronous_commit = off')
    assert settings_of(engine.open_for_writing(postgresql_url)) == {
        "synchronous_commit": "on",
        "default_transaction_read_only": "off",
        "transaction_isolation": "read committed",
    }
    assert settings_of(engine.open_for_reading(postgresql_url)) == {
        "synchronous_commit": "on",
        "default_transaction_read_only": "on",
        "transaction_isolation": "repeatable read",
    }


@ON_SERVER
def test_a_reader_cannot_write(loaded: Loaded) -> None:
    with disposed(engine.open_for_reading(loaded.url)) as connection:
        with pytest.raises(InternalError) as refused:
            connection.execute(text("DELETE FROM about"))
        assert "read-only transaction" in str(refused.value)


@ON_SERVER
def test_a_reader_sees_one_moment(loaded: Loaded) -> None:
    def twice(connection: Connection) -> tuple[int, int]:
        before = queries.head(connection).seq
        loaded.sign(0)
        return before, queries.head(connection).seq

    assert loaded.store.read(twice) == (1, 1)
    assert loaded.store.read(queries.head).seq == 2


@ON_SERVER
def test_every_text_is_ordered_by_its_bytes_whatever_the_servers_language(loaded: Loaded) -> None:
    of_text = text(
        "SELECT table_name || '.' || column_name, collation_name FROM information_schema.columns "
        "WHERE table_schema = 'public' AND data_type NOT IN ('integer', 'boolean')"
    )
    found = loaded.store.read(lambda record: dict(map(tuple, record.execute(of_text))))
    assert len(found) > 50
    assert {name for name, order in found.items() if order != "C"} == set()


def test_a_server_that_does_not_sync_is_refused() -> None:
    with running_server(("fsync=off",)) as server:
        url = server.make_database()
        why = refusal(lambda: engine.open_for_writing(url))
    assert why == "fsync is 'off' on the database server, wanted on"


def test_a_setting_that_does_not_take_is_refused(
    postgresql_url: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setitem(postgresql._DURABLE, "synchronous_commit", "remote_apply")
    why = refusal(lambda: engine.open_for_reading(postgresql_url))
    assert why == "synchronous_commit is 'on' on the database server, wanted remote_apply"


def test_an_old_server_is_refused(postgresql_url: str, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(postgresql, "OLDEST_SERVER", 99)
    assert "too old; needed: 99" in refusal(lambda: engine.open_for_writing(postgresql_url))


def test_a_database_that_does_not_keep_every_name_is_refused(
    database_server: DatabaseServer,
) -> None:
    with database_server.admin() as admin:
        admin.execute("CREATE DATABASE old ENCODING 'LATIN1' LOCALE 'C' TEMPLATE template0")
    url = database_server.url("old")
    assert "does not keep UTF-8" in refusal(lambda: engine.open_for_writing(url))
    database_server.drop_database(url)


def test_somebody_elses_database_and_another_version_are_refused_and_left_alone(
    postgresql_url: str,
) -> None:
    def run(statement: str) -> None:
        with disposed(engine.open_for_writing(postgresql_url)) as connection:
            connection.execute(text(statement))
            connection.commit()

    run("CREATE TABLE recipes (name TEXT)")
    assert "not one of Tablebook's" in refusal(lambda: Store(postgresql_url, SystemClock()))
    with disposed(engine.open_for_reading(postgresql_url)) as connection:
        assert inspect(connection).get_table_names() == ["recipes"]
    run("DROP TABLE recipes")
    Store(postgresql_url, SystemClock()).close()
    run("UPDATE about SET text = '99' WHERE name = 'schema_version'")
    assert "schema version 99" in refusal(lambda: Store(postgresql_url, SystemClock()))


def test_a_server_that_is_not_there_is_said_without_the_password(tmp_path: Path) -> None:
    url = f"postgresql+psycopg://tablebook:s3cret-word@/day?host={tmp_path}"
    why = refusal(lambda: engine.exists(url))
    assert why.startswith("the database server cannot be used: ")
    assert "s3cret-word" not in why


@pytest.mark.parametrize(
    ("address", "is_encrypted", "is_refused"),
    [
        ("192.168.20.5", False, True),
        ("192.168.20.5", True, False),
        ("127.0.0.1", False, False),
        ("::1", False, False),
        ("", False, False),
    ],
)
def test_only_a_server_at_another_computer_must_speak_tls(
    address: str, is_encrypted: bool, is_refused: bool
) -> None:
    """As the driver says it of a connection; a socket has no address."""
    connection = SimpleNamespace(
        info=SimpleNamespace(hostaddr=address), pgconn=SimpleNamespace(ssl_in_use=is_encrypted)
    )
    assert postgresql._passes_in_clear(connection) is is_refused


def test_names_pass_no_network_in_clear(
    postgresql_url: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    psycopg = pytest.importorskip("psycopg")
    monkeypatch.setattr(psycopg.ConnectionInfo, "hostaddr", property(lambda _: "192.168.20.5"))
    assert "sslmode=verify-full" in refusal(lambda: engine.exists(postgresql_url))


@ON_SERVER
def test_a_server_that_goes_away_while_it_is_verified_is_no_damage(
    loaded: Loaded, database_server: DatabaseServer
) -> None:
    def cut(_done: int, _total: int) -> None:
        with database_server.admin() as admin:
            admin.execute(
                "SELECT pg_terminate_backend(pid) FROM pg_stat_activity "
                "WHERE application_name = 'tablebook'"
            )

    found = verify_database(loaded.url, cut)
    assert "the database server cannot read the record" in str(found.fault)


def test_a_role_that_may_not_make_tables_and_a_lock_that_is_held_are_said(
    database_server: DatabaseServer, postgresql_url: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    with database_server.admin() as admin:
        admin.execute("CREATE ROLE guest LOGIN")
    guest = postgresql_url.replace("tablebook@", "guest@")
    why = refusal(lambda: Store(guest, SystemClock()))
    assert why == "the database server cannot be used: permission denied for schema public"
    with database_server.admin() as admin:
        admin.execute("DROP ROLE guest")
    monkeypatch.setattr(postgresql, "_LOCK_SECONDS", 1)
    with disposed(engine.open_for_writing(postgresql_url)) as holding:
        holding.execute(text("SELECT 1"))
        assert "lock timeout" in refusal(lambda: Store(postgresql_url, SystemClock()))


def test_any_other_kind_of_database_is_refused_in_clear_words() -> None:
    assert "mysql is neither" in refusal(lambda: engine.open_for_reading("mysql://desk@/day"))
    assert "no URL" in refusal(lambda: engine.open_for_reading("day.db"))


def test_where_the_driver_is_missing_it_is_said_what_to_install(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setitem(sys.modules, "psycopg", None)
    why = refusal(lambda: engine.open_for_reading("postgresql+psycopg://desk@/day"))
    assert "pip install 'psycopg[binary]'" in why


def test_the_short_form_of_the_url_means_the_same(postgresql_url: str) -> None:
    assert engine.exists(postgresql_url.replace("+psycopg", "")) is False


def test_a_database_holds_a_record_once_its_tables_are_made(postgresql_url: str) -> None:
    assert engine.exists(postgresql_url) is False
    Store(postgresql_url, SystemClock()).close()
    assert engine.exists(postgresql_url) is True


def test_no_copy_of_ours_is_kept_of_a_record_on_a_server(
    postgresql_url: str, tmp_path: Path
) -> None:
    carbon = carbon_into(tmp_path / "day.carbon", tmp_path / "day.db")
    with pytest.raises(CopyRefused) as refused:
        Store(postgresql_url, SystemClock(), copy_to=[carbon])
    assert "PostgreSQL's own standby" in str(refused.value.facts["why"])
    assert engine.exists(postgresql_url) is False


@ON_SERVER
def test_a_connection_cut_in_the_middle_of_the_work_is_unknown_and_settled_by_its_token(
    loaded: Loaded, database_server: DatabaseServer
) -> None:
    def cut(unit: Unit) -> Entry:
        entry = unit.append(ROSA, "token-of-the-unknown", PAPER, loaded.lines[0].line_id)
        assert database_server.end_writers() == 1
        return entry

    with pytest.raises(OutcomeUnknown) as unknown:
        loaded.store.writer.write(cut)
    assert isinstance(unknown.value.__cause__, DBAPIError)
    assert found_by_token(loaded) is None
    loaded.sign(0, "token-of-the-unknown")
    assert found_by_token(loaded) == 2
    assert verify_database(loaded.url).holds


@ON_SERVER
def test_a_connection_cut_in_the_middle_of_a_commit_that_stands_is_found_by_its_token(
    loaded: Loaded, database_server: DatabaseServer
) -> None:
    """The commit is on the disk, and waits for a standby that never comes."""
    with waiting_for_a_standby(database_server):
        answer = loaded.store.writer.submit(
            lambda unit: unit.append(ROSA, "token-of-the-unknown", PAPER, loaded.lines[0].line_id)
        )
        wait_until(lambda: commits_that_wait(database_server))
        assert not answer.done(), "acknowledged before the commit had returned"
        assert database_server.end_writers() == 1
        assert isinstance(answer.exception(LONG_SECONDS), OutcomeUnknown)
    assert found_by_token(loaded) == 2
    with pytest.raises(DoesNotFit):
        loaded.sign(0, "token-of-somebody-else")
    assert verify_database(loaded.url).holds


def found_by_token(loaded: Loaded) -> int | None:
    """The number of the entry, as the client that asks again is told."""
    line_id = loaded.lines[0].line_id
    found = loaded.store.writer.write(
        lambda unit: unit.already("token-of-the-unknown", PAPER.kind, line_id)
    )
    return found and found.seq


@contextmanager
def waiting_for_a_standby(server: DatabaseServer) -> Iterator[None]:
    def names(value: str) -> None:
        with server.admin() as admin:
            admin.execute(f"ALTER SYSTEM SET synchronous_standby_names = '{value}'")
            admin.execute("SELECT pg_reload_conf()")
        wait_until(lambda: _shown(server) == value)

    names("elsewhere")
    try:
        yield
    finally:
        names("")


def _shown(server: DatabaseServer) -> str:
    with server.admin() as admin:
        return str(admin.execute("SHOW synchronous_standby_names").fetchone()[0])


def commits_that_wait(server: DatabaseServer) -> int:
    with server.admin() as admin:
        return int(
            admin.execute(
                "SELECT count(*) FROM pg_stat_activity WHERE wait_event = 'SyncRep'"
            ).fetchone()[0]
        )


@ON_SERVER
def test_readers_go_on_after_the_server_was_cut_off(
    loaded: Loaded, database_server: DatabaseServer
) -> None:
    loaded.store.read(queries.head)
    with database_server.admin() as admin:
        admin.execute(
            "SELECT pg_terminate_backend(pid) FROM pg_stat_activity "
            "WHERE application_name = 'tablebook'"
        )
    assert loaded.store.read(queries.head).seq == 1
    loaded.sign(0)


@ON_SERVER
def test_what_the_database_will_not_keep_is_that_requests_fault_alone(loaded: Loaded) -> None:
    gate = threading.Event()
    held = loaded.store.writer.submit(lambda _unit: gate.wait())
    bad = loaded.store.writer.submit(
        lambda unit: unit.append(ROSA, "token-with-a-\x00", PAPER, loaded.lines[1].line_id)
    )
    good = loaded.store.writer.submit(
        lambda unit: unit.append(ROSA, "token-of-the-good", PAPER, loaded.lines[0].line_id)
    )
    gate.set()
    held.result()
    assert isinstance(bad.exception(), DBAPIError)
    assert good.result().seq == 2


@ON_SERVER
def test_two_programs_that_sign_the_same_lines_at_once_write_one_log(loaded: Loaded) -> None:
    barrier = threading.Barrier(2)
    won: list[int] = []

    def sign_all(store: Store, name: str) -> None:
        barrier.wait()
        for place, line in enumerate(loaded.lines):
            try:
                won.append(
                    store.writer.write(
                        lambda unit, line=line, place=place: unit.append(
                            ROSA, f"token-{name}-number-{place:02}", PAPER, line.line_id
                        )
                    ).seq
                )
            except DoesNotFit:
                continue

    with open_store(loaded.url, SystemClock()) as other:
        pairs = ((loaded.store, "one"), (other, "two"))
        threads = [threading.Thread(target=sign_all, args=pair) for pair in pairs]
        for thread in threads:
            thread.start()
        for thread in threads:
            thread.join()
    assert sorted(won) == list(range(2, 2 + len(loaded.lines)))
    assert verify_database(loaded.url).holds


@ON_SERVER
def test_a_program_that_hangs_with_the_lock_makes_the_others_say_unknown_and_no_more(
    loaded: Loaded, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(postgresql, "_LOCK_SECONDS", 1)
    hanging = engine.open_for_writing(loaded.url)
    with open_store(loaded.url, SystemClock()) as other:
        with hanging.begin() as connection:
            connection.execute(text("SELECT 1"))
            with pytest.raises(OutcomeUnknown):
                Loaded(loaded.url, other, loaded.lines).sign(0)
        Loaded(loaded.url, other, loaded.lines).sign(0)
    hanging.dispose()


@ON_SERVER
def test_every_program_hears_of_every_entry_once_and_in_order(url: str) -> None:
    heard: dict[str, list[int]] = {"one": [], "two": []}
    taken_in: dict[str, int] = {"one": 0, "two": 0}

    def opened(name: str) -> Store:
        def announce(entries: object) -> None:
            assert isinstance(entries, list)
            heard[name].extend(entry.seq for entry in entries)

        def take_in(_entries: object) -> None:
            taken_in[name] += 1

        store = Store(url, SystemClock(), announce)
        store.hear(take_in, 0)
        return store

    one, two = opened("one"), opened("two")
    try:
        lines = load(one)
        for place in range(8):
            Loaded(url, (one, two)[place % 2], lines).sign(place)
        wait_until(lambda: heard == {"one": [*range(1, 10)], "two": [*range(1, 10)]})
        before = dict(taken_in)
        # Something is kept beside the log, without an entry.
        one.writer.write(lambda unit: unit.connection.execute(text("UPDATE line SET city = city")))
        wait_until(lambda: all(taken_in[name] > before[name] for name in before))
    finally:
        one.close()
        two.close()


@ON_SERVER
def test_hearing_goes_on_after_its_connection_was_cut(
    loaded: Loaded, database_server: DatabaseServer
) -> None:
    heard: list[int] = []
    loaded.store.hear(lambda entries: heard.extend(entry.seq for entry in entries), 0)
    wait_until(lambda: heard == [1])
    with database_server.admin() as admin:
        admin.execute(
            "SELECT pg_terminate_backend(pid) FROM pg_stat_activity WHERE query LIKE 'LISTEN%'"
        )
    loaded.sign(0)
    wait_until(lambda: heard == [1, 2])


@ON_SERVER
def test_a_log_that_was_cut_on_the_server_does_not_start(loaded: Loaded) -> None:
    for place in range(3):
        loaded.sign(place)
    loaded.store.writer.write(
        lambda unit: unit.connection.execute(text("DELETE FROM day_log WHERE seq = 4"))
    )
    loaded.store.close()
    why = refusal(lambda: Store(loaded.url, SystemClock()))
    assert "its end was cut off" in why
    assert ".head" not in why
