"""Stations on other devices: let in with a code, bound to one browser, taken out again.

The code is made on the lead's page, shown there once, kept as a digest in memory alone, good
for two minutes and one browser. What the browser is given lets it ask for a sign-on and no
more: nobody signs for a voter without a worker's PIN.
"""

from __future__ import annotations

import hmac
import secrets
import threading
import time
from collections.abc import Callable
from dataclasses import dataclass, replace

from app.desk.roster import Roster
from app.desk.signing_on import SECRET_BYTES, digest
from app.records import people, stations
from app.records.bodies_stations import StationJoined, StationRevoked
from app.records.entry import Actor
from app.records.stations import Station
from app.records.unit import Unit
from app.rules.faults import AlreadyThere, JoinCodeWrong, NotFound

# No letter or digit that is taken for another on a screen or aloud: 0 O, 1 I L, 5 S, 2 Z, 8 B, U V.
ALPHABET = "3467ACDEFGHJKMNPQRTWXY"
CODE_LENGTH = 8
# Long enough to walk to the other table and type it, too short to be passed on.
CODE_SECONDS = 120.0
# 22 to the 8th are 5e10: with so few guesses at each, nobody gets in by guessing.
CODE_TRIES = 10

NAME_LENGTHS = range(1, 41)


@dataclass(slots=True)
class _Code:
    digest: str
    made: float
    tries: int = 0
    used_with: str | None = None


class Codes:
    """The one code that is good at a time; a new one ends the one before."""

    def __init__(self, ticking: Callable[[], float] = time.monotonic) -> None:
        self._ticking = ticking
        self._code: _Code | None = None
        self._lock = threading.Lock()

    def make(self) -> str:
        """A new code, to be shown once."""
        code = "".join(secrets.choice(ALPHABET) for _ in range(CODE_LENGTH))
        with self._lock:
            self._code = _Code(digest(code), self._ticking())
        return code

    def take(self, code: str, token: str) -> None:
        """Use the code up; JoinCodeWrong where it is none, late, or was used with another token."""
        with self._lock:
            known = self._code
            if known is None or self._ticking() - known.made > CODE_SECONDS:
                raise JoinCodeWrong
            known.tries += 1
            if known.tries > CODE_TRIES:
                raise JoinCodeWrong
            if not hmac.compare_digest(known.digest, digest(_as_made(code))):
                raise JoinCodeWrong
            if known.used_with not in (None, token):
                raise JoinCodeWrong
            known.used_with = token

    def give_back(self, token: str) -> None:
        """The code did not let anybody in after all: the name was taken."""
        with self._lock:
            if self._code and self._code.used_with == token:
                self._code.used_with = None


@dataclass(frozen=True, slots=True)
class Browser:
    """Where a browser calls from and a digest of what it calls itself."""

    address: str
    agent_digest: str


class LetIn:
    """The stations that are let in, by the digest of their secret; kept in step with the record."""

    def __init__(self) -> None:
        self._by_digest: dict[str, Station] = {}

    def load(self, roster: Roster) -> None:
        """As the record has them, also those that were taken out."""
        kept = roster.store.read(stations.all_stations)
        self._by_digest = {station.secret_digest: station for station, _ in kept}

    def by_secret(self, secret: str) -> Station | None:
        return self._by_digest.get(digest(secret))

    def has_address(self, address: str) -> bool:
        """Whether a station that is let in calls from there."""
        return any(
            station.address == address and station.revoked_seq is None
            for station in tuple(self._by_digest.values())
        )

    def keep(self, station: Station) -> None:
        """From now on, in place of what was known of the same station."""
        others = {
            key: one for key, one in self._by_digest.items() if one.station_id != station.station_id
        }
        self._by_digest = {**others, station.secret_digest: station}


def join(unit: Unit, token: str, name: str, browser: Browser, secret: str) -> Station:
    """Let a browser in under a name that no other station has, with its new secret.

    The same token again gives the same station a new secret and makes no second entry.
    """
    before = unit.already(token, StationJoined.kind)
    station_id = before.body["station_id"] if before else secrets.token_hex(4)
    other = stations.named(unit.connection, name)
    if other and other.station_id != station_id:
        raise AlreadyThere(what="station", station=name)
    if before is None:
        body = StationJoined(station_id=station_id, address=browser.address)
        before = unit.append(Actor("door", "", name), token, body)
    station = Station(
        station_id, name, digest(secret), browser.agent_digest, browser.address, before.seq
    )
    stations.keep_station(unit, station)
    return station


def revoke(unit: Unit, actor: Actor, token: str, station_id: str) -> Station:
    """Take a station out, and whoever is signed on there. NotFound for none; safe to call twice."""
    kept = {station.station_id: station for station, _ in stations.all_stations(unit.connection)}
    station = kept.get(station_id)
    if station is None:
        raise NotFound(what="station")
    before = unit.already(token, StationRevoked.kind, station_id=station_id)
    if before or station.revoked_seq is not None:
        return station
    entry = unit.append(actor, token, StationRevoked(station_id=station_id, name=station.name))
    stations.revoke_station(unit, station_id, entry.seq)
    people.end_sign_ons_at(unit, station_id)
    return replace(station, revoked_seq=entry.seq)


def new_secret() -> str:
    """256 bits for one browser's cookie."""
    return secrets.token_urlsafe(SECRET_BYTES)


def _as_made(code: str) -> str:
    """As it was shown, whatever capitals, spaces and hyphens were typed."""
    return "".join(sign for sign in code.upper() if sign.isalnum())
