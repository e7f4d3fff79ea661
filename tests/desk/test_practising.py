"""The practice record: made beside a real one, never in its place, and never half."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from app.desk import practising
from app.desk.practising import PracticeDay, make_practice_day
from app.desk.roster import open_roster
from app.intake.package import Package
from app.records import people, queries
from app.records.clock import SystemClock
from app.records.entry import sha256_hex
from app.records.rows import setting_to_text
from app.records.store import open_store, verify_database
from app.rules.faults import StorageRefused
from app.rules.moment import Phase
from app.rules.policy import Policy
from app.rules.practice import practice_setting
from app.rules.setting import Setting
from tests.api.conftest import load
from tests.making import setting

ELSEWHERE = "sqlite:///elsewhere/day.db"


def make(
    folder: Path, place: Setting | None = None, real: str = ELSEWHERE, *, is_open: bool = True
) -> PracticeDay:
    package = Package(place or setting(), (), {})
    return make_practice_day(package, folder, real, SystemClock(), is_open=is_open)


def test_it_is_a_whole_record_that_holds_and_its_polls_are_open(tmp_path: Path) -> None:
    day = make(tmp_path)
    assert day.path.name == "practice-4-07-2027-03-02.db"
    assert verify_database(day.url).holds
    with open_roster(day.url, is_practice=True) as roster:
        assert roster.setting == practice_setting(setting())
        assert roster.store.read(queries.day_state).phase is Phase.OPEN
        workers = roster.store.read(people.all_workers)
    assert {one.initials for one in workers} == {"PA", "PB", "PC", "PL"}


def test_the_opening_can_be_practised_too(tmp_path: Path) -> None:
    day = make(tmp_path, is_open=False)
    with open_roster(day.url, is_practice=True) as roster:
        assert roster.store.read(queries.day_state).phase is Phase.NOT_OPEN


def test_the_mark_of_practice_is_in_what_entry_1_has_the_digest_of(tmp_path: Path) -> None:
    day = make(tmp_path)
    with open_store(day.url, SystemClock()) as store:
        body = store.read(lambda connection: queries.entry(connection, 1).body)
    marked = practice_setting(setting())
    assert body["election_id"] == "practice-tern-2027-03-02"
    assert body["setting_sha256"] == sha256_hex(setting_to_text(marked).encode())
    bare = replace(marked, is_practice=False)
    assert body["setting_sha256"] != sha256_hex(setting_to_text(bare).encode())


def test_the_same_package_goes_on_with_the_day_that_is_there(tmp_path: Path) -> None:
    first = make(tmp_path)
    before = verify_database(first.url).head
    again = make(tmp_path)
    assert (first.is_new, again.is_new) == (True, False)
    assert verify_database(again.url).head == before


def test_another_package_of_the_same_name_is_refused_and_what_is_there_is_kept(
    tmp_path: Path,
) -> None:
    day = make(tmp_path)
    before = verify_database(day.url).head
    with pytest.raises(StorageRefused, match="another package"):
        make(tmp_path, setting(policy=Policy(identification="required")))
    assert verify_database(day.url).head == before


def test_a_real_record_under_that_name_is_refused_and_not_touched(tmp_path: Path) -> None:
    path = tmp_path / "practice-4-07-2027-03-02.db"
    load(f"sqlite:///{path.as_posix()}")
    before = path.read_bytes()
    with pytest.raises(StorageRefused, match="real day"):
        make(tmp_path)
    assert path.read_bytes() == before


@pytest.mark.parametrize("way", ["as it is", "by another way"])
def test_the_database_that_is_named_is_never_the_practice_day(tmp_path: Path, way: str) -> None:
    folder = tmp_path / "kept"
    folder.mkdir()
    named = folder if way == "as it is" else tmp_path / "kept" / ".." / "kept"
    real = f"sqlite:///{(named / 'practice-4-07-2027-03-02.db').as_posix()}"
    with pytest.raises(StorageRefused, match="named by --database"):
        make(folder, real=real)
    assert list(folder.iterdir()) == []


def test_a_day_that_could_not_be_made_whole_leaves_nothing(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def fails(*_: object) -> None:
        raise OSError("no room on the disk")

    monkeypatch.setattr(practising, "_sign_earlier", fails)
    with pytest.raises(OSError, match="no room"):
        make(tmp_path)
    assert list(tmp_path.iterdir()) == []
