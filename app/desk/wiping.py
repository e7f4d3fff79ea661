"""Removing the day's record from the laptop, once a bundle of exactly this record holds.

Only files that this program made for this record are removed; the bundle stays, and so does
everything else in the folder.
"""

from __future__ import annotations

import stat
from dataclasses import dataclass
from pathlib import Path

from app.desk.bundle_reading import check_bundle
from app.desk.handover import bundle_name
from app.desk.index_file import ENDING
from app.records import (
    queries,
    replaced,
    reserve,
    signed_heads,
    standby_record,
    standby_tries,
)
from app.records.clock import Clock
from app.records.engine import sqlite_path
from app.records.entry import Head
from app.records.keyring import SLOTS_ENDING, TRIES_ENDING
from app.records.store import open_store
from app.rules.faults import NotFound, StorageRefused
from app.trust.durable_file import TEMPORARY, temporary_of

# What SQLite keeps beside a database, and this program beside both. The keys go with the rest:
# without them an encrypted record that is found again opens for nobody.
_COMPANIONS = (
    *("-wal", "-shm", "-journal"),
    *(ENDING, ENDING + TEMPORARY, signed_heads.ENDING, reserve.ENDING, standby_record.ENDING),
    *(standby_record.ENDING + TEMPORARY, standby_tries.ENDING, standby_tries.ENDING + TEMPORARY),
    *(replaced.ENDING, replaced.ENDING + TEMPORARY),
    *(SLOTS_ENDING, SLOTS_ENDING + TEMPORARY, TRIES_ENDING, TRIES_ENDING + TEMPORARY),
)
# Present while somebody else has the database open: the last to close it takes it away.
_IN_USE = "-shm"


@dataclass(frozen=True, slots=True)
class Wiping:
    """What would be removed, and the number that must be typed first."""

    precinct: str
    is_federal: bool
    files: tuple[Path, ...]


def may_wipe(url: str, bundle: Path, clock: Clock) -> Wiping:
    """What to remove. Removes nothing.

    NotFound where there is no record, StorageRefused where the bundle does not hold or is not of
    this record as it stands, or the record is in use or is no file of its own.
    """
    path = _record_file(url)
    found = check_bundle(bundle)
    if found.fault or found.setting is None:
        raise StorageRefused(why=f"the bundle does not hold, nothing was removed: {found.fault}")
    if found.setting.is_practice:
        raise StorageRefused(why="nothing was removed: the bundle is of a practice day")
    with open_store(url, clock) as store:
        head = store.read(queries.head)
    if head != found.head:
        raise StorageRefused(why=f"nothing was removed: {_how_it_differs(head, found.head)}")
    if _beside(path, _IN_USE).exists():
        raise StorageRefused(why="the record is open in another program; stop the server first")
    # What a bundle that was never finished has left.
    half = [temporary_of(path.with_name(bundle_name(found.setting))), temporary_of(bundle)]
    every = dict.fromkeys((path, *companions_of(path), *half))
    there = tuple(one for one in every if _is_plain_file(one))
    setting = found.setting
    return Wiping(setting.precinct.number, setting.election.federal, there)


def wipe(wiping: Wiping) -> tuple[str, ...]:
    """Remove the files, the record first; the names of those removed.

    StorageRefused where one cannot be removed, naming it.
    """
    removed = []
    for path in wiping.files:
        try:
            path.unlink(missing_ok=True)
        except OSError as error:
            why = f"{path.name} could not be removed: {error.strerror}"
            raise StorageRefused(why=why) from None
        removed.append(path.name)
    return tuple(removed)


def companions_of(record: Path) -> list[Path]:
    """Where everything stands that is ever kept beside a record, whether it is there or not."""
    return [_beside(record, ending) for ending in _COMPANIONS]


def _record_file(url: str) -> Path:
    path = sqlite_path(url)
    if path is None:
        raise StorageRefused(why="this record is kept by a database server; have it removed there")
    if not path.exists():
        raise NotFound(what=f"record at {path}")
    if not _is_plain_file(path):
        raise StorageRefused(why=f"{path.name} is no plain file; remove by hand what it leads to")
    return path


def _how_it_differs(record: Head, bundle: Head) -> str:
    later = record.seq - bundle.seq
    if later > 0:
        many = "1 entry" if later == 1 else f"{later} entries"
        return f"{many} came after the bundle was made, or it is another day's; run tablebook close"
    return "the bundle is not of this record"


def _beside(path: Path, ending: str) -> Path:
    return path.with_name(path.name + ending)


def _is_plain_file(path: Path) -> bool:
    """Links are left alone: what they lead to may be somebody else's."""
    try:
        return stat.S_ISREG(path.lstat().st_mode)
    except OSError:
        return False
