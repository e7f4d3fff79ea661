"""The file of a carbon: lines that are chained, sealed where the record is; written and read back.

    {"says":{…},"sha256":"…"}

`sha256` is taken over the one of the line before and the text of `says` as it stands there. First
comes the heading, then every row as it stood when the file was begun, then the end of those, then
one line a change. Sealed, each such line stands as `{"sealed":"…"}`, behind a first line with the
key slots, so that a passphrase opens the file on a laptop that never had the record.
"""

from __future__ import annotations

import base64
import hashlib
import json
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import IO, Any

from app.records.entry import FIRST_PREV, canonical
from app.trust.sealing import SealBroken, Sealer

VERSION = 1
_BEFORE, _BETWEEN, _AFTER = '{"says":', ',"sha256":"', '"}'
_DIGEST = 64
_TAIL = len(_BETWEEN) + _DIGEST + len(_AFTER)
_SEALED, _SEALED_END = '{"sealed":"', '"}'
# A list of 5,000 rows is one line of a few million characters; none is longer than a whole list.
_MOST_CHARACTERS = 256_000_000


class CarbonBroken(Exception):
    """The file does not hold; the text names the line. A torn last line is no such fault."""


@dataclass(frozen=True, slots=True)
class Lock:
    """What the lines are sealed with, and the slots from which a passphrase gets the same key."""

    sealer: Sealer
    slots: str


class Pen:
    """Writes lines one after another; `digest` and `number` are those of the last one."""

    def __init__(self, lock: Lock | None = None, digest: str = FIRST_PREV, number: int = 0) -> None:
        self.digest, self.number = digest, number
        self._lock = lock

    def first(self) -> bytes:
        """What stands before every line: the slots, or nothing."""
        if self._lock is None:
            return b""
        return f'{{"slots":{canonical(json.loads(self._lock.slots))}}}\n'.encode()

    def line(self, says: str) -> bytes:
        """The next line, for a text that is canonical JSON."""
        digest = _digest(self.digest, says)
        line = f"{_BEFORE}{says}{_BETWEEN}{digest}{_AFTER}"
        self.digest, self.number = digest, self.number + 1
        if self._lock:
            sealed = self._lock.sealer.seal(line.encode(), _about(self.number))
            line = f"{_SEALED}{base64.b64encode(sealed).decode()}{_SEALED_END}"
        return line.encode() + b"\n"


@dataclass(frozen=True, slots=True)
class Said:
    """A line read back; `number` counts from 1, the slots not among them."""

    number: int
    says: str
    digest: str


@dataclass(slots=True)
class Reading:
    """Reads a carbon line by line. `is_torn` is known at the end: half a line was cut off."""

    path: Path
    sealer: Sealer | None = None
    is_torn: bool = False
    is_sealed: bool = False

    def lines(self) -> Iterator[Said]:
        """Every whole line. CarbonBroken where one was changed, is missing or cannot be opened."""
        digest, number = FIRST_PREV, 0
        with self.path.open("rb") as file:
            self.is_sealed = _skip_slots(file)
            for raw in _raw_lines(file):
                number += 1
                if raw is None:
                    self.is_torn = True
                    return
                says, found = self._says(raw, number)
                if found != _digest(digest, says):
                    raise CarbonBroken(f"line {self._shown(number)} was changed, or one is missing")
                digest = found
                yield Said(number, says, digest)

    def _says(self, raw: bytes, number: int) -> tuple[str, str]:
        try:
            text = self._opened(raw, number).decode()
        except (ValueError, SealBroken):
            what = "was changed, or the key is another" if self.is_sealed else "cannot be read"
            raise CarbonBroken(f"line {self._shown(number)} {what}") from None
        tail = text[-_TAIL:]
        is_whole = text.startswith(_BEFORE) and tail.startswith(_BETWEEN) and tail.endswith(_AFTER)
        if not is_whole:
            raise CarbonBroken(f"line {self._shown(number)} cannot be read")
        return text[len(_BEFORE) : -_TAIL], tail[len(_BETWEEN) : -len(_AFTER)]

    def _opened(self, raw: bytes, number: int) -> bytes:
        if not self.is_sealed:
            return raw
        if self.sealer is None:
            raise CarbonBroken("the carbon is sealed: it opens with the passphrase of its record")
        sealed = raw[len(_SEALED) : -len(_SEALED_END)]
        return self.sealer.open(base64.b64decode(sealed, validate=True), _about(number))

    def _shown(self, number: int) -> int:
        """The number of the line in the file, as an editor counts."""
        return number + self.is_sealed


def slots_of(path: Path) -> str | None:
    """The key slots of a sealed carbon as they were written; None where it is not sealed."""
    with path.open("rb") as file:
        line = file.readline(_MOST_CHARACTERS)
    if not line.startswith(b'{"slots":'):
        return None
    try:
        return json.dumps(json.loads(line)["slots"])
    except (ValueError, KeyError, RecursionError):
        raise CarbonBroken("line 1 cannot be read") from None


def parsed(said: Said) -> dict[str, Any]:
    """What the line says; CarbonBroken where it is no object."""
    try:
        found = json.loads(said.says)
    except (ValueError, RecursionError):
        found = None
    if not isinstance(found, dict):
        raise CarbonBroken(f"line {said.number} is not of the form that it should have")
    return found


def _skip_slots(file: IO[bytes]) -> bool:
    is_sealed = file.read(9) == b'{"slots":'
    file.seek(0)
    if is_sealed:
        file.readline(_MOST_CHARACTERS)
    return is_sealed


def _raw_lines(file: IO[bytes]) -> Iterator[bytes | None]:
    """Lines without their ends; None for a last one that was never finished.

    A write that a power cut struck may have left its end on the disk and a hole before it.
    """
    while raw := file.readline(_MOST_CHARACTERS):
        is_last = not file.peek(1)  # type: ignore[attr-defined]
        if not raw.endswith(b"\n") or (is_last and b"\0" in raw):
            yield None
            return
        yield raw[:-1]


def _digest(before: str, says: str) -> str:
    return hashlib.sha256(before.encode() + says.encode()).hexdigest()


def _about(number: int) -> bytes:
    return f"carbon line {number}".encode()
