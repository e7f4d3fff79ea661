"""Handing over the day: everything that the registrar takes back, sealed in one file.

Nothing is written into the log: an entry would move the hash that the certificate shows.
"""

from __future__ import annotations

import hashlib
import io
import threading
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path

from sqlalchemy import Connection

from app import __version__
from app.desk import bundle_record
from app.desk.balance import facts_of
from app.desk.certificates import CERTIFICATES
from app.desk.day_papers import PAPERS, REGISTERS, F, Printing
from app.desk.exports import EXPORTS, Snapshot
from app.desk.opening import read_checklist
from app.desk.outcomes import Refused
from app.desk.proof_printing import print_proof
from app.desk.roster import Roster
from app.intake.bundle_files import BUNDLE_BYTES
from app.papers.exports.manifest import MANIFEST, Sealed, manifest_json
from app.papers.exports.practice_note import PRACTICE_NOTE, PRACTICE_TEXT
from app.papers.exports.stored_zip import zip_pieces
from app.papers.made import Form, Made
from app.papers.register_pages import RegisterForm
from app.records import late_lists, queries
from app.records.engine import sqlite_path
from app.records.entry import Head
from app.records.reserve import leaves_the_reserve
from app.rules.balance import balance_of
from app.rules.faults import HandOverFailed
from app.rules.moment import Phase
from app.rules.practice import precinct_and_day
from app.rules.setting import Setting
from app.trust.durable_file import write_durably

# A blank form belongs to no day; the register as it was printed beforehand is the registrar's own;
# the head of the log stands on every paper.
NOT_OF_THE_DAY = frozenset({"affidavit-form", "log-head", "register"})
# Once the polls are closed hardly anything is written: the second reading finds the log at rest.
_TRIES = 5
# Two at once would write to the same place.
_ONE_AT_A_TIME = threading.Lock()
# Names and directory of the zip; whatever is written must be small enough to be checked.
HEADERS_BYTES = 200_000


@dataclass(frozen=True, slots=True)
class HandedOver:
    """A bundle that was written, and what may be read out of it."""

    path: Path
    bytes: int
    sha256: str
    files: tuple[str, ...]
    head: Head
    made_at: datetime


def hand_over(
    roster: Roster, folder: Path, now: datetime, form: Form, target: Path | None = None
) -> HandedOver | Refused:
    """Make the bundle of the closed day and write it durably, by default into `folder`.

    HandOverFailed where it cannot be written, or would leave no room for what is recorded still;
    then what stood there before stands still.
    """
    refused = why_not(roster)
    if refused:
        return refused
    files, head = _sealed(roster, now, form)
    if sum(map(len, files.values())) > BUNDLE_BYTES - HEADERS_BYTES:
        raise HandOverFailed(why="the day is too large for one bundle; call the registrar")
    path = target or folder / bundle_name(roster.setting)
    if not leaves_the_reserve(path, sum(map(len, files.values()))):
        raise HandOverFailed(why="the disk has no room for the bundle; nothing was written")
    counted = _Counted()
    try:
        with _ONE_AT_A_TIME:
            write_durably(path, counted.of(zip_pieces(files)))
    except (OSError, OverflowError) as error:
        why = getattr(error, "strerror", None) or str(error)
        raise HandOverFailed(why=f"the bundle could not be written: {why}") from None
    return HandedOver(path, counted.bytes, counted.sha256, tuple(files), head, now)


def why_not(roster: Roster) -> Refused | None:
    """Why nothing can be handed over yet, with what is missing; None once the polls are closed."""

    def read(connection: Connection) -> Refused | None:
        phase = queries.day_state(connection).phase
        if phase is Phase.CLOSED:
            return None
        balance = balance_of(facts_of(connection), roster.setting)
        missing = [{"what": one.what, "name": one.name} for one in balance.missing]
        return Refused("turn-out-of-order", {"phase": phase.value, "missing": missing})

    refused = roster.store.read(read)
    if refused is None:
        return None
    checks = read_checklist(roster, "closing").readiness.missing
    missing = [*_listed(refused.facts), *({"what": "check", "name": code} for code in checks)]
    return Refused(refused.code, {**refused.facts, "missing": missing})


def bundle_name(setting: Setting) -> str:
    """Tells precinct and day, and nothing else; `hand-over-4-07-2027-03-02.zip`."""
    kind = "practice-hand-over" if setting.is_practice else "hand-over"
    return f"{kind}-{precinct_and_day(setting)}.zip"


def folder_of(url: str) -> Path:
    """Where bundles are put: beside the record, or where the command runs if it is no file."""
    path = sqlite_path(url)
    return Path() if path is None else path.parent


def _sealed(roster: Roster, now: datetime, form: Form) -> tuple[dict[str, bytes], Head]:
    """Every file, the manifest first, all of one moment of the log."""
    for _ in range(_TRIES):
        files, head = roster.store.read(lambda connection: _files(roster, connection, now, form))
        if roster.store.read(queries.head) == head:
            return files, head
    raise HandOverFailed(why="the record is still being written to; try again")


def _files(
    roster: Roster, connection: Connection, now: datetime, form: Form
) -> tuple[dict[str, bytes], Head]:
    head = queries.head(connection)
    snapshot = Snapshot(roster.setting, connection, now)
    files = {name: make(snapshot) for name, make in EXPORTS.items()}
    files |= bundle_record.record_files(connection, snapshot.entries)
    files |= _papers(roster, connection, Made(now, head.seq, head.hash), form)
    if roster.setting.is_practice:
        files[PRACTICE_NOTE] = PRACTICE_TEXT
    made_at = snapshot.made_at.isoformat(timespec="milliseconds")
    withheld = bundle_record.withheld_in(files)
    sealed = Sealed(made_at, __version__, head.seq, head.hash, withheld)
    manifest = manifest_json(roster.setting, sealed, files)
    return {MANIFEST: manifest, **{name: files[name] for name in sorted(files)}}, head


def _papers(roster: Roster, connection: Connection, made: Made, form: Form) -> dict[str, bytes]:
    found = {}
    register_form = RegisterForm(form.size, form.language)
    for name, register in REGISTERS.items():
        if name not in NOT_OF_THE_DAY:
            found[name] = _written(roster, connection, made, register, register_form)
    lists: Mapping[str, Callable[[Printing, Form], None]] = {**PAPERS, **CERTIFICATES}
    for name, paper in lists.items():
        if name not in NOT_OF_THE_DAY:
            found[name] = _written(roster, connection, made, paper, form)
    for kept in late_lists.all_lists(connection):
        if kept.started_seq is not None:
            found[f"list-{kept.started_seq}"] = print_proof(roster, kept.list_id, form.language)
    return {f"paper-{name}.pdf": pages for name, pages in found.items()}


def _written(
    roster: Roster,
    connection: Connection,
    made: Made,
    paper: Callable[[Printing, F], None],
    form: F,
) -> bytes:
    file = io.BytesIO()
    paper(Printing(roster, connection, made, file.write), form)
    return file.getvalue()


def _listed(facts: Mapping[str, object]) -> list[dict[str, str]]:
    missing = facts["missing"]
    return list(missing) if isinstance(missing, list) else []


class _Counted:
    """Counts and digests what goes through."""

    def __init__(self) -> None:
        self.bytes = 0
        self._digest = hashlib.sha256()

    def of(self, pieces: Iterator[bytes]) -> Iterator[bytes]:
        for piece in pieces:
            self.bytes += len(piece)
            self._digest.update(piece)
            yield piece

    @property
    def sha256(self) -> str:
        return self._digest.hexdigest()
