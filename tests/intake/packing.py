"""A small good package, and ways to spoil it and put it on disk. All people are invented."""

from __future__ import annotations

import csv
import hashlib
import io
import json
import zipfile
from collections.abc import Iterable, Mapping, Sequence
from pathlib import Path

from app.intake.fault_codes import Code
from app.intake.faults import Fault, Faults
from app.intake.package import Package, read_package

ELECTION_ID = "tern-2027-03-02"

ELECTION_TOML = """\
[election]
id = "tern-2027-03-02"
name = "Federal and Municipal Election"
date = 2027-03-02
federal = true
opens = "07:00"
closes = "20:00"
time_zone = "America/New_York"

[precinct]
county = "Tern County"
number = "4-07"

[polling_place]
name = "Wheelhouse Road School, gym"
street_address = "40 Wheelhouse Road"

[registrar]
office = "Tern County Registrar of Voters"
phone = "555-0142"

[policy]
identification = "asked"

[[ballot]]
style = "4-07 A"
button = 1
contests = ["Town Moderator", "Town Clerk"]

[[ballot]]
style = "4-07 B"
button = 2

[[machine]]
serial = "TM-0417"
protective_counter = 18233

[[checklist]]
stage = "opening"
code = "seals-read"
sentence = "Read every seal aloud."
"""

HEADER = (
    "voter_number,last_name,first_name,middle_name,suffix,birth_date,mothers_maiden_name,"
    "street_address,city,postal_code,party,ballot_button,assistance,address_confirmation,"
    "mark,mark_initials"
).split(",")

NOTES = ("inactive", "first_time_by_mail", "address_protected")

ELSEWHERE_HEADER = (
    "last_name,first_name,middle_name,suffix,birth_year,precinct,polling_place,place_address"
).split(",")

GOOD_ELSEWHERE_ROW = {
    "last_name": "Pellinore",
    "first_name": "Agnes",
    "middle_name": "Rue",
    "suffix": "",
    "birth_year": "1961",
    "precinct": "4-11",
    "polling_place": "Saltmarsh Library, reading room",
    "place_address": "9 Saltmarsh Road, Ternwick",
}

GOOD_ROW = {
    "voter_number": "1001",
    "last_name": "Quillfeather",
    "first_name": "Odette",
    "middle_name": "",
    "suffix": "",
    "birth_date": "1980-05-17",
    "mothers_maiden_name": "Pell",
    "street_address": "4 Ropewalk Lane",
    "city": "Ternwick",
    "postal_code": "00417",
    "party": "Harbor",
    "ballot_button": "1",
    "assistance": "",
    "address_confirmation": "",
    "mark": "",
    "mark_initials": "",
}

Spot = tuple[str, int | None, str | None, Code]


def row(number: str = "1001", **cells: str) -> dict[str, str]:
    """A good row of the register, changed where `cells` says."""
    return {**GOOD_ROW, "voter_number": number, **cells}


def elsewhere_row(**cells: str) -> dict[str, str]:
    """A good row of elsewhere.csv, changed where `cells` says."""
    return {**GOOD_ELSEWHERE_ROW, **cells}


def table(rows: Iterable[Mapping[str, str]], header: Sequence[str] = HEADER) -> bytes:
    """The rows as a CSV file in UTF-8; a cell that a row does not have is blank."""
    out = io.StringIO(newline="")
    writer = csv.DictWriter(out, header, restval="", lineterminator="\n")
    writer.writeheader()
    writer.writerows(rows)
    return out.getvalue().encode()


def good_files() -> dict[str, bytes]:
    """Four people, one on the supplemental list; one mailed, one came early; two live elsewhere."""
    return {
        "election.toml": ELECTION_TOML.encode(),
        "register.csv": table(
            [
                row("1001"),
                row("1002", last_name="Abbott", first_name="Silas", ballot_button="2"),
                row("1003", last_name="Bothwell", mark="voted early", mark_initials="RM"),
            ]
        ),
        "supplemental.csv": table([row("1004", last_name="Newhouse", assistance="Y")]),
        "mail-voted.csv": b"voter_number,last_name,initials\n1002,Abbott,PO\n1003,Bothwell,PO\n",
        "early-voted.csv": b"voter_number\n1004\n",
        "elsewhere.csv": elsewhere_table(
            [elsewhere_row(), elsewhere_row(last_name="Odegaard", precinct="3-02")]
        ),
    }


def elsewhere_table(rows: Iterable[Mapping[str, str]]) -> bytes:
    return table(rows, ELSEWHERE_HEADER)


def with_elsewhere(*rows: Mapping[str, str]) -> dict[str, bytes]:
    """A package whose list of people registered elsewhere has these rows."""
    return with_register(row()) | {"elsewhere.csv": elsewhere_table(rows)}


def with_register(*rows: Mapping[str, str]) -> dict[str, bytes]:
    """A package of election.toml and these rows alone."""
    return {"election.toml": ELECTION_TOML.encode(), "register.csv": table(rows)}


def manifest_of(files: Mapping[str, bytes], /, **changes: object) -> bytes:
    digests = {name: hashlib.sha256(data).hexdigest() for name, data in files.items()}
    whole = {
        "election_id": ELECTION_ID,
        "precinct": "4-07",
        "issuer": "Tern County Registrar of Voters",
        "files": digests,
    }
    return json.dumps({**whole, **changes}).encode()


def write_folder(files: Mapping[str, bytes], folder: Path) -> Path:
    folder.mkdir(parents=True, exist_ok=True)
    for name, data in files.items():
        (folder / name).write_bytes(data)
    return folder


def write_zip(files: Mapping[str, bytes], path: Path, inside: str = "") -> Path:
    with zipfile.ZipFile(path, "w", zipfile.ZIP_DEFLATED) as archive:
        for name, data in files.items():
            archive.writestr(inside + name, data)
    return path


def read_files(files: Mapping[str, bytes], folder: Path) -> Package | Faults:
    return read_package(write_folder(files, folder / "package"))


def package_of(files: Mapping[str, bytes], folder: Path) -> Package:
    """The package, which must have no fault."""
    return expect_package(read_files(files, folder))


def faults_of(files: Mapping[str, bytes], folder: Path) -> tuple[Fault, ...]:
    """The faults of a package, of which there must be some."""
    return expect_faults(read_files(files, folder))


def only_fault(files: Mapping[str, bytes], folder: Path) -> Fault:
    """The one fault of a package that has no other."""
    faults = faults_of(files, folder)
    assert len(faults) == 1, "\n".join(map(str, faults))
    return faults[0]


def expect_package(read: Package | Faults) -> Package:
    assert isinstance(read, Package), "\n".join(map(str, getattr(read, "faults", ())))
    return read


def expect_faults(read: Package | Faults) -> tuple[Fault, ...]:
    assert isinstance(read, Faults), "read without a fault"
    return read.faults


def spot(fault: Fault) -> Spot:
    """Where a fault is and what it is."""
    return (fault.file, fault.row, fault.column, fault.code)


def spots(faults: Iterable[Fault]) -> list[Spot]:
    return [spot(fault) for fault in faults]
