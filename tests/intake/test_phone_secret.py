"""The secret for spoken codes: read from the package, vouched for like any file, never shown."""

from __future__ import annotations

from pathlib import Path

import pytest

from app.intake.fault_codes import Code
from app.intake.package import Package
from tests.intake.packing import (
    ELECTION_TOML,
    good_files,
    manifest_of,
    only_fault,
    package_of,
)

SECRET = "07ab" * 16
FILE = "phone-secret.txt"


def with_secret(content: bytes) -> dict[str, bytes]:
    files = good_files()
    files.pop("MANIFEST.json", None)
    return {**files, FILE: content}


def requiring(files: dict[str, bytes]) -> dict[str, bytes]:
    policy = 'identification = "asked"'
    text = ELECTION_TOML.replace(policy, f'{policy}\nphone_code = "required"')
    return {**files, "election.toml": text.encode()}


@pytest.mark.parametrize(
    "content",
    [
        SECRET.encode(),
        SECRET.upper().encode() + b"\r\n",
        b"\xef\xbb\xbf" + SECRET.encode() + b"\n",
        f"{SECRET[:32]} {SECRET[32:]}\n".encode(),
    ],
)
def test_a_secret_is_read_however_an_editor_left_it(content: bytes, tmp_path: Path) -> None:
    package = package_of(requiring(with_secret(content)), tmp_path)
    assert package.phone_secret == SECRET
    assert SECRET not in repr(package)


@pytest.mark.parametrize(
    "content", [b"", b"07ab", SECRET[:-1].encode() + b"g", SECRET.encode() * 2, b"\xff\xfe\x00"]
)
def test_a_secret_that_is_none_is_one_fault_that_repeats_nothing_of_it(
    content: bytes, tmp_path: Path
) -> None:
    fault = only_fault(with_secret(content), tmp_path)
    assert (fault.file, fault.code, fault.found) == (FILE, Code.PHONE_SECRET_UNREADABLE, "")


def test_a_secret_of_many_bytes_is_not_read(tmp_path: Path) -> None:
    assert only_fault(with_secret(b"0" * 1_001), tmp_path).code is Code.FILE_TOO_LARGE


def test_where_a_code_is_required_the_secret_must_be_there(tmp_path: Path) -> None:
    files = good_files()
    files.pop("MANIFEST.json", None)
    fault = only_fault(requiring(files), tmp_path)
    assert (fault.file, fault.code) == (FILE, Code.PHONE_SECRET_MISSING)


def test_a_package_without_a_secret_has_none(tmp_path: Path) -> None:
    package: Package = package_of(good_files(), tmp_path)
    assert package.phone_secret is None


def test_a_manifest_vouches_for_the_secret_too(tmp_path: Path) -> None:
    files = with_secret(SECRET.encode())
    vouched = {**files, "MANIFEST.json": manifest_of(files)}
    assert package_of(vouched, tmp_path).phone_secret == SECRET
    without = {name: data for name, data in files.items() if name != FILE}
    fault = only_fault({**files, "MANIFEST.json": manifest_of(without)}, tmp_path / "other")
    assert (fault.file, fault.code) == (FILE, Code.FILE_NOT_LISTED)
