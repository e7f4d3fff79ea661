"""Compressing what everybody may read: the page, its scripts, styles and words.

Nothing under `/api` is compressed. There stand names and birth dates beside what the caller
sent, and the length of a compressed answer tells whether the two are alike; a live stream would
be held back until a buffer is full; and a PDF is packed already.
"""

from __future__ import annotations

from starlette.datastructures import Headers
from starlette.middleware.gzip import GZipMiddleware
from starlette.types import ASGIApp, Receive, Scope, Send

# Of the page's 300 kB of text level 6 leaves a few hundred bytes more than 9, in half the time.
LEVEL = 6


class Compressed:
    """ASGI middleware around everything that is not the API."""

    def __init__(self, app: ASGIApp) -> None:
        self._plain = app
        self._compressed = GZipMiddleware(app, compresslevel=LEVEL)

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        app = self._compressed if _is_for_everybody(scope) else self._plain
        await app(scope, receive, send)


def _is_for_everybody(scope: Scope) -> bool:
    """Not a piece of a file either: the piece is counted in bytes that are not compressed."""
    if scope["type"] != "http" or scope["path"].startswith("/api"):
        return False
    return "range" not in Headers(scope=scope)
