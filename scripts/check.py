"""Check form, types and layers: python3 scripts/check.py

One line for each check; every one is run even where an earlier one fails, and a failed one shows
what it found. Exit code 0 where all passed. Needs what scripts/test.py installs.
"""

from __future__ import annotations

import subprocess
import sys
from typing import NamedTuple

from _setup_venv import Environment
from _setup_words import Refusal, told_in_words


class Check(NamedTuple):
    """One tool of the environment and what to call it with. `mend` says how to put it right."""

    name: str
    command: tuple[str, ...]
    mend: str = ""


CHECKS = (
    Check("form", ("ruff", "format", "--check", "--quiet", "--diff"), mend="ruff format"),
    Check("lint", ("ruff", "check", "--quiet"), mend="ruff check --fix"),
    Check("types", ("mypy", "--no-error-summary")),
    Check("layers", ("lint-imports", "--no-logo")),
)


def run(environment: Environment) -> int:
    """Run every check; 1 if any failed."""
    if not environment.command("ruff").exists():
        raise Refusal("Not set up for development yet: python3 scripts/test.py does it.")
    passed = [has_passed(environment, check) for check in CHECKS]
    return 0 if all(passed) else 1


def has_passed(environment: Environment, check: Check) -> bool:
    """Run one check and print its line, and what it found where it failed."""
    tool, *arguments = check.command
    done = subprocess.run(
        [environment.command(tool), *arguments],
        cwd=environment.project,
        stdout=subprocess.PIPE,
        stderr=subprocess.STDOUT,
        text=True,
        encoding="utf-8",
        errors="replace",
    )
    if done.returncode == 0:
        print(f"{check.name:<7} passed", flush=True)
        return True
    mend = f"   ({check.mend} may mend it)" if check.mend else ""
    print(f"{check.name:<7} FAILED{mend}\n{done.stdout.rstrip()}", flush=True)
    return False


if __name__ == "__main__":
    sys.exit(told_in_words(lambda: run(Environment())))
