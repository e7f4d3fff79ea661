"""What the door knows: whose names it answers to, which stations are let in, what was refused."""

from __future__ import annotations

import asyncio
import secrets
from collections.abc import Callable, Collection
from dataclasses import dataclass, field

from starlette.datastructures import Headers
from starlette.requests import cookie_parser
from starlette.types import Scope

from app.api.rates import Rate
from app.desk import door
from app.desk.door import Refusals
from app.desk.joining import Browser, Codes, LetIn
from app.desk.roster import Roster
from app.desk.signing_on import digest
from app.records.bodies_stations import Refusal
from app.records.stations import Station

STATION_COOKIE = "__Host-tablebook_station"
# Where a joined station stands in the scope of its request.
STATION = "tablebook.station"

# How often what was refused meanwhile is looked through, to be written down.
LOOK_SECONDS = 5.0

# A page that is typed in asks a few times a second; nobody opens a voter's line every second
# for a minute, and whoever does copies the register.
STATION_RATE = (400, 10.0)
LINES_RATE = (60, 60.0)
STRANGER_RATE = (60, 10.0)


@dataclass(frozen=True, slots=True)
class Listening:
    """Where stations come in: what their browsers are to open, and what they can compare."""

    url: str
    fingerprint: str
    certificate: str


@dataclass
class Door:
    """`hosts` are the exact `Host` values served on the laptop itself, `station_hosts` those for
    stations, over TLS.
    """

    hosts: Collection[str]
    station_hosts: Collection[str] = ()
    listening: Listening | None = None
    let_in: LetIn = field(default_factory=LetIn)
    codes: Codes = field(default_factory=Codes)
    refusals: Refusals = field(default_factory=Refusals)
    roster: Roster | None = None
    station_rate: Rate = field(default_factory=lambda: Rate(*STATION_RATE))
    # Whether it is the laptop that follows which asks; it has a secret of its own.
    is_follower: Callable[[Scope], bool] = lambda _scope: False
    may_be_followed: bool = False
    lines_rate: Rate = field(default_factory=lambda: Rate(*LINES_RATE))
    stranger_rate: Rate = field(default_factory=lambda: Rate(*STRANGER_RATE))

    def open(self, roster: Roster) -> None:
        """From now on refusals are written down, and the record's stations are let in."""
        self.roster = roster
        self.let_in.load(roster)

    def hosts_for(self, scope: Scope) -> Collection[str]:
        """The names that the listener this request came to answers to."""
        return self.station_hosts if is_from_afar(scope) else self.hosts

    def refuse(self, refusal: Refusal, scope: Scope) -> None:
        """Count a refusal, and write down what is due."""
        self.refuse_address(refusal, address_of(scope))

    def refuse_address(self, refusal: Refusal, address: str) -> None:
        """As `refuse`, where there is no request yet."""
        self.refusals.count(refusal, address)
        self.write_down()

    def write_down(self, *, everything: bool = False) -> None:
        """Hand what is due to the writer. Nobody waits for it."""
        if self.roster is None:
            return
        bodies = self.refusals.due(everything=everything)
        if bodies:
            self.roster.store.writer.submit(
                lambda unit: door.write(unit, bodies, lambda: secrets.token_hex(16))
            )

    async def keep_writing(self) -> None:
        """Until cancelled: what was refused after the first of its kind is written down too."""
        while True:
            await asyncio.sleep(LOOK_SECONDS)
            self.write_down()

    def station_of(self, scope: Scope) -> tuple[Station | None, Refusal]:
        """The station that the request comes from; or None, and why."""
        secret = _cookie(scope)
        station = self.let_in.by_secret(secret) if secret else None
        if station is None:
            return None, "not-joined"
        if station.revoked_seq is not None:
            return None, "revoked"
        browser = browser_of(scope)
        if (station.address, station.agent_digest) != (browser.address, browser.agent_digest):
            return None, "copied-cookie"
        return station, "not-joined"


def is_from_afar(scope: Scope) -> bool:
    """Whether the request came to the listener for stations: it alone speaks TLS."""
    return bool(scope["scheme"] == "https")


def address_of(scope: Scope) -> str:
    """The address of the peer, from the connection itself."""
    client = scope.get("client")
    return str(client[0]) if client else ""


def browser_of(scope: Scope) -> Browser:
    """What a station is bound to."""
    agent = Headers(scope=scope).get("user-agent", "")
    return Browser(address_of(scope), digest(agent))


def _cookie(scope: Scope) -> str | None:
    return cookie_parser(Headers(scope=scope).get("cookie", "")).get(STATION_COOKIE)
