"""The locks: whole, checked file by file, the same on every computer."""

from __future__ import annotations

import re
import tomllib
from pathlib import Path

import pytest

PROJECT = Path(__file__).resolve().parent.parent.parent
LOCKS = ("scripts/requirements.lock", "scripts/requirements-dev.lock")
PINNED = re.compile(r"^(?P<name>[a-z0-9-]+)==(?P<version>\S+)")


def blocks_of(lock: str) -> list[str]:
    """The requirements of a lock, each with its digests."""
    text = (PROJECT / lock).read_text("utf-8")
    return re.split(r"\n(?=[a-z])", text.partition("\n")[2])


def pinned_in(lock: str) -> dict[str, set[str]]:
    """Package to the versions pinned for it (more than one where Pythons need different ones)."""
    pinned: dict[str, set[str]] = {}
    for block in blocks_of(lock):
        found = PINNED.match(block)
        assert found, f"{lock}: not pinned: {block.splitlines()[0]}"
        pinned.setdefault(found["name"], set()).add(found["version"])
    return pinned


def wanted(*places: str) -> set[str]:
    """The packages that a list in pyproject.toml names."""
    node = tomllib.loads((PROJECT / "pyproject.toml").read_text("utf-8"))
    for place in places:
        node = node[place]
    assert isinstance(node, list)
    return {re.split(r"[^A-Za-z0-9_.-]", name, maxsplit=1)[0].lower() for name in node}


@pytest.mark.parametrize("lock", LOCKS)
def test_every_file_of_a_lock_has_its_digest(lock: str) -> None:
    for block in blocks_of(lock):
        assert re.search(r"--hash=sha256:[0-9a-f]{64}\b", block), block.splitlines()[0]


@pytest.mark.parametrize("lock", LOCKS)
def test_a_lock_names_no_host_and_no_place_of_a_computer(lock: str) -> None:
    text = (PROJECT / lock).read_text("utf-8")
    assert not re.search(r"https?:|file:|\s@\s|(^|\s)/\w|[A-Z]:\\|--(extra-)?index|--find", text)


@pytest.mark.parametrize("lock", LOCKS)
def test_what_runs_and_what_builds_is_in_both_locks(lock: str) -> None:
    needed = wanted("project", "dependencies") | wanted("dependency-groups", "build")
    assert needed <= set(pinned_in(lock))


def test_what_develops_is_in_the_development_lock() -> None:
    needed = wanted("project", "optional-dependencies", "dev")
    assert needed <= set(pinned_in(LOCKS[1]))


def test_what_speaks_to_a_database_server_is_in_the_development_lock() -> None:
    needed = wanted("project", "optional-dependencies", "postgresql")
    assert needed
    assert needed <= set(pinned_in(LOCKS[1]))
    assert not needed & set(pinned_in(LOCKS[0])), "a precinct's own laptop needs none"


def test_development_uses_the_versions_that_run() -> None:
    running, developing = map(pinned_in, LOCKS)
    assert running.items() <= developing.items()
