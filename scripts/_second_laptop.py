"""A `tablebook follow` in a process of its own, for measuring and for killing."""

from __future__ import annotations

import re
import subprocess
import sys
import time
from pathlib import Path

import httpx

from _running_server import PROJECT, START_SECONDS, Server, free_port

SHOWN = re.compile(r"tablebook follow (\S+) --code ([A-Z0-9-]+)")


class SecondLaptop:
    """Follows `first`, which was started with `--standby` and says its code into `said`."""

    def __init__(self, first: Server, said: Path, folder: Path) -> None:
        self.first, self._said = first, said
        self.url = f"sqlite:///{(folder / 'standby.db').as_posix()}"
        self.port = free_port()
        self._process: subprocess.Popen[bytes] | None = None

    def start(self) -> None:
        """Follow with the code that was said last, or as before where none is needed."""
        self._run("follow", "--port", str(self.port), *self._code())

    def restart(self) -> None:
        """Follow as before, without a code."""
        self._run("follow", "--port", str(self.port))

    def kill(self) -> None:
        if self._process:
            self._process.kill()
            self._process.wait()

    def promote(self, reason: str) -> str:
        """What `tablebook promote` says."""
        done = subprocess.run(
            [*self._command, "promote", "--reason", reason],
            cwd=PROJECT,
            capture_output=True,
            text=True,
            check=True,
        )
        return done.stdout

    @property
    def _command(self) -> list[str]:
        return [sys.executable, "-m", "app.cli", "--database", self.url]

    def _run(self, *arguments: str) -> None:
        self._process = subprocess.Popen(
            [*self._command, *arguments], cwd=PROJECT, stdout=subprocess.DEVNULL
        )

    def _code(self) -> list[str]:
        deadline = time.monotonic() + START_SECONDS
        while time.monotonic() < deadline:
            shown = SHOWN.findall(self._said.read_text(encoding="utf-8"))
            if shown:
                address, code = shown[-1]
                is_tls = address.startswith("https")
                return [address if is_tls else self.first.address, "--code", code]
            time.sleep(0.05)
        raise RuntimeError("the first laptop shows no code")


def standby_state(first: Server) -> str:
    """How the first laptop says that its standby stands."""
    copies = httpx.get(f"{first.address}/api/day", timeout=5).json()["copies"]
    return next((str(one["state"]) for one in copies if one["which"] == "standby"), "")


def wait_until_in_step(first: Server, seconds: float = START_SECONDS) -> None:
    deadline = time.monotonic() + seconds
    while time.monotonic() < deadline:
        if standby_state(first) == "in-step":
            return
        time.sleep(0.05)
    raise RuntimeError("the second laptop does not come into step")
