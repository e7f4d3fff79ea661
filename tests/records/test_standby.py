"""The second laptop: in step means that it holds what was acknowledged; it is read-only."""

from __future__ import annotations

import shutil
import threading
import time
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest
from sqlalchemy import Connection, Engine

from app.desk.standing_by import keep_secret
from app.records import changes, copies, queries, standby
from app.records.changes import DoesNotFollow, every_row
from app.records.clock import SystemClock
from app.records.copies import Standing, Why
from app.records.engine import open_for_writing
from app.records.entry import Head
from app.records.standby import Standby
from app.records.standby_epoch import epoch_of, newer_than_own, note_newer, raise_epoch
from app.records.standby_record import (
    Followed,
    Holds,
    HoldsMore,
    follow,
    followed_by,
    follows_path,
    holds,
    take,
    take_all,
)
from app.records.store import Store, open_store
from app.records.verify import verify
from app.records.writer import Writer
from app.rules.faults import NewerRecordElsewhere, ReadOnlyStandby, StorageRefused
from tests.records.conftest import Loaded, load
from tests.records.test_changes import dump

PATIENCE = 20.0


def whole_record(record: Connection) -> tuple[list[str], tuple[int, str]]:
    """Every row, and how far it is the record."""
    return list(every_row(record)), (changes.change_no(record), queries.head(record).hash)


class Second(threading.Thread):
    """A second laptop that follows in this process, without a network between."""

    def __init__(self, first: Standby, store: Store, database: Path) -> None:
        super().__init__(daemon=True)
        self.first, self.store = first, store
        self.engine = open_for_writing(f"sqlite:///{database.as_posix()}")
        self.holds: Holds = holds(self.engine)
        # Set to let it forget what it holds, before it says so.
        self.forgets = threading.Event()
        self.fetched = 0
        # Set where it has no room for everything anew.
        self.is_full = threading.Event()
        self.sleeps, self.ends = threading.Event(), threading.Event()

    def run(self) -> None:
        while not self.ends.is_set():
            if self.sleeps.is_set():
                time.sleep(0.01)
                continue
            if self.forgets.is_set():
                self.holds = Holds(1, Head(1, "0" * 64))
                self.forgets.clear()
            self.first.heard(self.holds.no, self.holds.head.hash)
            todo = self.first.todo()
            if todo and todo.change:
                try:
                    self.holds = take(self.engine, todo.change)
                except DoesNotFollow:
                    self.holds = Holds()
            elif todo and todo.fetch_all:
                self.first.fetching()
                lines, whole = self.store.read(whole_record)
                self.first.sent(*whole)
                if self.is_full.is_set():
                    continue
                self.holds = take_all(self.engine, lines)
                self.fetched += 1
            else:
                time.sleep(0.002)

    def all(self) -> object:
        with self.engine.begin() as connection:
            return dump(connection)


@pytest.fixture
def here(
    url: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> Iterator[tuple[Loaded, Second]]:
    monkeypatch.setattr(copies, "RETRY_SECONDS", 0.01)
    with open_store(url, SystemClock()) as store:
        lines = load(store)
    first = Standby()
    with open_store(url, SystemClock(), copy_to=[first.of]) as store:
        second = Second(first, store, tmp_path / "second.db")
        second.start()
        yield Loaded(url, store, lines), second
        second.ends.set()
        second.join()
        second.engine.dispose()


def until(is_so: Callable[[], object]) -> None:
    deadline = time.monotonic() + PATIENCE
    while not is_so():
        assert time.monotonic() < deadline, "it never came"
        time.sleep(0.005)


def is_in_step(loaded: Loaded) -> bool:
    return loaded.store.copies.states[0].standing is Standing.IN_STEP


def test_what_is_acknowledged_in_step_is_on_the_second_laptop_already(
    here: tuple[Loaded, Second],
) -> None:
    loaded, second = here
    until(lambda: is_in_step(loaded))
    for place in range(4):
        loaded.sign(place)
        assert is_in_step(loaded)
        with second.engine.begin() as connection:
            assert queries.head(connection) == loaded.store.read(queries.head)
    assert second.all() == loaded.store.read(dump)
    assert second.fetched == 1
    with second.engine.begin() as connection:
        assert verify(connection).holds


def test_a_second_laptop_that_sleeps_holds_nobody_up_and_catches_up_when_it_wakes(
    here: tuple[Loaded, Second], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(standby, "PATIENCE_SECONDS", 0.1)
    loaded, second = here
    until(lambda: is_in_step(loaded))
    second.sleeps.set()
    time.sleep(0.05)
    loaded.sign(0)
    assert loaded.store.copies.states[0].why in (Why.SLOW, Why.GONE)
    loaded.sign(2)
    second.sleeps.clear()
    until(lambda: is_in_step(loaded))
    loaded.sign(3)
    until(lambda: second.all() == loaded.store.read(dump))


def test_one_that_falls_silent_is_said_to_be_gone_and_not_to_be_catching_up(
    here: tuple[Loaded, Second], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(standby, "PATIENCE_SECONDS", 0.1)
    monkeypatch.setattr(standby, "SILENT_SECONDS", 0.3)
    loaded, second = here
    until(lambda: is_in_step(loaded))
    second.sleeps.set()
    loaded.sign(0)
    until(lambda: loaded.store.copies.states[0].why is Why.GONE)
    assert loaded.store.copies.states[0].standing is Standing.FAILING
    second.sleeps.clear()
    until(lambda: is_in_step(loaded))


def test_one_that_lost_a_change_is_sent_everything_anew(here: tuple[Loaded, Second]) -> None:
    loaded, second = here
    until(lambda: is_in_step(loaded))
    loaded.sign(2)
    before = second.fetched
    second.forgets.set()
    until(lambda: not second.forgets.is_set())
    loaded.sign(0)
    until(lambda: is_in_step(loaded) and second.fetched > before)
    until(lambda: second.all() == loaded.store.read(dump))


def test_one_that_cannot_fetch_everything_is_not_in_step_until_it_can(
    here: tuple[Loaded, Second], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(standby, "PATIENCE_SECONDS", 0.1)
    loaded, second = here
    until(lambda: is_in_step(loaded))
    second.is_full.set()
    second.sleeps.set()
    loaded.sign(0)
    loaded.sign(1)
    assert not is_in_step(loaded)
    second.sleeps.clear()
    ends = time.monotonic() + 1.5
    while time.monotonic() < ends:
        assert not is_in_step(loaded)
        time.sleep(0.002)
    second.is_full.clear()
    until(lambda: is_in_step(loaded))
    until(lambda: second.all() == loaded.store.read(dump))


def test_one_that_holds_more_keeps_it_and_this_one_says_so(
    here: tuple[Loaded, Second], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """An older copy of the record was put in its place, with all that stands beside it."""
    loaded, second = here
    until(lambda: is_in_step(loaded))
    older = tmp_path / "older.db"
    shutil.copy(str(loaded.store.path), older)
    loaded.sign(0)
    loaded.sign(1)
    assert is_in_step(loaded)
    second.ends.set()
    second.join()
    with second.engine.begin() as connection:
        held = queries.head(connection)
    first = Standby()
    url = f"sqlite:///{older.as_posix()}"
    with open_store(url, SystemClock(), copy_to=[first.of]) as store:
        again = Second(first, store, tmp_path / "second.db")
        again.start()
        try:
            until(lambda: store.copies.states[0].why is Why.HOLDS_MORE)
            # It goes its own way, and not over what is only there.
            Loaded(url, store, loaded.lines).sign(2)
            time.sleep(0.3)
            assert (store.copies.states[0].why, again.fetched) == (Why.HOLDS_MORE, 0)
        finally:
            again.ends.set()
            again.join()
        whole, _ = store.read(whole_record)
        with pytest.raises(HoldsMore):
            take_all(again.engine, whole)
        again.engine.dispose()
    with second.engine.begin() as connection:
        assert queries.head(connection) == held


def test_until_a_laptop_has_joined_none_is_missing_and_nothing_is_written_of_it(
    url: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(copies, "RETRY_SECONDS", 0.01)
    with open_store(url, SystemClock()) as store:
        lines = load(store)
    first = Standby()
    with open_store(url, SystemClock(), copy_to=[first.of]) as store:
        Loaded(url, store, lines).sign(0)
        (state,) = store.copies.states
        assert (state.standing, state.why) == (Standing.WAITING, None)
        # One that joins is counted on from then on, though it never ask for anything.
        monkeypatch.setattr(standby, "JOINING_SECONDS", 0.05)
        first.joined()
        until(lambda: store.copies.states[0].why is Why.GONE)
    assert kinds_in(url) == ["package.loaded", "signature.recorded", "copy.failed"]


def test_a_laptop_that_joined_before_a_restart_is_missing_from_the_start(url: str) -> None:
    with open_store(url, SystemClock()) as store:
        lines = load(store)
        store.writer.write(keep_secret)
    with open_store(url, SystemClock(), copy_to=[Standby().of]) as store:
        assert store.copies.states[0].why is Why.GONE
        Loaded(url, store, lines).sign(0)
    assert "copy.failed" in kinds_in(url)


def test_the_first_time_in_step_is_no_coming_back(here: tuple[Loaded, Second]) -> None:
    loaded, _ = here
    until(lambda: is_in_step(loaded))
    loaded.store.writer.write(lambda unit: None)
    assert kinds_in(loaded.url) == ["package.loaded"]


def kinds_in(url: str) -> list[str]:
    with open_store(url, SystemClock()) as store:
        return [entry.kind for entry in store.read(lambda c: list(queries.entries_after(c, 0)))]


# The record of the second laptop


@pytest.fixture
def engine(tmp_path: Path) -> Iterator[Engine]:
    engine = open_for_writing(f"sqlite:///{tmp_path.as_posix()}/second.db")
    yield engine
    engine.dispose()


def whole(loaded: Loaded) -> list[str]:
    return loaded.store.read(lambda record: list(every_row(record)))


def all_in(engine: Engine) -> object:
    with engine.begin() as connection:
        return dump(connection)


def test_everything_anew_takes_the_place_of_what_is_there(loaded: Loaded, engine: Engine) -> None:
    take_all(engine, whole(loaded))
    loaded.sign(0)
    assert take_all(engine, whole(loaded)).no == loaded.store.read(changes.change_no)
    assert all_in(engine) == loaded.store.read(dump)


@pytest.mark.parametrize("cut", [1, 2, 5])
def test_half_of_everything_changes_nothing(loaded: Loaded, engine: Engine, cut: int) -> None:
    take_all(engine, whole(loaded))
    before = all_in(engine)
    loaded.sign(0)
    with pytest.raises(DoesNotFollow, match="whole"):
        take_all(engine, whole(loaded)[:-cut])
    assert all_in(engine) == before


def test_a_record_that_was_taken_over_is_never_written_over_by_the_one_before(
    loaded: Loaded, engine: Engine
) -> None:
    take_all(engine, whole(loaded))
    writer = Writer(engine, SystemClock())
    writer.write(raise_epoch)
    writer.finish()
    before = all_in(engine)
    loaded.sign(0)
    with pytest.raises(DoesNotFollow, match="taken over"):
        take_all(engine, whole(loaded))
    assert all_in(engine) == before


def test_a_record_that_follows_is_read_only_until_it_follows_nobody(
    loaded: Loaded, url: str
) -> None:
    loaded.store.close()
    database = Path(url.removeprefix("sqlite:///"))
    follow(database, Followed("https://192.0.2.7:8408", "", "secret-of-the-second"))
    found = followed_by(database)
    assert found is not None
    assert found.url.endswith(":8408")
    assert "secret-of" not in repr(found)
    with open_store(url, SystemClock()) as store:
        with pytest.raises(ReadOnlyStandby):
            Loaded(url, store, loaded.lines).sign(0)
        assert store.read(queries.head).seq == 1
    follows_path(database).unlink()
    with open_store(url, SystemClock()) as store:
        Loaded(url, store, loaded.lines).sign(0)


def test_a_file_about_whom_it_follows_that_cannot_be_read_lets_nobody_write(
    loaded: Loaded, url: str
) -> None:
    loaded.store.close()
    follows_path(Path(url.removeprefix("sqlite:///"))).write_text("{", encoding="utf-8")
    with pytest.raises(StorageRefused, match="cannot be read"):
        Store(url, SystemClock())


# Who has the record


def test_whoever_heard_of_a_higher_epoch_writes_no_more_also_after_a_restart(
    loaded: Loaded, url: str
) -> None:
    loaded.store.writer.write(lambda unit: note_newer(unit, 1))
    loaded.store.close()
    for _ in range(2):
        with open_store(url, SystemClock()) as store, pytest.raises(NewerRecordElsewhere):
            Loaded(url, store, loaded.lines).sign(0)


def test_taking_over_raises_the_epoch_above_every_one_heard_of(loaded: Loaded) -> None:
    def state(record: Connection) -> tuple[int, int | None]:
        return epoch_of(record), newer_than_own(record)

    assert loaded.store.read(state) == (0, None)
    assert loaded.store.writer.write(raise_epoch) == 1
    loaded.store.writer.write(lambda unit: note_newer(unit, 1))
    assert loaded.store.read(state) == (1, None), "its own is no higher one"
    loaded.store.writer.write(lambda unit: note_newer(unit, 2))
    assert loaded.store.read(state) == (1, 2)
