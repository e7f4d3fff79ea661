"""How long a late list takes: looked at and applied, over a register of many lines.

    python scripts/bench_late_lists.py --lines 100000 --rows 5000

All people are made up. `in the writer` is the part of applying in which nobody can sign; the
longest a signature waited meanwhile is measured beside it.
"""

from __future__ import annotations

import argparse
import datetime
import platform
import random
import tempfile
import threading
import time
from collections.abc import Callable
from functools import partial
from pathlib import Path
from typing import TypeVar

from rich.console import Console
from rich.table import Table

from app.desk import late_applying, late_lists, late_views, signing
from app.desk.day import take_turn
from app.desk.elsewhere import ElsewhereFinder
from app.desk.outcomes import Refused
from app.desk.roster import Roster
from app.desk.signing import Signature
from app.intake.faults import Faults
from app.matching.finder import Finder
from app.records import loading
from app.records.bodies import DayOpened
from app.records.clock import SystemClock
from app.records.entry import Actor
from app.records.store import open_store
from app.records.unit import Unit
from app.rules.late_list import ListKind
from app.rules.line import PrintedLine
from app.rules.setting import Ballot, Election, PollingPlace, Precinct, Registrar, Setting

T = TypeVar("T")
ACTOR = Actor("bench", "LO", "Lead's desk")
PAUSE_SECONDS = 0.02


def setting() -> Setting:
    day = datetime.date(2027, 3, 2)
    opens, closes = datetime.time(7), datetime.time(20)
    return Setting(
        Election("tern", "Municipal Election", day, True, opens, closes, "America/New_York"),
        Precinct("Tern County", "4-07"),
        PollingPlace("Wheelhouse Road School, gym"),
        Registrar("Tern County Registrar of Voters", "555-0142"),
        ballots=(Ballot("4-07"),),
    )


def people(many: int, chance: random.Random) -> list[PrintedLine]:
    def word() -> str:
        return "".join(chance.choice("bdfglmnprst") + chance.choice("aeiou") for _ in "123").title()

    oldest = datetime.date(1935, 1, 1)
    return [
        PrintedLine(
            f"{100_000_000 + number}",
            word(),
            word(),
            oldest + datetime.timedelta(days=chance.randrange(26_000)),
            street_address="4 Ropewalk Lane",
        )
        for number in range(many)
    ]


class Waiting:
    """Somebody who signs one line after another while the list is applied; the longest wait."""

    def __init__(self, roster: Roster, line_ids: list[str]) -> None:
        self.longest = 0.0
        self._roster = roster
        self._line_ids = iter(line_ids)
        self._is_over = threading.Event()
        self._thread = threading.Thread(target=self._sign)
        self._thread.start()

    def finish(self) -> None:
        self._is_over.set()
        self._thread.join()

    def _sign(self) -> None:
        while not self._is_over.is_set():
            line_id, token = next(self._line_ids), f"bench-{time.monotonic_ns():020}"
            started = time.perf_counter()
            self._roster.store.writer.write(
                partial(
                    signing.sign,
                    roster=self._roster,
                    actor=ACTOR,
                    token=token,
                    line_id=line_id,
                    signature=Signature("paper"),
                )
            )
            self.longest = max(self.longest, time.perf_counter() - started)
            time.sleep(PAUSE_SECONDS)


def run(folder: Path, lines: int, rows: int) -> dict[str, float]:
    chance = random.Random(407)
    printed = people(lines, chance)
    key = loading.fresh_line_key()
    loaded, the_setting = loading.identified(printed, {}, key), setting()
    listed = chance.sample(range(lines), rows)
    heading = "voter_number,last_name,first_name,birth_date\n"
    content = heading + "".join(
        f"{of.voter_number},{of.last_name},{of.first_name},{of.birth_date}\n"
        for of in (printed[place] for place in listed)
    )
    seconds: dict[str, float] = {}

    def timed(name: str, work: Callable[[], T]) -> T:
        started = time.perf_counter()
        answer = work()
        seconds[name] = time.perf_counter() - started
        return answer

    with open_store(f"sqlite:///{(folder / 'day.db').as_posix()}", SystemClock()) as store:
        write = store.writer.write
        write(
            lambda unit: loading.store(
                unit, ACTOR, setting=the_setting, lines=loaded, files={}, line_key=key
            )
        )
        write(lambda unit: take_turn(unit, ACTOR, "bench-opens-the-polls", DayOpened))
        finder = Finder([], election_year=2027)
        roster = Roster(store, the_setting, finder, ElsewhereFinder((), the_setting))
        new = late_lists.NewList(ListKind.MAIL_VOTED, "mail-1400.csv", content.encode())

        def preview() -> str:
            read = late_lists.read_file(roster, new)
            if isinstance(read, Faults):
                raise SystemExit("\n".join(map(str, read.faults)))
            kept = write(lambda unit: late_lists.bring(unit, ACTOR, "bench-brings-a-list", read))
            if isinstance(kept, Refused):
                raise SystemExit(kept.code)
            found = late_views.read_list(roster, kept[0].list_id)
            if found.tally.applied != rows:
                raise SystemExit(f"not every row would be applied: {found.tally}")
            return found.kept.list_id

        list_id = timed("preview", preview)
        others = sorted(set(range(lines)) - set(listed))
        waiting = Waiting(roster, [loaded[place].line_id for place in others])

        def apply() -> None:
            prepared = late_applying.prepare_to_apply(roster, list_id)

            def work(unit: Unit) -> late_applying.Applied | Refused:
                return timed(
                    "in the writer",
                    lambda: late_applying.apply(unit, ACTOR, "bench-applies-a-list", prepared),
                )

            done = write(work)
            if isinstance(done, Refused) or done.tally.applied != rows:
                raise SystemExit("not every row was applied")

        timed("apply", apply)
        waiting.finish()
        seconds["longest wait of a signature"] = waiting.longest
    return seconds


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--lines", type=int, default=100_000)
    parser.add_argument("--rows", type=int, default=5_000)
    asked = parser.parse_args()
    with tempfile.TemporaryDirectory() as folder:
        seconds = run(Path(folder), asked.lines, asked.rows)
    shown = Table("step", "seconds", title=f"{asked.rows:,} rows over {asked.lines:,} lines")
    for name, took in seconds.items():
        shown.add_row(name, f"{took:.2f}")
    console = Console()
    console.print(shown)
    console.print(f"{platform.system()} {platform.machine()}, Python {platform.python_version()}")


if __name__ == "__main__":
    main()
