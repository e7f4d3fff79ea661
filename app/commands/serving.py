"""Serving as the laptop that records: `tablebook serve`, and `follow` once it has taken over."""

from __future__ import annotations

import socket
from dataclasses import dataclass, replace
from pathlib import Path
from typing import TYPE_CHECKING

from app.commands.console import Chosen, err, note_unlocked, out, said, store
from app.commands.copies import copies_into, following_for, refuse_to_serve, say_copies
from app.commands.keys import say_how_it_is_kept
from app.commands.stations import stations_for
from app.desk.roster import refuse_the_other_kind
from app.desk.taking_over import write_up_no_stations
from app.records import queries
from app.records.engine import sqlite_path
from app.records.tolerated import tolerated
from app.rules.faults import CannotListen

if TYPE_CHECKING:
    from app.server import Stations


@dataclass(frozen=True, slots=True)
class Options:
    """What was typed: where it is served, where the copies go.

    `goes_on`: somebody waits at the table, so that a carbon which would be refused fails instead,
    and stations that cannot be had are done without.
    """

    host: str
    port: int
    as_written: bool = False
    stations: str | None = None
    carbon: Path | None = None
    standby: bool = False
    goes_on: bool = False


def serve_recording(options: Options, home: socket.socket | None = None) -> None:
    """Serve the page and the API until interrupted; `home` listens already, where it is given."""
    from app.server import serve as serve_forever  # the web server loads slowly; only here

    copy_to = copies_into(options.carbon)
    if options.goes_on:
        copy_to = [tolerated(make) for make in copy_to]
    with store() as opened:
        setting = opened.read(queries.setting)
        refuse_the_other_kind(setting, is_practice=False)
        refuse_to_serve(opened)
        note_unlocked(opened)
        say_copies(opened, copy_to, options.carbon)
    out.print(
        f"{setting.election.name}, precinct {setting.precinct.number}: "
        f"http://{options.host}:{options.port}",
        highlight=False,
    )
    say_how_it_is_kept(sqlite_path(Chosen.url))
    afar = _stations(options)
    following = following_for(afar, options.port) if options.standby else None
    serve_forever(
        Chosen.url,
        options.host,
        options.port,
        as_written=options.as_written,
        copy_to=(*copy_to, following.standby.of) if following else copy_to,
        stations=afar,
        following=following,
        home=home,
    )


def go_on_recording(options: Options, home: socket.socket) -> None:
    """As `serve_recording`, after taking over: what cannot be had of the options now is told to
    the lead, and done without.
    """
    serve_recording(replace(options, goes_on=True), home)


def _stations(options: Options) -> Stations | None:
    if options.stations is None:
        return None
    try:
        return stations_for(options.stations)
    except CannotListen as fault:
        if not options.goes_on:
            raise
        why = said(fault)
    err.print(
        f"Going on without --stations: NO OTHER DEVICE IS LET IN. {why}",
        highlight=False,
        soft_wrap=True,
    )
    with store() as opened:
        write_up_no_stations(opened, options.stations)
    return None
