"""What scripts/test.py does: the development environment, the checks, then pytest over tests/."""

from __future__ import annotations

import os
import subprocess
from collections.abc import Sequence

from _setup_tools import (
    CHROMIUM_VARIABLE,
    obtain_chromium,
    obtain_compiler,
    obtain_fault_maker,
    obtain_network_maker,
)
from _setup_venv import DEVELOP, Environment, prepare
from _setup_words import told_in_words

NO_BROWSER = "--no-browser"
CHECKS_FAILED = "A check FAILED before the tests: python3 scripts/check.py shows which."


def main(arguments: list[str]) -> int:
    """Run scripts/test.py; returns its exit code."""
    return told_in_words(lambda: run(Environment(), arguments))


def run(environment: Environment, arguments: Sequence[str]) -> int:
    """Set up, check and test. The tests run even where a check failed, so that all is seen."""
    prepare(environment, DEVELOP)
    settings = dict(os.environ)
    with_browser = NO_BROWSER not in arguments
    if with_browser:
        # Where there is none the tests that need it fail: a green run has driven a browser.
        settings[CHROMIUM_VARIABLE] = obtain_chromium(environment) or ""
    obtain_compiler()
    obtain_fault_maker()
    obtain_network_maker()
    checked = run_in(environment, settings, "scripts/check.py")
    tested = run_in(environment, settings, "-m", "pytest", *pytest_arguments(arguments))
    if checked:
        # Said again: whoever reads the last lines alone must not take the run for a green one.
        print(CHECKS_FAILED, flush=True)
    return 1 if checked or tested else 0


def pytest_arguments(arguments: Sequence[str]) -> list[str]:
    """What goes to pytest: everything but our own option, which becomes a choice of markers."""
    passed_on = [argument for argument in arguments if argument != NO_BROWSER]
    if len(passed_on) < len(arguments):
        return ["-m", "not browser", *passed_on]
    return passed_on


def run_in(environment: Environment, settings: dict[str, str], *arguments: str) -> int:
    """Run the environment's Python on `arguments` in the project; its exit code."""
    command = [str(environment.python), *arguments]
    return subprocess.run(command, cwd=environment.project, env=settings).returncode
