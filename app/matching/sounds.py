"""Names that sound alike.

`soundex` follows the rules that the National Archives publish for census indexes. Its
first letter must agree, which parts Catherine from Katherine: `sound_key` therefore
spells the head of a name by its sound first.
"""

from __future__ import annotations

import re

_VOWEL = ord("0")
_CODES = bytes(
    next(
        (
            ord(str(code))
            for code, letters in enumerate(("bfpv", "cgjkqsxz", "dt", "l", "mn", "r"), start=1)
            if chr(letter) in letters
        ),
        _VOWEL,
    )
    for letter in range(256)
)

# Heads that are written in more than one way, the first that fits: common practice, no source.
_HEADS = (
    (r"kn|gn|pn", "n"),
    (r"wr", "r"),
    (r"ph|pf", "f"),
    (r"ch(?=[lr])", "k"),
    (r"tsch|sch|ch|sh", "s"),
    (r"[czx](?=[eiy])", "s"),
    (r"[cq]", "k"),
    (r"g(?=[eiy])", "j"),
    (r"[zx]", "s"),
    (r"[aeiouy]+", "a"),
)
_HEAD = re.compile("|".join(f"({pattern})" for pattern, _ in _HEADS))


def soundex(word: str) -> str:
    """The letter and three digits for a folded `word`; empty where it holds no letter."""
    letters = word.lower()
    if not (letters.isascii() and letters.isalpha()):
        letters = "".join(one for one in letters if one.isascii() and one.isalpha())
    if not letters:
        return ""
    digits = bytearray()
    # Same codes on both sides of an h or w count once: these two are struck.
    codes = letters.encode("ascii").translate(_CODES, b"hw")
    before = _VOWEL if letters[0] in "hw" else codes[0]
    for code in codes if letters[0] in "hw" else codes[1:]:
        if code not in (before, _VOWEL):
            digits.append(code)
        before = code
    return f"{letters[0].upper()}{digits.decode('ascii')}000"[:4]


def sound_key(word: str) -> str:
    """Equal for two folded words that may be said alike, whatever their first letter."""
    head = _HEAD.match(word)
    if head is None or head.lastindex is None:
        return soundex(word)
    return soundex(_HEADS[head.lastindex - 1][1] + word[head.end() :])
