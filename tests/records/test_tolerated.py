"""A carbon that is refused, where the day goes on all the same."""

from __future__ import annotations

import shutil
import time
from pathlib import Path

import pytest

from app.records import queries
from app.records.carbon import carbon_into
from app.records.clock import SystemClock
from app.records.copies import CopyState, Standing, Why
from app.records.store import Store
from app.records.tolerated import tolerated
from tests.records.test_carbon import Laptop, is_in_step, laptop, quick, until

__all__ = ["laptop", "quick"]


def opened_all_the_same(laptop: Laptop) -> Store:
    made = tolerated(carbon_into(laptop.stick, laptop.record))
    return Store(laptop.url, SystemClock(), copy_to=[made])


def state_of(store: Store) -> CopyState:
    (state,) = store.copies.states
    return state


def test_the_carbon_of_another_record_fails_is_said_and_stays_as_it_was(
    laptop: Laptop, tmp_path: Path, quick: None
) -> None:
    (tmp_path / "other").mkdir()
    other = Laptop(tmp_path / "other")
    other.day(0)
    before = other.file.read_bytes()
    shutil.copytree(other.stick, laptop.stick, dirs_exist_ok=True)
    store = opened_all_the_same(laptop)
    try:
        laptop.sign(store, 0, 1)
        assert (state_of(store).standing, state_of(store).why) == (Standing.FAILING, Why.REFUSED)
        assert laptop.file.read_bytes() == before
        (told,) = store.read(lambda record: queries.entries_of(record, "copy.failed"))
        assert told.body["why"] == "refused"
        # Taken away, it is written from the beginning.
        laptop.file.unlink()
        until(lambda: is_in_step(store))
    finally:
        store.close()
    # Now it is this record's own, and nothing has to be tolerated any more.
    laptop.day(2)


def test_a_carbon_that_holds_more_than_the_record_keeps_what_it_holds(
    laptop: Laptop, quick: None
) -> None:
    """As where the second laptop was not in step when the first one died."""
    laptop.day(0)
    shutil.copy(laptop.record, laptop.record.with_name("older.db"))
    laptop.day(1, 2)
    before = laptop.file.read_bytes()
    laptop.record.with_name("older.db").replace(laptop.record)
    laptop.record.with_name("day.db.head").unlink(missing_ok=True)
    store = opened_all_the_same(laptop)
    try:
        laptop.sign(store, 3)
        assert state_of(store).why is Why.HOLDS_MORE
        assert laptop.file.read_bytes() == before
        # Pulled out, what it holds is missing here all the same.
        laptop.stick.rename(laptop.stick.with_name("pulled"))
        time.sleep(0.3)
        assert state_of(store).why is Why.HOLDS_MORE
    finally:
        store.close()


@pytest.mark.usefixtures("quick")
def test_a_carbon_that_is_not_refused_is_kept_as_ever(laptop: Laptop) -> None:
    store = opened_all_the_same(laptop)
    try:
        laptop.sign(store, 0)
        assert is_in_step(store)
    finally:
        store.close()
    laptop.day(1)
