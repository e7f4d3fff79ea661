"""Which files a package may have, how large each may be, and the shelf they are put on.

Folders and zips fill the same shelf, so that the same limits hold for both.
"""

from __future__ import annotations

from collections.abc import Mapping
from difflib import get_close_matches
from pathlib import PurePosixPath

from app.intake.fault_codes import Code
from app.intake.faults import FaultList

ELECTION_FILE = "election.toml"
REGISTER_FILE = "register.csv"
SUPPLEMENTAL_FILE = "supplemental.csv"
MAIL_VOTED_FILE = "mail-voted.csv"
EARLY_VOTED_FILE = "early-voted.csv"
ELSEWHERE_FILE = "elsewhere.csv"
PHONE_SECRET_FILE = "phone-secret.txt"  # noqa: S105 - the name of a file, no secret
MANIFEST_FILE = "MANIFEST.json"

# 100,000 lines of a register take about 12 MB; a precinct has a few thousand, and the people
# of a county who are registered elsewhere fill much shorter rows.
_LIST_BYTES = 32_000_000

# Settings are written by hand: a long checklist comes to 20 KB.
_SETTINGS_BYTES = 128_000

# 64 digits, a line end, and whatever an editor puts before them.
_SECRET_BYTES = 1_000

# What each file may hold, in the order in which files and their faults are listed.
FILE_BYTES = {
    ELECTION_FILE: _SETTINGS_BYTES,
    REGISTER_FILE: _LIST_BYTES,
    SUPPLEMENTAL_FILE: _LIST_BYTES,
    MAIL_VOTED_FILE: _LIST_BYTES,
    EARLY_VOTED_FILE: _LIST_BYTES,
    ELSEWHERE_FILE: _LIST_BYTES,
    PHONE_SECRET_FILE: _SECRET_BYTES,
    MANIFEST_FILE: _SETTINGS_BYTES,
}
FILE_ORDER = {name: place for place, name in enumerate(FILE_BYTES)}

# All files together, unpacked: keeps the whole reading under about 300 MB of memory.
PACKAGE_BYTES = 48_000_000

# Eight files, and room for what operating systems leave behind.
MAX_FILES = 50

# What desktop systems put into folders and zips by themselves: no clerk can see it.
_LEFT_BEHIND = frozenset({".ds_store", "thumbs.db", "desktop.ini", "__macosx"})

_ARCHIVES = frozenset({".zip", ".7z", ".rar", ".gz", ".tgz", ".tar", ".bz2", ".xz", ".zst"})


class Shelf:
    """The files read so far, and the rules on which may be added.

    `limits` are the files by name, each with the most bytes it may have; `together` is for all of
    them, `zip_bytes` for the zip that they come in, `most_files` with whatever else is in it.
    """

    limits: Mapping[str, int] = FILE_BYTES
    most_files = MAX_FILES
    together = PACKAGE_BYTES
    # A package of the largest allowed size packs to about a fifth of this.
    zip_bytes = 32_000_000

    def __init__(self, faults: FaultList) -> None:
        self.faults = faults
        self._files: dict[str, bytes] = {}
        self._bytes_so_far = 0

    def in_order(self) -> dict[str, bytes]:
        return {name: self._files[name] for name in self.limits if name in self._files}

    def admits(self, name: str) -> bool:
        """Whether a file of this name belongs into a package; adds the fault where not."""
        if is_left_behind(name):
            return False
        if name in self.limits:
            return True
        if PurePosixPath(name.lower()).suffix in _ARCHIVES:
            self.faults.add(Code.NESTED_ARCHIVE, name, expected="the files themselves")
            return False
        self.faults.add(
            Code.UNKNOWN_FILE, name, found=name, expected=_likely_name(name, self.limits)
        )
        return False

    def fits(self, name: str, size: int) -> bool:
        """Whether a file of `size` bytes may be read or kept; adds the fault where not."""
        limit = self.limits[name]
        if size > limit:
            found, expected = f"{size:,} bytes", f"at most {limit:,} bytes"
            self.faults.add(Code.FILE_TOO_LARGE, name, found=found, expected=expected)
            return False
        if self._bytes_so_far + size > self.together:
            expected = f"at most {self.together:,} bytes in all files together"
            self.faults.add(Code.PACKAGE_TOO_LARGE, name, found=f"{size:,} more", expected=expected)
            return False
        return True

    def put(self, name: str, data: bytes) -> None:
        self._files[name] = data
        self._bytes_so_far += len(data)


def is_left_behind(name: str) -> bool:
    """Whether an operating system puts a file or folder of this name there by itself."""
    return name.lower() in _LEFT_BEHIND or name.startswith("._")


def _likely_name(name: str, limits: Mapping[str, int]) -> str:
    stem = PurePosixPath(name.lower()).stem
    known = {PurePosixPath(each.lower()).stem: each for each in limits}
    near = get_close_matches(stem, known, n=1, cutoff=0.75)
    if near:
        return f"perhaps {known[near[0]]}, spelled exactly so"
    return "only " + ", ".join(limits)
