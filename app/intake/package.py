"""A package, whole and checked, or every fault in it: the one entry into this folder.

Faults of all files are found in one reading. What cannot be judged because another file has
faults (a list against a register that could not be read) is not judged, so that each fault
reported is one to put right.
"""

from __future__ import annotations

import hashlib
from collections.abc import Mapping
from dataclasses import dataclass, field
from pathlib import Path

from app.intake.election import Facts, read_election
from app.intake.elsewhere import ELSEWHERE_COLUMNS, read_elsewhere
from app.intake.fault_codes import Code
from app.intake.faults import FaultList, Faults
from app.intake.lists import VOTED_COLUMNS, Marks, read_voted_list
from app.intake.manifest import check_manifest
from app.intake.register import PACKAGE_COLUMNS, Roll, read_register
from app.intake.shelf import (
    EARLY_VOTED_FILE,
    ELECTION_FILE,
    ELSEWHERE_FILE,
    FILE_ORDER,
    MAIL_VOTED_FILE,
    MANIFEST_FILE,
    PHONE_SECRET_FILE,
    REGISTER_FILE,
    SUPPLEMENTAL_FILE,
)
from app.intake.sources import read_files
from app.intake.table import open_table
from app.rules.elsewhere import ElsewhereLine
from app.rules.faults import BadRequest
from app.rules.line import MarkKind, Part, PrintedLine
from app.rules.phone_code import SECRET_BYTES, new_secret, read_secret
from app.rules.setting import Setting

_PARTS = {REGISTER_FILE: Part.REGISTER, SUPPLEMENTAL_FILE: Part.SUPPLEMENTAL}
_VOTED = {
    MAIL_VOTED_FILE: MarkKind.VOTED_BY_MAIL,
    EARLY_VOTED_FILE: MarkKind.VOTED_EARLY,
}
_LIST_COLUMNS = frozenset(PACKAGE_COLUMNS.known + VOTED_COLUMNS.known + ELSEWHERE_COLUMNS.known)


@dataclass(frozen=True, slots=True)
class Package:
    """What the registrar hands a precinct.

    `lines` are in file order, the register's before the supplemental list's; the marks of each
    are those printed on it, then mail-voted, then early-voted. `file_digests` holds the SHA-256
    of every file read, in hexadecimal, by file name. `elsewhere` are the people of other
    precincts in file order, empty where the package does not say. `phone_secret` is the secret
    for spoken codes, as `app.rules.phone_code` writes it, None where there is none.
    """

    setting: Setting
    lines: tuple[PrintedLine, ...]
    file_digests: dict[str, str]
    elsewhere: tuple[ElsewhereLine, ...] = ()
    phone_secret: str | None = field(default=None, repr=False)


def read_package(path: Path) -> Package | Faults:
    """Read a folder or a .zip. Never raises for what is in it, and writes nothing."""
    faults = FaultList(_own_name(path), FILE_ORDER)
    files = read_files(path, faults)
    if files is None:
        return faults.as_faults()
    _add_missing(files, faults)
    digests = {name: hashlib.sha256(data).hexdigest() for name, data in files.items()}
    setting, facts = _setting(files, faults)
    lines = _lines(files, facts, faults)
    elsewhere = _elsewhere(files, facts, faults)
    secret = _phone_secret(files, setting, faults)
    if MANIFEST_FILE in files:
        others = {name: digest for name, digest in digests.items() if name != MANIFEST_FILE}
        check_manifest(MANIFEST_FILE, files[MANIFEST_FILE], others, facts, faults)
    if faults.count or setting is None:
        return faults.as_faults()
    return Package(setting, lines, digests, elsewhere, secret)


def _own_name(path: Path) -> str:
    # The name alone: a full path in a message tells who uses the computer.
    try:
        return path.name or path.resolve().name or "package"
    except (OSError, ValueError, RuntimeError):
        return "package"


def _add_missing(files: Mapping[str, bytes], faults: FaultList) -> None:
    for name in (ELECTION_FILE, REGISTER_FILE):
        # A file that is there and was refused has its own fault.
        if name not in files and not faults.mentions(name):
            faults.add(Code.MISSING_FILE, name, expected=f"a file {name}")


def _setting(files: Mapping[str, bytes], faults: FaultList) -> tuple[Setting | None, Facts]:
    if ELECTION_FILE not in files:
        return None, Facts()
    return read_election(ELECTION_FILE, files[ELECTION_FILE], _LIST_COLUMNS, faults)


def _lines(files: Mapping[str, bytes], facts: Facts, faults: FaultList) -> tuple[PrintedLine, ...]:
    roll, marks = Roll(), Marks()
    for name, part in _PARTS.items():
        if name not in files:
            # A file that is there and was refused holds numbers that nobody has seen.
            roll.is_whole = roll.is_whole and not faults.mentions(name)
            continue
        table = open_table(name, files[name], PACKAGE_COLUMNS, facts.headings, faults)
        if table is None:
            roll.is_whole = False
        else:
            read_register(table, part, roll, facts, faults)
    for name, kind in _VOTED.items():
        if name in files:
            table = open_table(name, files[name], VOTED_COLUMNS, facts.headings, faults)
            if table is not None:
                read_voted_list(table, kind, roll, marks, facts, faults)
    return marks.put_on(roll.lines)


def _phone_secret(
    files: Mapping[str, bytes], setting: Setting | None, faults: FaultList
) -> str | None:
    """The secret as it is kept; what is wrong with it is said without a digit of it."""
    data = files.get(PHONE_SECRET_FILE)
    if data is None:
        is_missing = setting is not None and setting.policy.phone_code == "required"
        if is_missing and not faults.mentions(PHONE_SECRET_FILE):
            expected = f"a file {PHONE_SECRET_FILE}, or phone_code = optional"
            faults.add(Code.PHONE_SECRET_MISSING, PHONE_SECRET_FILE, expected=expected)
        return None
    try:
        return new_secret(read_secret(data.decode("utf-8-sig")))
    except (UnicodeDecodeError, BadRequest):
        expected = f"one line of {2 * SECRET_BYTES} hexadecimal digits"
        faults.add(Code.PHONE_SECRET_UNREADABLE, PHONE_SECRET_FILE, expected=expected)
        return None


def _elsewhere(
    files: Mapping[str, bytes], facts: Facts, faults: FaultList
) -> tuple[ElsewhereLine, ...]:
    data = files.get(ELSEWHERE_FILE)
    if data is None:
        return ()
    table = open_table(ELSEWHERE_FILE, data, ELSEWHERE_COLUMNS, facts.headings, faults)
    return () if table is None else tuple(read_elsewhere(table, facts, faults))
