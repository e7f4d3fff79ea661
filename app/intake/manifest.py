"""MANIFEST.json: whether the files are those that the registrar put into the package.

Digests show damage and mix-ups. They do not show who made the package: anybody who can change
a file can change the manifest with it.
"""

from __future__ import annotations

import json
import re
from collections.abc import Mapping

from app.intake.election import Facts
from app.intake.fault_codes import Code
from app.intake.faults import FaultList
from app.intake.text import decode_settings

_KEYS = ("election_id", "precinct", "issuer", "files")
_REQUIRED = ("election_id", "precinct", "files")
_DIGEST = re.compile(r"[0-9a-fA-F]{64}")


def check_manifest(
    file: str, data: bytes, digests: Mapping[str, str], facts: Facts, faults: FaultList
) -> None:
    """Compare the manifest with the files and with election.toml.

    `digests` are the SHA-256 of the files that are there, in hexadecimal, without the manifest.
    """
    manifest = _parse(file, data, faults)
    if manifest is None:
        return
    for key in _REQUIRED:
        if key not in manifest:
            faults.add(Code.MISSING_KEY, file, column=key, expected=f'"{key}"')
    for key, value in manifest.items():
        if key not in _KEYS:
            expected = "one of " + ", ".join(_KEYS)
            faults.add(Code.UNKNOWN_KEY, file, column=key, found=key, expected=expected)
        elif key != "files" and not isinstance(value, str):
            faults.add(Code.WRONG_KIND, file, column=key, expected="text in quotation marks")
    _compare(file, manifest, "election_id", facts.election_id, Code.WRONG_ELECTION, faults)
    _compare(file, manifest, "precinct", facts.precinct, Code.WRONG_PRECINCT, faults)
    listed = manifest.get("files")
    if isinstance(listed, dict):
        _check_files(file, listed, digests, faults)
    elif "files" in manifest:
        expected = "file names, each with its SHA-256"
        faults.add(Code.WRONG_KIND, file, column="files", expected=expected)


def _parse(file: str, data: bytes, faults: FaultList) -> dict[str, object] | None:
    text = decode_settings(file, data, faults)
    if text is None:
        return None
    row, found = None, ""
    try:
        value = json.loads(text, object_pairs_hook=_without_repeats)
    except json.JSONDecodeError as error:
        row, found = error.lineno, error.msg
    except (RecursionError, ValueError) as error:
        # Lists in lists in lists, a number too long to read, a key that stands twice.
        found = str(error)
    else:
        if isinstance(value, dict):
            return value
    faults.add(Code.MANIFEST_UNREADABLE, file, row=row, found=found, expected="a JSON object")
    return None


def _without_repeats(pairs: list[tuple[str, object]]) -> dict[str, object]:
    # JSON readers disagree on which of two equal keys counts, so neither may.
    members = dict(pairs)
    if len(members) != len(pairs):
        raise ValueError("a name that stands twice")
    return members


def _compare(
    file: str,
    manifest: Mapping[str, object],
    key: str,
    expected: str | None,
    code: Code,
    faults: FaultList,
) -> None:
    value = manifest.get(key)
    if isinstance(value, str) and expected is not None and value != expected:
        faults.add(code, file, column=key, found=value, expected=f"{expected}, as in election.toml")


def _check_files(
    file: str, listed: Mapping[str, object], digests: Mapping[str, str], faults: FaultList
) -> None:
    for name, digest in listed.items():
        column = f"files.{name}"
        if not isinstance(digest, str) or not _DIGEST.fullmatch(digest):
            expected = "a SHA-256 of 64 hexadecimal digits"
            faults.add(Code.WRONG_KIND, file, column=column, found=str(digest), expected=expected)
        elif name not in digests:
            if not faults.mentions(name):
                expected = f"a file {name}"
                faults.add(Code.LISTED_FILE_MISSING, file, column=column, expected=expected)
        elif digest.lower() != digests[name]:
            found = f"SHA-256 {digests[name][:16]}…"
            expected = f"SHA-256 {digest.lower()[:16]}…, as in {file}"
            faults.add(Code.DIGEST_DIFFERS, name, found=found, expected=expected)
    for name in digests:
        if name not in listed:
            expected = f"an entry in {file}"
            faults.add(Code.FILE_NOT_LISTED, name, expected=expected)
