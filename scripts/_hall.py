"""The laptop as it is seen from the hall's network: stations that joined, and others.

Every 127.x.y.z is this machine's own on Linux, and an address of its own to the server.
"""

from __future__ import annotations

import socket
import ssl
from collections.abc import Iterator, Sequence
from contextlib import closing, contextmanager
from dataclasses import dataclass
from typing import Any

import httpx

from _running_server import PINS, Day, Server, post, running
from app.records import queries
from app.records.clock import SystemClock
from app.records.store import open_store
from app.trust.certificates import Identity, client_context

LAPTOP = "127.0.0.2"


@dataclass
class Hall:
    """A running server that lets stations in, and the lead's own browser on the laptop."""

    server: Server
    port: int
    tls: ssl.SSLContext
    lead: httpx.Client

    @property
    def url(self) -> str:
        return f"https://{LAPTOP}:{self.port}"

    def browser(self, address: str, agent: str = "Browser/1") -> httpx.Client:
        """A browser at `address` that trusts the laptop's authority and no other."""
        return httpx.Client(
            base_url=self.url,
            transport=httpx.HTTPTransport(verify=self.tls, local_address=address),
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
        there = (LAPTOP, self.port)
        return socket.create_connection(there, timeout=30, source_address=(address, 0))

    def connection(self, address: str) -> ssl.SSLSocket:
        """The same, with TLS begun."""
        return self.tls.wrap_socket(self.plain_connection(address), server_hostname=LAPTOP)

    def refused(self) -> list[dict[str, Any]]:
        """What was refused since the lead last looked."""
        found: list[dict[str, Any]] = self.lead.get("/api/stations").json()["refused"]
        return found


@contextmanager
def hall_of(day: Day, options: Sequence[str] = ()) -> Iterator[Hall]:
    """A server over `day` with its polls open, and killed at the end."""
    with socket.socket() as one:
        one.bind((LAPTOP, 0))
        port = one.getsockname()[1]
    with running(day, ["--stations", f"{LAPTOP}:{port}", *options]) as server:
        server.open_polls()
        with closing(server.station("LO", "Lead's desk")) as lead:
            yield Hall(server, port, client_context(_authority(day)), lead)


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
