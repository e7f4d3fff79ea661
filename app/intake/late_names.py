"""A name that stands in one cell: `Pell Jr, Odette Marie` taken apart, or left whole.

Only a comma says which part is the last name. `Maria Garcia Lopez` could be parted in two
ways, and a list that marks people as having voted is no place to try which one fits.
"""

from __future__ import annotations

from typing import NamedTuple

# `V` is missing: it is the initial of a middle name more often than the fifth of a name.
_SUFFIXES = frozenset("jr junior sr senior ii iii iv 2nd 3rd 4th".split())


class SplitName(NamedTuple):
    """`is_sure` False: the whole text stands in `last_name`."""

    last_name: str
    first_name: str = ""
    middle_name: str = ""
    suffix: str = ""
    is_sure: bool = True


def split_name(text: str) -> SplitName:
    """The parts of a folded, filled cell; a single word is a last name.

    >>> split_name("Pell, Odette Marie, Jr.")[:4]
    ('Pell', 'Odette', 'Marie', 'Jr.')
    """
    parts = [part.strip() for part in text.split(",")]
    if len(parts) == 1:
        return SplitName(text, is_sure=" " not in text)
    outside = [part for part in parts[1:] if _is_suffix(part)]
    given = [part for part in parts[1:] if part and not _is_suffix(part)]
    last, at_last = _without_suffix(parts[0])
    name, at_given = _without_suffix(given[0]) if given else ("", "")
    suffixes = [each for each in (at_last, at_given, *outside) if each]
    if not last or len(given) > 1 or len(suffixes) > 1:
        return SplitName(text, is_sure=False)
    first, _, middle = name.partition(" ")
    return SplitName(last, first, middle, suffixes[0] if suffixes else "")


def _is_suffix(word: str) -> bool:
    return word.rstrip(".").casefold() in _SUFFIXES


def _without_suffix(words: str) -> tuple[str, str]:
    before, _, last = words.rpartition(" ")
    return (before, last) if before and _is_suffix(last) else (words, "")
