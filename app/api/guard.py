"""The door: what is checked before any route runs, and the headers on every answer.

`Host` must be one of this listener's own names (DNS rebinding), a write must come
from this server's own page and be JSON (cross-site requests), a body is read only
up to its cap. From another device everything but joining needs a station that is let
in. The headers keep the page from loading anything from elsewhere.
"""

from __future__ import annotations

import re
from ipaddress import ip_address

from starlette.datastructures import Headers, MutableHeaders
from starlette.responses import Response
from starlette.types import ASGIApp, Message, Receive, Scope, Send

from app.api.door import STATION, Door, address_of, is_from_afar
from app.api.problems import problem
from app.records.bodies_stations import Refusal

MOST_BODY_BYTES = 64 * 1024

# A list of 5,000 rows comes to 600 kB in base64; here alone so much is read.
MOST_BYTES_OF = {"/api/late-lists": 2_000_000}

_SAFE_METHODS = frozenset({"GET", "HEAD", "OPTIONS"})

# What a browser that is no station is sent: the page to join by, with nothing in it.
_JOIN_FILES = re.compile(
    r"/join\.(html|js)|/icon\.svg|/styles/(tokens|join)\.css|/words/[a-z]{2}/join\.json"
    r"|/api/(join|health)"
)
# The laptop that follows has a secret of its own, and is no station; it joins with a code.
_FOLLOWING, _JOIN_AS_FOLLOWER = "/api/copy/", "/api/copy/join"

_REFUSED: dict[str, Refusal] = {
    "wrong-host": "wrong-host",
    "wrong-origin": "wrong-origin",
    "too-large": "too-large",
}

# Two weeks, as long as the certificate lasts; a browser keeps it for names alone (RFC 6797, 8.3).
_STRICT_TRANSPORT = "max-age=1209600"

HEADERS = {
    "Content-Security-Policy": "default-src 'none'; script-src 'self'; style-src 'self'; "
    "img-src 'self' blob:; connect-src 'self'; object-src 'none'; base-uri 'none'; "
    "form-action 'self'; frame-ancestors 'none'",
    "X-Content-Type-Options": "nosniff",
    "Referrer-Policy": "no-referrer",
    "Cross-Origin-Opener-Policy": "same-origin",
    "Cross-Origin-Resource-Policy": "same-origin",
    "Permissions-Policy": "camera=(), microphone=(), geolocation=()",
}

# A browser shows a PDF in a page of its own making, which holds it as an object and has
# styles within; the page takes over the policy that came with the PDF.
_PDF_POLICY = (
    "default-src 'none'; object-src 'self'; style-src 'unsafe-inline'; base-uri 'none'; "
    "form-action 'none'; frame-ancestors 'none'"
)


class Guard:
    """ASGI middleware around everything that is served."""

    def __init__(self, app: ASGIApp, door: Door) -> None:
        self._app = app
        self._door = door

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        if scope["type"] != "http":
            await self._app(scope, receive, send)
            return
        sending = _Sending(send, scope)
        refusal = self._refused(scope)
        if refusal is None and scope["method"] not in _SAFE_METHODS:
            body = await _read(receive, _most_bytes(scope))
            if body is None:
                refusal = self._told("too-large", scope)
            else:
                receive = _again(body, receive)
        try:
            await (refusal or self._app)(scope, receive, sending)
        except Exception:
            # Whoever logs it stands outside; the answer must have the headers all the same.
            if not sending.has_begun:
                await problem("unexpected")(scope, receive, sending)
            raise

    def _refused(self, scope: Scope) -> Response | None:
        headers = Headers(scope=scope)
        hosts = headers.getlist("host")
        if len(hosts) != 1 or hosts[0] not in self._door.hosts_for(scope):
            return self._told("wrong-host", scope)
        return self._not_let_in(scope) or self._not_from_here(scope, headers)

    def _not_let_in(self, scope: Scope) -> Response | None:
        """Why a browser on another device gets nothing; None for a station, and here."""
        if not is_from_afar(scope):
            return None
        door, path = self._door, scope["path"]
        station, refusal = door.station_of(scope)
        if station:
            scope[STATION] = station
            return None if self._is_slow_enough(scope, station.station_id) else _too_many()
        if path.startswith(_FOLLOWING) and door.is_follower(scope):
            return None
        if not door.stranger_rate.allows(address_of(scope)):
            door.refuse("too-many", scope)
            return _too_many()
        if _JOIN_FILES.fullmatch(path) or (path == _JOIN_AS_FOLLOWER and door.may_be_followed):
            return None
        is_page = path in ("/", "/index.html")
        # Whoever has never been let in and opens the page does what they should.
        if not is_page or refusal == "copied-cookie":
            door.refuse(refusal, scope)
        if is_page:
            return Response(status_code=303, headers={"Location": "/join.html"})
        return problem("not-joined")

    def _is_slow_enough(self, scope: Scope, station_id: str) -> bool:
        door = self._door
        is_fine = door.station_rate.allows(station_id)
        if is_fine and scope["path"].startswith("/api/lines/") and scope["method"] == "GET":
            is_fine = door.lines_rate.allows(station_id)
        if not is_fine:
            door.refuse("too-many", scope)
        return is_fine

    def _not_from_here(self, scope: Scope, headers: Headers) -> Response | None:
        is_read = scope["method"] in _SAFE_METHODS
        is_own = _is_from_own_page(headers, scope["scheme"])
        if not is_own and (scope["path"].startswith("/api") or not is_read):
            return self._told("wrong-origin", scope)
        if is_read:
            return None
        if headers.get("content-type", "").split(";")[0].strip() != "application/json":
            return problem("not-json")
        length = headers.get("content-length", "0")
        if not (length.isascii() and length.isdigit()) or int(length) > _most_bytes(scope):
            return self._told("too-large", scope)
        return None

    def _told(self, code: str, scope: Scope) -> Response:
        """The refusal, counted. The rest of what is being sent is not waited for."""
        self._door.refuse(_REFUSED[code], scope)
        answer = problem(code)
        answer.headers["Connection"] = "close"
        return answer


def _most_bytes(scope: Scope) -> int:
    return MOST_BYTES_OF.get(scope["path"], MOST_BODY_BYTES)


def _is_from_own_page(headers: Headers, scheme: str) -> bool:
    """A browser always says where a write comes from; a program that says nothing is no browser."""
    origin = headers.get("origin")
    if origin is not None and origin != f"{scheme}://{headers['host']}":
        return False
    site = headers.get("sec-fetch-site", "same-origin")
    return site in ("same-origin", "none")


def _too_many() -> Response:
    answer = problem("too-many")
    answer.headers["Connection"] = "close"
    return answer


async def _read(receive: Receive, most_bytes: int) -> bytes | None:
    """The whole body, None as soon as it is over the cap."""
    body = bytearray()
    while True:
        message = await receive()
        if message["type"] == "http.disconnect":
            return bytes(body)
        body += message.get("body", b"")
        if len(body) > most_bytes:
            return None
        if not message.get("more_body", False):
            return bytes(body)


def _again(body: bytes, receive: Receive) -> Receive:
    """Hand the body that was read to the route, then whatever comes after it."""
    waiting: list[Message] = [{"type": "http.request", "body": body, "more_body": False}]

    async def receive_again() -> Message:
        return waiting.pop() if waiting else await receive()

    return receive_again


class _Sending:
    """Sends on, with the headers on every answer."""

    def __init__(self, send: Send, scope: Scope) -> None:
        self._send = send
        self._scope = scope
        self.has_begun = False

    async def __call__(self, message: Message) -> None:
        if message["type"] == "http.response.start":
            self.has_begun = True
            _set_headers(MutableHeaders(scope=message), self._scope)
        await self._send(message)


def _set_headers(headers: MutableHeaders, scope: Scope) -> None:
    for name, value in HEADERS.items():
        headers[name] = value
    if headers.get("content-type") == "application/pdf":
        headers["Content-Security-Policy"] = _PDF_POLICY
    if is_from_afar(scope) and _is_name(Headers(scope=scope).get("host", "")):
        headers["Strict-Transport-Security"] = _STRICT_TRANSPORT
    # Pages and scripts are asked for anew each time (an update must not half arrive);
    # answers with people in them are not kept at all.
    headers["Cache-Control"] = "no-store" if scope["path"].startswith("/api") else "no-cache"


def _is_name(host: str) -> bool:
    """Whether a `Host` is a name and no address."""
    try:
        ip_address(host.rpartition(":")[0].strip("[]") or host)
    except ValueError:
        return True
    return False
