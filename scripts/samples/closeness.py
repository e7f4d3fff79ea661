"""Whether two names could be taken for one another, by two blunt measures.

Used only to keep the invented people apart from the twelve to try. It is wider than
need be and knows nothing of how the product finds look-alikes.
"""

from __future__ import annotations

from itertools import groupby

from .person import Person, fold

_SOUNDS = {
    letter: digit
    for digit, letters in enumerate(("bfpv", "cgjkqsxz", "dt", "l", "mn", "r"), start=1)
    for letter in letters
}


def letters_apart(one: str, other: str) -> int:
    """How many letters must be put in, left out or changed to make one of the other."""
    row = list(range(len(other) + 1))
    for count, letter in enumerate(one, start=1):
        before, row[0] = row[0], count
        for place, against in enumerate(other, start=1):
            kept = before + (letter != against)
            before, row[place] = row[place], min(row[place] + 1, row[place - 1] + 1, kept)
    return row[-1]


def sound_of(folded: str) -> str:
    """The Soundex code by the rules of the US National Archives; `""` for no letters."""
    if not folded:
        return ""
    heard = [_SOUNDS.get(letter, 0) for letter in folded if letter not in "hw"]
    if folded[0] in "hw":
        heard.insert(0, 0)
    once = [code for code, _ in groupby(heard)][1:]
    return (folded[0].upper() + "".join(str(code) for code in once if code) + "000")[:4]


def are_last_names_close(one: str, other: str) -> bool:
    """At most two letters apart, or the same sound."""
    one, other = fold(one), fold(other)
    return letters_apart(one, other) <= 2 or sound_of(one) == sound_of(other)


def are_first_names_close(one: str, other: str) -> bool:
    """At most two letters apart, or the same sound, or one begins the other."""
    one, other = fold(one), fold(other)
    if not one or not other:
        return True
    begins = one.startswith(other) or other.startswith(one)
    return begins or letters_apart(one, other) <= 2 or sound_of(one) == sound_of(other)


def are_people_close(one: Person, other: Person) -> bool:
    return are_last_names_close(one.last_name, other.last_name) and are_first_names_close(
        one.first_name, other.first_name
    )
