"""The disk is nearly full: no long list and no package is taken, short lists go on."""

from __future__ import annotations

import shutil
from collections import namedtuple
from collections.abc import Iterator
from functools import partial
from pathlib import Path

import pytest

from app.desk import late_applying, late_lists, late_views
from app.desk.loading import load_package
from app.desk.outcomes import Refused
from app.intake.late_lists import LateRows
from app.records.clock import SystemClock
from app.records.late_lists import check_room_for
from app.rules.faults import DiskNearlyFull
from app.rules.late_list import ListKind
from tests.desk.listing_table import ACTOR, PEOPLE, Table, a_table

Usage = namedtuple("Usage", "total used free")
TOKEN = "token-of-the-list-on-a-disk-that-fills"
# A list of five people is too long here, one of four is not.
SCARCE = 1_999_999


@pytest.fixture
def table() -> Iterator[Table]:
    with a_table() as made:
        yield made


@pytest.fixture
def left(monkeypatch: pytest.MonkeyPatch) -> Iterator[list[int]]:
    """What is left on the disk, to be changed."""
    free = [10**12]
    monkeypatch.setattr(shutil, "disk_usage", lambda _: Usage(0, 0, free[0]))
    yield free
    free[0] = 10**12


def rows(table: Table, many: int) -> LateRows:
    new = late_lists.NewList(ListKind.MAIL_VOTED, "mail.csv", table.content(PEOPLE[:many]))
    read = late_lists.read_file(table.roster, new)
    assert isinstance(read, LateRows)
    return read


def bring(table: Table, read: LateRows) -> str:
    done = table.roster.store.writer.write(lambda unit: late_lists.bring(unit, ACTOR, TOKEN, read))
    assert not isinstance(done, Refused)
    return done[0].list_id


def apply(table: Table, list_id: str) -> late_applying.Applied | Refused:
    prepared = late_applying.prepare_to_apply(table.roster, list_id)
    return table.roster.store.writer.write(
        lambda unit: late_applying.apply(unit, ACTOR, TOKEN, prepared)
    )


def test_a_long_list_is_not_taken_and_nothing_is_kept_of_it_but_a_short_one_is_applied(
    table: Table, left: list[int]
) -> None:
    long, short = rows(table, 5), rows(table, 4)
    left[0], head = SCARCE, table.head()
    with pytest.raises(DiskNearlyFull) as refused:
        bring(table, long)
    assert refused.value.facts == {"megabytes": 1, "most_rows": 4}
    assert (table.head(), late_views.all_kept(table.roster)) == (head, [])
    done = apply(table, bring(table, short))
    assert not isinstance(done, Refused)
    assert done.tally.applied == 4
    # Signing is asked for nothing.
    assert table.sign(PEOPLE[4])


def test_a_list_that_was_brought_while_there_was_room_is_applied_once_there_is_room_again(
    table: Table, left: list[int]
) -> None:
    list_id, head = bring(table, rows(table, 5)), table.head()
    left[0] = SCARCE
    with pytest.raises(DiskNearlyFull):
        apply(table, list_id)
    assert table.head() == head
    assert late_views.read_list(table.roster, list_id).kept.status == "draft"
    left[0] = 500_000_000
    done = apply(table, list_id)
    assert not isinstance(done, Refused)
    assert done.tally.applied == 5


def test_what_was_done_already_is_answered_as_before_however_little_is_left(
    table: Table, left: list[int]
) -> None:
    long = rows(table, 5)
    list_id = bring(table, long)
    done = apply(table, list_id)
    left[0] = 0
    assert bring(table, long) == list_id
    assert apply(table, list_id) == done


def test_people_who_are_added_take_four_times_the_room(table: Table, left: list[int]) -> None:
    left[0] = 400_000_000
    for kind, most in ((ListKind.MAIL_VOTED, 1_000), (ListKind.SUPPLEMENTAL, 250)):
        table.roster.store.read(partial(check_room_for, kind=kind, rows=most))
        with pytest.raises(DiskNearlyFull):
            table.roster.store.read(partial(check_room_for, kind=kind, rows=most + 1))


def test_a_package_is_not_loaded_and_not_even_a_file_is_made(
    tmp_path: Path, left: list[int]
) -> None:
    left[0] = 499_999_999
    sample = Path(__file__).parents[2] / "sample_rosters" / "tern-4-07"
    with pytest.raises(DiskNearlyFull):
        load_package(sample, f"sqlite:///{tmp_path.as_posix()}/day.db", SystemClock())
    assert list(tmp_path.iterdir()) == []
