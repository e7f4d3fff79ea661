"""The font of every paper, and what is printed where it lacks a letter.

DejaVu Sans has Latin letters with every accent in use, Greek and Cyrillic. What it lacks, or
what would come out in the wrong order or shape without more than a font (Arabic, Hebrew,
Chinese, Indic scripts), is printed as boxes with the same in Latin letters behind: a name may
look odd on a slip, but it never vanishes.
"""

from __future__ import annotations

import unicodedata
from functools import lru_cache
from itertools import groupby
from pathlib import Path

from anyascii import anyascii
from fontTools.ttLib import TTFont

FONT_FILE = Path(__file__).parent / "fonts" / "DejaVuSans.ttf"
FONT_NAME = "DejaVuSans"

# A letter that the font has, and that nobody takes for one of a name.
BOX = "\u25a1"

# Written from right to left, the letters joined: needs more than a font.
_RIGHT_TO_LEFT = frozenset({"R", "AL"})

# No font draws them. Joiners and the like leave no trace in print and are no loss.
_SPACES = frozenset("\u00a0\u2007\u202f ")


@lru_cache(maxsize=1)
def letters_of_the_font() -> frozenset[int]:
    """The code points that the font has."""
    with TTFont(FONT_FILE, lazy=True) as font:
        return frozenset(font.getBestCmap())


def in_print(text: str) -> str:
    """`text` as it can be printed: accents put together, what is missing boxed and spelled out.

    >>> in_print("欧阳 Min")
    '□□ (OuYang) Min'
    """
    whole = "".join(map(_visible, unicodedata.normalize("NFC", text)))
    if all(map(_has, whole)):
        return whole
    runs = groupby(whole.split(" "), key=lambda word: all(map(_has, word)))
    return " ".join(" ".join(run) if is_had else _boxed(" ".join(run)) for is_had, run in runs)


def _boxed(words: str) -> str:
    boxes = "".join(letter if _has(letter) else BOX for letter in words)
    spelled = " ".join(anyascii(words).split())
    spelled = "".join(filter(_has, spelled))
    return f"{boxes} ({spelled})" if spelled else boxes


def _has(letter: str) -> bool:
    if letter in _SPACES:
        return True
    if unicodedata.bidirectional(letter) in _RIGHT_TO_LEFT:
        return False
    return ord(letter) in letters_of_the_font()


def _visible(letter: str) -> str:
    """Every kind of space as one; nothing for characters that only steer other letters."""
    if letter in _SPACES:
        return letter
    if letter.isspace():
        return " "
    return "" if unicodedata.category(letter) == "Cf" else letter
