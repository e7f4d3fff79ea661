"""Loading a package into an empty record: read, check, tell look-alikes, store; or refuse whole."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

from app.intake.faults import Faults
from app.intake.package import Package, read_package
from app.matching.look_alikes import find_look_alikes
from app.records import loading
from app.records.clock import Clock
from app.records.engine import sqlite_path
from app.records.entry import Actor, Entry
from app.records.reserve import check_room
from app.records.store import open_store
from app.rules.setting import Setting

# The package is loaded before anybody can be signed on: by whoever holds the laptop.
COMMAND = Actor(worker_id="command", initials="", station="command line")


@dataclass(frozen=True, slots=True)
class Loaded:
    """The package as read, the entry that loaded it, and how many lines have look-alikes."""

    package: Package
    entry: Entry
    with_look_alikes: int


def load_package(
    path: Path, url: str, clock: Clock, before: Callable[[Setting], None] | None = None
) -> Loaded | Faults:
    """Load the package at `path` into the record at `url`.

    `before` is called once the package is known to be good, and before anything is written.

    Faults where the package has any: then not even the database file is made.
    AlreadyLoaded where the record holds a day, DiskNearlyFull where its disk is nearly full: there
    is time yet to make room.
    """
    check_room(sqlite_path(url))
    package = read_package(path)
    if isinstance(package, Faults):
        return package
    if before:
        before(package.setting)
    look_alikes = find_look_alikes(package.lines)
    line_key = loading.fresh_line_key()
    lines = loading.identified(package.lines, look_alikes, line_key)
    with open_store(url, clock) as store:
        entry = store.writer.write(
            lambda unit: loading.store(
                unit,
                COMMAND,
                setting=package.setting,
                lines=lines,
                files=package.file_digests,
                line_key=line_key,
                elsewhere_lines=package.elsewhere,
                phone_secret=package.phone_secret,
            )
        )
    return Loaded(package, entry, sum(1 for line in lines if line.look_alikes))
