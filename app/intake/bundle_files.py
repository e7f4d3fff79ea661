"""The files of a sealed bundle, read from its zip with the same guards as a package's.

What they say is not looked at here. Nothing is unpacked to disk.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from pathlib import Path

from app.intake.faults import FaultList, Faults
from app.intake.shelf import Shelf
from app.intake.zips import read_zip

# A day of 3,000 voters who draw their signatures comes to about 40 MB.
BUNDLE_BYTES = 256_000_000
# Papers and exports are about thirty; every list worked from paper has a proof of its own.
MOST_FILES = 400

_NAME = re.compile(r"MANIFEST\.json|PRACTICE\.txt|[a-z][a-z0-9-]{0,60}\.(?:csv|json|jsonl|pdf)")


@dataclass(frozen=True, slots=True)
class BundleFiles:
    """The files by name, in the order of the zip."""

    files: dict[str, bytes]


class _BundleShelf(Shelf):
    """Takes any name that a file of a bundle can have; which are there is for the manifest."""

    most_files = MOST_FILES
    together = BUNDLE_BYTES
    zip_bytes = BUNDLE_BYTES

    def __init__(self, faults: FaultList) -> None:
        super().__init__(faults)
        self._named: dict[str, int] = {}
        self.limits = self._named

    def admits(self, name: str) -> bool:
        if not _NAME.fullmatch(name):
            return super().admits(name)
        self._named[name] = BUNDLE_BYTES
        return True


def read_bundle_files(path: Path) -> BundleFiles | Faults:
    """Every file, or every reason why they cannot be read. Never raises for what is in it."""
    faults = FaultList(path.name or "bundle", {})
    shelf = _BundleShelf(faults)
    is_open = read_zip(path, shelf)
    if faults.count or not is_open:
        return faults.as_faults()
    return BundleFiles(shelf.in_order())
