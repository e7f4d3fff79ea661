"""How long the lead's view takes: what needs them now, turnout, and the count on the door.

    python scripts/bench_lead.py --lines 100000 --signed 40000 --open 50

All people are made up. Of what is open, the half are irregularities, the others lines that say
two different things. A late list of 5,000 rows was applied. Each is read eleven times; the first
time reads the print as well and is shown by itself.
"""

from __future__ import annotations

import argparse
import platform
import random
import statistics
import tempfile
import time
from collections.abc import Callable
from datetime import UTC, datetime
from functools import partial
from pathlib import Path

from rich.console import Console
from rich.table import Table

from app.desk.attention import what_needs_the_lead
from app.desk.attention_look import Watch
from app.desk.day import take_turn
from app.desk.elsewhere import ElsewhereFinder
from app.desk.irregularities import Written, contradiction_body, write_up
from app.desk.roster import Roster
from app.desk.signing import signature_body
from app.desk.turnout import read_turnout
from app.matching.finder import Finder
from app.papers.posted_counts import PostedCount, posted_count
from app.records import loading
from app.records.bodies import DayOpened, MarkRecorded
from app.records.clock import SystemClock
from app.records.store import open_store
from app.records.unit import Pending, Unit
from app.rules.late_list import Contradiction
from app.rules.line import Line, MarkKind
from app.rules.moment import Evidence
from bench_late_lists import ACTOR, people, setting

MARKED = 5_000
READINGS = 11


def fill(unit: Unit, lines: list[Line], signed: int, waiting: int) -> None:
    """A day so far: a list's marks, signatures, and what waits for the lead."""
    mark = MarkRecorded(mark=MarkKind.VOTED_BY_MAIL, source="mail-1400.csv")
    marks = [Pending(f"bench-mark-{n:010}", mark, lines[n].line_id) for n in range(MARKED)]
    unit.append_all(ACTOR, marks)
    signatures = [
        Pending(
            f"bench-signature-{n:010}",
            signature_body(line, Evidence(), "paper", None),
            line.line_id,
        )
        for n, line in enumerate(lines[MARKED : MARKED + signed])
    ]
    unit.append_all(ACTOR, signatures)
    both = Contradiction("signed-already", {}, {})
    for n in range(waiting // 2):
        line_id = lines[MARKED + n].line_id
        unit.append(ACTOR, f"bench-late-mark-{n:010}", mark, line_id)
        unit.append(ACTOR, f"bench-found-{n:010}", contradiction_body(both, None, n), line_id)
    for n in range(waiting - waiting // 2):
        written = Written("voter", "Somebody was loud", line_id=lines[-1 - n].line_id)
        write_up(unit, ACTOR, f"bench-writes-up-{n:010}", written)


def milliseconds(work: Callable[[], object]) -> list[float]:
    found = []
    for _ in range(READINGS):
        started = time.perf_counter()
        work()
        found.append((time.perf_counter() - started) * 1_000)
    return found


def run(folder: Path, lines: int, signed: int, waiting: int) -> dict[str, list[float]]:
    printed = people(lines, random.Random(407))
    key = loading.fresh_line_key()
    loaded, the_setting = loading.identified(printed, {}, key), setting()
    with open_store(f"sqlite:///{(folder / 'day.db').as_posix()}", SystemClock()) as store:
        write = store.writer.write
        write(
            lambda unit: loading.store(
                unit, ACTOR, setting=the_setting, lines=loaded, files={}, line_key=key
            )
        )
        write(lambda unit: take_turn(unit, ACTOR, "bench-opens-the-polls", DayOpened))
        write(lambda unit: fill(unit, loaded, signed, waiting))
        finder = Finder([], election_year=2027)
        roster = Roster(store, the_setting, finder, ElsewhereFinder((), the_setting))
        watch, now = Watch(), datetime.now(UTC)
        items = partial(what_needs_the_lead, roster, watch, now)
        count = PostedCount(now, read_turnout(roster, now).hourly)
        seconds = {
            "what needs the lead": milliseconds(items),
            "turnout": milliseconds(lambda: read_turnout(roster, now)),
            "the count on the door": milliseconds(lambda: posted_count(the_setting, count, "en")),
        }
        if len(items()) != waiting or count.hourly.total.signed != signed:
            raise SystemExit("something is missing from what was read")
    return seconds


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--lines", type=int, default=100_000)
    parser.add_argument("--signed", type=int, default=40_000)
    parser.add_argument("--open", type=int, default=50)
    asked = parser.parse_args()
    with tempfile.TemporaryDirectory() as folder:
        found = run(Path(folder), asked.lines, asked.signed, asked.open)
    title = f"{asked.open} open, {asked.signed:,} signed, {asked.lines:,} lines"
    shown = Table("milliseconds", "first", "median of the rest", "worst of the rest", title=title)
    for name, (first, *rest) in found.items():
        median = statistics.median(rest)
        shown.add_row(name, f"{first:.1f}", f"{median:.1f}", f"{max(rest):.1f}")
    console = Console()
    console.print(shown)
    console.print(f"{platform.system()} {platform.machine()}, Python {platform.python_version()}")


if __name__ == "__main__":
    main()
