"""The door: what is checked before any route runs, and the headers on every answer.

`Host` must be one of this server's own names (DNS rebinding), a write must come
from this server's own page and be JSON (cross-site requests), a body is read only
up to its cap. The headers keep the page from loading anything from elsewhere.
"""

from __future__ import annotations

from collections.abc import Collection

from starlette.datastructures import Headers, MutableHeaders
from starlette.responses import Response
from starlette.types import ASGIApp, Message, Receive, Scope, Send

from app.api.problems import problem

MOST_BODY_BYTES = 64 * 1024

# A list of 5,000 rows comes to 600 kB in base64; here alone so much is read.
MOST_BYTES_OF = {"/api/late-lists": 2_000_000}

_SAFE_METHODS = frozenset({"GET", "HEAD", "OPTIONS"})

_HEADERS = {
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
    """ASGI middleware. `hosts` are the exact `Host` values served, port included."""

    def __init__(self, app: ASGIApp, hosts: Collection[str]) -> None:
        self._app = app
        self._hosts = frozenset(hosts)

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        if scope["type"] != "http":
            await self._app(scope, receive, send)
            return
        sending = _with_headers(send, scope["path"])
        refusal = self._refusal(scope)
        if refusal is None and scope["method"] not in _SAFE_METHODS:
            body = await _read(receive, _most_bytes(scope))
            if body is None:
                refusal = problem("too-large")
            else:
                receive = _again(body, receive)
        await (refusal or self._app)(scope, receive, sending)

    def _refusal(self, scope: Scope) -> Response | None:
        headers = Headers(scope=scope)
        if headers.get("host") not in self._hosts:
            return problem("wrong-host")
        if scope["method"] in _SAFE_METHODS:
            return None
        if not _is_from_own_page(headers, scope["scheme"]):
            return problem("wrong-origin")
        if headers.get("content-type", "").split(";")[0].strip() != "application/json":
            return problem("not-json")
        length = headers.get("content-length", "0")
        if not length.isdigit() or int(length) > _most_bytes(scope):
            return problem("too-large")
        return None


def _most_bytes(scope: Scope) -> int:
    return MOST_BYTES_OF.get(scope["path"], MOST_BODY_BYTES)


def _is_from_own_page(headers: Headers, scheme: str) -> bool:
    """A browser always says where a write comes from; a program that says nothing is no browser."""
    origin = headers.get("origin")
    if origin is not None and origin != f"{scheme}://{headers['host']}":
        return False
    return headers.get("sec-fetch-site", "same-origin") in ("same-origin", "none")


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


def _with_headers(send: Send, path: str) -> Send:
    async def sending(message: Message) -> None:
        if message["type"] == "http.response.start":
            headers = MutableHeaders(scope=message)
            for name, value in _HEADERS.items():
                headers[name] = value
            if headers.get("content-type") == "application/pdf":
                headers["Content-Security-Policy"] = _PDF_POLICY
            # Pages and scripts are asked for anew each time (an update must not half arrive);
            # answers with people in them are not kept at all.
            headers["Cache-Control"] = "no-store" if path.startswith("/api") else "no-cache"
        await send(message)

    return sending
