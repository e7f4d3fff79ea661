"""One entry of the day log and the hash that chains it to the one before.

`hash = SHA-256(prev + canonical JSON of the rest)`, canonical as in RFC 8785;
`prev` of entry 1 is 64 zeros. The nonce keeps the hash from being a fingerprint
of a guessable voter number or birth date.
"""

from __future__ import annotations

import hashlib
import re
import secrets
from collections.abc import Collection, Mapping
from dataclasses import dataclass
from typing import Any

import orjson
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
        return self._content(dict(self.body))

    def _content(self, body: Any) -> dict[str, Any]:
        return {
            "seq": self.seq,
            "at": self.at,
            "station": self.station,
            "worker": {"id": self.worker_id, "initials": self.initials},
            "token": self.token,
            "kind": self.kind,
            "line_id": self.line_id,
            "body": body,
            "nonce": self.nonce,
        }

    def computed_hash(self, body_text: str | None = None) -> str:
        """The hash this entry must carry, from its own content and its `prev`.

        `body_text` is the canonical form of its body, for whoever has it already.
        """
        text = None
        if body_text is not None:
            text = _written(self._content(orjson.Fragment(body_text)))
        return sha256_hex((self.prev + (text or canonical(self.content))).encode())


@dataclass(frozen=True, slots=True)
class Head:
    """The last entry's number and hash; `Head()` before the first."""

    seq: int = 0
    hash: str = FIRST_PREV


def fresh_nonce() -> str:
    return secrets.token_hex(NONCE_BYTES)


def sha256_hex(data: bytes) -> str:
    return hashlib.sha256(data).hexdigest()


# Beyond this a whole number in JSON is not exact (RFC 8785, 3.2.2.3 and RFC 7493, 2.2).
LARGEST_NUMBER = 2**53 - 1


def canonical(value: Any) -> str:
    """RFC 8785 JSON as text: the one form in which bodies are stored, compared and hashed."""
    text = _written(value)
    # What is no number in JSON is written as null by the quick encoder, and refused by the other.
    if text is None or ("null" in text and not _is_json(value)):
        return rfc8785.dumps(value).decode()
    return text


def is_canonical(text: str, value: Any) -> bool:
    """Whether `text` is the canonical form; `value` is what `from_text` makes of it."""
    written = _written(value)
    return text == (rfc8785.dumps(value).decode() if written is None else written)


def from_text(text: str) -> Any:
    """What JSON text says. ValueError for anything else, `NaN` among it."""
    return orjson.loads(text)


# Larger numbers are left to the library of RFC 8785, like objects that are no JSON.
_QUICK = (
    orjson.OPT_SORT_KEYS
    | orjson.OPT_STRICT_INTEGER
    | orjson.OPT_PASSTHROUGH_DATACLASS
    | orjson.OPT_PASSTHROUGH_DATETIME
    | orjson.OPT_PASSTHROUGH_SUBCLASS
)
# What ends like a number with a point or with an exponent, be it one or not. Each begins with the
# one character that it looks for: such a search is many times as fast.
_POINT = re.compile(r"\.\d+(?:e[-+]?\d+)?(?:[]},]|\Z)", re.ASCII)
_EXPONENT = re.compile(r"e[-+]?\d+(?:[]},]|\Z)", re.ASCII)


def _written(value: Any) -> str | None:
    """The canonical form by the quick encoder, None where only the slow one is sure of it.

    Of ASCII text and whole numbers both write the same; a late list is thousands of entries in one
    transaction. `tests/records/test_entry.py` compares the two.
    """
    try:
        data = orjson.dumps(value, option=_QUICK)
    except TypeError:
        return None
    text = data.decode()
    is_sure = text.isascii() and not _POINT.search(text) and not _EXPONENT.search(text)
    return text if is_sure else None


_ATOMS = frozenset({str, int, bool, type(None)})


def _is_json(value: Any) -> bool:
    """No number that JSON has not, in lists and dicts: one loop and no calls of itself."""
    waiting: list[Collection[Any]] = [(value,)]
    for each in waiting:
        for inner in each if set(map(type, each)) - _ATOMS else ():
            kind = type(inner)
            if kind is dict:
                waiting.append(inner.values())
            elif kind is list:
                waiting.append(inner)
            elif kind not in _ATOMS:
                return False
    return True
