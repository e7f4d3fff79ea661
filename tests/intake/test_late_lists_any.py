"""Whatever a late list looks like: rows in are rows out, or the file is refused with a reason."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date, timedelta
from typing import Any, NamedTuple

from hypothesis import example, given, settings
from hypothesis import strategies as st

from app.intake.fault_codes import Code
from app.intake.faults import Faults
from app.intake.late_lists import LateRows, read_late_list
from app.intake.late_rows import LateRow
from app.rules.late_list import ListKind
from tests.intake.late_listing import FACTS, MAIL, as_text, read, workbook

KINDS = st.sampled_from(ListKind)
HEADINGS_OF = {
    "voter_number": ["Voter number", "VOTER ID", "Reg. No."],
    "last_name": ["Last name", "Surname"],
    "first_name": ["First Name", "Given name"],
    "birth_date": ["DOB", "Date of birth", "birth_date"],
    "initials": ["Initials"],
    None: ["Mailed on", "Batch"],
}
NAMES = st.sampled_from(
    ["Pell", "O'Malley", "Muñiz", "de la Cruz", "Quill-Feather", "Abbott", "Renée", "Ana María"]
)
ENCODINGS = st.sampled_from(["utf-8", "utf-8-sig", "utf-16", "cp1252"])
SEPARATORS = st.sampled_from([",", ";", "\t", "|"])
# What a cell may hold that means something to one reader or another.
ODD = st.sampled_from(
    [
        "",
        "=1+1",
        "#REF!",
        "2/29/1981",
        "25/3/1987",
        "31840",
        "x" * 3_000,
        "\u202e",
        "a,b",
        '"',
        "\n",
    ]
)


class Person(NamedTuple):
    voter_number: str
    last_name: str
    first_name: str
    birth_date: date


PEOPLE = st.builds(
    Person,
    st.integers(1, 999_999).map(lambda number: f"TC-{number:06}"),
    NAMES,
    NAMES,
    st.integers(0, 25_000).map(lambda days: date(1930, 1, 1) + timedelta(days=days)),
)


def written(day: date, form: int) -> str:
    return (
        day.isoformat(),
        f"{day.month}/{day.day}/{day.year}",
        f"{day:%m-%d-%Y}",
        f"{day:%Y%m%d}",
        f"{day.day} {day:%b} {day.year}",
    )[form]


@st.composite
def layouts(draw: st.DrawFn) -> tuple[list[str | None], list[str]]:
    """Columns in any order, with a heading for each."""
    columns = list(draw(st.permutations([each for each in HEADINGS_OF if each != "initials"])))
    return columns, [draw(st.sampled_from(HEADINGS_OF[column])) for column in columns]


def cells(person: Person, columns: Sequence[str | None], form: int) -> list[str]:
    texts = {
        "voter_number": person.voter_number,
        "last_name": person.last_name,
        "first_name": person.first_name,
        "birth_date": written(person.birth_date, form),
        None: "2027-02-11",
    }
    return [texts[column] for column in columns]


def as_person(row: LateRow) -> Person:
    assert row.birth_date is not None
    return Person(row.voter_number, row.last_name, row.first_name, row.birth_date)


def checked(answer: LateRows | Faults) -> LateRows | Faults:
    """What holds for every answer to any file."""
    if isinstance(answer, Faults):
        assert answer.faults
        faults = answer.faults
    else:
        numbers = [row.row_number for row in answer.rows]
        assert numbers == sorted(set(numbers))
        faults = tuple(fault for row in answer.rows for fault in row.faults)
        assert all(fault.row == row.row_number for row in answer.rows for fault in row.faults)
        for row in answer.rows:
            is_named = row.voter_number or row.last_name
            assert is_named or row.faults, "a row that says nothing and has no fault"
            repr(row).encode()
    for fault in faults:
        assert str(fault).isprintable()
        str(fault).encode()
    return answer


@given(
    st.lists(PEOPLE, max_size=12),
    layouts(),
    SEPARATORS,
    ENCODINGS,
    st.integers(0, 4),
    st.booleans(),
)
def test_any_order_of_columns_any_separator_any_encoding_gives_the_same_people(
    people: list[Person],
    layout: tuple[list[str | None], list[str]],
    separator: str,
    encoding: str,
    form: int,
    with_title: bool,
) -> None:
    columns, headings = layout
    title = [["Tern County"]] if with_title else []
    rows = [*title, headings, *(cells(person, columns, form) for person in people)]
    late = read(as_text(rows, separator).encode(encoding))
    checked(late)
    assert [as_person(row) for row in late.rows] == people
    assert all(not row.problems for row in late.rows)


@given(st.lists(PEOPLE, min_size=1, max_size=8), st.integers(1, 4))
def test_rows_that_stand_there_twice_are_all_rows(people: list[Person], times: int) -> None:
    columns = ["voter_number", "last_name", "first_name", "birth_date"]
    rows = [cells(person, columns, 0) for person in people for _ in range(times)]
    headings = ["Voter ID", "Surname", "Given name", "DOB"]
    late = read(as_text([headings, *rows]).encode())
    assert [as_person(row) for row in late.rows] == [each for each in people for _ in range(times)]


@given(st.lists(PEOPLE, min_size=1, max_size=8), layouts(), st.data())
@settings(max_examples=200)
def test_an_odd_cell_is_a_fault_of_its_row_and_of_no_other(
    people: list[Person], layout: tuple[list[str | None], list[str]], data: st.DataObject
) -> None:
    columns, headings = layout
    rows = [cells(person, columns, 0) for person in people]
    place = data.draw(st.integers(0, len(rows) - 1), label="row")
    rows[place][data.draw(st.integers(0, len(columns) - 1), label="column")] = data.draw(ODD)
    late = read(as_text([headings, *rows]).encode())
    checked(late)
    assert len(late.rows) == len(people)
    for at, (row, person) in enumerate(zip(late.rows, people, strict=True)):
        if at != place:
            assert as_person(row) == person
            assert row.problems == ()


@given(st.lists(PEOPLE, min_size=1, max_size=8), layouts(), SEPARATORS, ENCODINGS, st.data())
@settings(max_examples=200)
def test_half_a_file_is_the_rows_before_the_cut_and_one_that_was_cut(
    people: list[Person],
    layout: tuple[list[str | None], list[str]],
    separator: str,
    encoding: str,
    data: st.DataObject,
) -> None:
    columns, headings = layout
    rows = [cells(person, columns, 0) for person in people]
    whole = as_text([headings, *rows], separator).encode(encoding)
    cut = whole[: data.draw(st.integers(0, len(whole)), label="cut")]
    answer = checked(read_late_list("late.csv", cut, MAIL, FACTS))
    if isinstance(answer, Faults):
        (fault,) = answer.faults
        # Cut before there was a heading row.
        assert fault.code in (Code.FILE_EMPTY, Code.NO_HEADING_ROW)
        return
    # The reference is slow and sure: the lines that are left, counted.
    text = cut.decode(encoding, errors="ignore")
    lines = [line for line in text.replace("\r", "\n").split("\n")[1:] if line.strip()]
    assert len(answer.rows) in (len(lines), len(lines) + 1)
    if set(answer.columns) == {column for column in columns if column}:
        before = answer.rows[:-1]
        assert [as_person(row) for row in before] == people[: len(before)]


@given(st.lists(PEOPLE, min_size=1, max_size=6), layouts(), st.data())
@settings(max_examples=40)
def test_workbooks_keep_every_row_with_formulas_and_dates_in_any_cell(
    people: list[Person], layout: tuple[list[str | None], list[str]], data: st.DataObject
) -> None:
    columns, headings = layout
    rows: list[list[Any]] = [list(cells(person, columns, 0)) for person in people]
    place = data.draw(st.integers(0, len(rows) - 1), label="row")
    column = data.draw(st.integers(0, len(columns) - 1), label="column")
    rows[place][column] = data.draw(
        st.sampled_from(["=1+1", 417, 4.17, True, date(1980, 2, 29), "#REF!", None, "x"])
    )
    late = read(workbook(headings, *rows))
    checked(late)
    assert len(late.rows) == len(people)
    for at, (row, person) in enumerate(zip(late.rows, people, strict=True)):
        if at != place:
            assert as_person(row) == person


@given(st.binary(max_size=600), KINDS)
@example(b'"', ListKind.MAIL_VOTED)
@example(b"sep=", ListKind.MAIL_VOTED)
@example(b"sep=\r\r\n", ListKind.REMOVALS)
@example(b'sep="\nVoter ID,x', ListKind.REMOVALS)
@example(b"PK", ListKind.SUPPLEMENTAL)
@example(b"\xff\xfe\x00", ListKind.MAIL_VOTED)
def test_any_bytes_are_rows_or_faults(content: bytes, kind: ListKind) -> None:
    checked(read_late_list("late.csv", content, kind, FACTS))


@given(st.binary(max_size=300), KINDS, ENCODINGS)
def test_any_bytes_under_right_headings_are_rows_or_faults(
    content: bytes, kind: ListKind, encoding: str
) -> None:
    headings = "Voter ID,Surname,Given name,DOB,Address,Button\n".encode(encoding)
    checked(read_late_list("late.csv", headings + content, kind, FACTS))


@given(st.lists(st.lists(st.text(max_size=12), min_size=1, max_size=8), max_size=6), KINDS)
def test_any_texts_as_cells_are_as_many_rows(rows: list[list[str]], kind: ListKind) -> None:
    headings = ["Voter ID", "Surname", "Given name", "DOB", "Address", "Button"]
    content = as_text([headings, *rows]).encode("utf-8", "surrogatepass")
    answer = checked(read_late_list("late.csv", content, kind, FACTS))
    if isinstance(answer, LateRows):
        filled = [row for row in rows if any(cell.strip() for cell in row)]
        # A cell that holds whole rows, and a mark at its end, make more rows of one: never fewer.
        assert len(answer.rows) >= len(filled)


@given(st.data())
@settings(max_examples=60)
def test_a_workbook_with_bytes_changed_anywhere_is_rows_or_faults(data: st.DataObject) -> None:
    content = bytearray(WORKBOOK)
    for _ in range(data.draw(st.integers(1, 3))):
        content[data.draw(st.integers(0, len(content) - 1))] = data.draw(st.integers(0, 255))
    answer = checked(read_late_list("late.xlsx", bytes(content), MAIL, FACTS))
    if isinstance(answer, LateRows) and answer.encoding == "workbook":
        assert len(answer.rows) == 1


WORKBOOK = workbook(["Voter ID", "Surname"], ["1001", "Pell"])
