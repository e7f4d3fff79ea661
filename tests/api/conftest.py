"""A whole small precinct behind the real API: real record, real rules, real door."""

from __future__ import annotations

import datetime
import itertools
import shutil
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any
from zoneinfo import ZoneInfo

import pytest
from fastapi import FastAPI
from starlette.testclient import TestClient

from app.desk.signing_on import add_worker
from app.records import loading
from app.records.clock import Clock, SystemClock
from app.records.entry import Actor
from app.records.store import open_store
from app.rules.line import MarkKind, PrintedLine, PrintedMark
from app.rules.policy import Policy
from app.server import build_app
from tests.database_server import DatabaseServer
from tests.making import printed, setting

HOST = "127.0.0.1:8407"
PINS = {"RM": "240713", "TB": "518206", "LO": "907351", "GS": "663048"}
PHONE_SECRET = "07" * 32
ROLES = {"RM": "worker", "TB": "worker", "LO": "lead", "GS": "registrar"}

MAIL = PrintedMark(MarkKind.VOTED_BY_MAIL, "mail-voted.csv")
EARLY = PrintedMark(MarkKind.VOTED_EARLY, "register.csv", "GS")


def person(number: int, last: str, first: str, **columns: Any) -> PrintedLine:
    return printed(number, last_name=last, first_name=first, **columns)


# By the name a test uses for them. Nobody here exists.
PEOPLE = {
    "plain": person(1, "Quillfeather", "Odette"),
    "second ballot": person(2, "Ironwood", "Casper", ballot_button=2),
    "mail": person(3, "Saltmarsh", "Bettina", marks=(MAIL,)),
    "early": person(4, "Thistledown", "Ulric", marks=(EARLY,)),
    "both": person(5, "Umberfield", "Prudence", marks=(EARLY, MAIL)),
    "card": person(6, "Vantongeren", "Milo", address_confirmation=True),
    "helper": person(7, "Wexcombe", "Harriet", assistance=True),
    "senior": person(8, "Yarrow", "Simon", suffix="Sr", birth_date=datetime.date(1950, 1, 2)),
    "junior": person(9, "Yarrow", "Simon", suffix="Jr", birth_date=datetime.date(1981, 6, 30)),
    "hostile": person(10, "<script>alert(1)</script>", "=HYPERLINK(1)"),
    **{f"spare {n}": person(100 + n, f"Spareman{chr(97 + n)}", "Ivo") for n in range(10)},
}
LOOK_ALIKES = {7: (8,), 8: (7,)}  # senior and junior


@dataclass
class Precinct:
    """The app with its people; `ids` are the line_ids by the names of PEOPLE."""

    url: str
    app: FastAPI
    ids: dict[str, str]
    tokens: Iterator[int] = field(default_factory=itertools.count)

    def token(self) -> str:
        return f"test-token-{next(self.tokens):010}"

    def client(self) -> TestClient:
        return TestClient(self.app, base_url=f"http://{HOST}", raise_server_exceptions=False)

    def post(
        self, client: TestClient, path: str, body: object = None, token: str | None = None
    ) -> Any:
        return client.post(
            path, json=body or {}, headers={"Idempotency-Key": token or self.token()}
        )

    def station(self, initials: str, name: str = "Table 1") -> TestClient:
        """A browser with somebody signed on."""
        client = self.client()
        body = {"initials": initials, "pin": PINS[initials], "station": name}
        assert self.post(client, "/api/sign-on", body).status_code == 200
        return client

    def sign(self, client: TestClient, who: str, **more: Any) -> Any:
        """Sign on paper; `more` goes into the body, `token` into the header."""
        token = more.pop("token", None)
        body = {"how": "paper", **more}
        return self.post(client, f"/api/lines/{self.ids[who]}/signature", body, token)

    def sheet(self, client: TestClient, who: str) -> Any:
        return client.get(f"/api/lines/{self.ids[who]}").json()


def load(url: str, policy: Policy | None = None) -> dict[str, str]:
    line_key = loading.fresh_line_key()
    lines = loading.identified(list(PEOPLE.values()), LOOK_ALIKES, line_key)
    actor = Actor("command", "", "command line")
    with open_store(url, SystemClock()) as store:
        store.writer.write(
            lambda unit: loading.store(
                unit,
                actor,
                setting=setting(policy=policy),
                lines=lines,
                files={},
                line_key=line_key,
                phone_secret=PHONE_SECRET,
            )
        )
        for initials, pin in PINS.items():
            add_worker(
                store, name=f"Worker {initials}", initials=initials, role=ROLES[initials], pin=pin
            )
    return dict(zip(PEOPLE, (line.line_id for line in lines), strict=True))


@pytest.fixture(scope="session")
def templates(tmp_path_factory: pytest.TempPathFactory) -> Callable[[Policy], tuple[Path, Any]]:
    """A loaded record for each policy, made once: hashing PINs is slow on purpose."""
    made: dict[Policy, tuple[Path, Any]] = {}

    def template(policy: Policy) -> tuple[Path, Any]:
        if policy not in made:
            path = tmp_path_factory.mktemp("template") / "day.db"
            made[policy] = path, load(f"sqlite:///{path.as_posix()}", policy)
        return made[policy]

    return template


@pytest.fixture(scope="session")
def server_templates(database_server: DatabaseServer) -> Callable[[Policy], tuple[str, Any]]:
    """The same on a database server, by URL."""
    made: dict[Policy, tuple[str, Any]] = {}

    def template(policy: Policy) -> tuple[str, Any]:
        if policy not in made:
            url = database_server.make_database()
            made[policy] = url, load(url, policy)
        return made[policy]

    return template


@pytest.fixture
def policy() -> Policy:
    """Overridden by tests that need another."""
    return Policy()


@pytest.fixture
def loaded(
    policy: Policy, kept_in: str, tmp_path: Path, request: pytest.FixtureRequest
) -> Iterator[tuple[str, dict[str, str]]]:
    """The URL of a loaded record of the test's own, and its line_ids by the names of PEOPLE."""
    if kept_in == "server":
        server: DatabaseServer = request.getfixturevalue("database_server")
        template, ids = request.getfixturevalue("server_templates")(policy)
        url = server.make_database(like=template)
        yield url, ids
        server.drop_database(url)
    else:
        path, ids = request.getfixturevalue("templates")(policy)
        shutil.copy(path, tmp_path / "day.db")
        yield f"sqlite:///{tmp_path.as_posix()}/day.db", ids


@pytest.fixture
def before_opening(loaded: tuple[str, dict[str, str]]) -> Iterator[Precinct]:
    """The precinct with its polls not yet open."""
    url, ids = loaded
    app = build_app(url, {HOST})
    with TestClient(app, base_url=f"http://{HOST}"):  # runs the app's start and stop
        yield Precinct(url, app, ids)


@pytest.fixture
def precinct(before_opening: Precinct) -> Precinct:
    """The precinct with its polls open."""
    lead = before_opening.station("LO", "Lead's desk")
    assert before_opening.post(lead, "/api/day/open").status_code == 200
    return before_opening


class At(Clock):
    """Tuesday, 2 March 2027, at a local time of Tern County, until a test moves it."""

    def __init__(self) -> None:
        self.local = "06:30"

    def now(self) -> datetime.datetime:
        local = datetime.time.fromisoformat(self.local)
        zone = ZoneInfo("America/New_York")
        return datetime.datetime.combine(datetime.date(2027, 3, 2), local, zone)


@pytest.fixture
def clock(before_opening: Precinct) -> At:
    """The wall clock of record and page."""
    at = At()
    before_opening.app.state.clock = at
    before_opening.app.state.roster.store.writer._clock = at
    return at
