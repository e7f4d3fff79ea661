"""Two laptops in one process: the first records, the second follows and serves its page."""

from __future__ import annotations

import shutil
import threading
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any, cast

import httpx
import pytest
from starlette.testclient import TestClient

from app.api import routes_copy
from app.api.routes_copy import Following
from app.desk.standby_here import StandbyHere
from app.desk.standing_by import Pairing, parts_of
from app.records import copies
from app.records.clock import SystemClock
from app.records.standby import Standby
from app.records.standby_record import Followed, follow
from app.server import build_app
from tests.api.conftest import HOST, Precinct

PATIENCE = 20.0
FIRST = f"http://{HOST}"


class Asking:
    """The client of a test takes no time limits."""

    def __init__(self, client: TestClient) -> None:
        self.post = client.post
        self._get = client.get

    def get(self, path: str, timeout: float) -> Any:
        assert timeout > 0
        return self._get(path)


class Link(threading.Thread):
    """Follows step by step, over the first one's app instead of a network; `cut` parts them."""

    def __init__(self, standby: StandbyHere, client: TestClient) -> None:
        super().__init__(daemon=True)
        self.standby, self._client = standby, client
        self.cut, self.ends = threading.Event(), threading.Event()

    def run(self) -> None:
        follower = self.standby.follower
        while not self.ends.is_set():
            if self.cut.is_set():
                follower._tell("apart", "gone")
                time.sleep(0.01)
            else:
                follower.step(cast("httpx.Client", Asking(self._client)))

    def end(self) -> None:
        self.ends.set()
        self.join()
        self.standby.follower.dispose()


class TwoLaptops:
    """`first` and `second` are the same precinct at either; `link` is what is between."""

    def __init__(self, first: Precinct, database: Path, client: TestClient) -> None:
        self.first, self.database = first, database
        self.url = f"sqlite:///{database.as_posix()}"
        self.client = client
        self.second = first
        self.standby: StandbyHere
        self.link: Link

    def begin(self) -> None:
        followed = Followed(FIRST, "", str(self.client.headers["Authorization"])[7:])
        follow(self.database, followed)
        self.standby = StandbyHere(self.database, followed, SystemClock())
        self.link = Link(self.standby, self.client)
        self.link.start()
        until(lambda: self.standby.standing.state == "in-step")

    @contextmanager
    def serving(self) -> Iterator[Precinct]:
        """The page of the second, which may be served again after."""
        app = build_app(self.url, {HOST}, standby=self.standby)
        with TestClient(app, base_url=FIRST):
            self.second = Precinct(self.url, app, self.first.ids, self.first.tokens)
            yield self.second

    def in_step(self) -> bool:
        states = self.first.app.state.roster.store.copies.states
        return [state.standing.value for state in states] == ["in-step"]


@contextmanager
def two_laptops(
    template: Path, ids: dict[str, str], folder: Path, patched: pytest.MonkeyPatch
) -> Iterator[TwoLaptops]:
    """In step, with the polls open."""
    patched.setattr(copies, "RETRY_SECONDS", 0.01)
    patched.setattr(routes_copy, "POLL_SECONDS", 0.05)
    shutil.copy(template, folder / "day.db")
    (folder / "second").mkdir()
    url = f"sqlite:///{folder.as_posix()}/day.db"
    following = Following(Standby(), Pairing(b""))
    app = build_app(url, {HOST}, copy_to=[following.standby.of], following=following)
    with TestClient(app, base_url=FIRST) as running:
        precinct = Precinct(url, app, ids)
        lead = precinct.station("LO", "Lead's desk")
        assert precinct.post(lead, "/api/day/open").status_code == 200
        both = TwoLaptops(precinct, folder / "second" / "standby.db", asking(precinct, running))
        both.begin()
        until(both.in_step)
        yield both
        both.link.end()


def asking(precinct: Precinct, running: TestClient) -> TestClient:
    """The second laptop as the first one hears it, once it has joined."""
    client = precinct.client()
    # On the event loop on which the app runs, as every request is.
    client.portal = running.portal
    code = parts_of(precinct.app.state.following.pairing.code)[1]
    secret = client.post("/api/copy/join", json={"code": code}).json()["secret"]
    client.headers["Authorization"] = f"Bearer {secret}"
    return client


def until(is_so: Callable[[], object]) -> None:
    deadline = time.monotonic() + PATIENCE
    while not is_so():
        assert time.monotonic() < deadline, "it never came"
        time.sleep(0.005)


def day(precinct: Precinct) -> Any:
    return precinct.client().get("/api/day").json()
