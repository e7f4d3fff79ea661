"""Names that sound alike.

`soundex` follows the rules that the National Archives publish for census indexes. Its
first letter must agree, which parts Catherine from Katherine: `sound_key` therefore
spells the head of a name by its sound first.
"""

from __future__ import annotations

import re
from functools import lru_cache

_CODES = {
    letter: str(code)
    for code, letters in enumerate(("bfpv", "cgjkqsxz", "dt", "l", "mn", "r"), start=1)
    for letter in letters
}

# Heads that are written in more than one way: common practice, no source.
_HEADS = tuple(
    (re.compile(pattern), sound)
    for pattern, sound in (
        (r"^(?:kn|gn|pn)", "n"),
        (r"^wr", "r"),
        (r"^(?:ph|pf)", "f"),
        (r"^ch(?=[lr])", "k"),
        (r"^(?:tsch|sch|ch|sh)", "s"),
        (r"^[czx](?=[eiy])", "s"),
        (r"^[cq]", "k"),
        (r"^g(?=[eiy])", "j"),
        (r"^[zx]", "s"),
        (r"^[aeiouy]+", "a"),
    )
)


def soundex(word: str) -> str:
    """The letter and three digits for a folded `word`; empty where it holds no letter."""
    letters = [letter for letter in word.lower() if letter.isascii() and letter.isalpha()]
    if not letters:
        return ""
    digits: list[str] = []
    before = _CODES.get(letters[0], "")
    for letter in letters[1:]:
        if letter in "hw":
            continue  # same codes on both sides of an h or w count once
        code = _CODES.get(letter, "")
        if code and code != before:
            digits.append(code)
        before = code
    return (letters[0].upper() + "".join(digits) + "000")[:4]


# Holds the names of a county: a register is put together anew at every change.
@lru_cache(maxsize=65_536)
def sound_key(word: str) -> str:
    """Equal for two folded words that may be said alike, whatever their first letter."""
    for head, sound in _HEADS:
        spelt, found = head.subn(sound, word, count=1)
        if found:
            return soundex(spelt)
    return soundex(word)
