"""A register that is exported and put into a package again gives the same lines."""

from __future__ import annotations

import datetime
import tempfile
from pathlib import Path
from typing import Any

from hypothesis import example, given, settings
from hypothesis import strategies as st

from app.intake.faults import Faults
from app.intake.package import Package, read_package
from app.intake.register import PACKAGE_COLUMNS
from app.papers.exports.register_rows import (
    LineOut,
    Standing,
    register_csv,
    voted_csv,
)
from app.rules.line import Line, MarkKind, Part, PrintedLine, PrintedMark, as_shown
from app.rules.register_columns import REGISTER_COLUMNS, STANDING_COLUMNS
from tests.intake.packing import ELECTION_TOML
from tests.making import printed

# Letters and signs of names and of formulas; no letters that intake refuses.
_SIGNS = "abcdeXYZáéñüß '=+-@,\"().;/0123"
TEXT = st.text(_SIGNS, max_size=12).map(lambda text: " ".join(text.split()))
NAME = TEXT.filter(lambda text: any(letter.isalpha() for letter in text))
MARK = st.sampled_from(
    [
        (),
        (PrintedMark(MarkKind.VOTED_EARLY, "register.csv", "GS"),),
        (PrintedMark(MarkKind.VOTED_BY_MAIL, "mail-voted.csv", "GS"),),
        (PrintedMark(MarkKind.VOTED_EARLY, "early-voted.csv"),),
        (
            PrintedMark(MarkKind.VOTED_EARLY, "register.csv", "GS"),
            PrintedMark(MarkKind.VOTED_BY_MAIL, "mail-voted.csv"),
        ),
    ]
)
COLUMNS = st.fixed_dictionaries(
    {
        "last_name": NAME,
        "first_name": NAME | st.just(""),
        "middle_name": NAME | st.just(""),
        "suffix": st.sampled_from(["", "Jr", "III"]),
        "birth_date": st.dates(datetime.date(1901, 1, 1), datetime.date(2008, 1, 1)),
        "mothers_maiden_name": TEXT,
        "street_address": TEXT,
        "city": TEXT,
        "postal_code": TEXT,
        "party": TEXT,
        "ballot_button": st.sampled_from([1, 2]),
        "assistance": st.booleans(),
        "address_confirmation": st.booleans(),
        "inactive": st.booleans(),
        "first_time_by_mail": st.booleans(),
        "address_protected": st.booleans(),
        "marks": MARK,
    }
)
STANDINGS = st.sampled_from(
    [
        Standing("open"),
        Standing("signed", signed_how="drawn", signed_at="2027-03-02T09:00:00-05:00"),
    ]
)


def out(line: PrintedLine, standing: Standing) -> LineOut:
    return LineOut(as_shown(Line("", line)).printed, line.marks, standing)


def packed(lines: list[LineOut]) -> dict[str, bytes]:
    register = [line for line in lines if line.printed.part is Part.REGISTER]
    supplemental = [line for line in lines if line.printed.part is Part.SUPPLEMENTAL]
    return {
        "election.toml": ELECTION_TOML.encode(),
        "register.csv": register_csv(register),
        "supplemental.csv": register_csv(supplemental),
        "mail-voted.csv": voted_csv(lines, MarkKind.VOTED_BY_MAIL),
        "early-voted.csv": voted_csv(lines, MarkKind.VOTED_EARLY),
    }


def read(files: dict[str, bytes]) -> Package | Faults:
    with tempfile.TemporaryDirectory() as folder:
        for name, data in files.items():
            (Path(folder) / name).write_bytes(data)
        return read_package(Path(folder))


@settings(max_examples=150, deadline=None)
@given(st.lists(st.tuples(COLUMNS, STANDINGS), min_size=1, max_size=6), st.integers(0, 2))
@example([({"last_name": "=HYPERLINK(1)", "street_address": "-4 Elm"}, Standing("open"))], 0)
@example([({"last_name": "'=x", "first_name": "''-y"}, Standing("open"))], 0)
def test_export_then_import_gives_the_same_lines(
    people: list[tuple[dict[str, Any], Standing]], added: int
) -> None:
    lines = []
    for number, (columns, standing) in enumerate(people):
        is_added = 0 < number <= added and not columns.get("marks")
        part = Part.SUPPLEMENTAL if is_added else Part.REGISTER
        lines.append(out(printed(number, **{**columns, "part": part}), standing))
    found = read(packed(lines))
    assert isinstance(found, Package), found
    in_order = sorted(lines, key=lambda line: line.printed.part is Part.SUPPLEMENTAL)
    assert found.lines == tuple(line.printed for line in in_order)


def test_a_protected_address_is_in_no_exported_register() -> None:
    secret = printed(1, street_address="9 Hidden Weir", city="Nowhere", address_protected=True)
    for data in packed([out(secret, Standing("open"))]).values():
        assert b"Hidden Weir" not in data
        assert b"Nowhere" not in data


def test_the_columns_are_those_of_a_package_and_what_stands_on_the_line_is_passed_over() -> None:
    assert set(REGISTER_COLUMNS) == set(PACKAGE_COLUMNS.known) - {"election_id"}
    assert set(STANDING_COLUMNS) == PACKAGE_COLUMNS.passed_over


def test_a_column_that_is_no_export_of_ours_is_refused_still() -> None:
    files = packed([out(printed(1), Standing("open"))])
    files["register.csv"] = files["register.csv"].replace(b",standing,", b",standings,")
    found = read(files)
    assert isinstance(found, Faults)
    assert "standings" in str(found.faults[0])
