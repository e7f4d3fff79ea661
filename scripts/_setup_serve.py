"""Serving the demo on this computer: the port, the server's start and end, whom to sign on as."""

from __future__ import annotations

import errno
import os
import signal
import socket
import subprocess
import time
from collections.abc import Sequence
from typing import NoReturn

from _setup_demo import WORKERS, Demo
from _setup_words import Refusal, Say

HOST = "127.0.0.1"
# Any free one would do; the same each time, so that a bookmark keeps working.
DEFAULT_PORT = 8407
# Long enough for a slow disk or a virus scanner; a server that has ended is noticed at once.
SECONDS_TO_ANSWER = 60.0
SECONDS_BETWEEN_LOOKS = 0.05
# What a server may take to finish what it is writing.
SECONDS_TO_END = 10.0


def refuse_taken_port(port: int) -> None:
    """Refuse where another program listens on the port, or this one may not."""
    fault = fault_of_port(port)
    if fault is None:
        return
    if fault == errno.EACCES:
        raise Refusal(f"Port {port} is not open to you: give one above 1023, such as --port 8407.")
    other = next((near for near in range(port + 1, 65536) if fault_of_port(near) is None), None)
    way_out = f", or give another: --port {other}" if other else ""
    raise Refusal(
        f"Port {port} is taken, perhaps by a demo that is running already "
        f"(see http://{HOST}:{port}/): stop that program{way_out}."
    )


def fault_of_port(port: int) -> int | None:
    """The error number that stands in the way of listening on the port; None if nothing does."""
    # Somebody may answer there although binding works: some systems let two programs share a port.
    with socket.socket() as caller:
        caller.settimeout(1)
        if caller.connect_ex((HOST, port)) == 0:
            return errno.EADDRINUSE
    with socket.socket() as listener:
        if os.name != "nt":
            # A port whose last server has just ended is free; on Windows this would say too much.
            listener.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        try:
            listener.bind((HOST, port))
        except PermissionError:
            return errno.EACCES
        except OSError:
            return errno.EADDRINUSE
    return None


def serve(demo: Demo, port: int, lock: int, options: Sequence[str] = (), say: Say = print) -> int:
    """Serve the demo until Ctrl-C, and say where and for whom as soon as it answers.

    `options` are further ones of `tablebook serve`.
    """
    signal.signal(signal.SIGTERM, interrupt)
    server = subprocess.Popen(
        demo.arguments(demo.database, "serve", "--port", str(port), *options),
        cwd=demo.project,
        # A server that outlives this script keeps the demo to itself.
        pass_fds=() if os.name == "nt" else (lock,),
    )
    try:
        wait_until_answering(server, port)
        say(welcome(port))
        code = server.wait()
    except KeyboardInterrupt:
        end(server)
        return 0
    except BaseException:
        end(server)
        raise
    if code:
        raise Refusal(f"The server ended by itself with exit code {code} (see above).")
    return 0


def interrupt(*_: object) -> NoReturn:
    """End as Ctrl-C would."""
    raise KeyboardInterrupt


def wait_until_answering(server: subprocess.Popen[bytes], port: int) -> None:
    """Return as soon as the server takes a connection; refuse where it ends or never does."""
    deadline = time.monotonic() + SECONDS_TO_ANSWER
    while time.monotonic() < deadline:
        if server.poll() is not None:
            raise Refusal(
                "The server did not start (see above); if the demo is from an earlier version, "
                "python3 scripts/start.py --fresh starts it over."
            )
        with socket.socket() as caller:
            caller.settimeout(1)
            if caller.connect_ex((HOST, port)) == 0:
                return
        time.sleep(SECONDS_BETWEEN_LOOKS)
    raise Refusal(f"The server does not answer after {SECONDS_TO_ANSWER:.0f} seconds.")


def end(server: subprocess.Popen[bytes]) -> None:
    """Let the server finish what it is writing, then see that it is gone."""
    if os.name != "nt":
        # On Windows the Ctrl-C has reached the server as well, and this would cut it short.
        server.terminate()
    for last_resort in (server.terminate, server.kill):
        try:
            server.wait(SECONDS_TO_END)
        except subprocess.TimeoutExpired:
            last_resort()
        else:
            return
    server.wait()


def welcome(port: int) -> str:
    """Where to go and who to be."""
    longest = max(len(worker.name) for worker in WORKERS)
    people = "\n".join(
        f"  {worker.initials}  {worker.name:<{longest}}  {worker.role:<9}  PIN {worker.pin}"
        for worker in WORKERS
    )
    return (
        f"\nTablebook is open at http://{HOST}:{port}/   (Ctrl-C ends it)\n\n"
        "Sign on as one of these. They are invented, and their PINs are for this demo only:\n"
        f"{people}\n\n"
        "The day is kept: start again and it goes on. --fresh starts it over.\n"
    )
