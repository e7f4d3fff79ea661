"""Stands in for the `tablebook` command: notes how it was called, does as little as it may.

STAND_IN_FAILS names a command that fails; STAND_IN_WORDS is what it says then.
"""

from __future__ import annotations

import contextlib
import http.server
import os
import sys
from pathlib import Path


def main() -> None:
    _, url, command, *rest = sys.argv[1:]
    typed = "" if command == "serve" else sys.stdin.read().strip()
    with Path("calls.txt").open("a", encoding="utf-8") as calls:
        calls.write(" ".join((url, command, *rest, typed)).strip() + "\n")
    if os.environ.get("STAND_IN_FAILS") == command:
        sys.exit(os.environ.get("STAND_IN_WORDS", "it would not"))
    database = Path(url.removeprefix("sqlite:///"))
    if command == "load":
        database.write_text("loaded\n", encoding="utf-8")
        database.with_name(database.name + "-wal").touch()
    elif command == "serve":
        address = ("127.0.0.1", int(rest[rest.index("--port") + 1]))
        server = http.server.HTTPServer(address, http.server.BaseHTTPRequestHandler)
        with contextlib.suppress(KeyboardInterrupt):
            server.serve_forever()


if __name__ == "__main__":
    main()
