"""Sealing what stands outside the database: nobody without the key reads or changes it.

XChaCha20-Poly1305 (libsodium): its nonce of 192 bits may be drawn at random for every
text without ever meeting again. `about` is not hidden but bound in: a text sealed as line
7 of one file opens as nothing else.
"""

from __future__ import annotations

import hashlib
from enum import StrEnum

from nacl.exceptions import CryptoError
from nacl.secret import Aead

KEY_BYTES = 32
# Told apart by BLAKE2b's own field for it, at most 16 bytes: see RFC 7693 and its personalization.
_PERSON = b"tablebook-use-1"


class SealBroken(Exception):
    """Another key, another `about`, or the text was changed or cut off."""


class Use(StrEnum):
    """What a key is for: one key is never used for two things."""

    DATABASE = "database"
    CARBON = "carbon"
    FINDING = "finding"
    SLOT = "slot"


class Sealer:
    """Seals and opens under one key. Shows nothing of the key, also in tracebacks."""

    def __init__(self, key: bytes) -> None:
        if len(key) != KEY_BYTES:
            raise ValueError(f"a key has {KEY_BYTES} bytes")
        self._box = Aead(key)

    def __repr__(self) -> str:
        return "Sealer(…)"

    def seal(self, text: bytes, about: bytes) -> bytes:
        """Nonce and ciphertext, in bytes; `about` must be the same to open it."""
        return bytes(self._box.encrypt(text, aad=about))

    def open(self, sealed: bytes, about: bytes) -> bytes:
        """What was sealed. SealBroken where it is not exactly that."""
        try:
            return bytes(self._box.decrypt(sealed, aad=about))
        except (CryptoError, ValueError):
            # From None: the exception's text could hold what was to be opened.
            raise SealBroken("sealed with another key, or changed since") from None


def subkey(master: bytes, use: Use) -> bytes:
    """The key for one use, from the master key; one tells nothing of another."""
    return hashlib.blake2b(
        use.value.encode(), digest_size=KEY_BYTES, key=master, person=_PERSON
    ).digest()
