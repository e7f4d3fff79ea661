"""The one place where text is folded before it is compared.

Folded text is lower-case ASCII letters and digits. Accents are dropped, apostrophes
glue (`O'Neil` is `oneil`), hyphens, dots and all else part words. A name is compared
as a whole, glued (`de la cruz` is `delacruz`), and by its parts.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Sequence
from functools import lru_cache

from anyascii import anyascii

# Typed and typeset apostrophes, the okina, and accents typed as keys of their own.
APOSTROPHES = "'’‘ʼʻʹʾʿ`´′＇"
# What fold makes of the bytes of ASCII text: lower case, and spaces for what parts words.
_FOLDED = bytes(
    ord(chr(code).lower()) if code < 128 and chr(code).isalnum() else ord(" ")
    for code in range(256)
)
_ASCII_APOSTROPHES = "".join(filter(str.isascii, APOSTROPHES)).encode()
_NOT_GLUED = bytes(code for code in range(128) if not chr(code).isalnum() and code != ord("\n"))
_PARTED = re.compile(f"[{APOSTROPHES}]")

# Words that lead a last name and are often left out, glued on or written apart.
PARTICLES = frozenset(
    "al da dal das de del della der den des di do dos du el la las le los mac mc ten ter van von"
    " vande vanden vander y zu".split()
)
# The same, as they are glued to the front in print. Short ones would split common names.
_GLUED_PARTICLES = ("delos", "delas", "dela", "della", "vander", "vanden")

SUFFIXES = {
    "jr": "jr",
    "junior": "jr",
    "sr": "sr",
    "senior": "sr",
    "ii": "ii",
    "2nd": "ii",
    "iii": "iii",
    "3rd": "iii",
    "iv": "iv",
    "4th": "iv",
}

# Ways in which the kind of a street is shortened: common practice, no source.
_STREET_KINDS = {
    "road": "rd",
    "street": "st",
    "avenue": "ave",
    "av": "ave",
    "lane": "ln",
    "drive": "dr",
    "court": "ct",
    "place": "pl",
    "boulevard": "blvd",
    "circle": "cir",
    "terrace": "ter",
    "highway": "hwy",
    "parkway": "pkwy",
    "square": "sq",
    "trail": "trl",
    "apartment": "apt",
    "north": "n",
    "south": "s",
    "east": "e",
    "west": "w",
}


@lru_cache(maxsize=4096)
def _ascii_of(character: str) -> str:
    """ASCII for one character: letters and digits spelt out, marks gone, all else a space."""
    if character in APOSTROPHES:
        return ""
    category = unicodedata.category(character)
    if category[0] in "LN":
        # anyascii also names emoji (`:grinning:`); they are symbols and never get here.
        return "".join(letter for letter in anyascii(character) if letter.isalnum())
    return "" if category[0] == "M" or category == "Cf" else " "


def fold(text: str) -> str:
    """`text` as lower-case ASCII words with single spaces; empty where nothing is left."""
    if not text.isascii():
        text = "".join(map(_ascii_of, text))
    if text.isalnum():
        return text.lower()
    folded = text.encode("ascii").translate(_FOLDED, _ASCII_APOSTROPHES)
    return " ".join(folded.decode("ascii").split())


def glue(text: str) -> str:
    """`text` folded, without its spaces: the form in which whole names are compared."""
    return fold(text).replace(" ", "")


def glue_each(texts: Sequence[str]) -> list[str]:
    """`glue` of every text, in one go where they are plain: a register has many numbers."""
    joined = "\n".join(texts)
    if not joined.isascii() or joined.count("\n") != len(texts) - 1:
        return [glue(text) for text in texts]
    return joined.encode("ascii").lower().translate(None, _NOT_GLUED).decode("ascii").split("\n")


def split_as_typed(text: str) -> list[str]:
    """The words of `text` as typed, parted where `fold` parts them."""
    kept = (
        character if character in APOSTROPHES or _ascii_of(character) != " " else " "
        for character in text
    )
    return "".join(kept).split()


def last_name_forms(last_name: str) -> tuple[str, ...]:
    """The whole name glued, then each part by which somebody may ask for it.

    `de la Cruz` gives `delacruz`, `lacruz`, `cruz`; `Garcia-Lopez` gives `garcialopez`,
    `garcia`, `lopez`; `O'Neil` gives `oneil`, `neil`. Empty where nothing is left.
    """
    words = fold(last_name).split()
    whole = "".join(words)
    if last_name.isalpha() and len(words) == 1 and not whole.startswith(_GLUED_PARTICLES):
        return (whole,)  # most names: one word with nothing to part
    parts: list[str] = []
    for at, word in enumerate(words[:-1], start=1):
        if word not in PARTICLES:
            break
        parts.append("".join(words[at:]))
    parts += [word for word in words if word not in PARTICLES]
    # What follows an apostrophe; two letters and less are endings, not names.
    parts += [glued for piece in _PARTED.split(last_name)[1:] if len(glued := glue(piece)) > 2]
    for particle in _GLUED_PARTICLES:
        if whole.startswith(particle) and len(whole) > len(particle) + 3:
            parts.append(whole[len(particle) :])
            break
    return _distinct(whole, parts)


def first_name_forms(first_name: str) -> tuple[str, ...]:
    """The whole first name glued, and its parts."""
    words = fold(first_name).split()
    return tuple(words) if len(words) < 2 else _distinct("".join(words), words)


def middle_name_forms(middle_name: str) -> tuple[str, ...]:
    """Each middle name or initial, in print order."""
    words = fold(middle_name).split()
    return tuple(words if len(words) < 2 else dict.fromkeys(words))


def fold_suffix(suffix: str) -> str:
    """`jr`, `sr`, `ii`, `iii`, `iv` for every way of writing them, else `suffix` glued."""
    glued = glue(suffix)
    return SUFFIXES.get(glued, glued)


def fold_street_word(word: str) -> str:
    """A folded street word, its kind shortened: `road` and `rd` are both `rd`."""
    return _STREET_KINDS.get(word, word)


def _distinct(whole: str, parts: list[str]) -> tuple[str, ...]:
    return tuple(form for form in dict.fromkeys([whole, *parts]) if form)
