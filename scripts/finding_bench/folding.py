"""Text folded for comparison; written apart from the program's own, which is being measured."""

from __future__ import annotations

import re
import unicodedata
from functools import lru_cache

_APOSTROPHES = re.compile("['’`´]")
_WORD = re.compile(r"[a-z0-9]+")


@lru_cache(maxsize=1_000_000)
def words_of(text: str) -> tuple[str, ...]:
    """The words of `text`: small letters, no accents, apostrophes glued, hyphens parting."""
    if not text.isascii():
        parted = unicodedata.normalize("NFKD", text)
        text = "".join(letter for letter in parted if not unicodedata.combining(letter))
    return tuple(_WORD.findall(_APOSTROPHES.sub("", text).lower()))


def glued(text: str) -> str:
    """The words of `text` as one: `de la Cruz` is `delacruz`."""
    return "".join(words_of(text))
