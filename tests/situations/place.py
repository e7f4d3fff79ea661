"""One polling place, loaded afresh for one situation: real record, real rules, real HTTP."""

from __future__ import annotations

import datetime
import itertools
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass, field
from functools import cache
from pathlib import Path
from typing import Any

from argon2 import PasswordHasher
from fastapi import FastAPI
from starlette.testclient import TestClient

from app.matching.look_alikes import find_look_alikes
from app.records import loading, people
from app.records.bodies import LineRemoved, MarkRecorded
from app.records.clock import SystemClock
from app.records.entry import Actor
from app.records.store import open_store
from app.records.unit import Unit
from app.rules.elsewhere import ElsewhereLine
from app.rules.line import MarkKind, Part, PrintedLine, PrintedMark
from app.rules.policy import Policy
from app.server import build_app
from tests.making import printed, setting

HOST = "127.0.0.1:8407"
PIN = "240713"
PHONE_SECRET = "5a" * 32
INITIALS = {"worker": "RM", "lead": "LO", "registrar": "GS"}
REGISTRAR = Actor("registrar", "GS", "registrar")
SUFFIXES = frozenset({"Jr", "Sr", "II", "III"})

ELSEWHERE = (
    ElsewhereLine("Marigold", "Petra", 1961, "4-11", "Coopers Hall", "9 Staithe Street, Ternhaven"),
    ElsewhereLine(
        "Fenwright", "Lotte", 1955, "2-03", "Library at Brick Hill", "70 Brick Hill, Ternhaven"
    ),
)


@dataclass
class Place:
    """The app, who stands where and is printed how, and what came last: a walk of questions, a
    late list, a spoken code.
    """

    app: FastAPI
    url: str
    ids: dict[str, str]
    printed: dict[str, PrintedLine] = field(default_factory=dict)
    stations: dict[str, TestClient] = field(default_factory=dict)
    tokens: Iterator[int] = field(default_factory=itertools.count)
    situation: dict[str, object] = field(default_factory=dict)
    list_id: str = ""
    last_code: str = ""

    def as_(self, role: str) -> TestClient:
        """The browser of somebody of this role, signed on at the first need."""
        if role not in self.stations:
            client = TestClient(self.app, base_url=f"http://{HOST}", raise_server_exceptions=False)
            body = {"initials": INITIALS[role], "pin": PIN, "station": f"Table of {role}"}
            assert self.post(client, "/api/sign-on", body).status_code == 200
            self.stations[role] = client
        return self.stations[role]

    def post(self, client: TestClient, path: str, body: object = None) -> Any:
        key = f"situation-token-{next(self.tokens):06}"
        return client.post(path, json=body or {}, headers={"Idempotency-Key": key})

    def kinds(self) -> list[str]:
        """The kinds of all entries of the log, in order, but for sign-ons."""
        entries = self.as_("lead").get("/api/log?limit=1000").json()["entries"]
        return [entry["kind"] for entry in entries if entry["kind"] != "worker.signed_on"]


@contextmanager
def place_of(situation: Mapping[str, Any], folder: Path) -> Iterator[Place]:
    """The place as the situation finds it, with the turns of its `day` taken."""
    url = f"sqlite:///{folder.as_posix()}/day.db"
    ids, lines = _load(url, situation)
    app = build_app(url, {HOST})
    with TestClient(app, base_url=f"http://{HOST}"):
        yield Place(app, url, ids, lines)


def _load(url: str, situation: Mapping[str, Any]) -> tuple[dict[str, str], dict[str, PrintedLine]]:
    """The line_ids of the people by who they are, and their lines as printed."""
    wanted = situation.get("lines", [])
    lines = [_printed(number, dict(one)) for number, one in enumerate(wanted, 1)]
    # Somebody is always there, so that an empty register is no reason for finding nobody.
    lines.append(printed(900, last_name="Bystander", first_name="Agnes"))
    key = loading.fresh_line_key()
    identified = loading.identified(lines, find_look_alikes(lines), key)
    the_setting = setting(
        federal=situation.get("federal", True),
        buttons=tuple(situation.get("buttons", (1, 2, 3))),
        policy=Policy(**_as_tuples(situation.get("policy", {}))),
    )
    with open_store(url, SystemClock()) as store:

        def load(unit: Unit) -> None:
            loading.store(
                unit,
                REGISTRAR,
                setting=the_setting,
                lines=identified,
                files={},
                line_key=key,
                elsewhere_lines=ELSEWHERE,
                phone_secret=PHONE_SECRET,
            )
            for role, initials in INITIALS.items():
                people.add_worker(
                    unit, people.NewWorker(role, f"The {role}", initials, role, _hash())
                )
            for number, one in enumerate(wanted):
                _arrive(unit, one, identified[number].line_id)

        store.writer.write(load)
    whos = [one["who"] for one in wanted]
    ids = {who: line.line_id for who, line in zip(whos, identified, strict=False)}
    return ids, dict(zip(whos, lines, strict=False))


def _arrive(unit: Unit, one: Mapping[str, Any], line_id: str) -> None:
    """What reached the line after the package: a removal, a mark from a late list."""
    if one.get("removed"):
        unit.append(REGISTRAR, f"removal-{line_id}", LineRemoved(reason="moved away"), line_id)
    if "late_mark" in one:
        body = MarkRecorded(mark=_kind(one["late_mark"]), source="a late list")
        unit.append(REGISTRAR, f"mark-{line_id}", body, line_id)


def _printed(number: int, one: dict[str, Any]) -> PrintedLine:
    """A line of the file as it would be printed; every key but these names a column."""
    for key in ("who", "removed", "late_mark"):
        one.pop(key, None)
    last, _, first = one.pop("name").partition(", ")
    words = last.split()
    if words[-1] in SUFFIXES:
        one["suffix"] = words.pop()
    given = first.split()
    marks = one.pop("marked", [])
    return printed(
        number,
        last_name=" ".join(words),
        first_name=given[0] if given else "",
        middle_name=" ".join(given[1:]),
        birth_date=one.pop("born", datetime.date(1980, 5, 17)),
        part=Part(one.pop("part", "register")),
        marks=tuple(PrintedMark(_kind(mark), "register.csv") for mark in marks),
        **one,
    )


def _kind(words: str) -> MarkKind:
    return MarkKind(words.replace(" ", "_"))


def _as_tuples(policy: Mapping[str, Any]) -> dict[str, Any]:
    return {key: tuple(v) if isinstance(v, list) else v for key, v in policy.items()}


@cache
def _hash() -> str:
    """Hashing a PIN is slow on purpose: once for all situations."""
    return PasswordHasher(time_cost=2, memory_cost=19_456, parallelism=1).hash(PIN)
