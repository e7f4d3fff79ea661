"""Late lists, calls and irregularities: whoever changes what is kept of them is found."""

from __future__ import annotations

import sqlite3
from collections.abc import Iterator
from pathlib import Path

import pytest

from app.desk import irregularities, paper_lists
from app.desk.irregularities import Written
from app.desk.outcomes import Refused
from app.records.bodies import MarkRecorded, MarkWithdrawn
from app.records.bodies_lists import (
    IrregularitySettled,
    LateListFinished,
    LateListRowKeyed,
    LateListRowUndone,
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
    table.call(THISTLE, "correct_detail", "last_name=Featherquill")
    written = Written("other", "a dog in the hall")
    table.write(lambda unit, token: irregularities.write_up(unit, ACTOR, token, written))


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
