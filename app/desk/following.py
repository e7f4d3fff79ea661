"""Following another laptop: join it with a code, fetch its record, apply every change.

Only the laptop whose certificate the code stands for is told the code; afterwards only the
authority of that certificate is trusted.
"""

from __future__ import annotations

import ssl
import threading
import time
from collections.abc import Callable
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path
from typing import Any, Protocol
from urllib.parse import urlsplit

import httpx
from sqlalchemy import Engine
from sqlalchemy.exc import DBAPIError

from app.desk.standing_by import letters_of, parts_of
from app.records import queries
from app.records.changes import Change, DoesNotFollow, change_from_text
from app.records.clock import from_text
from app.records.engine import open_for_writing
from app.records.standby_epoch import epoch_of
from app.records.standby_record import Followed, Holds, HoldsMore, holds, take, take_all
from app.rules.faults import (
    BadRequest,
    CannotFollow,
    JoinCodeWrong,
    NotJoined,
    StorageRefused,
    TablebookFault,
)
from app.trust import certificates

# Longer than a question waits at the other end; a record of 100,000 lines takes some seconds to be
# put together before its first byte comes, and a network that fails then is noticed after this.
_ASK_SECONDS, _WHOLE_SECONDS = 6.0, 60.0
# After a failure; the other laptop reports this one as missing meanwhile.
_REST_SECONDS = 0.5
# Telling while the lead waits for it; whoever is not there is told later.
_TELL_SECONDS = 2.0
_LOOPBACK = "127.0.0.1"
_NOBODY_MAY = "that laptop lets nobody follow; start it with --standby"


@dataclass(frozen=True, slots=True)
class Joined:
    """What the first laptop said: whom to follow, and how its own record is kept."""

    followed: Followed
    encrypted: bool
    officers: int


def join(url: str, code: str) -> Joined:
    """Pair with the laptop at `url`, by the code that it shows. Used up by it.

    CannotFollow where it is not there, or another stands in its place; JoinCodeWrong.
    """
    of_certificate, once = parts_of(code)
    address = _address(url)
    certificate = _certificate_at(address)
    if letters_of(certificate) != of_certificate:
        raise CannotFollow(
            why="the laptop at that address is not the one that showed this code: its certificate "
            "is another. Type the code again; if it stays so, follow nobody and call the registrar"
        )
    with _client(address, "", pinned=certificate) as client:
        try:
            said = _said(_asked(client, "/api/copy/join", {"code": once}))
        except NotJoined:
            raise CannotFollow(why=_NOBODY_MAY) from None
    followed = Followed(address, str(said["authority"]), str(said["secret"]))
    return Joined(followed, bool(said["encrypted"]), int(said["officers"]))


class Hears(Protocol):
    """Hears what a follower does, in the follower's thread."""

    def turned(self, state: str, why: str) -> None:
        """It is `in-step` or `apart` from now on; `why` is a code of *The standby*."""

    def took(self, change: Change) -> None:
        """The change is in the record, durably."""

    def took_all(self, before: Holds) -> None:
        """The whole record was put in place of the one that was held up to `before`."""


class Follower:
    """Keeps the record at `database` in step with the laptop that it follows."""

    def __init__(
        self, database: Path, followed: Followed, hears: Hears, now: Callable[[], datetime]
    ) -> None:
        self._engine = open_for_writing(f"sqlite:///{database.as_posix()}")
        self._followed, self._hears, self._now = followed, hears, now
        self._holds: Holds = holds(self._engine)
        # Where the record stands, also while everything is asked for anew.
        self._stands = self._holds
        # Up to when everything recorded there is here, as far as this process can tell.
        self.in_step_at = _newest_at(self._engine)
        self._is_closed = False
        self._writing = threading.Lock()
        self._said = ("", "")

    @property
    def held(self) -> Holds:
        return self._stands

    def run(self) -> None:
        """Follow until closed, or until the other laptop lets this one in no more."""
        while not self._is_closed:
            try:
                with _client(self._followed.url, self._followed.authority) as client:
                    client.headers["Authorization"] = f"Bearer {self._followed.secret}"
                    while not self._is_closed:
                        self.step(client)
            except NotJoined:
                self._tell("apart", NotJoined.code)
                return
            except (httpx.HTTPError, ssl.SSLError):
                self._tell("apart", "gone")
            except CannotFollow:
                self._tell("apart", "refused")
            except HoldsMore:
                # An older record was put in the place of the one that was followed.
                self._tell("apart", "holds-more")
            except (DBAPIError, OSError, ValueError, LookupError, TypeError):
                # A disk that fails, or an answer that is none: it must not end unnoticed.
                self._tell("apart", "failed")
            time.sleep(_REST_SECONDS)

    def step(self, client: httpx.Client) -> None:
        """One question, and what it is answered."""
        begun = self._now()
        asked = {"no": self._holds.no, "head": self._holds.head.hash, "epoch": self._epoch()}
        said = _said(_asked(client, "/api/copy/changes", asked))
        if said["do"] == "fetch":
            self._fetch(client)
        elif said["do"] == "apply":
            self._apply(str(said["change"]))
        elif said["do"] == "keep":
            raise HoldsMore("what is here is not there any more")
        if self._holds.no:
            self.in_step_at = begun
            self._tell("in-step", "")

    def close(self) -> None:
        """Take nothing more: when this returns, nothing is written any more. Safe to call twice."""
        with self._writing:
            self._is_closed = True

    def dispose(self) -> None:
        """Close the database; the last to do so makes one file of it."""
        self._engine.dispose()

    def _fetch(self, client: httpx.Client) -> None:
        answer = client.get("/api/copy/snapshot", timeout=_WHOLE_SECONDS)
        _check(answer)
        with self._writing:
            if self._is_closed:
                return
            before = self._stands
            try:
                self._holds = self._stands = take_all(self._engine, answer.text.splitlines())
            except HoldsMore:
                self._holds = self._stands
                raise
            except (DoesNotFollow, DBAPIError, ValueError) as error:
                raise CannotFollow(
                    why=f"the record did not come whole ({type(error).__name__})"
                ) from None
            self._hears.took_all(before)

    def _apply(self, text: str) -> None:
        with self._writing:
            if self._is_closed:
                return
            try:
                change = change_from_text(text)
                self._holds = self._stands = take(self._engine, change)
            except (DoesNotFollow, DBAPIError, ValueError):
                # Asked again with nothing held, the other laptop sends everything anew.
                self._tell("apart", "does-not-fit")
                self._holds = Holds()
            else:
                self._hears.took(change)

    def _epoch(self) -> int:
        with self._engine.connect() as connection:
            return epoch_of(connection)

    def _tell(self, state: str, why: str) -> None:
        if (state, why) != self._said and not self._is_closed:
            self._said = (state, why)
            self._hears.turned(state, why)


def _newest_at(engine: Engine) -> datetime | None:
    """When the newest entry was recorded; None in an empty log."""
    with engine.begin() as connection:
        head = queries.head(connection)
        return from_text(queries.entry(connection, head.seq).at) if head.seq else None


def tell_that_this_one_took_over(followed: Followed, epoch: int) -> bool:
    """Tell the laptop that was followed; whether it was there and gives way."""
    try:
        with _client(followed.url, followed.authority) as client:
            client.headers["Authorization"] = f"Bearer {followed.secret}"
            client.timeout = httpx.Timeout(_TELL_SECONDS)
            said = _said(_asked(client, "/api/copy/took-over", {"epoch": epoch}))
            return said["gives_way"] is True
    except (httpx.HTTPError, ssl.SSLError, TablebookFault, ValueError, LookupError, TypeError):
        return False


def _address(url: str) -> str:
    """The address without anything behind it; only on this very laptop without TLS."""
    parts = urlsplit(url)
    is_here = parts.scheme == "http" and parts.hostname == _LOOPBACK
    if not parts.hostname or not parts.port or (parts.scheme != "https" and not is_here):
        raise BadRequest(field="url", expected="https://ADDRESS:PORT, as the first laptop shows it")
    return f"{parts.scheme}://{parts.netloc}"


def _certificate_at(address: str) -> bytes:
    """The certificate shown there, as DER; empty without TLS."""
    parts = urlsplit(address)
    if parts.scheme == "http":
        return b""
    place = (str(parts.hostname), int(parts.port or 0))
    try:
        pem = ssl.get_server_certificate(place, timeout=_ASK_SECONDS)
    except OSError as error:
        raise CannotFollow(
            why=f"there is no laptop at {address} ({type(error).__name__})"
        ) from None
    return ssl.PEM_cert_to_DER_cert(pem)


def _client(address: str, authority: str, pinned: bytes = b"") -> httpx.Client:
    verify: ssl.SSLContext | bool = True
    if address.startswith("https"):
        verify = _pinned(pinned) if pinned else certificates.client_context(authority)
    return httpx.Client(base_url=address, timeout=_ASK_SECONDS, verify=verify, trust_env=False)


def _pinned(certificate: bytes) -> ssl.SSLContext:
    """Trusts this certificate and no other, whoever signed it."""
    context = ssl.SSLContext(ssl.PROTOCOL_TLS_CLIENT)
    context.minimum_version = ssl.TLSVersion.TLSv1_2
    context.verify_flags |= ssl.VERIFY_X509_PARTIAL_CHAIN
    context.load_verify_locations(cadata=certificate)
    return context


def _asked(client: httpx.Client, path: str, body: dict[str, Any]) -> httpx.Response:
    try:
        return client.post(path, json=body)
    except httpx.HTTPError as error:
        if path == "/api/copy/join":
            why = f"the laptop at {client.base_url} does not answer ({type(error).__name__})"
            raise CannotFollow(why=why) from None
        raise


def _said(answer: httpx.Response) -> dict[str, Any]:
    _check(answer)
    said: dict[str, Any] = answer.json()
    return said


def _check(answer: httpx.Response) -> None:
    if answer.status_code == httpx.codes.OK:
        return
    code = answer.json().get("code", "") if "json" in answer.headers.get("content-type", "") else ""
    if code == JoinCodeWrong.code:
        raise JoinCodeWrong
    if code == NotJoined.code:
        raise NotJoined
    if code == "not-found":
        raise CannotFollow(why=_NOBODY_MAY)
    raise CannotFollow(why=f"that laptop answers {answer.status_code} {code}")


def refuse_in_the_clear(joined: Joined, *, encrypted: bool) -> None:
    """StorageRefused where the copy of an encrypted record would be kept in clear."""
    if joined.encrypted and not encrypted:
        raise StorageRefused(
            why="the other laptop's record is encrypted: follow it with --encrypted, so that this "
            "one is too. The code is used up. The lead makes another one at the first laptop: Now, "
            "then Stations and sign-ons, then Let a second laptop follow"
        )
