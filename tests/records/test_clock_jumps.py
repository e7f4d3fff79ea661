"""A clock that is set: written down before what follows, and never a change of order."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from app.records import queries
from app.records.clock import Clock, Steady, SystemClock, to_text
from app.records.entry import Entry
from app.records.store import Store, open_store, verify_database
from tests.records.conftest import Loaded, load

MORNING = datetime(2027, 3, 2, 10, 45, tzinfo=UTC)
DAY = timedelta(days=1)


class Set(Clock):
    """A laptop's clock: time passes, and somebody sets it."""

    def __init__(self, at: datetime = MORNING) -> None:
        self.wall = at
        self.passed = 1000.0

    def now(self) -> datetime:
        return self.wall

    def steady(self) -> float:
        return self.passed

    def go_on(self, seconds: float) -> None:
        self.wall += timedelta(seconds=seconds)
        self.passed += seconds


@pytest.fixture
def clock() -> Set:
    return Set()


@pytest.fixture
def day(url: str, clock: Set) -> Iterator[Loaded]:
    with open_store(url, clock) as store:
        yield Loaded(url, store, load(store))


def entries(store: Store) -> list[Entry]:
    return store.read(lambda connection: list(queries.entries_after(connection, 0)))


def jumps(store: Store) -> list[dict[str, object]]:
    return [dict(entry.body) for entry in entries(store) if entry.kind == "clock.jumped"]


def test_a_clock_set_back_is_written_down_before_what_follows(day: Loaded, clock: Set) -> None:
    day.sign(0)
    clock.go_on(60)
    clock.wall -= DAY
    day.sign(2)
    kinds = [entry.kind for entry in entries(day.store)]
    assert kinds == ["package.loaded", "signature.recorded", "clock.jumped", "signature.recorded"]
    (jump,) = jumps(day.store)
    assert jump == {
        "before": to_text(MORNING + timedelta(seconds=60)),
        "now": to_text(MORNING + timedelta(seconds=60) - DAY),
        "by_seconds": -86_400,
    }
    assert verify_database(day.url).holds


@pytest.mark.parametrize(
    ("step", "is_told"),
    [(119, False), (121, True), (-119, False), (-121, True), (365 * 86_400, True)],
)
def test_more_than_two_minutes_either_way_are_told(
    day: Loaded, clock: Set, step: int, is_told: bool
) -> None:
    day.sign(0)
    clock.wall += timedelta(seconds=step)
    day.sign(2)
    assert [jump["by_seconds"] for jump in jumps(day.store)] == ([step] if is_told else [])


def test_time_that_passes_is_no_jump_however_long_nobody_comes(day: Loaded, clock: Set) -> None:
    day.sign(0)
    clock.go_on(6 * 3600)
    day.sign(2)
    assert jumps(day.store) == []


def test_many_small_steps_are_told_once_they_are_a_large_one(day: Loaded, clock: Set) -> None:
    for place in range(8):
        clock.wall += timedelta(seconds=50)
        day.sign(place)
    assert [jump["by_seconds"] for jump in jumps(day.store)] == [150, 150]


def test_a_jump_is_told_once(day: Loaded, clock: Set) -> None:
    day.sign(0)
    clock.wall += DAY
    for place in (2, 3, 4):
        day.sign(place)
    assert len(jumps(day.store)) == 1


def test_a_clock_at_1970_when_the_laptop_starts_is_told(url: str, clock: Set) -> None:
    with open_store(url, clock) as store:
        lines = load(store)
    unset = Set(datetime(1970, 1, 1, tzinfo=UTC))
    with open_store(url, unset) as store:
        Loaded(url, store, lines).sign(0)
        (jump,) = jumps(store)
        assert str(jump["now"]).startswith("1970-01-01")
        # And when it is set right.
        unset.wall = MORNING
        Loaded(url, store, lines).sign(2)
        assert len(jumps(store)) == 2
    assert verify_database(url).holds


def test_a_night_between_two_starts_is_no_jump(url: str, clock: Set) -> None:
    with open_store(url, clock) as store:
        lines = load(store)
    with open_store(url, Set(MORNING + DAY)) as store:
        Loaded(url, store, lines).sign(0)
        assert jumps(store) == []


def test_a_jump_whose_commit_failed_is_told_by_the_next(
    day: Loaded, clock: Set, monkeypatch: pytest.MonkeyPatch
) -> None:
    from app.records import writer

    day.sign(0)
    clock.wall += DAY

    def broken(*_: object) -> None:
        raise OSError("the disk is gone")

    with monkeypatch.context() as failing:
        failing.setattr(writer.HeadSigner, "sign", broken)
        with pytest.raises(Exception, match="outcome-unknown"):
            day.sign(2)
    day.sign(3)
    assert [jump["by_seconds"] for jump in jumps(day.store)] == [86_400]


Steps = st.lists(
    st.tuples(
        st.sampled_from([0.0, 30.0, 3_600.0]),
        st.sampled_from(
            [timedelta(), -DAY, 365 * DAY, timedelta(hours=1), timedelta(hours=-1), None]
        ),
    ),
    min_size=1,
    max_size=9,
)


@settings(max_examples=40, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(Steps, st.booleans())
def test_order_and_uniqueness_are_the_same_whatever_the_clock_does(
    tmp_path_factory: pytest.TempPathFactory,
    steps: list[tuple[float, timedelta | None]],
    restarts: bool,
) -> None:
    folder: Path = tmp_path_factory.mktemp("clock")
    url = f"sqlite:///{folder.as_posix()}/day.db"
    clock = Set()
    store = Store(url, clock)
    lines = load(store)
    for place, (passed, step) in enumerate(steps):
        clock.go_on(passed)
        # None: the laptop comes up with an empty battery.
        clock.wall = datetime(1970, 1, 1, tzinfo=UTC) if step is None else clock.wall + step
        if restarts:
            store.close()
            store = Store(url, clock)
        Loaded(url, store, lines).sign(place)
    found = entries(store)
    store.close()
    assert [entry.seq for entry in found] == list(range(1, len(found) + 1))
    signed = [entry.line_id for entry in found if entry.kind == "signature.recorded"]
    assert signed == [line.line_id for line in lines[: len(steps)]]
    assert verify_database(url).holds


def test_the_laptops_own_clock_never_goes_back() -> None:
    clock = SystemClock()
    assert isinstance(clock, Steady)
    seen = [clock.steady() for _ in range(1000)]
    assert seen == sorted(seen)
