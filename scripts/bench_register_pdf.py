"""How long register pages take, and the most memory that making them needs.

    python scripts/bench_register_pdf.py --lines 2000 10000 50000 100000

Each size is made in a process of its own, out of a record in a temporary folder, into a file. The
memory is the most that the process held, and before: with the lines in the record and none
printed. `--now` prints the register as of now, half of its lines signed on the page.
All people are made up, from census names. Beside it the same rows with fpdf2 and reportlab were
measured once: see DEVELOPERS.md.
"""

from __future__ import annotations

import argparse
import gc
import json
import math
import os
import platform
import re
import subprocess
import sys
import tempfile
import time
from collections.abc import Sequence
from datetime import UTC, datetime
from pathlib import Path

from rich.console import Console
from rich.table import Table

from app.desk import day_papers
from app.desk.elsewhere import ElsewhereFinder
from app.desk.roster import Roster
from app.desk.signing import signature_body, strokes_digest, strokes_text
from app.matching.finder import Finder
from app.papers.register_pages import RegisterForm
from app.records import loading
from app.records.clock import SystemClock
from app.records.store import Store, open_store
from app.records.unit import Unit
from app.rules.line import Line
from app.rules.moment import Evidence
from bench_late_lists import ACTOR, setting
from finding_bench.people import make_people

NOON = datetime(2027, 3, 2, 17, 0, tzinfo=UTC)


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--lines", type=int, nargs="+", default=[2_000, 10_000, 50_000, 100_000])
    parser.add_argument("--now", action="store_true", help="as of now, half of the lines signed")
    # What the processes of their own are asked to do.
    parser.add_argument("--step", choices=["fill", "print"], help=argparse.SUPPRESS)
    parser.add_argument("--folder", type=Path, help=argparse.SUPPRESS)
    asked = parser.parse_args()
    if asked.step == "fill":
        fill(record_in(asked.folder), asked.lines[0], is_now=asked.now)
    elif asked.step == "print":
        print(json.dumps(printed(asked.folder, asked.lines[0], is_now=asked.now)))
    else:
        show([measured(lines, is_now=asked.now) for lines in asked.lines])


def measured(lines: int, *, is_now: bool) -> dict[str, float]:
    """One size: filled by one process and printed by another, whose memory is looked at."""
    with tempfile.TemporaryDirectory() as folder:
        options = ["--lines", str(lines), "--folder", folder, *(["--now"] if is_now else [])]
        for step in ("fill", "print"):
            command = [sys.executable, __file__, "--step", step, *options]
            done = subprocess.run(command, capture_output=True, text=True)
            if done.returncode:
                raise SystemExit(done.stderr)
    found: dict[str, float] = json.loads(done.stdout.splitlines()[-1])
    return found


def record_in(folder: Path) -> str:
    return f"sqlite:///{folder.as_posix()}/day.db"


def fill(url: str, lines: int, *, is_now: bool) -> None:
    """The lines in a record; half of them with a drawn signature of a hundred points."""
    key = loading.fresh_line_key()
    people = make_people(lines, seed="print")
    identified = loading.identified([line.printed for line in people.lines()], {}, key)
    with open_store(url, SystemClock()) as store:
        store.writer.write(
            lambda unit: loading.store(
                unit, ACTOR, setting=setting(), lines=identified, files={}, line_key=key
            )
        )
        if is_now:
            sign(store, identified[::2])


def sign(store: Store, lines: Sequence[Line]) -> None:
    """Drawn signatures, as the table records them."""
    ink = [[(500 + 90 * at, int(5000 + 3000 * math.sin(at / 4)), at * 10) for at in range(100)]]
    text = strokes_text(ink)
    for start in range(0, len(lines), 500):
        some = lines[start : start + 500]

        def work(unit: Unit, some: Sequence[Line] = some) -> None:
            for line in some:
                body = signature_body(line, Evidence(), "drawn", strokes_digest(text))
                unit.append(ACTOR, f"bench-signs-{line.line_id}"[:60], body, line.line_id, text)

        store.writer.write(work)


def printed(folder: Path, lines: int, *, is_now: bool) -> dict[str, float]:
    """Print once and look: seconds, the size of the file, memory before and at the most."""
    file = folder / "register.pdf"
    with open_store(record_in(folder), SystemClock()) as store:
        the_setting = setting()
        finder = Finder([], election_year=2027)
        roster = Roster(store, the_setting, finder, ElsewhereFinder((), the_setting))
        paper = day_papers.REGISTERS["register-now" if is_now else "register"]
        gc.collect()
        before, started = peak_megabytes(), time.perf_counter()
        with file.open("wb") as out:
            day_papers.write_paper(roster, paper, RegisterForm(), NOON, out.write)
        took = time.perf_counter() - started
    return {
        "lines": lines,
        "seconds": took,
        "megabytes": file.stat().st_size / 1e6,
        "before": before,
        "peak": peak_megabytes(),
    }


def peak_megabytes() -> float:
    """The most this process has held so far; nan where the system does not tell."""
    try:
        status = Path("/proc/self/status").read_text("ascii")
    except OSError:
        return math.nan
    found = re.search(r"VmHWM:\s+(\d+) kB", status)
    return int(found[1]) / 1e3 if found else math.nan


def show(rows: list[dict[str, float]]) -> None:
    table = Table(
        title=f"Register pages, Python {platform.python_version()}, {os.cpu_count()} cores"
    )
    for heading in ("lines", "seconds", "file MB", "MB before", "MB at most"):
        table.add_column(heading, justify="right")
    for row in rows:
        table.add_row(
            f"{row['lines']:,.0f}",
            f"{row['seconds']:.1f}",
            f"{row['megabytes']:.1f}",
            f"{row['before']:.0f}",
            f"{row['peak']:.0f}",
        )
    Console().print(table)


if __name__ == "__main__":
    main()
