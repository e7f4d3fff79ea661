"""A list whose application fails half-way: nobody hears yes or no, and it is all or nothing."""

from __future__ import annotations

from collections.abc import Iterator

import pytest

from app.desk import late_applying, late_views
from app.desk.outcomes import Refused
from app.records import queries
from app.records.unit import Unit
from app.records.verify import verify
from app.rules.faults import OutcomeUnknown
from app.rules.late_list import ListKind
from tests.desk.listing_table import ACTOR, PEOPLE, Table, a_table

TOKEN = "token-of-the-interrupted-list"


@pytest.fixture
def table() -> Iterator[Table]:
    with a_table() as made:
        yield made


def brought(table: Table, times: int = 1) -> str:
    """A list that names everybody, `times` over."""
    list_id = table.bring(ListKind.MAIL_VOTED, "mail.csv", table.content(PEOPLE * times))
    assert isinstance(list_id, str)
    return list_id


def apply(table: Table, list_id: str) -> late_applying.Applied | Refused:
    prepared = late_applying.prepare_to_apply(table.roster, list_id)
    return table.roster.store.writer.write(
        lambda unit: late_applying.apply(unit, ACTOR, TOKEN, prepared)
    )


def assert_nothing_was_done(table: Table, list_id: str, head: int) -> None:
    assert table.head() == head
    assert not any(table.state(name).marks for name in PEOPLE)
    assert late_views.read_list(table.roster, list_id).kept.status == "draft"
    assert table.roster.store.read(verify).holds


def assert_all_is_done_when_asked_again(table: Table, list_id: str, head: int) -> None:
    done = apply(table, list_id)
    assert not isinstance(done, Refused)
    assert done.tally.applied == len(PEOPLE)
    assert table.head() == head + 1 + len(PEOPLE)
    assert apply(table, list_id) == done
    assert all(len(table.state(name).marks) == 1 for name in PEOPLE)


def test_a_disk_that_is_full_in_the_middle_leaves_nothing_and_the_key_settles_it(
    table: Table,
) -> None:
    # Hundreds of rows, so that applying them needs more room than a page half empty.
    list_id, head = brought(table, times=80), table.head()

    def leave_no_room(unit: Unit) -> None:
        pages = unit.connection.exec_driver_sql("PRAGMA page_count").scalar_one()
        unit.connection.exec_driver_sql(f"PRAGMA max_page_count={pages}")

    table.roster.store.writer.write(leave_no_room)
    with pytest.raises(OutcomeUnknown):
        apply(table, list_id)
    assert_nothing_was_done(table, list_id, head)
    assert_all_is_done_when_asked_again(table, list_id, head)


@pytest.mark.parametrize("step", ["append_all", "_fold_all"])
def test_a_fault_at_any_step_of_the_work_leaves_nothing(
    table: Table, monkeypatch: pytest.MonkeyPatch, step: str
) -> None:
    list_id, head = brought(table), table.head()
    real = getattr(Unit, step)

    def failing(*given: object, **named: object) -> object:
        real(*given, **named)
        raise RuntimeError("struck down")

    with monkeypatch.context() as patched:
        patched.setattr(Unit, step, failing)
        with pytest.raises(RuntimeError, match="struck down"):
            apply(table, list_id)
    assert_nothing_was_done(table, list_id, head)
    assert_all_is_done_when_asked_again(table, list_id, head)


def test_a_commit_that_fails_is_neither_yes_nor_no_and_the_key_settles_it(
    table: Table, monkeypatch: pytest.MonkeyPatch
) -> None:
    from sqlalchemy.exc import OperationalError

    from app.records import writer

    list_id, head = brought(table), table.head()
    real = writer.Writer._commit

    def strikes_after_the_commit(self: writer.Writer, group: object) -> object:
        real(self, group)  # type: ignore[arg-type]
        raise OperationalError("COMMIT", {}, OSError("disk I/O error"))

    with monkeypatch.context() as patched:
        patched.setattr(writer.Writer, "_commit", strikes_after_the_commit)
        with pytest.raises(OutcomeUnknown):
            apply(table, list_id)
    assert_all_is_done_when_asked_again(table, list_id, head)


def test_a_list_prepared_before_somebody_signed_is_judged_again(table: Table) -> None:
    list_id = brought(table)
    prepared = late_applying.prepare_to_apply(table.roster, list_id)
    assert table.sign(PEOPLE[0])
    done = table.roster.store.writer.write(
        lambda unit: late_applying.apply(unit, ACTOR, TOKEN, prepared)
    )
    assert not isinstance(done, Refused)
    assert done.irregularities == 1
    assert (
        table.roster.store.read(
            lambda connection: queries.kind_count(connection, "irregularity.recorded")
        )
        == 1
    )
