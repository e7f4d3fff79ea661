"""The laptop's key for the day log: made at the load, it signs the log's head as it grows.

Ed25519 (libsodium). The public half stands in entry 1; whoever has that can tell whether a
head was this laptop's. The private half is kept in the record, so that a copy of the record
can go on, and is encrypted with it.
"""

from __future__ import annotations

from nacl.encoding import HexEncoder
from nacl.exceptions import BadSignatureError, CryptoError
from nacl.signing import SigningKey, VerifyKey

# What is signed begins with this, so that a signature of a head is good for nothing else.
_WHAT = "tablebook head 1"


class LogKey:
    """Signs heads. Shows nothing of its private half."""

    def __init__(self, key: SigningKey) -> None:
        self._key = key

    @classmethod
    def fresh(cls) -> LogKey:
        return cls(SigningKey.generate())

    @classmethod
    def from_text(cls, text: str) -> LogKey:
        """The inverse of `private_text`."""
        return cls(SigningKey(text.encode(), encoder=HexEncoder))

    def __repr__(self) -> str:
        return "LogKey(…)"

    @property
    def private_text(self) -> str:
        """To be kept in the record, and nowhere else."""
        return self._key.encode(encoder=HexEncoder).decode()

    @property
    def public_text(self) -> str:
        return self._key.verify_key.encode(encoder=HexEncoder).decode()

    def sign(self, seq: int, digest: str) -> str:
        """The signature, as hex, of a log whose entry `seq` is the last and has this hash."""
        return self._key.sign(_said(seq, digest)).signature.hex()


def is_signed(public_text: str, seq: int, digest: str, signature: str) -> bool:
    """Whether the key with this public half signed this head. False for anything malformed."""
    try:
        key = VerifyKey(public_text.encode(), encoder=HexEncoder)
        key.verify(_said(seq, digest), bytes.fromhex(signature))
    except (BadSignatureError, CryptoError, ValueError, TypeError):
        return False
    return True


def _said(seq: int, digest: str) -> bytes:
    return f"{_WHAT}\n{seq}\n{digest}".encode()
