"""Building the app: the roster behind it, the routes, the door, the page."""

from __future__ import annotations

import asyncio
import mimetypes
import socket
from collections.abc import AsyncIterator, Collection, Sequence
from contextlib import asynccontextmanager
from pathlib import Path

from fastapi import Depends, FastAPI
from fastapi.staticfiles import StaticFiles

from app.api import (
    problems,
    routes_calls,
    routes_closing,
    routes_copy,
    routes_corrections,
    routes_day,
    routes_day_papers,
    routes_handover,
    routes_keying,
    routes_lead,
    routes_lines,
    routes_lists,
    routes_log,
    routes_opening,
    routes_paper_hours,
    routes_papers,
    routes_people,
    routes_practice,
    routes_standby,
    routes_stations,
    routes_ways,
    routes_words,
)
from app.api.access import admit
from app.api.answers import Clockface
from app.api.compressing import Compressed
from app.api.door import Door
from app.api.dropped_streams import DroppedStreams
from app.api.guard import Guard
from app.api.listening import Place, Stations, bound, run, served_by_nobody, stations_at
from app.api.live import Live
from app.api.moving_along import MovingAlong
from app.api.page_files import LeanFiles
from app.api.routes_copy import Following
from app.api.shared_door import announcing
from app.api.telling import keep_telling
from app.api.words import WordsInParts
from app.desk.attention_look import Watch
from app.desk.handover import folder_of
from app.desk.practice_book import PracticeBook
from app.desk.roster import open_roster
from app.desk.standby_here import StandbyHere
from app.records import keyring
from app.records.clock import Clock, SystemClock
from app.records.copies import MakeCopy
from app.records.engine import sqlite_path
from app.records.reserve import Reserve

# Windows may have these wrong in its registry, and a browser refuses a module served as text.
_MIME_TYPES = {".js": "text/javascript", ".css": "text/css", ".json": "application/json"}


__all__ = [
    "Following",
    "Place",
    "Stations",
    "build_app",
    "frontend_folder",
    "listen",
    "own_hosts",
    "serve",
    "stations_at",
]


def build_app(
    url: str,
    hosts: Collection[str],
    clock: Clock | None = None,
    *,
    as_written: bool = False,
    copy_to: Sequence[MakeCopy] = (),
    is_practice: bool = False,
    stations: Stations | None = None,
    following: Following | None = None,
    standby: StandbyHere | None = None,
) -> FastAPI:
    """The app over the day recorded at `url`, answering to the given `Host` values.

    The record is opened when the app starts and closed when it stops. The files of the page are
    sent without comments and indentation, or `as_written`, each read anew when it is asked for.
    A practice record is opened where `is_practice` alone, and then nothing else is. `standby`:
    this laptop follows another one, and nothing is recorded here.
    """
    clock = clock or SystemClock()
    live = Live()
    door = Door(hosts)
    if stations:
        door.station_hosts, door.listening = stations.hosts, stations.listening

    @asynccontextmanager
    async def lifespan(app: FastAPI) -> AsyncIterator[None]:
        live.start()
        moving = MovingAlong(app.state, standby, url) if standby else None
        tell = announcing(door, live)
        with open_roster(url, clock, tell, copy_to, is_practice=is_practice) as roster:
            app.state.roster = roster
            app.state.encrypted = _is_encrypted(url)
            app.state.practice = PracticeBook() if is_practice else None
            app.state.clockface = Clockface(roster.setting.election.time_zone)
            app.state.caution = roster.setting.policy.caution
            if moving:
                moving.begin(roster)
            routes_copy.install(app.state, door, roster, following)
            door.open(roster)
            writing = asyncio.create_task(door.keep_writing())
            telling = None if standby else asyncio.create_task(keep_telling(roster.store))
            yield
            writing.cancel()
            if telling:
                telling.cancel()
            door.write_down(everything=True)
            live.stop()

    # No description of the routes is served: it would only help somebody who should not be here.
    app = FastAPI(lifespan=lifespan, docs_url=None, redoc_url=None, openapi_url=None)
    app.state.live, app.state.clock, app.state.watch = live, clock, Watch()
    app.state.door, app.state.standby = door, standby
    app.state.end_serving = served_by_nobody
    app.state.hand_over_folder = folder_of(url)
    for routes in (
        routes_day,
        routes_opening,
        routes_closing,
        routes_paper_hours,
        routes_lines,
        routes_corrections,
        routes_ways,
        routes_lists,
        routes_keying,
        routes_calls,
        routes_log,
        routes_lead,
        routes_papers,
        routes_day_papers,
        routes_handover,
        routes_people,
        routes_practice,
        routes_stations,
        routes_copy,
        routes_standby,
    ):
        app.include_router(routes.router, dependencies=[Depends(admit)])
    app.state.words = WordsInParts(frontend_folder() / "words")
    app.include_router(routes_words.router)
    problems.install(app)
    _serve_page(app, as_written)
    app.add_middleware(DroppedStreams)
    app.add_middleware(Compressed)
    app.add_middleware(Guard, door=door)
    return app


def serve(
    url: str,
    host: str,
    port: int,
    *,
    as_written: bool = False,
    copy_to: Sequence[MakeCopy] = (),
    is_practice: bool = False,
    stations: Stations | None = None,
    following: Following | None = None,
    standby: StandbyHere | None = None,
    home: socket.socket | None = None,
) -> None:
    """Serve until interrupted, on the laptop itself and to its stations; a `standby` until it has
    taken over.

    `home` listens there already, and goes on listening after; CannotListen where an address or a
    port cannot be had.
    """
    listening = home.dup() if home else listen(host, port)
    Reserve(sqlite_path(url)).keep()
    app = build_app(
        url,
        own_hosts(host, port),
        as_written=as_written,
        copy_to=copy_to,
        is_practice=is_practice,
        stations=stations,
        following=following,
        standby=standby,
    )
    run(app, listening, stations)


def listen(host: str, port: int) -> socket.socket:
    """A socket that listens there; CannotListen where it cannot be had."""
    return bound(Place(host, port))


def own_hosts(host: str, port: int) -> frozenset[str]:
    """The `Host` values a browser on this laptop sends for this server."""
    return frozenset(f"{name}:{port}" for name in (host, "localhost", "127.0.0.1"))


def frontend_folder() -> Path:
    """The page's files: beside the package in a checkout, inside it when installed."""
    here = Path(__file__).parent
    beside, inside = here.parent / "frontend", here / "_frontend"
    return inside if inside.is_dir() else beside


def _serve_page(app: FastAPI, as_written: bool) -> None:
    for ending, mime_type in _MIME_TYPES.items():
        mimetypes.add_type(mime_type, ending)
    folder = frontend_folder()
    files = StaticFiles(directory=folder, html=True) if as_written else LeanFiles(folder)
    app.mount("/", files, name="page")


def _is_encrypted(url: str) -> bool | None:
    path = sqlite_path(url)
    return None if path is None else keyring.is_encrypted(path)
