"""A place with two machines, worked over HTTP from the first check to the last count."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

from starlette.testclient import TestClient

from app.desk.signing_on import add_worker
from app.records import loading
from app.records.clock import SystemClock
from app.records.entry import Actor
from app.records.store import open_store
from app.records.verify import verify
from app.rules.policy import Policy
from app.rules.setting import ChecklistItem, Machine
from app.server import build_app
from tests.api.conftest import HOST, PINS, ROLES, Precinct
from tests.making import printed, setting

SERIALS = ("TM-0417", "TM-0418")
PACKAGED = {"TM-0417": 18_233, "TM-0418": 17_960}
VOTERS = tuple(f"voter {number}" for number in range(8))


class WholeDay(Precinct):
    """`ids` by the names of VOTERS; the last two look alike."""

    def head(self, client: TestClient) -> int:
        return int(client.get("/api/day").json()["head"]["seq"])

    def read(
        self,
        client: TestClient,
        serial: str,
        at: str,
        public: int,
        protective: int | None,
        **more: Any,
    ) -> Any:
        body = {"at_moment": at, "public": public, "protective": protective, **more}
        return self.post(client, f"/api/machines/{serial}/readings", body)

    @staticmethod
    def zero_report(protective: int) -> dict[str, Any]:
        right = dict.fromkeys(("time_right", "serial_right", "precinct_right"), True)
        return {**right, "candidates_zero": True, "protective_on_screen": protective}

    def open(self, client: TestClient) -> None:
        answer = self.post(client, "/api/day/open", {"anyway": "this test is about later"})
        assert answer.status_code == 200, answer.json()

    def entries(self, client: TestClient) -> list[dict[str, Any]]:
        found: list[dict[str, Any]] = client.get("/api/log?limit=1000").json()["entries"]
        return found

    def must_verify(self) -> None:
        with open_store(self.url, SystemClock()) as store:
            found = store.read(verify)
        assert found.holds, found.fault


@contextmanager
def place(
    folder: Path,
    *,
    policy: Policy | None = None,
    checklist: tuple[ChecklistItem, ...] = (),
    packaged: dict[str, int] | None = None,
) -> Iterator[WholeDay]:
    """The place with its polls not yet open. `checklist` empty means the shipped checks."""
    url = f"sqlite:///{folder.as_posix()}/place.db"
    known = PACKAGED if packaged is None else packaged
    machines = tuple(Machine(serial, count) for serial, count in known.items())
    people = [printed(n, last_name=f"Voterman{chr(97 + n)}") for n, _ in enumerate(VOTERS)]
    key = loading.fresh_line_key()
    last = len(VOTERS) - 1
    lines = loading.identified(people, {last: (last - 1,), last - 1: (last,)}, key)
    here = setting(policy=policy, machines=machines, checklist=checklist)
    with open_store(url, SystemClock()) as store:
        actor = Actor("command", "", "command line")
        store.writer.write(
            lambda unit: loading.store(
                unit, actor, setting=here, lines=lines, files={}, line_key=key
            )
        )
        for initials, pin in PINS.items():
            name = f"Worker {initials}"
            add_worker(store, name=name, initials=initials, role=ROLES[initials], pin=pin)
    ids = dict(zip(VOTERS, (line.line_id for line in lines), strict=True))
    app = build_app(url, {HOST})
    with TestClient(app, base_url=f"http://{HOST}"):
        yield WholeDay(url, app, ids)
