"""Building the app: the roster behind it, the routes, the door, the page."""

from __future__ import annotations

import mimetypes
from collections.abc import AsyncIterator, Collection
from contextlib import asynccontextmanager
from pathlib import Path

import uvicorn
from fastapi import Depends, FastAPI
from fastapi.staticfiles import StaticFiles

from app.api import (
    problems,
    routes_calls,
    routes_closing,
    routes_corrections,
    routes_day,
    routes_day_papers,
    routes_handover,
    routes_lead,
    routes_lines,
    routes_lists,
    routes_log,
    routes_opening,
    routes_paper_hours,
    routes_papers,
    routes_people,
    routes_ways,
    routes_words,
)
from app.api.access import admit
from app.api.answers import Clockface
from app.api.compressing import Compressed
from app.api.guard import Guard
from app.api.live import Live
from app.api.page_files import LeanFiles
from app.api.words import WordsInParts
from app.desk.attention import Watch
from app.desk.handover import folder_of
from app.desk.roster import open_roster
from app.records.clock import Clock, SystemClock

# Windows may have these wrong in its registry, and a browser refuses a module served as text.
_MIME_TYPES = {".js": "text/javascript", ".css": "text/css", ".json": "application/json"}

# Open live streams would otherwise hold a stopping server for ever.
STOP_SECONDS = 2


def build_app(
    url: str, hosts: Collection[str], clock: Clock | None = None, *, as_written: bool = False
) -> FastAPI:
    """The app over the day recorded at `url`, answering to the given `Host` values.

    The record is opened when the app starts and closed when it stops. The files of the page are
    sent without comments and indentation, or `as_written`, each read anew when it is asked for.
    """
    clock = clock or SystemClock()
    live = Live()

    @asynccontextmanager
    async def lifespan(app: FastAPI) -> AsyncIterator[None]:
        live.start()
        with open_roster(url, clock, live.announce) as roster:
            app.state.roster = roster
            app.state.clockface = Clockface(roster.setting.election.time_zone)
            app.state.caution = roster.setting.policy.caution
            yield
            live.stop()

    # No description of the routes is served: it would only help somebody who should not be here.
    app = FastAPI(lifespan=lifespan, docs_url=None, redoc_url=None, openapi_url=None)
    app.state.live, app.state.clock, app.state.watch = live, clock, Watch()
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
        routes_calls,
        routes_log,
        routes_lead,
        routes_papers,
        routes_day_papers,
        routes_handover,
        routes_people,
    ):
        app.include_router(routes.router, dependencies=[Depends(admit)])
    app.state.words = WordsInParts(frontend_folder() / "words")
    app.include_router(routes_words.router)
    problems.install(app)
    _serve_page(app, as_written)
    app.add_middleware(Compressed)
    app.add_middleware(Guard, hosts=hosts)
    return app


def serve(url: str, host: str, port: int, *, as_written: bool = False) -> None:
    """Serve until interrupted. `host` and port are bound as given."""
    uvicorn.run(
        build_app(url, own_hosts(host, port), as_written=as_written),
        host=host,
        port=port,
        access_log=False,
        log_level="warning",
        server_header=False,
        timeout_graceful_shutdown=STOP_SECONDS,
    )


def own_hosts(host: str, port: int) -> frozenset[str]:
    """The `Host` values a browser on this laptop sends for this server."""
    names = {host, "localhost", "127.0.0.1"} if _is_loopback(host) else {host}
    return frozenset(f"{name}:{port}" for name in names)


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


def _is_loopback(host: str) -> bool:
    return host in ("127.0.0.1", "localhost")
