"""MANIFEST.json against the files and against election.toml."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from app.intake.fault_codes import Code
from app.intake.package import read_package
from tests.intake.packing import (
    expect_faults,
    faults_of,
    good_files,
    manifest_of,
    only_fault,
    package_of,
    spot,
    spots,
    write_folder,
)

MANIFEST = "MANIFEST.json"


def vouched(**changes: object) -> dict[str, bytes]:
    files = good_files()
    return files | {MANIFEST: manifest_of(files, **changes)}


def test_a_manifest_that_agrees_is_accepted_in_either_spelling_of_its_digits(
    tmp_path: Path,
) -> None:
    files = vouched()
    whole = json.loads(files[MANIFEST])
    whole["files"] = {name: digest.upper() for name, digest in whole["files"].items()}
    files[MANIFEST] = json.dumps(whole).encode()
    assert MANIFEST in package_of(files, tmp_path).file_digests


@pytest.mark.parametrize("name", sorted(good_files()))
def test_any_changed_file_is_noticed(name: str, tmp_path: Path) -> None:
    files = vouched()
    files[name] += b"\n"
    assert spot(only_fault(files, tmp_path)) == (name, None, None, Code.DIGEST_DIFFERS)


def test_any_half_of_a_register_is_noticed(tmp_path: Path) -> None:
    whole = vouched()
    size = len(whole["register.csv"])
    for cut in range(size - 1, 0, -max(1, size // 100)):
        files = whole | {"register.csv": whole["register.csv"][:cut]}
        found = {(fault.file, fault.code) for fault in faults_of(files, tmp_path)}
        assert ("register.csv", Code.DIGEST_DIFFERS) in found


def test_a_listed_file_that_is_not_there(tmp_path: Path) -> None:
    files = vouched()
    del files["early-voted.csv"]
    fault = only_fault(files, tmp_path)
    assert spot(fault) == (MANIFEST, None, "files.early-voted.csv", Code.LISTED_FILE_MISSING)


def test_a_listed_file_that_was_refused_has_one_fault_and_not_two(tmp_path: Path) -> None:
    files = vouched()
    folder = write_folder(files, tmp_path / "package")
    (folder / "early-voted.csv").unlink()
    (folder / "early-voted.csv").mkdir()
    assert spots(expect_faults(read_package(folder))) == [
        ("early-voted.csv", None, None, Code.UNEXPECTED_FOLDER)
    ]


@pytest.mark.parametrize("name", ["early-voted.csv", "election.toml"])
def test_a_file_that_the_manifest_does_not_list(name: str, tmp_path: Path) -> None:
    files = vouched()
    whole = json.loads(files[MANIFEST])
    del whole["files"][name]
    files[MANIFEST] = json.dumps(whole).encode()
    assert spot(only_fault(files, tmp_path)) == (name, None, None, Code.FILE_NOT_LISTED)


@pytest.mark.parametrize(
    ("changes", "column", "code"),
    [
        ({"election_id": "tern-2026-11-03"}, "election_id", Code.WRONG_ELECTION),
        ({"precinct": "4-08"}, "precinct", Code.WRONG_PRECINCT),
        ({"precinct": 407}, "precinct", Code.WRONG_KIND),
        ({"files": []}, "files", Code.WRONG_KIND),
        ({"signature": "x"}, "signature", Code.UNKNOWN_KEY),
    ],
)
def test_a_manifest_of_something_else(
    changes: dict[str, object], column: str, code: Code, tmp_path: Path
) -> None:
    assert spot(only_fault(vouched(**changes), tmp_path)) == (MANIFEST, None, column, code)


def test_a_digest_that_is_none(tmp_path: Path) -> None:
    files = vouched()
    whole = json.loads(files[MANIFEST])
    whole["files"]["register.csv"] = "d41d8cd9"
    files[MANIFEST] = json.dumps(whole).encode()
    assert spot(only_fault(files, tmp_path)) == (
        MANIFEST,
        None,
        "files.register.csv",
        Code.WRONG_KIND,
    )


@pytest.mark.parametrize("key", ["election_id", "precinct", "files"])
def test_a_manifest_without_a_key_that_it_needs(key: str, tmp_path: Path) -> None:
    files = vouched()
    whole = json.loads(files[MANIFEST])
    del whole[key]
    files[MANIFEST] = json.dumps(whole).encode()
    assert (MANIFEST, None, key, Code.MISSING_KEY) in spots(faults_of(files, tmp_path))


@pytest.mark.parametrize(
    "text",
    [
        "{",
        "[]",
        '"x"',
        "[" * 100_000,
        '{"a":' * 20_000,
        "1" * 5_000,
        '{"files": {}, "files": {}}',
        '{"files": {"register.csv": "", "register.csv": ""}}',
        '{"files": NaN}x',
    ],
)
def test_a_manifest_that_cannot_be_read(text: str, tmp_path: Path) -> None:
    files = good_files() | {MANIFEST: text.encode()}
    fault = only_fault(files, tmp_path)
    assert (fault.file, fault.code) == (MANIFEST, Code.MANIFEST_UNREADABLE)


def test_the_row_of_a_slip_in_the_manifest_is_named(tmp_path: Path) -> None:
    files = good_files() | {MANIFEST: b'{\n"precinct": "4-07",\n}'}
    assert only_fault(files, tmp_path).row == 3
