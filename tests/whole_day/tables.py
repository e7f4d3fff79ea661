"""The tables of a day: who sits there, how they reach the program, and what slips through.

Everything goes over HTTP into a real record of the sample package; the clock is the day's own.
"""

from __future__ import annotations

import itertools
import shutil
from collections.abc import Callable, Iterable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from datetime import datetime
from pathlib import Path
from typing import Any

from sqlalchemy import Connection, select
from starlette.testclient import TestClient

from app.desk.loading import load_package
from app.desk.signing_on import add_worker
from app.intake.faults import Faults
from app.records import queries
from app.records.store import open_store
from app.rules.line import Line
from app.server import build_app
from tests.api.busy_day import done
from tests.api.conftest import HOST, PINS, ROLES
from tests.api.whole_day import WholeDay
from tests.whole_day.truth import Cast, Truth, WallClock, cast_of

SAMPLE = Path(__file__).resolve().parents[2] / "sample_rosters" / "tern-4-07"
TABLES = (("RM", "Table 1"), ("TB", "Table 2"), ("RM", "Table 3"))

Act = tuple[datetime, Callable[[], object]]


@dataclass
class Slips:
    """What goes wrong. `misread` makes of a true closing count what is written of it."""

    row_missed: bool = False
    keyed_twice: bool = False
    namesake_first: bool = False
    wrong_button: bool = False
    envelope_in_machine: bool = False
    unread: set[str] = field(default_factory=set)
    misread: dict[str, Callable[[int], int]] = field(default_factory=dict)
    has_protective: bool = True
    more: list[Act] = field(default_factory=list)


@dataclass
class Day:
    """`doubted` are the readings that the program doubted and the table insisted on."""

    place: WholeDay
    clock: WallClock
    cast: Cast
    truth: Truth
    slips: Slips = field(default_factory=Slips)
    doubted: list[str] = field(default_factory=list)

    def __post_init__(self) -> None:
        self.lead: TestClient = self.place.station("LO", "Lead's desk")
        self.tables = [self.place.station(*table) for table in TABLES]

    def run(self, acts: Iterable[Act]) -> None:
        """Each at its time, in order."""
        for at, act in sorted(acts, key=lambda one: one[0]):
            self.clock.at = at
            act()

    def done(self, path: str, body: dict[str, Any] | None = None, table: int | None = None) -> Any:
        """By the lead, or at a table."""
        client = self.lead if table is None else self.tables[table]
        return done(self.place, client, path, body)

    def on(self, line: Line, what: str, body: dict[str, Any], table: int | None = None) -> Any:
        return self.done(f"/api/lines/{line.line_id}/{what}", body, table)

    def sign(self, line: Line, table: int | None = None) -> None:
        """The voter says the birth date, as look-alikes are asked."""
        at = self.truth.rng.randrange(len(self.tables)) if table is None else table
        self.on(line, "signature", {"how": "paper", "evidence": said(line)}, at)

    def sign_and_vote(self, line: Line, table: int | None = None) -> None:
        self.sign(line, table)
        self.truth.vote_after(self.clock.at, line.printed.ballot_button)

    def reconciliation(self) -> Any:
        return self.lead.get("/api/reconciliation").json()


def said(line: Line) -> dict[str, str]:
    return {"birth_date": line.printed.birth_date.isoformat()}


def load(folder: Path, clock: WallClock) -> str:
    """The sample package, whose machines are compared ballot by ballot here."""
    package = folder / "package"
    shutil.copytree(SAMPLE, package, ignore=shutil.ignore_patterns("MANIFEST.json"))
    file = package / "election.toml"
    text = file.read_text(encoding="utf-8")
    setting = "[policy]\nreconcile_ballots_by_button = true"
    file.write_text(text.replace("[policy]", setting, 1), encoding="utf-8")
    url = f"sqlite:///{folder.as_posix()}/day.db"
    loaded = load_package(package, url, clock)
    assert not isinstance(loaded, Faults), loaded
    with open_store(url, clock) as store:
        for initials, pin in PINS.items():
            role, name = ROLES[initials], f"Worker {initials}"
            add_worker(store, name=name, initials=initials, role=role, pin=pin)
    return url


@contextmanager
def at_work(url: str, clock: WallClock, truth: Truth) -> Iterator[Day]:
    """The tables over the record at `url`, everybody signed on."""
    with open_store(url, clock) as store:
        lines = store.read(_all_lines)
    app = build_app(url, {HOST}, clock)
    with TestClient(app, base_url=f"http://{HOST}"):
        # No token of the hours before is used again.
        place = WholeDay(url, app, {}, itertools.count(int(clock.at.timestamp())))
        yield Day(place, clock, cast_of(lines), truth)


def _all_lines(connection: Connection) -> list[Line]:
    ids = connection.scalars(select(queries.lines.c.line_id)).all()
    return [*queries.lines_with(connection, ids).values()]
