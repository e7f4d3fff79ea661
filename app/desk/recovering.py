"""Putting the day together again on another laptop, from its carbon or from its bundle.

The record is built beside its place, refolded and verified there, and only then put in place.
"""

from __future__ import annotations

import json
import os
import secrets
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager, suppress
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from sqlalchemy import Connection
from sqlalchemy.exc import DBAPIError

from app.desk.bundle_log import LOG, read_log
from app.desk.bundle_reading import check_bundle
from app.desk.bundle_record import LISTS, PERSONAL, SETTING, STROKES, WORKERS
from app.desk.signing_on import unusable_pin_hash
from app.desk.wiping import companions_of
from app.intake.bundle_files import read_bundle_files
from app.intake.faults import Faults
from app.intake.package import Package, read_package
from app.matching.look_alikes import find_look_alikes
from app.records import keyring, loading, queries, schema, signed_heads
from app.records.bodies_trust import LogKeyChanged
from app.records.carbon_file import CarbonBroken, slots_of
from app.records.carbon_reading import put_together
from app.records.clock import Clock
from app.records.engine import open_for_writing, sqlite_path
from app.records.entry import PROGRAM, Entry, Head
from app.records.fold import DoesNotFit
from app.records.rebuilding import Kept, rebuild
from app.records.rows import line_from_row
from app.records.store import verify_database
from app.records.unit import Unit
from app.records.verify import verify
from app.records.writer import Writer
from app.rules.faults import AlreadyThere, NotFound, StorageRefused
from app.rules.line import Line
from app.trust.durable_file import sync_folder, temporary_of
from app.trust.passphrases import slots_from_text, write_slots
from app.trust.sealing import Sealer, Use, subkey

# What SQLite has left beside the new record where it could not write it out.
_WAL = "-wal"
# Of what is built, until it is put in place.
_COMPANIONS = ("", _WAL, "-shm", "-journal", signed_heads.ENDING)
# Through no link that somebody laid there, and for its owner alone, as any record.
_CREATE = os.O_WRONLY | os.O_CREAT | os.O_EXCL | getattr(os, "O_BINARY", 0)


@dataclass(frozen=True, slots=True)
class Recovered:
    """What was put together: its path, its log, and whether half a line was cut off."""

    path: Path
    head: Head
    lines: int
    is_torn: bool = False
    needs_pins: bool = False


def recover_from_carbon(
    carbon: Path, url: str, key: bytes | None = None, package: Path | None = None
) -> Recovered:
    """Put the record together from `carbon`; `key` is that of a sealed one (see `slots_of`).

    StorageRefused where anything in it does not fit or the place cannot be written, AlreadyThere
    where there is a record, or what was left beside one. Where `package` is named it must be the
    one that the day was loaded from.
    """
    if not carbon.is_file():
        raise NotFound(what=f"file {carbon.name}")
    with _new_record(url, key) as (path, fresh):
        sealer = Sealer(subkey(key, Use.CARBON)) if key else None
        try:
            head, lines, is_torn = _fill(fresh, carbon, sealer, package)
        except CarbonBroken as broken:
            raise StorageRefused(why=f"{carbon.name} cannot be used: {broken}") from None
        except OSError as error:
            raise StorageRefused(why=f"{carbon.name} could not be read: {error.strerror}") from None
        if key:
            write_slots(keyring.slots_path(path), slots_from_text(slots_of(carbon) or ""))
    return Recovered(path, head, lines, is_torn)


def recover_from_bundle(bundle: Path, package: Path, url: str, clock: Clock) -> Recovered:
    """Put the record together from a bundle and the registrar's package.

    The log goes on with a new key, since the old one never leaves its laptop; entry says so.
    """
    checked = check_bundle(bundle)
    if checked.fault:
        raise StorageRefused(why=f"the bundle does not hold: {checked.fault}")
    if checked.withheld:
        raise StorageRefused(
            why=f"the bundle leaves out {checked.withheld} details that would tell a protected "
            "address; without them the record cannot be put together whole. Recover from the "
            "carbon; what the bundle has can be read in it"
        )
    read = read_bundle_files(bundle)
    if isinstance(read, Faults):
        raise StorageRefused(why="the bundle cannot be read")
    kept = _kept(read.files, _package(package))
    with _new_record(url) as (path, fresh):
        _build(fresh, kept)
        head = _go_on(fresh, clock)
        found = verify_database(_url(fresh))
        if found.fault:
            raise StorageRefused(why=f"what was put together does not hold: {found.fault}")
    return Recovered(path, head, found.lines, needs_pins=bool(kept.workers))


@contextmanager
def _new_record(url: str, key: bytes | None = None) -> Iterator[tuple[Path, Path]]:
    """The place of the record and, beside it, where it is built; put in place at the end."""
    path = sqlite_path(url)
    if path is None:
        raise StorageRefused(why="recover into a file: --out sqlite:///recovered.db")
    _check_place(path)
    fresh = temporary_of(path)
    _remove(fresh)
    try:
        os.close(os.open(fresh, _CREATE, 0o600))
        if key:
            keyring.unlock(fresh, key)
        yield path, fresh
        _check_written_out(fresh)
        fresh.replace(path)
        head_beside = signed_heads.path_beside(fresh)
        if head_beside.exists():
            head_beside.replace(signed_heads.path_beside(path))
        sync_folder(path.parent)
        if key:
            keyring.unlock(path, key)
    except OSError as error:
        raise StorageRefused(why=f"{path.name} could not be written: {error.strerror}") from None
    except DBAPIError as error:
        raise StorageRefused(why=f"{path.name} could not be written: {error.orig}") from None
    finally:
        keyring.lock(fresh)
        _remove(fresh)


def _check_place(path: Path) -> None:
    """Nothing stands there, and nothing beside it: SQLite would play what an old record left into
    the new one, and the program would take whom that one followed, or its head, for the new one's.
    """
    if not path.parent.is_dir():
        raise StorageRefused(
            why=f"there is no folder {path.parent}: make it, or name another place with --out"
        )
    there = [one.name for one in (path, *companions_of(path)) if os.path.lexists(one)]
    if there:
        raise AlreadyThere(
            what="record, or what was left of one",
            found=" ".join(there),
            do=f"move everything that begins with {path.name} into another folder, keep it for the "
            "registrar, and try again",
        )


def _check_written_out(fresh: Path) -> None:
    """What SQLite had no room to write into the file stands in its log still; an empty one is of
    somebody who only read.
    """
    log = fresh.with_name(fresh.name + _WAL)
    if log.exists() and log.stat().st_size:
        raise StorageRefused(
            why="the new record could not be written out whole: make room on that disk, or name a "
            "place on another one with --out"
        )


def _remove(fresh: Path) -> None:
    for ending in _COMPANIONS:
        with suppress(OSError):
            fresh.with_name(fresh.name + ending).unlink(missing_ok=True)


def _url(path: Path) -> str:
    return f"sqlite:///{path.as_posix()}"


def _in_new_database(fresh: Path, work: Callable[[Connection], Any]) -> Any:
    engine = open_for_writing(_url(fresh))
    try:
        with engine.begin() as connection:
            return work(connection)
    finally:
        engine.dispose()


def _fill(
    fresh: Path, carbon: Path, sealer: Sealer | None, package: Path | None
) -> tuple[Head, int, bool]:
    def work(connection: Connection) -> tuple[Head, int, bool]:
        put = put_together(connection, carbon, sealer)
        schema.check(connection)
        if package:
            _check_package(queries.entry(connection, 1), _package(package))
        found = verify(connection)
        if found.fault or found.head != put.head:
            raise StorageRefused(
                why=f"what {carbon.name} holds does not fit together: {found.fault or 'its end'}"
            )
        return found.head, found.lines, put.is_torn

    filled: tuple[Head, int, bool] = _in_new_database(fresh, work)
    return filled


def _package(path: Path) -> Package:
    package = read_package(path)
    if isinstance(package, Faults):
        raise StorageRefused(why=f"{path.name} has faults; run: tablebook load {path.name}")
    return package


def _check_package(loaded: Entry, package: Package) -> None:
    if dict(package.file_digests) != dict(loaded.body["files"]):
        raise StorageRefused(why="that is not the package that this day was loaded from")


def _kept(files: dict[str, bytes], package: Package) -> Kept:
    entries = read_log(files[LOG])
    _check_package(entries[0], package)
    personal = _rows(files[PERSONAL])
    details = {row["seq"]: row["details"] for row in personal}
    added_by = {entry.seq for entry in entries if entry.kind == "line.added"}
    look_alikes = find_look_alikes(package.lines)
    line_key = entries[0].body["line_key"]
    return Kept(
        entries=entries,
        setting=files[SETTING].decode(),
        lines=loading.identified(package.lines, look_alikes, line_key),
        added=[_line(details[seq]) for seq in sorted(added_by)],
        elsewhere=package.elsewhere,
        phone_secret=package.phone_secret,
        # Of an added line the details are its own row.
        personal=[{**row, "details": None} if row["seq"] in added_by else row for row in personal],
        drawings=_rows(files[STROKES]),
        lists=_rows(files[LISTS]),
        workers=[{**row, "pin_hash": unusable_pin_hash()} for row in json.loads(files[WORKERS])],
    )


def _line(details: str) -> Line:
    return line_from_row(json.loads(details))


def _rows(data: bytes) -> Sequence[dict[str, Any]]:
    return [json.loads(line) for line in data.decode().splitlines()]


def _build(fresh: Path, kept: Kept) -> None:
    def work(connection: Connection) -> None:
        schema.prepare(connection)
        rebuild(connection, kept)

    try:
        _in_new_database(fresh, work)
    except (DoesNotFit, KeyError, TypeError, ValueError) as error:
        raise StorageRefused(
            why=f"the bundle and the package do not fit together ({error!s:.80})"
        ) from None


def _go_on(fresh: Path, clock: Clock) -> Head:
    """A new key for the log, and the entry that says why."""

    def write(unit: Unit) -> None:
        body = LogKeyChanged(
            log_key=signed_heads.make_key(unit.connection), reason="recovered from a bundle"
        )
        unit.append(PROGRAM, secrets.token_hex(16), body)

    # No store: it would refuse a log whose end nobody on this laptop has signed yet.
    writer = Writer(open_for_writing(_url(fresh)), clock)
    try:
        writer.write(write)
    finally:
        writer.close()
    head: Head = _in_new_database(fresh, queries.head)
    return head
