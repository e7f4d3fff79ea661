"""A signing run to be recorded: several stations sign lines through the real writer.

Run as `python -m tests.power_cut.signing_run FOLDER MUTANT`. After each answer the
token is appended to FOLDER/acknowledged, which puts the acknowledgement into the
recording at the moment a station would have shown it. MUTANT is `none`, `normal`
(synchronous=NORMAL) or `early` (answer before the commit).
"""

from __future__ import annotations

import os
import sys
import threading
from concurrent.futures import InvalidStateError
from contextlib import suppress
from pathlib import Path
from typing import Any

from app.records import engine, loading, writer
from app.records.bodies import SignatureRecorded
from app.records.clock import SystemClock
from app.records.entry import Actor
from app.records.store import Store
from app.rules.line import Line
from tests.at_work import add_workers
from tests.making import printed, setting

LINES = 200
INITIALS = ("RM", "TB", "LO", "GS")
STATIONS = len(INITIALS)

# Small, so that a run of a few seconds holds several checkpoints.
CHECKPOINT_PAGES = 60


def main(folder: Path, mutant: str) -> None:
    _checkpoint_often()
    {"none": _nothing, "normal": _mutate_normal, "early": _mutate_early}[mutant]()
    store = Store(f"sqlite:///{(folder / 'day.db').as_posix()}", SystemClock())
    lines = _load(store)
    acknowledged = os.open(folder / "acknowledged", os.O_WRONLY | os.O_CREAT | os.O_APPEND)
    threads = [
        threading.Thread(target=_station, args=(store, number, lines, acknowledged))
        for number in range(STATIONS)
    ]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    # Gone without closing: closing would checkpoint and tidy up what a power cut would not.
    os._exit(0)


def _load(store: Store) -> list[Line]:
    people = [printed(number) for number in range(1, LINES + 1)]
    line_key = loading.fresh_line_key()
    lines = loading.identified(people, {}, line_key)
    actor = Actor("command", "", "command line")
    workers = [Actor(f"w{number}", INITIALS[number], "") for number in range(STATIONS)]
    store.writer.write(lambda unit: add_workers(unit, *workers))
    store.writer.write(
        lambda unit: loading.store(
            unit, actor, setting=setting(), lines=lines, files={}, line_key=line_key
        )
    )
    return lines


def _station(store: Store, number: int, lines: list[Line], acknowledged: int) -> None:
    actor = Actor(f"w{number}", INITIALS[number], f"Table {number}")
    body = SignatureRecorded(
        how="paper",
        strokes_sha256=None,
        ballot_button=1,
        told_apart=None,
        identification=None,
        in_line_at_cut_off=None,
    )
    for place in range(number, len(lines), STATIONS):
        token = f"token-for-line-{place:04}"
        line_id = lines[place].line_id
        store.writer.write(
            lambda unit, token=token, line_id=line_id: unit.append(actor, token, body, line_id)  # type: ignore[misc]
        )
        os.write(acknowledged, f"{token}\n".encode())


def _nothing() -> None:
    """The product as it is."""


def _mutate_normal() -> None:
    engine.SYNCHRONOUS = "NORMAL"


def _mutate_early() -> None:
    """Answer as soon as the work is done, before the commit."""
    real_attempt, real_settle = writer.Writer._attempt, writer._Request.settle

    def attempt(self: writer.Writer, *args: Any) -> Any:
        unit = real_attempt(self, *args)
        real_settle(args[-1])
        return unit

    def settle(self: writer._Request) -> None:
        with suppress(InvalidStateError):  # answered early
            real_settle(self)

    writer.Writer._attempt = attempt  # type: ignore[method-assign]
    writer._Request.settle = settle  # type: ignore[method-assign]


def _checkpoint_often() -> None:
    real = engine._set_pragmas

    def set_pragmas(connection: Any, *, read_only: bool) -> None:
        real(connection, read_only=read_only)
        connection.execute(f"PRAGMA wal_autocheckpoint={CHECKPOINT_PAGES}")

    engine._set_pragmas = set_pragmas


if __name__ == "__main__":
    main(Path(sys.argv[1]), sys.argv[2])
