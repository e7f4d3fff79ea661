"""How long a supplemental list takes over a large register; look-alikes row by row beside it.

    python scripts/bench_supplemental.py --lines 200000 --rows 5000

All people are made up, from census names. Row by row is timed on a few rows and multiplied, which
the table says; that both flag the same is checked on those rows. `in the writer` is the part of
applying in which nobody can sign.
"""

from __future__ import annotations

import argparse
import csv
import io
import platform
import tempfile
import time
from collections.abc import Callable, Sequence
from pathlib import Path
from typing import TypeVar

from rich.console import Console
from rich.table import Table

from app.desk import late_applying, late_lists
from app.desk.elsewhere import ElsewhereFinder
from app.desk.namesakes import ids_of_look_alikes, ids_of_look_alikes_of_each
from app.desk.outcomes import Refused
from app.desk.roster import Roster
from app.intake.faults import Faults
from app.matching.finder import Finder
from app.records import loading, queries
from app.records.clock import SystemClock
from app.records.named import all_named_now
from app.records.store import Store, open_store
from app.records.unit import Unit
from app.rules.late_list import ListKind
from app.rules.line import PrintedLine
from bench_late_lists import ACTOR, setting
from finding_bench.people import make_people

T = TypeVar("T")
COLUMNS = (
    *("voter_number", "last_name", "first_name", "middle_name", "suffix", "birth_date"),
    *("street_address", "city", "postal_code"),
)


class Timed:
    """Seconds by step, in the order in which the steps were done."""

    def __init__(self) -> None:
        self.seconds: dict[str, float] = {}

    def __call__(self, step: str, work: Callable[[], T]) -> T:
        started = time.perf_counter()
        answer = work()
        self.seconds[step] = time.perf_counter() - started
        return answer


def file_of(people: Sequence[PrintedLine]) -> bytes:
    text = io.StringIO(newline="")
    writer = csv.writer(text)
    writer.writerow(COLUMNS)
    writer.writerows([getattr(one, name) for name in COLUMNS] for one in people)
    return text.getvalue().encode()


def loaded(store: Store, lines: Sequence[PrintedLine]) -> Roster:
    """The register in a record, without the look-alikes that its own lines have."""
    the_setting, key = setting(), loading.fresh_line_key()
    identified = loading.identified(lines, {}, key)
    store.writer.write(
        lambda unit: loading.store(
            unit, ACTOR, setting=the_setting, lines=identified, files={}, line_key=key
        )
    )
    finder = Finder([], election_year=2027)
    return Roster(store, the_setting, finder, ElsewhereFinder((), the_setting))


def apply_list(roster: Roster, added: Sequence[PrintedLine], timed: Timed) -> None:
    new = late_lists.NewList(ListKind.SUPPLEMENTAL, "added.csv", file_of(added))
    read = late_lists.read_file(roster, new)
    if isinstance(read, Faults):
        raise SystemExit("\n".join(map(str, read.faults)))
    write = roster.store.writer.write
    kept = write(lambda unit: late_lists.bring(unit, ACTOR, "bench-brings-a-list", read))
    if isinstance(kept, Refused):
        raise SystemExit(kept.code)
    list_id = kept[0].list_id
    prepared = timed("made ready to apply", lambda: late_applying.prepare_to_apply(roster, list_id))

    def work(unit: Unit) -> late_applying.Applied | Refused:
        apply = late_applying.apply
        return timed("in the writer", lambda: apply(unit, ACTOR, "bench-applies-a-list", prepared))

    done = timed("applied", lambda: write(work))
    if isinstance(done, Refused):
        raise SystemExit(done.code)
    print(f"of {len(added):,} rows: {done.tally}")


def compare(roster: Roster, added: Sequence[PrintedLine], sample: int, timed: Timed) -> None:
    """Look-alikes of every row at once, and of a few rows one by one."""
    lines = timed("lines read", lambda: roster.store.read(lambda one: list(all_named_now(one))))
    at_once = timed("look-alikes, all at once", lambda: ids_of_look_alikes_of_each(added, lines))
    few = added[:: max(1, len(added) // sample)][:sample]
    whole = roster.store.read(lambda one: list(queries.all_lines_now(one)))
    one_by_one = timed("few", lambda: [ids_of_look_alikes(one, whole) for one in few])
    if one_by_one != at_once[:: max(1, len(added) // sample)][:sample]:
        raise SystemExit("row by row flags others")
    took = timed.seconds.pop("few") / len(few)
    timed.seconds[f"look-alikes, row by row ({len(few)} rows, multiplied)"] = took * len(added)


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--lines", type=int, default=200_000)
    parser.add_argument("--rows", type=int, default=5_000)
    parser.add_argument("--sample", type=int, default=10)
    asked = parser.parse_args()
    people = [
        line.printed for line in make_people(asked.lines + asked.rows, "supplemental").lines()
    ]
    added, lines = people[: asked.rows], people[asked.rows :]
    timed = Timed()
    with tempfile.TemporaryDirectory() as folder:
        url = f"sqlite:///{(Path(folder) / 'day.db').as_posix()}"
        with open_store(url, SystemClock()) as store:
            roster = loaded(store, lines)
            compare(roster, added, asked.sample, timed)
            apply_list(roster, added, timed)
    shown = Table("step", "seconds", title=f"{asked.rows:,} rows over {asked.lines:,} lines")
    for name, took in timed.seconds.items():
        shown.add_row(name, f"{took:,.2f}")
    console = Console()
    console.print(shown)
    console.print(f"{platform.system()} {platform.machine()}, Python {platform.python_version()}")


if __name__ == "__main__":
    main()
