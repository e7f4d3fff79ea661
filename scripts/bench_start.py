"""How soon a laptop that went down in the middle of a large day serves again, and is verified.

    python scripts/bench_start.py --lines 100000 --entries 50000

The lines are loaded, so many of them signed on the pad, and the server killed (SIGKILL) while it
serves. Then it is started twice: without the finder's file beside the record, and with it; timed
until the first answer. Then the whole log is verified, and again with twice as many entries.
All of it in clear and encrypted. All people are made up, from census names.
"""

from __future__ import annotations

import argparse
import platform
import tempfile
import time
from collections.abc import Callable, Sequence
from pathlib import Path

from rich.console import Console
from rich.table import Table

import _running_server
from _running_server import Day, Server
from app.desk import index_file
from app.records import loading, people
from app.records.bodies import VoterLeft
from app.records.clock import SystemClock
from app.records.store import Store, open_store, verify_database
from app.records.unit import Pending, Unit
from app.records.unlocking import make_slots
from app.rules.line import Line
from app.trust.passphrases import SlotKind
from bench_late_lists import ACTOR, setting
from bench_register_pdf import sign
from finding_bench.people import make_people

PASSPHRASE = "eleven herons wade"  # noqa: S105 - of a record that is thrown away
# Who does everything; nobody signs on with a PIN.
WORKER = people.NewWorker(ACTOR.worker_id, "The bench", ACTOR.initials, "lead", "no hash")
# A start that takes longer is a figure too, and no reason to give up.
MOST_SECONDS = 120.0
# As many as a late list has in one transaction.
_AT_ONCE = 500


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--lines", type=int, default=100_000)
    parser.add_argument("--entries", type=int, default=50_000)
    asked = parser.parse_args()
    _running_server.START_SECONDS = MOST_SECONDS
    shown = Table("", "in clear", "encrypted", title=f"{platform.machine()}, seconds")
    with tempfile.TemporaryDirectory() as folder:
        in_clear = measured(Path(folder), asked.lines, asked.entries, "")
    with tempfile.TemporaryDirectory() as folder:
        encrypted = measured(Path(folder), asked.lines, asked.entries, PASSPHRASE)
    for name, seconds in in_clear.items():
        shown.add_row(name, f"{seconds:.2f}", f"{encrypted[name]:.2f}")
    Console().print(shown)


def measured(folder: Path, lines: int, entries: int, passphrase: str) -> dict[str, float]:
    """Seconds by what took them."""
    path = folder / "day.db"
    url = f"sqlite:///{path.as_posix()}"
    if passphrase:
        make_slots(path, SlotKind.PASSPHRASE, "first", [passphrase])
    identified = fill(url, lines, entries)
    server = Server(Day(url, (), passphrase))
    found = {"started for the first time": server.start()}
    server.kill()
    found["started after a kill"] = server.start()
    server.kill()
    path.with_name(path.name + index_file.ENDING).unlink(missing_ok=True)
    found["after a kill, without the finder's file"] = server.start()
    server.kill()
    found[f"verify of {entries:,} entries"] = timed(lambda: holds(url))
    leave(url, identified[:entries])
    found[f"verify of {2 * entries:,} entries"] = timed(lambda: holds(url))
    return found


def fill(url: str, lines: int, entries: int) -> Sequence[Line]:
    """The lines in a record, and the first of them signed on the pad."""
    key = loading.fresh_line_key()
    made_up = make_people(lines, seed="start")
    identified = loading.identified([line.printed for line in made_up.lines()], {}, key)
    with open_store(url, SystemClock()) as store:
        store.writer.write(lambda unit: people.add_worker(unit, WORKER))
        store.writer.write(
            lambda unit: loading.store(
                unit, ACTOR, setting=setting(), lines=identified, files={}, line_key=key
            )
        )
        sign(store, identified[:entries])
    return identified


def leave(url: str, lines: Sequence[Line]) -> None:
    """As many entries again, without drawings: everybody who signed leaves without voting."""
    with open_store(url, SystemClock()) as store:
        for start in range(0, len(lines), _AT_ONCE):
            _leave_some(store, lines[start : start + _AT_ONCE], start)


def _leave_some(store: Store, lines: Sequence[Line], start: int) -> None:
    def work(unit: Unit) -> None:
        # Entry 1 is the load; the lines were signed in their order.
        pending = [
            Pending(
                f"bench-leaves-{line.line_id}"[:60],
                VoterLeft(signature_seq=start + at + 2, reason="bench"),
                line.line_id,
            )
            for at, line in enumerate(lines)
        ]
        unit.append_all(ACTOR, pending)

    store.writer.write(work)


def holds(url: str) -> None:
    found = verify_database(url)
    if found.fault:
        raise SystemExit(f"the record does not hold: {found.fault}")


def timed(work: Callable[[], None]) -> float:
    started = time.perf_counter()
    work()
    return time.perf_counter() - started


if __name__ == "__main__":
    main()
