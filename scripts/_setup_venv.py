"""The project's own Python environment, `.venv`, and what is installed in it.

Made once and remembered by a stamp; looked at again only when the locks, pyproject.toml, the
Python or the place of the folder changed. Once it stands, nothing here needs the network.
Only the standard library is used: these scripts run before anything is installed.
"""

from __future__ import annotations

import hashlib
import json
import os
import shutil
import subprocess
import sys
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path

from _setup_words import Refusal, Say, explain_failure, tail

PROJECT = Path(__file__).resolve().parent.parent
RUN_LOCK = "scripts/requirements.lock"
DEV_LOCK = "scripts/requirements-dev.lock"

# Published as source only. Built with the setuptools of RUN_LOCK, which is installed before it:
# pip would otherwise fetch build tools whose digests nobody checks.
BUILT_FROM_SOURCE = "names"
# pip tries again with growing pauses; more than this only makes a missing network slow to tell.
RETRIES = "2"
# Settings that would make pip install somewhere else than into .venv.
DIVERTING_SETTINGS = ("PIP_USER", "PIP_TARGET", "PIP_PREFIX", "PIP_ROOT", "PYTHONHOME")


@dataclass(frozen=True)
class Purpose:
    """What the environment is for: the locks to install, in order, and the room they need."""

    name: str
    locks: tuple[str, ...]
    megabytes: int


RUN = Purpose("run", (RUN_LOCK,), megabytes=600)
DEVELOP = Purpose("develop", (RUN_LOCK, DEV_LOCK), megabytes=1200)


@dataclass(frozen=True)
class Environment:
    """A virtual environment in the folder of a project."""

    project: Path = PROJECT

    @property
    def folder(self) -> Path:
        """Where it stands."""
        return self.project / ".venv"

    @property
    def python(self) -> Path:
        """Its interpreter."""
        return self.command("python")

    def command(self, name: str) -> Path:
        """The path of one of its commands, whether or not it is installed."""
        return scripts_folder(self.folder) / (f"{name}.exe" if os.name == "nt" else name)

    @property
    def stamp_file(self) -> Path:
        """Where it is remembered what was installed for which purpose."""
        return self.folder / "tablebook-installed.json"


def scripts_folder(environment: Path) -> Path:
    """The folder of the commands of a virtual environment."""
    return environment / ("Scripts" if os.name == "nt" else "bin")


def prepare(environment: Environment, purpose: Purpose, say: Say = print) -> None:
    """See to it that everything for `purpose` is installed. In a moment where it is already.

    Raises Refusal where it cannot be done; run again, it starts from what stands.
    """
    if is_ready(environment, purpose):
        return
    refuse_little_room(environment.project, purpose.megabytes)
    say(f"Setting up {environment.folder} (once; needs the network and a minute or two) ...")
    if not is_usable(environment):
        make(environment)
    for lock in purpose.locks:
        install_lock(environment, lock)
    install_project(environment)
    remember(environment, purpose)
    say("Set up.")


def is_ready(environment: Environment, purpose: Purpose) -> bool:
    """Whether everything for `purpose` was installed from the files as they are now."""
    if not (environment.python.exists() and environment.command("tablebook").exists()):
        return False
    return read_stamps(environment).get(purpose.name) == stamp(environment, purpose)


def read_stamps(environment: Environment) -> dict[str, str]:
    """Purpose name to stamp; empty where nothing was finished yet."""
    try:
        stamps = json.loads(environment.stamp_file.read_text("utf-8"))
    except (FileNotFoundError, ValueError):
        return {}
    return stamps if isinstance(stamps, dict) else {}


def stamp(environment: Environment, purpose: Purpose) -> str:
    """A digest of all that decides what an installation looks like."""
    digest = hashlib.sha256()
    # The commands in .venv hold the path of the folder, and stop working when it is moved.
    digest.update(f"{environment.project}\n{python_of(environment)}\n".encode())
    for file in ("pyproject.toml", *purpose.locks):
        digest.update((environment.project / file).read_bytes())
    return digest.hexdigest()


def python_of(environment: Environment) -> str:
    """The Python that the environment was made with, as "3.11"; empty where there is none."""
    return ".".join(how_made(environment).get("version", "").split(".")[:2])


def how_made(environment: Environment) -> dict[str, str]:
    """What Python noted when it made the environment; empty where there is none."""
    try:
        lines = (environment.folder / "pyvenv.cfg").read_text("utf-8").splitlines()
    except FileNotFoundError:
        return {}
    return dict(line.partition(" = ")[::2] for line in lines)


def remember(environment: Environment, purpose: Purpose) -> None:
    """Write the stamp of `purpose`, and of any purpose whose locks it has installed as well."""
    stamps = read_stamps(environment)
    for done in (RUN, DEVELOP):
        if set(done.locks) <= set(purpose.locks):
            stamps[done.name] = stamp(environment, done)
    environment.stamp_file.write_text(json.dumps(stamps, indent=1), encoding="utf-8")


def refuse_little_room(folder: Path, megabytes: int) -> None:
    """Refuse before anything is written where the disk has less than `megabytes` free."""
    free = shutil.disk_usage(folder).free // 1_000_000
    if free < megabytes:
        raise Refusal(
            f"Not enough room on the disk: setting up needs {megabytes} MB free, "
            f"and there are {free} MB."
        )


def is_usable(environment: Environment) -> bool:
    """Whether the environment was made where it stands and has a Python, new enough, with pip."""
    if not how_made(environment).get("command", "").endswith(str(environment.folder)):
        return False
    question = "import pip, sys; sys.exit(sys.version_info < (3, 11))"
    try:
        answer = subprocess.run([environment.python, "-c", question], capture_output=True)
    except OSError:
        # Its Python is gone, or cannot run on this computer.
        return False
    return answer.returncode == 0


def make(environment: Environment) -> None:
    """Make the environment, empty, in place of an unusable one."""
    command = [sys.executable, "-m", "venv", "--clear", str(environment.folder)]
    made = subprocess.run(command, capture_output=True, text=True, env=undiverted(os.environ))
    if made.returncode == 0:
        return
    words = made.stdout + made.stderr
    if "ensurepip" in words:
        raise Refusal(
            "This Python has no venv module: install it (on Debian and Ubuntu: "
            "apt install python3-venv) and run this again."
        )
    raise Refusal(explain_failure(words) or f"Could not make {environment.folder}: {tail(words)}")


def install_lock(environment: Environment, lock: str) -> None:
    """Install one lock, every file checked against its digest."""
    choice = ["--require-hashes", "--only-binary", ":all:"]
    if lock == DEV_LOCK:
        choice += ["--no-binary", BUILT_FROM_SOURCE, "--no-build-isolation", "--use-pep517"]
    run_pip(environment, [*choice, "--retries", RETRIES, "-r", str(environment.project / lock)])


def install_project(environment: Environment) -> None:
    """Install the project itself as it stands in its folder, without the network."""
    run_pip(
        environment,
        ["--no-deps", "--no-build-isolation", "--editable", str(environment.project)],
    )


def run_pip(environment: Environment, arguments: list[str]) -> None:
    """Run `pip install`; refuse in words where it fails, showing pip's own where there are none."""
    pip = [str(environment.python), "-m", "pip", "install", "--quiet", "--no-input"]
    done = subprocess.run(
        [*pip, "--disable-pip-version-check", *arguments],
        stdout=subprocess.PIPE,
        stderr=subprocess.STDOUT,
        text=True,
        errors="replace",
        env=undiverted(os.environ),
    )
    if done.returncode == 0:
        return
    known = explain_failure(done.stdout)
    if known is None:
        print(tail(done.stdout), file=sys.stderr)
    raise Refusal(known or "Installing failed; the lines above are what pip said.")


def undiverted(settings: Mapping[str, str]) -> dict[str, str]:
    """The environment variables without those that make pip install elsewhere."""
    return {name: value for name, value in settings.items() if name not in DIVERTING_SETTINGS}
