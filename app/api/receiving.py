"""How connections are received: how many, how slow, over what.

uvicorn reads a request for as long as somebody cares to send it, and its cap on connections
turns everybody away alike. Here each address has its own share, a stranger's connections
cannot use up those of the stations, and a request is whole within ten seconds or given up.
"""

from __future__ import annotations

import asyncio
import socket
import ssl
from collections import Counter
from collections.abc import Callable
from typing import Any

import uvicorn
from uvicorn.protocols.http.httptools_impl import STATUS_LINE, HttpToolsProtocol

from app.api.guard import HEADERS

# From the first byte, or the connection, until the request is whole. The page gives up after five.
WHOLE_SECONDS = 10.0
# A browser that reads nothing for so long has gone to sleep; it asks anew when it wakes.
UNREAD_SECONDS = 30.0
# Beside its body: nothing that the page sends has more in its headers than a few hundred bytes.
MOST_HEADER_BYTES = 32 * 1024

# Until the system has files to open again.
PAUSE_SECONDS = 0.1

# A page needs one for what happens live and a browser opens six: room for three windows.
MOST_OF_ADDRESS = 40
# Devices that are no stations, all together: they have only a code to type.
MOST_OF_STRANGERS = 200
# On the laptop itself, where other programs run beside the browser.
MOST_AT_HOME = 1_000


class Gate:
    """Which connections are let through, by the address they come from.

    `is_known` says of an address whether a station that is let in calls from there;
    `tell` is called with the address of each connection that is turned away.
    """

    def __init__(
        self,
        most_of_address: int = MOST_OF_ADDRESS,
        most_of_strangers: int = MOST_OF_STRANGERS,
        *,
        is_known: Callable[[str], bool] = lambda _: False,
        tell: Callable[[str], None] = lambda _: None,
    ) -> None:
        self._most_of_address = most_of_address
        self._most_of_strangers = most_of_strangers
        self._is_known = is_known
        self._tell = tell
        self._open: Counter[str] = Counter()

    def enter(self, address: str) -> bool:
        """Whether one more from there is let through; it is counted if it is."""
        is_full = self._open[address] >= self._most_of_address
        if not self._is_known(address):
            is_full = is_full or self._strangers() >= self._most_of_strangers
        if is_full:
            self._tell(address)
            return False
        self._open[address] += 1
        return True

    def leave(self, address: str) -> None:
        """One that was let through has gone."""
        self._open[address] -= 1
        if not self._open[address]:
            del self._open[address]

    def _strangers(self) -> int:
        return sum(count for address, count in self._open.items() if not self._is_known(address))


class ReceivingConfig(uvicorn.Config):
    """Settings of one listener. `tls` is None on the laptop itself."""

    def __init__(
        self, app: Any, gate: Gate, *, tls: ssl.SSLContext | None = None, **more: Any
    ) -> None:
        super().__init__(
            app,
            http=Receiving,
            ws="none",
            access_log=False,
            log_level="warning",
            server_header=False,
            # A header may not say whence a request comes or that it came over TLS.
            proxy_headers=False,
            **more,
        )
        self.gate = gate
        self.tls = tls


class Receiving(HttpToolsProtocol):
    """One connection that the gate let through; `leave` gives its place back."""

    def __init__(self, *given: Any, **named: Any) -> None:
        super().__init__(*given, **named)
        self.leave: Callable[[], None] = lambda: None
        self._deadline: asyncio.TimerHandle | None = None
        self._unread: asyncio.TimerHandle | None = None
        self._header_bytes = 0
        self._is_in_headers = True

    def connection_made(self, transport: asyncio.Transport) -> None:  # type: ignore[override]
        super().connection_made(transport)
        self._begin_deadline()

    def data_received(self, data: bytes) -> None:
        self._header_bytes += len(data)
        super().data_received(data)
        # What begins no request, an empty line or so, has ended uvicorn's wait for the next one.
        # Before the first request there is no cycle, whatever uvicorn's types say.
        if getattr(self.cycle, "response_complete", False):
            self._begin_deadline()
        if self._header_bytes > MOST_HEADER_BYTES:
            self._give_up()

    def on_message_begin(self) -> None:
        super().on_message_begin()
        self._is_in_headers = True
        self._begin_deadline()

    def on_header(self, name: bytes, value: bytes) -> None:
        # Behind a body it would stand among the headers that were judged already.
        if self._is_in_headers:
            super().on_header(name, value)
        else:
            self._give_up()

    def on_headers_complete(self) -> None:
        self._is_in_headers = False
        super().on_headers_complete()

    def on_body(self, body: bytes) -> None:
        # How long that may be is for the guard to say; what frames it counts.
        self._header_bytes -= len(body)
        super().on_body(body)

    def on_message_complete(self) -> None:
        self._cancel_deadline()
        self._header_bytes = 0
        super().on_message_complete()

    def pause_writing(self) -> None:
        super().pause_writing()
        self._unread = self._unread or self.loop.call_later(UNREAD_SECONDS, self._give_up)

    def resume_writing(self) -> None:
        super().resume_writing()
        self._cancel_unread()

    def connection_lost(self, exc: Exception | None) -> None:
        self._cancel_deadline()
        self._cancel_unread()
        self.leave()
        super().connection_lost(exc)

    def send_400_response(self, msg: str) -> None:
        """As uvicorn's, with the headers of every answer."""
        headers = {
            **HEADERS,
            "Content-Type": "text/plain; charset=utf-8",
            "Content-Length": str(len(msg)),
            "Connection": "close",
        }
        lines = "".join(f"{name}: {value}\r\n" for name, value in headers.items())
        self.transport.write(STATUS_LINE[400] + f"{lines}\r\n{msg}".encode("ascii"))
        self.transport.close()

    def _give_up(self) -> None:
        self.transport.abort()

    def _begin_deadline(self) -> None:
        if self._deadline is None:
            self._deadline = self.loop.call_later(WHOLE_SECONDS, self._give_up)

    def _cancel_deadline(self) -> None:
        if self._deadline:
            self._deadline.cancel()
            self._deadline = None

    def _cancel_unread(self) -> None:
        if self._unread:
            self._unread.cancel()
            self._unread = None


class ReceivingServer(uvicorn.Server):
    """Takes connections one by one, so that the gate is asked before TLS computes anything."""

    def __init__(self, config: ReceivingConfig) -> None:
        super().__init__(config)
        self.is_serving = asyncio.Event()
        self._settings = config
        self._taking: list[asyncio.Task[None]] = []

    async def startup(self, sockets: list[socket.socket] | None = None) -> None:
        # Without sockets of its own uvicorn opens the record, and listens nowhere.
        await super().startup([])
        for listener in sockets or []:
            listener.setblocking(False)
            self._taking.append(asyncio.create_task(self._take(listener)))
        self.is_serving.set()

    async def shutdown(self, sockets: list[socket.socket] | None = None) -> None:
        for taking in self._taking:
            taking.cancel()
        await asyncio.gather(*self._taking, return_exceptions=True)
        await super().shutdown(sockets)

    async def _take(self, listener: socket.socket) -> None:
        loop, gate = asyncio.get_running_loop(), self._settings.gate
        while True:
            try:
                connection, peer = await loop.sock_accept(listener)
            except OSError:
                # The peer has gone again, or there are too many open files for now.
                await asyncio.sleep(PAUSE_SECONDS)
                continue
            address = str(peer[0])
            if gate.enter(address):
                # Kept with the requests, which are waited for when the server stops.
                task = loop.create_task(self._begin(connection, address))
                self.server_state.tasks.add(task)
                task.add_done_callback(self.server_state.tasks.discard)
            else:
                connection.close()

    async def _begin(self, connection: socket.socket, address: str) -> None:
        tls = self._settings.tls
        leave = _once(lambda: self._settings.gate.leave(address))
        protocol = Receiving(
            config=self.config, server_state=self.server_state, app_state=self.lifespan.state
        )
        protocol.leave = leave
        try:
            await asyncio.get_running_loop().connect_accepted_socket(
                lambda: protocol,
                connection,
                ssl=tls,
                ssl_handshake_timeout=WHOLE_SECONDS if tls else None,
            )
        except (OSError, asyncio.CancelledError):  # ssl.SSLError is an OSError
            leave()
            connection.close()


def _once(act: Callable[[], None]) -> Callable[[], None]:
    """Handshakes that fail and connections that are lost may both be told of, or one of them."""
    left = [act]

    def do() -> None:
        if left:
            left.pop()()

    return do
