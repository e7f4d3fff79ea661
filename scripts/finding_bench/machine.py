"""Where a run took place and what ran: processor, versions."""

from __future__ import annotations

import hashlib
import os
import platform
import shutil
import sqlite3
from importlib import metadata
from pathlib import Path

import app.matching

_PACKAGES = (
    "numpy", "rapidfuzz", "nicknames", "names", "tantivy", "psycopg", "recordlinkage",
)  # fmt: skip


def machine() -> dict[str, object]:
    """Facts that a figure means nothing without."""
    return {
        "cores": os.cpu_count(),
        "processor": _processor(),
        "system": platform.platform(terse=True),
        "python": platform.python_version(),
        "sqlite": sqlite3.sqlite_version,
        "postgresql": "there" if shutil.which("psql") else "not on the path",
        "app.matching": _digest_of_matching(),
        **{package: _version(package) for package in _PACKAGES},
    }


def _digest_of_matching() -> str:
    """Which state of the program's finder was measured: a digest of its files."""
    digest = hashlib.sha256()
    for file in sorted(Path(app.matching.__file__).parent.glob("*.py")):
        digest.update(file.read_bytes())
    return digest.hexdigest()[:12]


def _processor() -> str:
    return platform.processor() or platform.machine()


def _version(package: str) -> str:
    try:
        return metadata.version(package)
    except metadata.PackageNotFoundError:
        return "not installed"
