"""Late lists, calls and irregularities: whoever changes what is kept of them is found."""

from __future__ import annotations

import sqlite3
from collections.abc import Iterator
from pathlib import Path

import pytest

from app.desk import irregularities, paper_lists, paper_people
from app.desk.irregularities import Written
from app.desk.outcomes import Refused
from app.desk.page_rows import PageRow, read_page_row
from app.desk.paper_taking_back import undo
from app.records import queries
from app.records.bodies import MarkRecorded, MarkWithdrawn
from app.records.bodies_lists import (
    IrregularitySettled,
    LateListFinished,
    LateListRowKeyed,
    LateListRowSettled,
    LateListRowUndone,
    LateListStarted,
    PhoneInRecorded,
)
from app.records.store import verify_database
from app.records.unit import Pending
from app.rules.late_list import ListKind
from app.rules.line import MarkKind
from tests.desk.listing_table import ACTOR, PEOPLE, Table

QUILL, IRON, SALT, THISTLE, UMBER = PEOPLE


def busy(table: Table) -> None:
    """A list with a contradiction and an open row, a paper list, a correction, a write-up."""
    table.sign(QUILL)
    content = table.content([QUILL, IRON]) + b"\n999,Nobody,Nemo,1980-01-01,9"
    list_id = table.bring(ListKind.MAIL_VOTED, "mail.csv", content)
    assert isinstance(list_id, str)
    table.apply(list_id)
    paper = table.write(
        lambda unit, token: paper_lists.start(unit, ACTOR, token, ListKind.REMOVALS, "envelope", 1)
    )
    assert not isinstance(paper, Refused)
    line_id = table.line_of[SALT]
    table.write(
        lambda unit, token: paper_lists.key_line(
            unit, ACTOR, token, paper.list_id, line_id, is_twice=False
        )
    )
    a_page(table)
    table.call(THISTLE, "correct_detail", "last_name=Featherquill")
    written = Written("other", "a dog in the hall")
    table.write(lambda unit, token: irregularities.write_up(unit, ACTOR, token, written))


def a_page(table: Table) -> None:
    """A supplemental page: one person added, one row that waits, one taken back."""
    page = table.write(
        lambda unit, token: paper_lists.start(
            unit, ACTOR, token, ListKind.SUPPLEMENTAL, "page 2", 3
        )
    )
    assert not isinstance(page, Refused)
    for number in ("200000001", "100000001", "200000003"):
        typed = PageRow(
            f"Oakapple{number[-1]}x{number[0]}",
            "3/4/1987",
            number,
            "Ada",
            street_address="8 Mill Road",
            ballot_button=1,
        )
        row = read_page_row(table.roster, typed)
        prepared = paper_people.prepare_person(table.roster, page.list_id, row)
        keyed = table.write(
            lambda unit, token, prepared=prepared: paper_people.key_person(  # type: ignore[misc]
                unit, ACTOR, token, prepared, is_twice=False
            )
        )
        assert not isinstance(keyed, Refused)
    table.write(lambda unit, token: undo(unit, ACTOR, token, page.list_id, 3, "a mistake"))


@pytest.fixture
def table() -> Iterator[Table]:
    made = Table()
    busy(made)
    yield made
    made.roster.store.close()
    made.folder.cleanup()


def path_of(table: Table) -> Path:
    return Path(table.folder.name) / "day.db"


def fault_after(table: Table, change: str) -> str | None:
    table.roster.store.close()
    with sqlite3.connect(path_of(table)) as connection:
        assert connection.execute(change).rowcount > 0
    connection.close()
    return verify_database(f"sqlite:///{path_of(table).as_posix()}").fault


def test_a_busy_day_of_lists_and_calls_holds(table: Table) -> None:
    found = verify_database(f"sqlite:///{path_of(table).as_posix()}")
    assert found.holds, found.fault


@pytest.mark.parametrize(
    "change",
    [
        "UPDATE late_list SET digest = '00' WHERE form = 'file'",
        "UPDATE late_list SET name = 'other.csv' WHERE form = 'file'",
        "UPDATE late_list SET kind = 'early_voted' WHERE form = 'file'",
        "UPDATE late_list SET status = 'draft' WHERE form = 'file'",
        "UPDATE late_list SET done_seq = NULL WHERE form = 'file'",
        "UPDATE late_list SET salt = '00' WHERE form = 'file'",
        "UPDATE late_list SET status = 'finished' WHERE form = 'paper'",
        "UPDATE late_list SET name = 'another' WHERE form = 'paper'",
        "UPDATE late_list SET kind = 'removals' WHERE kind = 'supplemental'",
        "UPDATE line SET first_name = 'Eve' WHERE last_name = 'Oakapple1x2'",
        "UPDATE personal SET details = replace(details, '1x1', '2x1') WHERE details LIKE '%1x1%'",
        "DELETE FROM line WHERE last_name = 'Oakapple3x2'",
        "UPDATE late_list_row SET result = NULL WHERE row LIKE '%Oakapple1x2%'",
        "UPDATE late_list_row SET row = replace(row, 'Nemo', 'Nora')",
        (
            "UPDATE late_list_row SET result = replace(result, '\"seq\": 5', '\"seq\": 6')"
            " WHERE result LIKE '%\"seq\": 5%'"
        ),
        "UPDATE late_list_row SET result = NULL WHERE result LIKE '%\"seq\": 5%'",
        "DELETE FROM late_list_row WHERE row LIKE '%Nemo%'",
        "DELETE FROM late_list WHERE form = 'paper'",
        "UPDATE corrected_line SET details = replace(details, 'Feather', 'Leather')",
        "DELETE FROM corrected_line",
        "INSERT INTO corrected_line SELECT line_id, '{}' FROM line WHERE last_name = 'Ironwood'",
        "UPDATE personal SET details = replace(details, 'dog', 'cat') WHERE details LIKE '%dog%'",
        (
            "UPDATE personal SET details = replace(details, 'Feather', 'Leather')"
            " WHERE details LIKE '%Feather%'"
        ),
        (
            "INSERT INTO late_list SELECT 99, 'x', 'y', kind, form, name, status, digest, salt,"
            " printed_total, corrects, about, brought_by, brought_at, started_seq, done_seq, reason"
            " FROM late_list WHERE form = 'file'"
        ),
    ],
)
def test_a_change_beside_the_log_is_found(table: Table, change: str) -> None:
    assert fault_after(table, change) is not None


@pytest.mark.parametrize(
    "body",
    [
        IrregularitySettled(irregularity_seq=1, how="x"),
        LateListRowKeyed(
            list_seq=1, row_number=1, effect="already", twice=False, details_sha256=None
        ),
        LateListRowUndone(list_seq=1, row_number=1, reason="x"),
        LateListRowSettled(list_seq=1, row_number=1, how="add", reason="", settled_by="LO"),
        LateListFinished(list_seq=1, count=0, printed_total=0, not_found=0, reason=""),
        PhoneInRecorded(
            caller="x",
            office="x",
            number_called_back="x",
            what="remove",
            effect="done",
            code_used=True,
            counter=None,
            read_back=True,
            details_sha256="0",
        ),
        MarkRecorded(mark=MarkKind.VOTED_EARLY, source="x", list_seq=1, row_number=1),
    ],
)
def test_an_entry_that_cannot_follow_is_named(table: Table, body: object) -> None:
    line_id = table.line_of[UMBER]
    entry = table.roster.store.writer.write(
        lambda unit: unit.append(ACTOR, "token-of-the-forged", body, line_id)  # type: ignore[arg-type]
    )
    found = verify_database(f"sqlite:///{path_of(table).as_posix()}")
    assert (found.holds, found.entry) == (False, entry.seq)


@pytest.mark.parametrize("number", [1, 3, 4])
def test_a_row_of_a_page_that_does_not_wait_cannot_be_settled(table: Table, number: int) -> None:
    started = table.roster.store.read(
        lambda connection: [
            entry.seq
            for entry in queries.entries_of(connection, LateListStarted.kind)
            if entry.body["list_kind"] == ListKind.SUPPLEMENTAL
        ]
    )
    body = LateListRowSettled(
        list_seq=started[0], row_number=number, how="refuse", reason="x", settled_by="LO"
    )
    write = table.roster.store.writer.write
    entry = write(lambda unit: unit.append(ACTOR, "token-of-the-forged", body))
    found = verify_database(f"sqlite:///{path_of(table).as_posix()}")
    assert (found.holds, found.entry) == (False, entry.seq)


def test_many_entries_at_once_are_the_same_as_one_by_one() -> None:
    one, other = Table(), Table()
    try:
        for made, at_once in ((one, True), (other, False)):
            mark = MarkRecorded(mark=MarkKind.VOTED_EARLY, source="a list")
            gone = MarkWithdrawn(mark=MarkKind.VOTED_EARLY, reason="not so")
            pending = [
                Pending(f"token-{n:010}", body, made.line_of[name])
                for n, (name, body) in enumerate(
                    [(QUILL, mark), (IRON, mark), (QUILL, gone), (QUILL, mark), (QUILL, mark)]
                )
            ]
            write = made.roster.store.writer.write
            if at_once:
                write(lambda unit, pending=pending: unit.append_all(ACTOR, pending))
                continue
            for each in pending:
                write(
                    lambda unit, each=each: unit.append(ACTOR, each.token, each.body, each.line_id)
                )
        for name in PEOPLE:
            same = [
                [(mark.kind, mark.source) for mark in made.state(name).marks]
                for made in (one, other)
            ]
            assert same[0] == same[1]
        assert one.head() == other.head()
    finally:
        one.close()
        other.close()
