"""A page that goes away while something is on its way to it is no fault of the server.

fastapi (0.165, its discussion 15725) closes the stream out of which a page is sent before it ends
the task that writes into it: what is just being passed on then raises BrokenResourceError, and the
console shows a failed application whenever a page with something waiting is closed.
"""

from __future__ import annotations

from anyio import BrokenResourceError
from starlette.types import ASGIApp, Message, Receive, Scope, Send

_LIVE = "/api/log/live"


class DroppedStreams:
    """ASGI middleware that lets a live stream end in this way, and in no other."""

    def __init__(self, app: ASGIApp) -> None:
        self._app = app

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        if scope["type"] != "http" or scope["path"] != _LIVE:
            await self._app(scope, receive, send)
            return
        has_gone = False

        async def heard() -> Message:
            nonlocal has_gone
            message = await receive()
            has_gone = has_gone or message["type"] == "http.disconnect"
            return message

        try:
            await self._app(scope, heard, send)
        except* BrokenResourceError:
            # Of a page that is still there it would be a fault; and whatever else failed beside it
            # is raised further.
            if not has_gone:
                raise
