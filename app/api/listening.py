"""The listeners: plain on the laptop itself, TLS for stations, both over one roster."""

from __future__ import annotations

import asyncio
import errno
import re
import socket
import sys
from collections.abc import Awaitable, Callable, Collection, Sequence
from contextlib import suppress
from dataclasses import dataclass
from typing import Any

from fastapi import FastAPI

from app.api.door import Door, Listening
from app.api.live import Live
from app.api.receiving import MOST_AT_HOME, Gate, ReceivingConfig, ReceivingServer
from app.desk.identity import identity_of
from app.records.clock import Clock, SystemClock
from app.records.store import open_store
from app.rules.faults import CannotListen
from app.trust import certificates
from app.trust.certificates import Identity

# Open live streams would otherwise hold a stopping server for ever.
STOP_SECONDS = 2

# Two hundred stations with a live stream and six connections each, and as much again.
WANTED_FILES = 4_096

_NAME = re.compile(r"[a-z0-9-]{1,63}(\.[a-z0-9-]{1,63})*", re.ASCII)


@dataclass(frozen=True, slots=True)
class Place:
    """An address and a port to listen at."""

    address: str
    port: int

    @property
    def shown(self) -> str:
        """As it stands in a URL."""
        address = f"[{self.address}]" if ":" in self.address else self.address
        return f"{address}:{self.port}"


@dataclass(frozen=True, slots=True)
class Stations:
    """What it takes to serve stations on other devices; `listener` is bound already."""

    place: Place
    names: Collection[str]
    identity: Identity
    listener: socket.socket

    @property
    def hosts(self) -> frozenset[str]:
        """The `Host` values their browsers send."""
        return frozenset(Place(name, self.place.port).shown for name in self.names)

    @property
    def listening(self) -> Listening:
        certificate = self.identity.certificate
        shown = certificates.in_fours(certificates.fingerprint(certificate))
        return Listening(f"https://{self.place.shown}", shown, certificate)


def stations_at(url: str, place: Place, clock: Clock | None = None) -> Stations:
    """How stations are served at `place`, with the certificate that the record keeps.

    CannotListen where the place cannot be had: then the certificate stays as it is.
    """
    listener = bound(place)
    names = names_of_this_laptop(place.address)
    clock = clock or SystemClock()
    with open_store(url, clock) as store:
        return Stations(place, names, identity_of(store, names, clock), listener)


def bound(place: Place) -> socket.socket:
    """A socket that listens there; CannotListen, with why, where it cannot be had."""
    try:
        family, kind, protocol, _, address = socket.getaddrinfo(
            place.address, place.port, type=socket.SOCK_STREAM, flags=socket.AI_PASSIVE
        )[0]
        listener = socket.socket(family, kind, protocol)
    except OSError as error:
        raise CannotListen(why=_why(error, place)) from error
    try:
        if sys.platform != "win32":
            # There it would let two programs listen at once.
            listener.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        listener.bind(address)
        listener.listen(socket.SOMAXCONN)
    except OSError as error:
        listener.close()
        raise CannotListen(why=_why(error, place)) from error
    return listener


def run(app: FastAPI, home: socket.socket, stations: Stations | None) -> None:
    """Serve on the laptop itself at `home`, and to stations, until interrupted."""
    _allow_many_files()
    here = _Server(app, Gate(MOST_AT_HOME, MOST_AT_HOME))
    there = _for_stations(app, stations) if stations else None
    app.state.end_serving = _end(app, there or here)
    with (
        suppress(KeyboardInterrupt),
        asyncio.Runner(loop_factory=here.config.get_loop_factory()) as runner,
    ):
        runner.run(_both(here, [home], there, [stations.listener] if stations else []))


async def served_by_nobody() -> None:
    """What `end_serving` of an app is that no listener serves: there is nothing to end."""


class _Server(ReceivingServer):
    """Lets the open pages go when it stops: cut off after `STOP_SECONDS`, each would be told as
    an error of this program.
    """

    def __init__(self, app: FastAPI, gate: Gate, **more: Any) -> None:
        super().__init__(ReceivingConfig(app, gate, timeout_graceful_shutdown=STOP_SECONDS, **more))
        self._live: Live = app.state.live

    async def shutdown(self, sockets: list[socket.socket] | None = None) -> None:
        self._live.stop()
        await super().shutdown(sockets)


def _end(app: FastAPI, server: ReceivingServer) -> Callable[[], Awaitable[None]]:
    """Ends the serving as an interruption would: the one that takes over serves anew then."""

    async def end() -> None:
        live: Live = app.state.live
        live.stop()
        server.should_exit = True

    return end


def _for_stations(app: FastAPI, stations: Stations) -> ReceivingServer:
    door: Door = app.state.door
    gate = Gate(
        is_known=door.let_in.has_address,
        tell=lambda address: door.refuse_address("too-many", address),
    )
    return _Server(app, gate, tls=certificates.server_context(stations.identity), lifespan="off")


async def _both(
    here: ReceivingServer,
    home: Sequence[socket.socket],
    there: ReceivingServer | None,
    afar: Sequence[socket.socket],
) -> None:
    """The one on the laptop opens the record first and closes it last."""
    serving = asyncio.create_task(here.serve(sockets=list(home)))
    if there:
        begun = asyncio.create_task(here.is_serving.wait())
        await asyncio.wait((begun, serving), return_when=asyncio.FIRST_COMPLETED)
        begun.cancel()
    if there and not serving.done():
        await there.serve(sockets=list(afar))
        here.should_exit = True
    await serving


def names_of_this_laptop(address: str) -> list[str]:
    """What stations may call this laptop: the address, and its own name in a local network."""
    name = socket.gethostname().lower()
    if not _NAME.fullmatch(name):
        return [address]
    local = name if "." in name else f"{name}.local"
    return list(dict.fromkeys([address, name, local]))


def _allow_many_files() -> None:
    """Each connection is a file to the system, which allows few unless asked."""
    if sys.platform == "win32":
        return
    import resource

    soft, hard = resource.getrlimit(resource.RLIMIT_NOFILE)
    wanted = WANTED_FILES if hard == resource.RLIM_INFINITY else min(WANTED_FILES, hard)
    if soft < wanted:
        resource.setrlimit(resource.RLIMIT_NOFILE, (wanted, hard))


def _why(error: OSError, place: Place) -> str:
    if error.errno == errno.EADDRINUSE:
        return (
            f"another program listens at {place.shown}, perhaps Tablebook itself in another "
            "window; stop it, or choose another port"
        )
    if error.errno == errno.EADDRNOTAVAIL or isinstance(error, socket.gaierror):
        return (
            f"{place.address} is no address of this laptop; see its network settings for the "
            "address it has now"
        )
    if error.errno == errno.EACCES:
        return f"the system does not allow port {place.port}; choose one above 1023"
    return f"{place.shown} cannot be served: {error.strerror or error}"
