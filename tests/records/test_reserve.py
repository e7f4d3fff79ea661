"""Room kept aside on the disk: given up once, when it is needed."""

from __future__ import annotations

import shutil
from collections import namedtuple
from pathlib import Path

import pytest
from sqlalchemy.exc import OperationalError

from app.records import reserve
from app.records.reserve import (
    RESERVE_BYTES,
    Reserve,
    check_room,
    is_full,
    leaves_the_reserve,
    nearly_full,
)
from app.rules.faults import DiskNearlyFull

Usage = namedtuple("Usage", "total used free")


@pytest.fixture
def record(tmp_path: Path) -> Path:
    return tmp_path / "day.db"


def test_the_room_is_set_aside_once_and_given_up_once(record: Path) -> None:
    kept = Reserve(record)
    assert kept.keep()
    assert kept.keep()
    file = record.with_name("day.db.reserve")
    assert file.stat().st_size == RESERVE_BYTES
    assert kept.release()
    assert not file.exists()
    assert not kept.release()


def test_nothing_is_taken_from_a_disk_that_has_little(
    record: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(shutil, "disk_usage", lambda _: Usage(100, 0, RESERVE_BYTES))
    assert not Reserve(record).keep()
    assert list(record.parent.iterdir()) == []


def test_a_disk_that_runs_full_while_it_is_set_aside_is_left_as_it_was(
    record: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def full(path: Path) -> None:
        path.write_bytes(b"begun")
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(reserve, "_fill", full)
    assert not Reserve(record).keep()
    assert list(record.parent.iterdir()) == []


def test_another_database_has_no_reserve() -> None:
    kept = Reserve(None)
    assert not kept.keep()
    assert not kept.release()
    assert nearly_full(None) is None


def test_a_full_disk_is_told_from_other_faults() -> None:
    assert is_full(OperationalError("COMMIT", {}, Exception("database or disk is full")))
    assert not is_full(OperationalError("COMMIT", {}, Exception("disk I/O error")))
    assert is_full(OSError(28, "No space left on device"))
    assert not is_full(OSError(5, "Input/output error"))


def test_a_disk_with_little_room_is_told_in_bytes(
    record: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(shutil, "disk_usage", lambda _: Usage(100, 0, 499_999_999))
    assert nearly_full(record) == 499_999_999
    monkeypatch.setattr(shutil, "disk_usage", lambda _: Usage(100, 0, 500_000_000))
    assert nearly_full(record) is None


@pytest.mark.parametrize(
    ("free", "most_rows"), [(499_999_999, 1_249), (400_000_000, 1_000), (24_000_000, 60), (9, 0)]
)
def test_of_a_disk_with_little_room_one_list_may_take_a_hundredth(
    record: Path, monkeypatch: pytest.MonkeyPatch, free: int, most_rows: int
) -> None:
    monkeypatch.setattr(shutil, "disk_usage", lambda _: Usage(100, 0, free))
    check_room(record, most_rows)
    with pytest.raises(DiskNearlyFull) as refused:
        check_room(record, most_rows + 1)
    assert refused.value.facts == {"megabytes": free // 1_000_000, "most_rows": most_rows}
    with pytest.raises(DiskNearlyFull):
        check_room(record)


def test_with_room_enough_or_another_database_nothing_is_too_large(
    record: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(shutil, "disk_usage", lambda _: Usage(100, 0, 500_000_000))
    check_room(record)
    check_room(record, 10**6)
    monkeypatch.setattr(shutil, "disk_usage", lambda _: Usage(100, 0, 0))
    check_room(None, 10**6)


def test_a_bundle_must_leave_as_much_as_the_reserve(
    record: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(shutil, "disk_usage", lambda _: Usage(100, 0, RESERVE_BYTES + 10))
    assert leaves_the_reserve(record, 10)
    assert not leaves_the_reserve(record, 11)
