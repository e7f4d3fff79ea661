"""Whatever the bytes are: a package or faults, never an exception, and nothing in between."""

from __future__ import annotations

import csv
import io
import tempfile
from collections.abc import Mapping
from dataclasses import replace
from datetime import date
from pathlib import Path

from hypothesis import example, given, settings
from hypothesis import strategies as st

from app.intake.faults import Faults
from app.intake.package import Package, read_package
from app.rules.line import MarkKind, Part, PrintedLine, PrintedMark
from app.rules.spreadsheet_cells import harmless
from tests.intake.packing import (
    HEADER,
    NOTES,
    expect_package,
    good_files,
    manifest_of,
    with_register,
    write_folder,
    write_zip,
)

FILES = good_files() | {"MANIFEST.json": manifest_of(good_files())}
NAMES = st.sampled_from(sorted(FILES))

# Pieces that mean something to one reader or another, to be put into good files.
SHORT = [b'"', b",", b"\n", b"\r", b"\0", b";", b"\xef\xbb\xbf", b"\xff", b"[[", b"]", b"{", b"="]
LONG = [b"[columns]\n", b'last_name = "Surname"\n', b"PK\x05\x06", b"0" * 5_000, b"," * 300]
PIECES = st.one_of(
    st.binary(max_size=8),
    st.text(max_size=4).map(lambda text: text.encode("utf-8", "surrogatepass")),
    st.sampled_from(SHORT),
    st.sampled_from(LONG),
)


def read(files: Mapping[str, bytes]) -> Package | Faults:
    """Read as a folder, and check what holds for every answer."""
    with tempfile.TemporaryDirectory() as folder:
        return checked(read_package(write_folder(files, Path(folder))))


def checked(answer: Package | Faults) -> Package | Faults:
    if isinstance(answer, Faults):
        assert answer.faults
        for fault in answer.faults:
            str(fault).encode()
            assert str(fault).isprintable()
            assert len(fault.found) <= 61
    else:
        assert answer.lines
        assert len({line.voter_number.upper() for line in answer.lines}) == len(answer.lines)
    return answer


@given(st.binary(max_size=2_000))
@example(b'"')
@example(b'voter_number\n"\n')
@example(b"\r\r\n,")
def test_any_bytes_as_a_register(data: bytes) -> None:
    assert isinstance(read({**FILES, "register.csv": data}), Faults)


@given(st.lists(st.lists(st.text(max_size=20), max_size=20), max_size=6))
def test_any_rows_under_the_right_headings(rows: list[list[str]]) -> None:
    out = io.StringIO(newline="")
    csv.writer(out).writerows([HEADER, *rows])
    files = with_register()
    files["register.csv"] = out.getvalue().encode("utf-8", "surrogatepass")
    read(files)


@given(NAMES, st.binary(max_size=500))
def test_any_bytes_as_any_file(name: str, data: bytes) -> None:
    assert isinstance(read({**FILES, name: data}), Faults)


@given(st.data())
@settings(max_examples=300)
def test_a_good_package_with_a_piece_put_in_or_taken_out_anywhere(data: st.DataObject) -> None:
    files = dict(FILES)
    if data.draw(st.booleans(), label="without manifest"):
        del files["MANIFEST.json"]
    for _ in range(data.draw(st.integers(1, 3), label="changes")):
        name = data.draw(st.sampled_from(sorted(files)))
        whole = files[name]
        start = data.draw(st.integers(0, len(whole)))
        end = min(len(whole), start + data.draw(st.integers(0, 40)))
        files[name] = whole[:start] + data.draw(PIECES) + whole[end:]
    read(files)


@given(st.data())
@settings(max_examples=300)
def test_a_good_zip_with_bytes_changed_anywhere(data: st.DataObject) -> None:
    with tempfile.TemporaryDirectory() as folder:
        path = write_zip(FILES, Path(folder) / "tern.zip", "tern/")
        whole = bytearray(path.read_bytes())
        for _ in range(data.draw(st.integers(1, 4), label="changes")):
            # Most of what zipfile trusts stands at the two ends and in the directory.
            place = data.draw(st.integers(0, len(whole) - 1))
            whole[place] = data.draw(st.integers(0, 255))
        path.write_bytes(whole)
        answer = checked(read_package(path))
        good = expect_package(read_package(write_folder(FILES, Path(folder) / "good")))
        assert isinstance(answer, Faults) or answer.lines == good.lines


@given(st.binary(max_size=300))
def test_any_bytes_as_a_zip(data: bytes) -> None:
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "tern.zip"
        path.write_bytes(b"PK" + data)
        assert isinstance(checked(read_package(path)), Faults)


@given(NAMES, st.integers(0, 99))
def test_half_a_file_never_passes_where_there_is_a_manifest(name: str, hundredths: int) -> None:
    data = FILES[name]
    cut = data[: len(data) * hundredths // 100]
    assert isinstance(read({**FILES, name: cut}), Faults)


# Letters as people write them: composed, visible, of one alphabet. Without Å: before ž or ’ it
# is what garbled text looks like, and no name has these two together.
LETTERS = st.sampled_from("abcdefghijklmnopqrstuvwxyzABCDEFGHIJKLMNOPQRSTUVWXYZéñüßøłśžçåễ'’-.,\"")
WORDS = st.lists(st.text(LETTERS, min_size=1, max_size=12), max_size=3).map(" ".join)
PERSON_NAMES = WORDS.filter(lambda name: any(letter.isalpha() for letter in name))
MARKS = st.sampled_from(list(MarkKind))


@st.composite
def printed_lines(draw: st.DrawFn) -> PrintedLine:
    part = draw(st.sampled_from(list(Part)[:2]))
    source = {Part.REGISTER: "register.csv", Part.SUPPLEMENTAL: "supplemental.csv"}[part]
    initials = draw(st.text("ABCXYZ", max_size=3))
    marks = [PrintedMark(draw(MARKS), source, initials)] if draw(st.booleans()) else []
    return PrintedLine(
        voter_number=draw(st.from_regex(r"[A-Z0-9]{1,6}(-[0-9]{1,3})?", fullmatch=True)),
        last_name=draw(PERSON_NAMES),
        first_name=draw(st.just("") | PERSON_NAMES),
        birth_date=draw(st.dates(date(1900, 1, 1), date(2027, 3, 2))),
        middle_name=draw(st.just("") | PERSON_NAMES),
        suffix=draw(st.sampled_from(["", "Jr", "Sr", "III"])),
        mothers_maiden_name=draw(WORDS),
        street_address=draw(WORDS),
        city=draw(WORDS),
        postal_code=draw(st.text("0123456789-", max_size=10)),
        party=draw(WORDS),
        ballot_button=draw(st.sampled_from([1, 2])),
        assistance=draw(st.booleans()),
        address_confirmation=draw(st.booleans()),
        inactive=draw(st.booleans()),
        first_time_by_mail=draw(st.booleans()),
        address_protected=draw(st.booleans()),
        marks=tuple(marks),
        part=part,
    )


ALL_COLUMNS = (*HEADER, *NOTES)


def cells_of(line: PrintedLine) -> list[str]:
    mark = line.marks[0] if line.marks else None
    special = {name: "Y" if getattr(line, name) else "" for name in NOTES} | {
        "birth_date": line.birth_date.isoformat(),
        "ballot_button": str(line.ballot_button),
        "assistance": "Y" if line.assistance else "",
        "address_confirmation": "Y" if line.address_confirmation else "",
        "mark": mark.kind.replace("_", " ") if mark else "",
        "mark_initials": mark.initials if mark else "",
    }
    # An apostrophe before what a spreadsheet would run is taken off again: one more is put.
    return [harmless(special.get(name, getattr(line, name, ""))) for name in ALL_COLUMNS]


@given(
    lines=st.lists(printed_lines(), min_size=1, max_size=12, unique_by=lambda it: it.voter_number),
    quoting=st.sampled_from([csv.QUOTE_ALL, csv.QUOTE_MINIMAL]),
    line_end=st.sampled_from(["\n", "\r\n"]),
    bom=st.sampled_from(["", "\ufeff"]),
    with_lists=st.booleans(),
)
def test_a_good_roster_comes_back_as_it_was(
    lines: list[PrintedLine], quoting: int, line_end: str, bom: str, with_lists: bool
) -> None:
    lines[0] = replace(lines[0], part=Part.REGISTER, marks=())
    lines.sort(key=lambda line: line.part)
    files = with_register()
    for part in (Part.REGISTER, Part.SUPPLEMENTAL):
        out = io.StringIO(newline="")
        rows = [cells_of(line) for line in lines if line.part is part]
        csv.writer(out, quoting=quoting, lineterminator=line_end).writerows([ALL_COLUMNS, *rows])
        files[f"{part}.csv"] = (bom + out.getvalue()).encode()
    if with_lists:
        first = lines[0]
        files["early-voted.csv"] = f"voter_number,birth_date\n{first.voter_number},".encode()
        files["early-voted.csv"] += first.birth_date.isoformat().encode()
        lines[0] = replace(first, marks=(PrintedMark(MarkKind.VOTED_EARLY, "early-voted.csv"),))
    lines.sort(key=lambda line: line.part)
    assert expect_package(read(files)).lines == tuple(lines)
