"""A `tablebook follow` in a process of its own, for measuring and for killing."""

from __future__ import annotations

import re
import subprocess
import sys
import time
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from pathlib import Path

import httpx

from _running_server import PROJECT, START_SECONDS, Day, Server, free_port

SHOWN = re.compile(r"tablebook follow (\S+) --code ([A-Z0-9-]+)")


class SecondLaptop:
    """Follows `first`, which was started with `--standby` and says its code into `said`.

    `options` are further ones of `follow`; with a `passphrase` its record is encrypted.
    """

    def __init__(
        self,
        first: Server,
        said: Path,
        folder: Path,
        options: Sequence[str] = (),
        passphrase: str = "",
    ) -> None:
        self.first, self._said = first, said
        self._options, self._passphrase = tuple(options), passphrase
        self.url = f"sqlite:///{(folder / 'standby.db').as_posix()}"
        self.port = free_port()
        self._process: subprocess.Popen[bytes] | None = None

    def start(self) -> None:
        """Follow with the code that was said last, or as before where none is needed."""
        encrypted = ["--encrypted"] if self._passphrase else []
        self._run(*self._follow, *encrypted, *self._code())

    def restart(self) -> None:
        """Follow as before, without a code."""
        self._run(*self._follow)

    @property
    def address(self) -> str:
        """Of its page, on this laptop alone."""
        return f"http://127.0.0.1:{self.port}"

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

    @property
    def _follow(self) -> list[str]:
        return ["follow", "--port", str(self.port), *self._options]

    def _run(self, *arguments: str) -> None:
        typing = ["--passphrase-fd", "0"] if self._passphrase else []
        self._process = subprocess.Popen(
            [*self._command, *typing, *arguments],
            cwd=PROJECT,
            stdin=subprocess.PIPE,
            stdout=subprocess.DEVNULL,
        )
        if self._process.stdin:
            with self._process.stdin as typed:
                typed.write(f"{self._passphrase}\n".encode() if self._passphrase else b"")

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
    return standby_told(first)[0]


def standby_told(first: Server) -> tuple[str, str]:
    """The same, and since when."""
    copies = httpx.get(f"{first.address}/api/day", timeout=5).json()["copies"]
    of_standby = (one for one in copies if one["which"] == "standby")
    return next(((str(one["state"]), str(one["since"])) for one in of_standby), ("", ""))


def wait_until_in_step(first: Server, seconds: float = START_SECONDS) -> None:
    deadline = time.monotonic() + seconds
    while time.monotonic() < deadline:
        if standby_state(first) == "in-step":
            return
        time.sleep(0.05)
    raise RuntimeError("the second laptop does not come into step")


@contextmanager
def followed(day: Day, folder: Path, options: Sequence[str] = ()) -> Iterator[Server]:
    """A started server with a second laptop in step, over TLS; both are killed at the end."""
    said = folder / "said.txt"
    place = f"127.0.0.1:{free_port()}"
    first = Server(day, options=("--stations", place, "--standby", *options))
    second = SecondLaptop(first, said, folder)
    with said.open("ab") as first.said:
        try:
            first.start()
            second.start()
            wait_until_in_step(first)
            yield first
        finally:
            first.kill()
            second.kill()
