"""The laptop as it is seen from the hall's network: stations that joined, and others.

Every 127.x.y.z is this machine's own on Linux, and an address of its own to the server.
"""

from __future__ import annotations

import socket
import ssl
from collections.abc import Callable, Iterator, Sequence
from contextlib import AbstractContextManager, closing, contextmanager, nullcontext
from dataclasses import dataclass
from typing import Any

import httpx

from _running_server import PINS, Day, Server, post, running
from app.records import queries
from app.records.clock import SystemClock
from app.records.store import open_store
from app.trust.certificates import Identity, client_context

LAPTOP = "127.0.0.2"


# Enters whichever host has the devices of the hall, for a block.
Enter = Callable[[], AbstractContextManager[None]]


@dataclass
class Hall:
    """A running server that lets stations in, and the lead's own browser on the laptop.

    `laptop` is its address for stations; `entered` enters the host of every device that is not
    the laptop itself.
    """

    server: Server
    port: int
    tls: ssl.SSLContext
    lead: httpx.Client
    laptop: str = LAPTOP
    entered: Enter = nullcontext

    @property
    def url(self) -> str:
        return f"https://{self.laptop}:{self.port}"

    def browser(self, address: str, agent: str = "Browser/1") -> httpx.Client:
        """A browser at `address` that trusts the laptop's authority and no other."""
        return httpx.Client(
            base_url=self.url,
            transport=_Elsewhere(self.tls, address, self.entered),
            headers={"User-Agent": agent},
            timeout=30,
        )

    def joined(self, address: str, name: str) -> httpx.Client:
        """A browser that has joined, with a worker signed on."""
        client = self.browser(address)
        post(client, "/api/join", {"code": self.new_code(), "station": name}).raise_for_status()
        body = {"initials": "RM", "pin": PINS["RM"], "station": name}
        post(client, "/api/sign-on", body).raise_for_status()
        return client

    def new_code(self) -> str:
        code: str = post(self.lead, "/api/stations/code", {}).json()["code"]
        return code

    def plain_connection(self, address: str) -> socket.socket:
        """A connection from `address` on which nothing was said yet."""
        there = (self.laptop, self.port)
        with self.entered():
            return socket.create_connection(there, timeout=30, source_address=(address, 0))

    def connection(self, address: str) -> ssl.SSLSocket:
        """The same, with TLS begun."""
        return self.tls.wrap_socket(self.plain_connection(address), server_hostname=self.laptop)

    def refused(self) -> list[dict[str, Any]]:
        """What was refused since the lead last looked."""
        found: list[dict[str, Any]] = self.lead.get("/api/stations").json()["refused"]
        return found


class _Elsewhere(httpx.HTTPTransport):
    """Asks from another host: a connection belongs to the host where it is opened."""

    def __init__(self, tls: ssl.SSLContext, address: str, entered: Enter) -> None:
        super().__init__(verify=tls, local_address=address)
        self._entered = entered

    def handle_request(self, request: httpx.Request) -> httpx.Response:
        with self._entered():
            return super().handle_request(request)


@contextmanager
def hall_of(
    day: Day, options: Sequence[str] = (), laptop: str = LAPTOP, entered: Enter = nullcontext
) -> Iterator[Hall]:
    """A server over `day` with its polls open, and killed at the end."""
    with socket.socket() as one:
        one.bind((laptop, 0))
        port = one.getsockname()[1]
    with running(day, ["--stations", f"{laptop}:{port}", *options]) as server:
        server.open_polls()
        with closing(server.station("LO", "Lead's desk")) as lead:
            yield Hall(server, port, client_context(_authority(day)), lead, laptop, entered)


def can_have(*addresses: str) -> bool:
    """Whether this machine has these addresses; not every system gives itself all of 127.*."""
    for address in addresses:
        with socket.socket() as one:
            try:
                one.bind((address, 0))
            except OSError:
                return False
    return True


def _authority(day: Day) -> str:
    with open_store(day.url, SystemClock()) as store:
        kept = store.read(lambda record: queries.about_text(record, "identity"))
    if kept is None:
        raise RuntimeError("the server made no certificate")
    return Identity.from_text(kept).authority
