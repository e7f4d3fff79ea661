"""A copy that fails never fails the action, is said at once, and is back once it has caught up."""

from __future__ import annotations

import threading
import time
from collections.abc import Callable, Iterator
from datetime import UTC, datetime
from typing import Any

import pytest

from app.records import changes, copies, queries
from app.records.changes import Change
from app.records.clock import SystemClock
from app.records.copies import CopyFailed, Keeper, Standing, Why
from app.records.entry import Head
from app.records.store import Store, open_store
from app.records.verify import verify
from tests.records.conftest import Loaded, load

NOW = datetime(2027, 3, 2, 12, 0, tzinfo=UTC)
# Nothing here takes as long; a test that waits longer has failed.
PATIENCE = 20.0


class Device:
    """A copy in memory whose device can be pulled out, be slow, and be put back."""

    which, patience_seconds = "carbon", 0.3

    def __init__(self, read: Any) -> None:
        self.read = read
        self.holds: list[int] = []
        self.fault: Why | None = None
        self.gate = threading.Event()
        self.gate.set()
        self.before_whole: Callable[[], None] = lambda: None
        self.wholes = 0

    def resume(self) -> int | None:
        self._check()
        return None

    def start_over(self) -> int:
        self._check()
        no: int = self.read(changes.change_no)
        self.before_whole()
        self.holds, self.wholes = [no], self.wholes + 1
        return no

    def write(self, change: Change) -> None:
        self.gate.wait()
        self._check()
        assert change.no == self.holds[-1] + 1, "a change is missing or came twice"
        self.holds.append(change.no)

    def close(self) -> None:
        self.gate.set()

    def _check(self) -> None:
        if self.fault:
            raise CopyFailed(self.fault)


class WithDevice(Loaded):
    device: Device


@pytest.fixture
def quick(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(copies, "RETRY_SECONDS", 0.01)


@pytest.fixture
def here(url: str, quick: None) -> Iterator[tuple[Loaded, Device]]:
    made: list[Device] = []

    def make(read: Any) -> Device:
        made.append(Device(read))
        return made[0]

    with open_store(url, SystemClock()) as store:
        lines = load(store)
    with open_store(url, SystemClock(), copy_to=[make]) as store:
        yield Loaded(url, store, lines), made[0]
        made[0].gate.set()


def until(is_so: Callable[[], object], store: Store | None = None) -> None:
    deadline = time.monotonic() + PATIENCE
    while not is_so():
        assert time.monotonic() < deadline, "it never came"
        time.sleep(0.005)


def standing(loaded: Loaded) -> Standing:
    return loaded.store.copies.states[0].standing


def kinds(loaded: Loaded) -> list[str]:
    entries = loaded.store.read(lambda c: list(queries.entries_after(c, 1)))
    return [entry.kind for entry in entries]


def test_what_is_acknowledged_is_in_the_copy(here: tuple[Loaded, Device]) -> None:
    loaded, device = here
    for place in range(4):
        loaded.sign(place)
        assert device.holds[-1] == loaded.store.read(changes.change_no)
    assert standing(loaded) is Standing.IN_STEP
    assert device.wholes == 1


def test_pulled_out_the_action_stands_and_put_back_it_catches_up_and_both_are_entries(
    here: tuple[Loaded, Device],
) -> None:
    loaded, device = here
    loaded.sign(0)
    device.fault = Why.GONE
    loaded.sign(2)
    state = loaded.store.copies.states[0]
    assert (state.standing, state.why) == (Standing.FAILING, Why.GONE)
    loaded.sign(3)
    until(lambda: "copy.failed" in kinds(loaded))
    device.fault = None
    until(lambda: standing(loaded) is Standing.IN_STEP)
    until(lambda: "copy.back" in kinds(loaded))
    loaded.sign(4)
    assert device.holds[-1] == loaded.store.read(changes.change_no)
    told = [kind for kind in kinds(loaded) if kind.startswith("copy.")]
    assert told == ["copy.failed", "copy.back"]
    assert loaded.store.read(verify).holds


def test_every_page_is_told_by_the_entry(url: str, quick: None) -> None:
    told: list[str] = []
    devices: list[Device] = []

    def make(read: Any) -> Device:
        devices.append(Device(read))
        return devices[0]

    with open_store(url, SystemClock()) as store:
        lines = load(store)
    announce = lambda entries: told.extend(entry.kind for entry in entries)  # noqa: E731
    with open_store(url, SystemClock(), announce, [make]) as store:
        devices[0].fault = Why.FULL
        Loaded(url, store, lines).sign(0)
        until(lambda: "copy.failed" in told)
    assert told[0] == "signature.recorded"


def test_a_device_that_hangs_holds_nobody_up_for_longer_than_its_patience(
    here: tuple[Loaded, Device],
) -> None:
    loaded, device = here
    device.gate.clear()
    loaded.sign(0)
    state = loaded.store.copies.states[0]
    assert (state.standing, state.why) == (Standing.FAILING, Why.SLOW)
    loaded.sign(2)
    device.gate.set()
    until(lambda: standing(loaded) is Standing.IN_STEP)
    until(lambda: device.holds[-1] == loaded.store.read(changes.change_no))


def test_what_is_written_while_it_catches_up_is_in_the_copy_when_it_is_in_step(
    here: tuple[Loaded, Device],
) -> None:
    loaded, device = here
    device.fault = Why.GONE
    loaded.sign(0)
    until(lambda: "copy.failed" in kinds(loaded))
    is_reading, goes_on = threading.Event(), threading.Event()

    def hold() -> None:
        is_reading.set()
        goes_on.wait(PATIENCE)

    device.before_whole = hold
    device.fault = None
    is_reading.wait(PATIENCE)
    assert standing(loaded) is Standing.CATCHING_UP
    for place in (2, 3, 4):
        loaded.sign(place)
    goes_on.set()
    until(lambda: standing(loaded) is Standing.IN_STEP)
    until(lambda: device.holds[-1] == loaded.store.read(changes.change_no))
    assert len(device.holds) >= 4, "the three were written behind the whole"


def test_a_change_of_another_program_is_noticed_by_its_number(
    here: tuple[Loaded, Device],
) -> None:
    """Such as a command that adds a worker beside the server: no trigger of ours saw its rows."""
    loaded, device = here
    loaded.sign(0)
    with open_store(loaded.url, SystemClock()) as other:
        Loaded(loaded.url, other, loaded.lines).sign(2)
    loaded.sign(3)
    assert device.wholes == 2
    assert device.holds[-1] == loaded.store.read(changes.change_no)
    assert standing(loaded) is Standing.IN_STEP


def test_a_copy_that_is_away_at_the_start_is_said_and_does_not_keep_the_day_from_going_on(
    url: str, quick: None
) -> None:
    devices: list[Device] = []

    def make(read: Any) -> Device:
        devices.append(Device(read))
        devices[0].fault = Why.GONE
        return devices[0]

    with open_store(url, SystemClock()) as store:
        lines = load(store)
    with open_store(url, SystemClock(), copy_to=[make]) as store:
        loaded = Loaded(url, store, lines)
        loaded.sign(0)
        until(lambda: "copy.failed" in kinds(loaded))
        devices[0].fault = None
        until(lambda: standing(loaded) is Standing.IN_STEP)


def test_a_fault_in_the_copy_itself_never_looks_as_if_all_were_well(
    here: tuple[Loaded, Device], monkeypatch: pytest.MonkeyPatch
) -> None:
    loaded, device = here

    def broken(_change: Change) -> None:
        raise ValueError("a defect")

    monkeypatch.setattr(device, "write", broken)
    loaded.sign(0)
    assert loaded.store.copies.states[0].why is Why.FAILED


def test_the_gap_began_when_it_failed_first_whatever_the_reason_is_now() -> None:
    times = iter([NOW, NOW.replace(hour=13), NOW.replace(hour=14), NOW.replace(hour=15)])
    turned: list[Standing] = []
    keeper = Keeper(
        Device(lambda _: 1), lambda: next(times), lambda state: turned.append(state.standing)
    )
    keeper._stand(Standing.IN_STEP)
    keeper._fail(Why.GONE)
    keeper._fail(Why.FULL)
    keeper._stand(Standing.CATCHING_UP)
    assert (keeper.state.since.hour, keeper.state.why) == (14, Why.FULL)
    keeper._stand(Standing.IN_STEP)
    assert turned == [Standing.FAILING, Standing.IN_STEP]


def test_nothing_is_handed_to_a_copy_that_cannot_be_reached() -> None:
    """Or an afternoon without the stick would fill the memory."""
    keeper = Keeper(Device(lambda _: 1), lambda: NOW, lambda _: None)
    keeper._fail(Why.GONE)
    keeper.hand(Change(1, Head(), "{}"))
    assert not keeper._waiting


def test_one_that_was_given_up_while_nothing_was_on_its_way_is_tried_again(
    here: tuple[Loaded, Device],
) -> None:
    """As where its answer came in the moment in which nobody waited for it any longer."""
    loaded, device = here
    loaded.sign(0)
    until(lambda: standing(loaded) is Standing.IN_STEP)
    (keeper,) = loaded.store.copies._keepers
    # Long enough for its thread to wait for what comes next.
    time.sleep(0.1)
    keeper.settle(10_000)
    until(lambda: kinds(loaded)[-2:] == ["copy.failed", "copy.back"])
    loaded.sign(1)
    assert standing(loaded) is Standing.IN_STEP
    assert device.holds[-1] == loaded.store.read(changes.change_no)
