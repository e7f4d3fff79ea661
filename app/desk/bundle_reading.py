"""Checking a sealed bundle whole: with no database, no server, and nothing unpacked to disk.

What is checked, in this order: the zip itself; that the files are those of the manifest, by
digest; the log from entry 1; its signatures; what stood beside it; the exports; the manifest;
every byte of the zip around them. What this cannot tell: whether somebody made the whole bundle
anew. For that the last hash is compared with the one on the certificate that everybody signed.
"""

from __future__ import annotations

import hashlib
import json
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from pathlib import Path

from app.desk.bundle_counts import check_counts, check_events
from app.desk.bundle_log import LOG, DoesNotHold, check_beside, check_signatures, read_log
from app.desk.bundle_record import LISTS, PERSONAL, SETTING, SIGNATURES, STROKES, WORKERS
from app.desk.certificates import CERTIFICATES
from app.desk.day_papers import PAPERS, REGISTERS
from app.desk.exports import EXPORTS
from app.desk.handover import NOT_OF_THE_DAY
from app.intake.bundle_files import read_bundle_files
from app.intake.faults import Faults
from app.papers.exports.manifest import MANIFEST, Sealed, manifest_json
from app.papers.exports.practice_note import PRACTICE_NOTE, PRACTICE_TEXT
from app.papers.exports.stored_zip import zip_pieces
from app.papers.made import HASH_DIGITS, in_fours
from app.records.entry import Entry, Head
from app.records.fold import DoesNotFit
from app.rules.faults import BadRequest
from app.rules.setting import Setting

_PIECE = 1 << 20
# What data of a form that nobody expected can raise.
_ODD = (ValueError, LookupError, TypeError, AttributeError, RecursionError, DoesNotFit)


@dataclass(slots=True)
class BundleChecked:
    """What was checked, and the first thing that does not fit; `fault` None where all holds.

    `withheld` counts details that are left out because they would tell a protected address: of
    those it cannot be shown that they are what the log speaks of. `hashes` are those of the log's
    entries, in order.
    """

    fault: str | None = None
    files: int = 0
    head: Head = field(default_factory=Head)
    withheld: int = 0
    setting: Setting | None = None
    hashes: tuple[str, ...] = ()

    @property
    def holds(self) -> bool:
        return self.fault is None

    def entry_with(self, digits: str) -> int | None:
        """The entry whose hash begins so, as it is read off a paper; None where none does.

        BadRequest for fewer digits than nobody hits by chance.
        """
        wanted = "".join(digits.split()).lower()
        if len(wanted) < HASH_DIGITS or not set(wanted) <= set("0123456789abcdef"):
            raise BadRequest(field="hash", expected=f"at least {HASH_DIGITS} digits of the paper")
        numbered = enumerate(self.hashes, 1)
        return next((seq for seq, one in numbered if one.startswith(wanted)), None)

    @property
    def hash_in_fours(self) -> str:
        """As the certificate of the close shows it."""
        return in_fours(self.head.hash)


def check_bundle(path: Path) -> BundleChecked:
    """Check the bundle at `path`. Never raises for what is in it."""
    found = BundleChecked()
    try:
        _check(path, found)
    except DoesNotHold as fault:
        found.fault = str(fault)
    except _ODD as error:
        # A log whose hashes fit, telling what cannot happen: somebody made it.
        found.fault = f"something in it has not the form that it should have ({error!r:.80})"
    return found


def _check(path: Path, found: BundleChecked) -> None:
    files = _read(path)
    manifest = _manifest(files)
    _check_digests(files, manifest)
    found.files = len(files)
    if LOG not in files:
        raise DoesNotHold(f"{LOG} is missing")
    entries = read_log(files[LOG])
    found.head = Head(entries[-1].seq, entries[-1].hash)
    found.hashes = tuple(one.hash for one in entries)
    _check_names(files, entries)
    check_signatures(files, entries)
    beside = check_beside(files, entries)
    found.setting, found.withheld = beside.setting, beside.withheld
    _check_practice(files, beside.setting)
    check_counts(files, entries)
    made_at, version = check_events(files, entries)
    sealed = Sealed(made_at, version, found.head.seq, found.head.hash, beside.withheld)
    others = {name: data for name, data in files.items() if name != MANIFEST}
    if manifest_json(beside.setting, sealed, others) != files[MANIFEST]:
        raise DoesNotHold(f"{MANIFEST}: it does not say what the files say")
    _check_zip(path, {MANIFEST: files[MANIFEST], **{one: files[one] for one in sorted(others)}})


def _read(path: Path) -> dict[str, bytes]:
    if not path.is_file():
        raise DoesNotHold(f"there is no file {path.name}")
    read = read_bundle_files(path)
    if isinstance(read, Faults):
        first = read.faults[0]
        facts = (f"found: {first.found}" if first.found else "", f"expected: {first.expected}")
        said = "; ".join(filter(None, facts))
        raise DoesNotHold(f"{first.file}: {first.sentence.rstrip('.')} ({said})")
    return read.files


def _manifest(files: Mapping[str, bytes]) -> dict[str, str]:
    """The digests by file name, as the manifest has them."""
    if MANIFEST not in files:
        raise DoesNotHold(f"{MANIFEST} is missing: this is no bundle, or half of one")
    try:
        listed = json.loads(files[MANIFEST])["files"]
        return {str(name): str(about["sha256"]) for name, about in listed.items()}
    except (ValueError, KeyError, TypeError, AttributeError, RecursionError):
        raise DoesNotHold(f"{MANIFEST}: it cannot be read") from None


def _check_digests(files: Mapping[str, bytes], listed: Mapping[str, str]) -> None:
    for name in listed:
        if name not in files:
            raise DoesNotHold(f"{name} is missing")
    for name, data in files.items():
        if name == MANIFEST:
            continue
        if name not in listed:
            raise DoesNotHold(f"{name} is not in {MANIFEST}")
        if hashlib.sha256(data).hexdigest() != listed[name]:
            raise DoesNotHold(f"{name} is not the file that {MANIFEST} lists: it was changed")


def _check_practice(files: Mapping[str, bytes], setting: Setting) -> None:
    """A bundle of a practice day says so in a file of its own, and no other does."""
    if files.get(PRACTICE_NOTE) != (PRACTICE_TEXT if setting.is_practice else None):
        raise DoesNotHold(f"{PRACTICE_NOTE}: it is not there where it belongs, or says otherwise")


def _check_names(files: Mapping[str, bytes], entries: list[Entry]) -> None:
    """Exactly what a bundle of this day has, whatever the manifest says."""
    expected = {MANIFEST, *EXPORTS, SETTING, WORKERS, PERSONAL, STROKES, LISTS, SIGNATURES}
    papers = {*REGISTERS, *PAPERS, *CERTIFICATES} - NOT_OF_THE_DAY
    papers |= {f"list-{one.seq}" for one in entries if one.kind == "late_list.started"}
    expected |= {f"paper-{name}.pdf" for name in papers} | ({PRACTICE_NOTE} & files.keys())
    missing, extra = sorted(expected - files.keys()), sorted(files.keys() - expected)
    if missing:
        raise DoesNotHold(f"{missing[0]} is missing")
    if extra:
        raise DoesNotHold(f"{extra[0]} does not belong to a bundle of this day")


def _check_zip(path: Path, files: Mapping[str, bytes]) -> None:
    """The zip around the files is the one that would be made of them, byte for byte."""
    made, read = hashlib.sha256(), hashlib.sha256()
    for piece in zip_pieces(files):
        made.update(piece)
    for piece in _pieces(path):
        read.update(piece)
    if made.digest() != read.digest():
        raise DoesNotHold(
            "every file in it holds, but the zip around them is not as it was written: it was "
            "packed again or damaged; ask for the bundle as it was handed over"
        )


def _pieces(path: Path) -> Iterator[bytes]:
    with path.open("rb") as file:
        while piece := file.read(_PIECE):
            yield piece
