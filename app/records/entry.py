"""One entry of the day log and the hash that chains it to the one before.

`hash = SHA-256(prev + canonical JSON of the rest)`, canonical as in RFC 8785;
`prev` of entry 1 is 64 zeros. The nonce keeps the hash from being a fingerprint
of a guessable voter number or birth date.
"""

from __future__ import annotations

import hashlib
import json
import secrets
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

import rfc8785

FIRST_PREV = "0" * 64
# 128 bits: enough that nobody can try nonces until a guessed entry fits.
NONCE_BYTES = 16


@dataclass(frozen=True, slots=True)
class Actor:
    """Who acts and where: what every entry says about its author."""

    worker_id: str
    initials: str
    station: str


# What the program notices by itself is written by nobody at a table.
PROGRAM = Actor(worker_id="program", initials="", station="this laptop")


@dataclass(frozen=True, slots=True)
class Entry:
    """`at` is the text of `app.records.clock.to_text`; `body` is plain JSON data."""

    seq: int
    at: str
    station: str
    worker_id: str
    initials: str
    token: str
    kind: str
    line_id: str | None
    body: Mapping[str, Any]
    nonce: str
    prev: str
    hash: str = ""

    @property
    def content(self) -> dict[str, Any]:
        """What is hashed with `prev`: everything but `prev` and the hash itself."""
        return {
            "seq": self.seq,
            "at": self.at,
            "station": self.station,
            "worker": {"id": self.worker_id, "initials": self.initials},
            "token": self.token,
            "kind": self.kind,
            "line_id": self.line_id,
            "body": dict(self.body),
            "nonce": self.nonce,
        }

    def computed_hash(self) -> str:
        """The hash this entry must carry, from its own content and its `prev`."""
        return sha256_hex(self.prev.encode() + canonical(self.content).encode())


@dataclass(frozen=True, slots=True)
class Head:
    """The last entry's number and hash; `Head()` before the first."""

    seq: int = 0
    hash: str = FIRST_PREV


def fresh_nonce() -> str:
    return secrets.token_hex(NONCE_BYTES)


def sha256_hex(data: bytes) -> str:
    return hashlib.sha256(data).hexdigest()


def canonical(value: Any) -> str:
    """RFC 8785 JSON as text: the one form in which bodies are stored, compared and hashed."""
    if _is_plain(value):
        return _ENCODER.encode(value)
    return rfc8785.dumps(value).decode()


# Of plain data Python's own encoder writes the same, ten times as fast: a late list is thousands
# of entries in one transaction. `tests/records/test_entry.py` compares the two.
_ENCODER = json.JSONEncoder(sort_keys=True, separators=(",", ":"), ensure_ascii=False)
# RFC 8785 writes whole numbers as JavaScript does, which is exact up to here.
_LARGEST = 2**53 - 1


def _is_plain(value: Any) -> bool:
    """ASCII text, whole numbers, truth values, nothing else, in lists and dicts.

    One loop and no calls of itself: it looks at everything that is hashed.
    """
    waiting = [value]
    for each in waiting:
        kind = type(each)
        if kind is str:
            if not each.isascii():
                return False
        elif kind is dict:
            if not _are_plain_keys(each):
                return False
            waiting.extend(each.values())
        elif kind is list:
            waiting.extend(each)
        elif kind is int:
            if abs(each) > _LARGEST:
                return False
        elif each is not None and kind is not bool:
            return False
    return True


def _are_plain_keys(keys: dict[Any, Any]) -> bool:
    try:
        return "".join(keys).isascii()
    except TypeError:
        return False
