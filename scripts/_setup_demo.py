"""The demo: the sample day of an invented precinct, loaded once and kept between starts.

Everything of it is in `.demo/`. The database appears there whole or not at all: it is filled in
`.demo/loading/` and moved. One program at a time has it, by a lock that ends with that program.
"""

from __future__ import annotations

import shutil
import subprocess
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import NamedTuple

from _setup_words import Refusal, Say, explain_failure

SAMPLE = "sample_rosters/tern-4-07"
DATABASE = "tablebook.db"
LOCK = "in-use"


class DemoWorker(NamedTuple):
    """Somebody invented, with a PIN that everybody may know."""

    initials: str
    name: str
    role: str
    pin: str


WORKERS = (
    DemoWorker("RM", "Rosa Marchetti-Quill", "worker", "240713"),
    DemoWorker("TB", "Tobias Brandvold", "worker", "518206"),
    DemoWorker("LO", "Leonora Okonkwo-Hale", "lead", "907351"),
    DemoWorker("GS", "Gideon Sarkany", "registrar", "663048"),
)


@dataclass(frozen=True)
class Demo:
    """Where the demo is kept, and how the project's command line is called.

    `command` is run in `project` with the arguments of one command after it.
    """

    project: Path
    command: tuple[str, ...]

    @property
    def folder(self) -> Path:
        """Everything of the demo; can be deleted to forget it."""
        return self.project / ".demo"

    @property
    def database(self) -> Path:
        """Exists only when it is whole."""
        return self.folder / DATABASE

    @property
    def loading(self) -> Path:
        """Where the next demo is filled. What is left in it was interrupted."""
        return self.folder / "loading"

    @property
    def previous(self) -> Path:
        """The demo before the last --fresh."""
        return self.folder / "previous"

    def arguments(self, database: Path, *arguments: str) -> list[str]:
        """The whole of one command on `database`."""
        # Relative to the project, where it is run: no character of a path can upset the URL.
        url = f"sqlite:///{database.relative_to(self.project).as_posix()}"
        return [*self.command, "--database", url, *arguments]


@contextmanager
def sole_use(demo: Demo) -> Iterator[int]:
    """Hold the demo for this process; yields the file descriptor that carries the lock.

    The lock goes when the last process that has the descriptor ends, however it ends.
    """
    demo.folder.mkdir(exist_ok=True)
    with (demo.folder / LOCK).open("a+b") as file:
        try:
            lock_file(file.fileno())
        except (BlockingIOError, PermissionError):
            raise Refusal(
                "The demo is being served already, from another window or on another port: "
                "stop it there with Ctrl-C first."
            ) from None
        yield file.fileno()


if sys.platform == "win32":
    import msvcrt

    def lock_file(descriptor: int) -> None:
        """Lock it or raise PermissionError at once."""
        msvcrt.locking(descriptor, msvcrt.LK_NBLCK, 1)

else:
    import fcntl

    def lock_file(descriptor: int) -> None:
        """Lock it or raise BlockingIOError at once."""
        fcntl.flock(descriptor, fcntl.LOCK_EX | fcntl.LOCK_NB)


def load(demo: Demo, say: Say = print) -> None:
    """Fill a demo from the sample and put it in place of the one that stands, which is kept aside.

    A load that fails or is interrupted leaves the demo that stands as it was.
    """
    if not (demo.project / SAMPLE).exists():
        raise Refusal(f"{SAMPLE} is missing: fetch the project again, whole.")
    say("Loading the sample day ...")
    shutil.rmtree(demo.loading, ignore_errors=True)
    demo.loading.mkdir()
    database = demo.loading / DATABASE
    call(demo, database, "load", SAMPLE)
    for worker in WORKERS:
        described = ("--name", worker.name, "--initials", worker.initials, "--role", worker.role)
        call(demo, database, "worker", "add", *described, "--pin-stdin", typed=worker.pin)
    set_aside(demo)
    # The database goes last: where it stands, everything that belongs to it stands as well.
    for file in sorted(demo.loading.iterdir(), key=lambda file: file.name == DATABASE):
        file.replace(demo.folder / file.name)
    demo.loading.rmdir()


def set_aside(demo: Demo) -> None:
    """Move all of the demo that stands into `previous`, the database first."""
    ours = (LOCK, demo.loading.name, demo.previous.name)
    standing = [file for file in demo.folder.iterdir() if file.name not in ours]
    if not standing:
        return
    shutil.rmtree(demo.previous, ignore_errors=True)
    demo.previous.mkdir()
    for file in sorted(standing, key=lambda file: file.name != DATABASE):
        file.replace(demo.previous / file.name)


def call(demo: Demo, database: Path, *arguments: str, typed: str = "") -> None:
    """Run one command of the project; its own words are shown where it fails."""
    done = subprocess.run(
        demo.arguments(database, *arguments),
        cwd=demo.project,
        input=f"{typed}\n",
        stdout=subprocess.PIPE,
        stderr=subprocess.STDOUT,
        text=True,
        errors="replace",
    )
    if done.returncode == 0:
        return
    print(done.stdout.rstrip(), file=sys.stderr)
    stopped = f"Loading the sample stopped at `tablebook {arguments[0]}` (see above)."
    raise Refusal(explain_failure(done.stdout) or stopped)
