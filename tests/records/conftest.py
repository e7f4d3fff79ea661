"""A real record in a temporary folder, with ten lines loaded."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

import pytest

from app.records import loading
from app.records.bodies import SignatureRecorded
from app.records.clock import SystemClock
from app.records.entry import Actor
from app.records.store import Store, open_store
from app.records.unit import Unit
from app.rules.line import Line, MarkKind, PrintedMark
from tests.at_work import add_workers
from tests.making import printed, setting

ROSA = Actor("w-rosa", "RM", "Table 1")
LEAD = Actor("w-lead", "LO", "Lead's desk")
PAPER = SignatureRecorded(
    how="paper",
    strokes_sha256=None,
    ballot_button=1,
    told_apart=None,
    identification=None,
    in_line_at_cut_off=None,
)


@dataclass(frozen=True)
class Loaded:
    url: str
    store: Store
    lines: list[Line]

    def sign(self, place: int, token: str | None = None) -> None:
        """Sign the line at `place` on paper."""
        line_id = self.lines[place].line_id
        token = token or f"token-for-line-{place:04}"
        self.store.writer.write(lambda unit: unit.append(ROSA, token, PAPER, line_id))


def load(store: Store, many: int = 10) -> list[Line]:
    people = [printed(number) for number in range(1, many)]
    marked = PrintedMark(MarkKind.VOTED_BY_MAIL, "mail-voted.csv")
    people.append(printed(many, marks=(marked,)))
    line_key = loading.fresh_line_key()
    lines = loading.identified(people, {0: (1,), 1: (0,)}, line_key)

    def stored(unit: Unit) -> None:
        loading.store(
            unit, ROSA, setting=setting(), lines=lines, files={"x": "0"}, line_key=line_key
        )
        add_workers(unit, ROSA, LEAD)

    store.writer.write(stored)
    return lines


@pytest.fixture
def url(request: pytest.FixtureRequest, kept_in: str, tmp_path: Path) -> str:
    if kept_in == "server":
        return str(request.getfixturevalue("postgresql_url"))
    return f"sqlite:///{tmp_path.as_posix()}/day.db"


@pytest.fixture
def loaded(url: str) -> Iterator[Loaded]:
    with open_store(url, SystemClock()) as store:
        yield Loaded(url, store, load(store))
