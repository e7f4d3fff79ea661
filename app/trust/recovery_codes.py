"""A recovery code: the key to a record on paper, in a sealed envelope at the registrar's office.

Eight groups of five characters, of which four are random and the fifth checks them, so that
a slip of the hand is told by its group. 160 random bits: nobody tries those out.
"""

from __future__ import annotations

import hashlib
import secrets

from app.rules.faults import BadRequest

# Capitals and digits without those that look like one another: no I, no O, no 0, no 1. 32 of
# them, so that each is five bits.
ALPHABET = "23456789ABCDEFGHJKLMNPQRSTUVWXYZ"
GROUPS, RANDOM_OF_A_GROUP = 8, 4
_LENGTH = GROUPS * (RANDOM_OF_A_GROUP + 1)


def new_code() -> str:
    """A fresh code as it is printed: `ABCDE-…`."""
    texts = ["".join(secrets.choice(ALPHABET) for _ in range(RANDOM_OF_A_GROUP))
             for _ in range(GROUPS)]  # fmt: skip
    return "-".join(text + _check(number, text) for number, text in enumerate(texts, 1))


def looks_like_code(typed: str) -> bool:
    """Whether somebody means a code: as many characters as one has, all of its alphabet.

    Nobody's passphrase is this by chance; and it would only be refused, not taken for another.
    """
    plain = _plain(typed)
    return len(plain) == _LENGTH and set(plain) <= set(ALPHABET)


def read_code(typed: str) -> bytes:
    """The random part of a code, as bytes. BadRequest that names the group that is mistyped."""
    plain = _plain(typed)
    if not looks_like_code(typed):
        raise BadRequest(field="recovery code", expected=f"{GROUPS} groups of 5 characters")
    size = RANDOM_OF_A_GROUP + 1
    groups = [plain[start : start + size] for start in range(0, _LENGTH, size)]
    for number, group in enumerate(groups, 1):
        if _check(number, group[:-1]) != group[-1]:
            raise BadRequest(field="recovery code", expected=f"group {number} as it is printed")
    return "".join(group[:-1] for group in groups).encode()


def _plain(typed: str) -> str:
    return "".join(typed.split()).replace("-", "").upper()


def _check(number: int, text: str) -> str:
    """Bound to its place: two groups that change places are noticed too."""
    digest = hashlib.sha256(f"{number}{text}".encode()).digest()
    return ALPHABET[digest[0] % len(ALPHABET)]
