"""Programs that some tests need and Python cannot bring: a Chromium, a C compiler, libfiu, ip.

Each is looked for first; only where it is missing is it installed, and only where that needs
no question: by apt-get as root on Linux, or a Chromium of its own by playwright.
"""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
from pathlib import Path

from _setup_venv import Environment
from _setup_words import Refusal, Say

# Names the path of the Chromium to test with, for these scripts and for the tests.
CHROMIUM_VARIABLE = "TABLEBOOK_CHROMIUM"
CHROMIUM_NAMES = (
    "chromium",
    "chromium-browser",
    "google-chrome",
    "google-chrome-stable",
    "chrome",
    "msedge",
)
COMPILER_NAMES = ("cc", "gcc", "clang")
FAULT_MAKER = "fiu-run"
NETWORK_MAKER = "ip"
MAC_PLACES = (
    "/Applications/Chromium.app/Contents/MacOS/Chromium",
    "/Applications/Google Chrome.app/Contents/MacOS/Google Chrome",
    "/Applications/Microsoft Edge.app/Contents/MacOS/Microsoft Edge",
)
# Under each of the folders that Windows installs programs in.
WINDOWS_ROOTS = ("PROGRAMFILES", "PROGRAMFILES(X86)", "LOCALAPPDATA")
WINDOWS_PLACES = (
    r"Chromium\Application\chrome.exe",
    r"Google\Chrome\Application\chrome.exe",
    r"Microsoft\Edge\Application\msedge.exe",
)


def find_chromium() -> str | None:
    """The path of a Chromium on this computer; None where there is none.

    Raises Refusal where TABLEBOOK_CHROMIUM names a file that does not exist.
    """
    named = os.environ.get(CHROMIUM_VARIABLE)
    if named:
        if not Path(named).is_file():
            raise Refusal(f"{CHROMIUM_VARIABLE} names {named}, and there is no such file.")
        return named
    on_path = (shutil.which(name) for name in CHROMIUM_NAMES)
    return next((path for path in on_path if path), None) or find_in_usual_places()


def find_in_usual_places() -> str | None:
    """A Chromium where macOS and Windows put programs that are not on the path."""
    places = [Path(place) for place in MAC_PLACES] if sys.platform == "darwin" else []
    if sys.platform == "win32":
        roots = [Path(os.environ[root]) for root in WINDOWS_ROOTS if root in os.environ]
        places = [root / place for root in roots for place in WINDOWS_PLACES]
    return next((str(place) for place in places if place.is_file()), None)


def obtain_chromium(environment: Environment, say: Say = print) -> str | None:
    """Find a Chromium or install one; None, with the reason said, where none can be had."""
    found = find_chromium()
    if found:
        return found
    if install_with_apt("chromium", say=say):
        return find_chromium()
    return obtain_from_playwright(environment, say)


def obtain_from_playwright(environment: Environment, say: Say) -> str | None:
    """The Chromium that playwright keeps for itself, downloaded where it has none yet."""
    path = playwright_chromium(environment)
    if path is None:
        say("No Chromium found: playwright downloads one ...")
        command = [str(environment.python), "-m", "playwright", "install", "chromium"]
        subprocess.run(command, capture_output=True)
        path = playwright_chromium(environment)
    if path is None:
        say(
            "No Chromium, and none could be installed: install one, or name it in "
            f"{CHROMIUM_VARIABLE}, or leave its tests out with --no-browser."
        )
    return path


def playwright_chromium(environment: Environment) -> str | None:
    """Where playwright has put its Chromium; None where it has not."""
    question = (
        "from playwright.sync_api import sync_playwright as driver\n"
        "with driver() as running: print(running.chromium.executable_path)"
    )
    answer = subprocess.run([environment.python, "-c", question], capture_output=True, text=True)
    path = answer.stdout.strip()
    return path if path and Path(path).is_file() else None


def obtain_compiler(say: Say = print) -> str | None:
    """Find a C compiler or install one; None, with what follows said, where none can be had."""
    found = find_compiler()
    if found is None and install_with_apt("gcc", "libc6-dev", say=say):
        found = find_compiler()
    if found is None and sys.platform != "win32":
        say("No C compiler: the tests that need one skip themselves.")
    return found


def find_compiler() -> str | None:
    """The path of a C compiler on this computer; None where there is none."""
    return next((path for path in map(shutil.which, COMPILER_NAMES) if path), None)


def obtain_fault_maker(say: Say = print) -> str | None:
    """Find libfiu's fiu-run, which lets a disk fail, or install it; None where it cannot be had."""
    without = "No fiu-run: the tests that let a disk fail skip themselves."
    return _obtained(FAULT_MAKER, "fiu-utils", without, say)


def obtain_network_maker(say: Say = print) -> str | None:
    """Find iproute2's ip, which makes a second host, or install it; None where it cannot be had."""
    without = "No ip: the tests that need a second host skip themselves."
    return _obtained(NETWORK_MAKER, "iproute2", without, say)


def _obtained(program: str, package: str, without: str, say: Say) -> str | None:
    found = shutil.which(program)
    if found is None and install_with_apt(package, say=say):
        found = shutil.which(program)
    if found is None:
        say(without)
    return found


def install_with_apt(*packages: str, say: Say = print) -> bool:
    """Install Debian packages where that needs no question; whether they now are."""
    if not may_use_apt():
        return False
    say(f"Installing {' and '.join(packages)} with apt-get ...")
    quiet = {**os.environ, "DEBIAN_FRONTEND": "noninteractive"}
    for command in (["update"], ["install", "-y", *packages]):
        done = subprocess.run(
            ["apt-get", *command], capture_output=True, stdin=subprocess.DEVNULL, env=quiet
        )
    return done.returncode == 0


def may_use_apt() -> bool:
    """Whether this is root on a Linux with apt-get."""
    if sys.platform != "linux":
        return False
    return os.geteuid() == 0 and shutil.which("apt-get") is not None
