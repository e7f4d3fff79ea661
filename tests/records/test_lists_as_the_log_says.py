"""Late lists of every sort: whoever changes what is kept of one is told which list it is."""

from __future__ import annotations

import sqlite3
from collections.abc import Iterator
from pathlib import Path

import pytest

from app.desk import late_applying, late_gone, late_lists, paper_lists, paper_people
from app.desk.late_judging import Decision
from app.desk.outcomes import Refused
from app.desk.page_rows import PageRow, read_page_row
from app.desk.paper_taking_back import undo
from app.records.engine import open_for_reading
from app.records.late_lists import all_lists
from app.records.store import verify_database
from app.rules.late_list import ListKind
from tests.desk.listing_table import ACTOR, Table
from tests.records.test_lists_beside_the_log import IRON, QUILL, SALT, THISTLE, UMBER, busy

NOBODY = b"\n999,Nobody,Nemo,1980-01-01,9\n998,Nobody,Nora,1980-01-01,9"

# The lists, by what tells their row in `late_list`.
FIRST = "name = 'mail.csv' AND corrects IS NULL"
CORRECTED = "corrects IS NOT NULL"
PAGE, FINISHED, REMOVALS = "name = 'page 2'", "name = 'early'", "name = 'envelope'"
SETTLED_PAGE, EMPTY = "name = 'page 3'", "name = 'nothing'"


def of(which: str) -> str:
    return f"list_id = (SELECT list_id FROM late_list WHERE {which})"


def full(table: Table) -> None:
    """What `busy` does, and a corrected list, lists finished and dropped, rows settled, a draft."""
    busy(table)
    _corrected(table)
    _finished(table)
    _settled_page(table)
    empty = _started(table, ListKind.REMOVALS, "nothing", 2)
    table.write(lambda unit, _token: late_lists.drop(unit, empty, "the wrong envelope"))
    table.bring(ListKind.EARLY_VOTED, "draft.csv", table.content([UMBER]) + NOBODY)


def _corrected(table: Table) -> None:
    """The first list again without two of its people, one of whom is decided; a row is settled."""
    list_id = table.bring(ListKind.MAIL_VOTED, "mail.csv", table.content([UMBER]) + NOBODY)
    assert isinstance(list_id, str)
    table.apply(list_id)
    prepared = late_applying.prepare_to_apply(table.roster, list_id)
    decision = Decision("refuse", "LO", reason="on no line")
    table.write(
        lambda unit, token: late_applying.settle_row(unit, ACTOR, token, prepared, 3, decision)
    )
    iron = table.line_of[IRON]
    table.write(
        lambda unit, token: late_gone.settle_gone(
            unit, ACTOR, token, list_id, iron, "not on the list any more", is_withdrawn=True
        )
    )


def _finished(table: Table) -> None:
    """One line, one person on no line, and why they are not as many as printed."""
    list_id = _started(table, ListKind.EARLY_VOTED, "early", 3)
    _key(table, list_id, THISTLE)
    table.write(
        lambda unit, token: paper_lists.key_not_found(unit, ACTOR, token, list_id, "777", "Nobody")
    )
    table.write(
        lambda unit, token: paper_lists.finish(
            unit, ACTOR, token, list_id, "a line is torn off", is_lead=True
        )
    )


def _settled_page(table: Table) -> None:
    """A row that waited and was settled, then taken back; one that was settled and stands."""
    list_id = _started(table, ListKind.SUPPLEMENTAL, "page 3", 2)
    for name in ("Oakapple3x7", "Oakapple4x8"):
        _key_person(table, list_id, name)
    for number in (1, 2):
        prepared = paper_people.prepare_settling(table.roster, list_id, number)
        decision = Decision("refuse", "LO", reason="the number is taken")
        done = table.write(
            lambda unit, token, p=prepared, d=decision: paper_people.settle(  # type: ignore[misc]
                unit, ACTOR, token, p, d
            )
        )
        assert not isinstance(done, Refused)
    table.write(lambda unit, token: undo(unit, ACTOR, token, list_id, 1, "a mistake"))


def _started(table: Table, kind: ListKind, name: str, total: int) -> str:
    kept = table.write(lambda unit, token: paper_lists.start(unit, ACTOR, token, kind, name, total))
    assert not isinstance(kept, Refused)
    return kept.list_id


def _key(table: Table, list_id: str, name: str) -> None:
    line_id = table.line_of[name]
    keyed = table.write(
        lambda unit, token: paper_lists.key_line(
            unit, ACTOR, token, list_id, line_id, is_twice=False
        )
    )
    assert not isinstance(keyed, Refused)


def _key_person(table: Table, list_id: str, name: str) -> None:
    number = f"10000000{name[8]}"
    typed = PageRow(name, "3/4/1987", number, "Ada", street_address="8 Mill Road", ballot_button=1)
    row = read_page_row(table.roster, typed)
    prepared = paper_people.prepare_person(table.roster, list_id, row)
    keyed = table.write(
        lambda unit, token: paper_people.key_person(unit, ACTOR, token, prepared, is_twice=False)
    )
    assert not isinstance(keyed, Refused)


@pytest.fixture(scope="module")
def untouched() -> Iterator[Path]:
    """A closed record, to be copied."""
    table = Table()
    full(table)
    table.roster.store.close()
    yield Path(table.folder.name) / "day.db"
    table.folder.cleanup()


@pytest.fixture
def record(untouched: Path, tmp_path: Path) -> Path:
    copied = tmp_path / "day.db"
    copied.write_bytes(untouched.read_bytes())
    return copied


def fault_after(record: Path, change: str) -> str | None:
    with sqlite3.connect(record) as connection:
        assert connection.execute(change).rowcount > 0
    connection.close()
    return verify_database(f"sqlite:///{record.as_posix()}").fault


def seq_of(record: Path, which: str) -> int:
    with sqlite3.connect(record) as connection:
        asked = f"SELECT coalesce(started_seq, done_seq) FROM late_list WHERE {which}"
        ((seq,),) = connection.execute(asked).fetchall()
    connection.close()
    return int(seq)


def test_lists_of_every_sort_hold(record: Path) -> None:
    found = verify_database(f"sqlite:///{record.as_posix()}")
    assert found.holds, found.fault


def test_a_line_corrected_before_and_after_it_was_keyed_holds() -> None:
    table = Table()
    list_id = _started(table, ListKind.REMOVALS, "corrected", 2)
    table.call(SALT, "correct_detail", "last_name=Saltmarshes")
    _key(table, list_id, SALT)
    _key(table, list_id, QUILL)
    table.call(SALT, "correct_detail", "last_name=Saltings")
    table.call(QUILL, "correct_detail", "last_name=Quill")
    table.close()


OPEN_AS_DONE = (
    "UPDATE late_list_row SET result ="
    ' \'{"line_id":null,"proposal":{"effect":"refuse"},"seq":null}\''
)


@pytest.mark.parametrize(
    ("which", "change"),
    [
        # Lists from a file: rows
        (FIRST, f"{OPEN_AS_DONE} WHERE result IS NULL AND {of(FIRST)}"),
        (CORRECTED, f"{OPEN_AS_DONE} WHERE result IS NULL AND {of(CORRECTED)}"),
        (CORRECTED, f"UPDATE late_list_row SET result = NULL WHERE {of(CORRECTED)}"),
        (
            CORRECTED,
            (
                "UPDATE late_list_row SET decision = NULL"
                f" WHERE decision IS NOT NULL AND {of(CORRECTED)}"
            ),
        ),
        (
            CORRECTED,
            (
                "UPDATE late_list_row SET decision = replace(decision, 'LO', 'RM')"
                f" WHERE decision IS NOT NULL AND {of(CORRECTED)}"
            ),
        ),
        (
            FIRST,
            (
                "UPDATE late_list_row SET decision ="
                ' \'{"how":"refuse","initials":"LO","line_id":null,"reason":"x"}\''
                f" WHERE result IS NULL AND {of(FIRST)}"
            ),
        ),
        (
            FIRST,
            (
                'UPDATE late_list_row SET result = replace(result, \'"effect": "mark"\','
                f' \'"effect": "already"\') WHERE row_number = 3 AND {of(FIRST)}'
            ),
        ),
        (
            FIRST,
            (
                'UPDATE late_list_row SET result = replace(result, \'"line_id": "\','
                f' \'"line_id": "0\') WHERE row_number = 3 AND {of(FIRST)}'
            ),
        ),
        (FIRST, f"UPDATE late_list_row SET row_number = 9 WHERE row_number = 4 AND {of(FIRST)}"),
        # Lists from a file: the list
        (FIRST, f"UPDATE late_list SET reason = 'because' WHERE {FIRST}"),
        (FIRST, f"UPDATE late_list SET printed_total = 3 WHERE {FIRST}"),
        (FIRST, f"UPDATE late_list SET started_seq = 2 WHERE {FIRST}"),
        (FIRST, f"UPDATE late_list SET form = 'paper' WHERE {FIRST}"),
        (CORRECTED, f"UPDATE late_list SET corrects = NULL WHERE {CORRECTED}"),
        # Lines that a corrected list lacks
        (CORRECTED, "DELETE FROM late_list_gone WHERE decision IS NOT NULL"),
        (CORRECTED, "UPDATE late_list_gone SET decision = NULL WHERE decision IS NOT NULL"),
        (
            CORRECTED,
            (
                'UPDATE late_list_gone SET decision = \'{"withdraw":false,"reason":"x",'
                '"initials":"LO"}\' WHERE decision IS NULL'
            ),
        ),
        (
            CORRECTED,
            (
                "UPDATE late_list_gone SET decision = replace(decision, 'true', 'false')"
                " WHERE decision IS NOT NULL"
            ),
        ),
        (CORRECTED, "UPDATE late_list_gone SET undo_seq = 3 WHERE decision IS NULL"),
        (CORRECTED, "UPDATE late_list_gone SET row_number = 9 WHERE decision IS NULL"),
        (
            CORRECTED,
            (
                "INSERT INTO late_list_gone SELECT list_id, (SELECT line_id FROM line WHERE"
                f" last_name = 'Umberfield'), 2, 5, NULL FROM late_list WHERE {CORRECTED}"
            ),
        ),
        (
            FIRST,
            (
                "INSERT INTO late_list_gone SELECT list_id, (SELECT line_id FROM line WHERE"
                f" last_name = 'Umberfield'), 2, 5, NULL FROM late_list WHERE {FIRST}"
            ),
        ),
        # Lists on paper: rows
        (PAGE, f"DELETE FROM late_list_row WHERE row_number = 2 AND {of(PAGE)}"),
        (REMOVALS, f"DELETE FROM late_list_row WHERE {of(REMOVALS)}"),
        (
            PAGE,
            (
                "UPDATE late_list_row SET decision ="
                ' \'{"how":"undone","initials":"LO","line_id":null,"reason":"x"}\''
                f" WHERE row_number = 1 AND {of(PAGE)}"
            ),
        ),
        (PAGE, f"UPDATE late_list_row SET decision = NULL WHERE row_number = 3 AND {of(PAGE)}"),
        (
            PAGE,
            (
                "UPDATE late_list_row SET decision ="
                ' \'{"how":"refuse","initials":"LO","line_id":null,"reason":"x"}\''
                f" WHERE row_number = 2 AND {of(PAGE)}"
            ),
        ),
        (
            PAGE,
            (
                "UPDATE late_list_row SET result = replace(result, 'settle', 'already')"
                f" WHERE row_number = 2 AND {of(PAGE)}"
            ),
        ),
        (
            PAGE,
            f"UPDATE late_list_row SET row = replace(row, 'Oakapple', 'Smith') WHERE {of(PAGE)}",
        ),
        (
            SETTLED_PAGE,
            (
                "UPDATE late_list_row SET decision = replace(decision, 'taken', 'free')"
                f" WHERE row_number = 2 AND {of(SETTLED_PAGE)}"
            ),
        ),
        (
            SETTLED_PAGE,
            (
                "UPDATE late_list_row SET decision = replace(decision, 'mistake', 'joke')"
                f" WHERE row_number = 1 AND {of(SETTLED_PAGE)}"
            ),
        ),
        (
            FINISHED,
            f"UPDATE late_list_row SET row = replace(row, '777', '778') WHERE {of(FINISHED)}",
        ),
        (
            FINISHED,
            (
                "UPDATE late_list_row SET row = replace(row, 'Featherquill', 'Umberfield')"
                f" WHERE {of(FINISHED)}"
            ),
        ),
        (
            FINISHED,
            (
                "UPDATE late_list_row SET row = replace(row, '\"LO\"', '\"RM\"')"
                f" WHERE row_number = 2 AND {of(FINISHED)}"
            ),
        ),
        (
            FINISHED,
            (
                f"INSERT INTO late_list_row SELECT list_id, 3, row, decision, result"
                f" FROM late_list_row WHERE row_number = 2 AND {of(FINISHED)}"
            ),
        ),
        # Lists on paper: the list
        (FINISHED, f"UPDATE late_list SET printed_total = 2 WHERE {FINISHED}"),
        (FINISHED, f"UPDATE late_list SET reason = '' WHERE {FINISHED}"),
        (FINISHED, f"UPDATE late_list SET status = 'dropped' WHERE {FINISHED}"),
        (REMOVALS, f"UPDATE late_list SET status = 'dropped' WHERE {REMOVALS}"),
        (REMOVALS, f"UPDATE late_list SET status = 'draft' WHERE {REMOVALS}"),
        (REMOVALS, f"UPDATE late_list SET brought_by = 'RM' WHERE {REMOVALS}"),
        (REMOVALS, f"UPDATE late_list SET corrects = list_id WHERE {REMOVALS}"),
        (REMOVALS, f"UPDATE late_list SET reason = 'because' WHERE {REMOVALS}"),
        (EMPTY, f"UPDATE late_list SET printed_total = 1 WHERE {EMPTY}"),
    ],
)
def test_a_change_of_a_list_names_it(record: Path, which: str, change: str) -> None:
    seq = seq_of(record, which)
    assert f"the list of entry {seq} " in f"{fault_after(record, change)} "


def test_a_row_that_lost_what_it_did_is_named(record: Path) -> None:
    fault = fault_after(
        record, f"UPDATE late_list_row SET result = NULL WHERE row_number = 3 AND {of(FIRST)}"
    )
    assert str(fault).startswith("row 3 of the list of entry ")


@pytest.mark.parametrize(
    ("which", "change"),
    [
        (FIRST, f"UPDATE late_list SET kind = 'nonsense' WHERE {FIRST}"),
        (FIRST, f"UPDATE late_list SET about = '{{' WHERE {FIRST}"),
        (FIRST, f"UPDATE late_list_row SET result = 'x' WHERE {of(FIRST)}"),
        (FIRST, f"UPDATE late_list_row SET result = '{{}}' WHERE {of(FIRST)}"),
        (FIRST, f"UPDATE late_list_row SET decision = '3' WHERE {of(FIRST)}"),
        (PAGE, f"UPDATE late_list_row SET row = '[' WHERE {of(PAGE)}"),
        (PAGE, f"UPDATE late_list_row SET row = x'ff00' WHERE {of(PAGE)}"),
        (PAGE, f"UPDATE late_list_row SET result = '[[]]' WHERE {of(PAGE)}"),
        (CORRECTED, "UPDATE late_list_gone SET decision = 'null'"),
        (FIRST, f"UPDATE late_list_row SET row = x'ff00' WHERE {of(FIRST)}"),
    ],
)
def test_what_cannot_be_read_of_a_list_names_it(record: Path, which: str, change: str) -> None:
    seq = seq_of(record, which)
    fault = fault_after(record, change)
    assert f"the list of entry {seq} " in str(fault)
    assert "cannot be read" in str(fault)


@pytest.mark.parametrize(
    "change",
    [
        "UPDATE late_list SET done_seq = 4 WHERE status = 'draft'",
        (
            f"{OPEN_AS_DONE} WHERE list_id = (SELECT list_id FROM late_list WHERE status = 'draft')"
            " AND row_number = 2"
        ),
        (
            "INSERT INTO late_list_gone SELECT list_id, (SELECT min(line_id) FROM line), 2, 5, NULL"
            " FROM late_list WHERE status = 'draft'"
        ),
        "UPDATE late_list SET kind = 'nonsense' WHERE status = 'draft'",
    ],
)
def test_a_draft_that_did_something_is_named(record: Path, change: str) -> None:
    with sqlite3.connect(record) as connection:
        asked = "SELECT list_id FROM late_list WHERE status = 'draft'"
        ((list_id,),) = connection.execute(asked).fetchall()
    connection.close()
    assert f"the list {list_id} " in str(fault_after(record, change))


@pytest.mark.parametrize(
    "change",
    [
        "INSERT INTO late_list_row VALUES ('nowhere', 1, '{}', NULL, NULL)",
        "INSERT INTO late_list_gone VALUES ('nowhere', 'x', 1, 2, NULL)",
        "DELETE FROM late_list WHERE status = 'draft'",
    ],
)
def test_rows_of_no_list_are_found(record: Path, change: str) -> None:
    assert "and no such list" in str(fault_after(record, change))


def test_every_sort_of_list_is_there(untouched: Path) -> None:
    """The changes above are only worth something where there is what they change."""
    engine = open_for_reading(f"sqlite:///{untouched.as_posix()}")
    with engine.connect() as connection:
        statuses = {one.status for one in all_lists(connection)}
    engine.dispose()
    assert statuses == {"applied", "keying", "finished", "dropped", "draft"}
