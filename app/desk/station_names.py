"""What a station may be called: entries are told apart by it, on the screen and on paper."""

from __future__ import annotations

import unicodedata

NAME_LENGTHS = range(1, 41)

# Control, format, private and surrogate: nobody sees them, and some turn the letters around.
_UNSEEN = frozenset({"Cc", "Cf", "Co", "Cs"})


def tidied(name: str) -> str:
    """With single spaces; ValueError where something stands in it that nobody sees."""
    if any(unicodedata.category(sign) in _UNSEEN for sign in name):
        raise ValueError("a name that can be seen, sign for sign")
    return " ".join(name.split())


def is_same(one: str, other: str) -> bool:
    """Whether people would take them for one: whatever capitals, spaces and widths."""
    return _folded(one) == _folded(other)


def _folded(name: str) -> str:
    return " ".join(unicodedata.normalize("NFKC", name).casefold().split())
