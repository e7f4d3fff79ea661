"""Stations on other devices: let in with a code, bound to one browser, taken out again.

The code is made on the lead's page, shown there once, kept as a digest in memory alone, good
for two minutes and one browser. What the browser is given lets it ask for a sign-on and no
more: nobody signs for a voter without a worker's PIN.
"""

from __future__ import annotations

import hmac
import secrets
import threading
from collections.abc import Callable
from dataclasses import dataclass, replace

from sqlalchemy import Connection

from app.desk import station_names
from app.desk.roster import Roster
from app.desk.signing_on import SECRET_BYTES, digest
from app.records import people, stations
from app.records.bodies_stations import StationJoined, StationRevoked
from app.records.clock import SystemClock
from app.records.entry import Actor, Entry
from app.records.stations import Station
from app.records.unit import Unit
from app.rules.faults import AlreadyThere, JoinCodeWrong, NotFound

_CLOCK = SystemClock()

# No letter or digit that is taken for another on a screen or aloud: 0 O, 1 I L, 5 S, 2 Z, 8 B, U V.
ALPHABET = "3467ACDEFGHJKMNPQRTWXY"
CODE_LENGTH = 8
# Long enough to walk to the other table and type it, too short to be passed on.
CODE_SECONDS = 120.0
# 22 to the 8th are 5e10: with so few guesses at each, nobody gets in by guessing.
CODE_TRIES = 10


@dataclass(slots=True)
class _Code:
    digest: str
    made: float
    tries: int = 0
    used_with: str | None = None
    has_let_in: bool = False


class Codes:
    """The one code that is good at a time; a new one ends the one before.

    Its time also passes while the laptop sleeps.
    """

    def __init__(self, ticking: Callable[[], float] = _CLOCK.steady) -> None:
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

    def let_in(self, token: str) -> None:
        """The code lets its one browser in, and is not given back any more.

        JoinCodeWrong where it was given back meanwhile, or ended by a new one.
        """
        with self._lock:
            if self._code is None or self._code.used_with != token:
                raise JoinCodeWrong
            self._code.has_let_in = True

    def give_back(self, token: str) -> None:
        """Where the code let nobody in after all, the name being taken, it may be used again."""
        with self._lock:
            known = self._code
            if known and known.used_with == token and not known.has_let_in:
                known.used_with = None


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


def join(unit: Unit, codes: Codes, token: str, name: str, browser: Browser, secret: str) -> Station:
    """Let a browser in under a name that no other station has, with its new secret.

    The same token again from the same browser gives the same station a new secret and makes no
    second entry. JoinCodeWrong where anything differs, or the station was taken out since.
    """
    before = unit.already(token, StationJoined.kind)
    if before is None:
        if _is_taken(unit.connection, name):
            raise AlreadyThere(what="station", station=name)
        body = StationJoined(station_id=secrets.token_hex(4), address=browser.address)
        joined = unit.append(Actor("door", "", name), token, body)
        station = _station(joined, browser, secret)
    else:
        station = _station(before, browser, secret)
        if name != station.name or not _stands(unit.connection, station):
            raise JoinCodeWrong
    # In the writer, one after the other: of two requests at once no second one is let in.
    codes.let_in(token)
    stations.keep_station(unit, station)
    return station


def _is_taken(connection: Connection, name: str) -> bool:
    """Whether entries under this name would be those of two stations, the laptop's among them."""
    joined = [one.name for one, _ in stations.all_stations(connection) if one.revoked_seq is None]
    here = [kept.station for kept in people.all_sign_ons(connection) if not kept.device]
    return any(station_names.is_same(name, other) for other in joined + here)


def _station(joined: Entry, browser: Browser, secret: str) -> Station:
    return Station(
        station_id=joined.body["station_id"],
        name=joined.station,
        secret_digest=digest(secret),
        agent_digest=browser.agent_digest,
        address=browser.address,
        joined_seq=joined.seq,
    )


def _stands(connection: Connection, station: Station) -> bool:
    """Whether it is kept like this, but for its secret: the same browser, and not taken out."""
    kept = [one for one, _ in stations.all_stations(connection)]
    return station in [replace(one, secret_digest=station.secret_digest) for one in kept]


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
