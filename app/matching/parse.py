"""What was typed: the text of the one box as words, nothing yet known about their meaning."""

from __future__ import annotations

import re
import unicodedata
from dataclasses import dataclass

from app.matching.names import PARTICLES, SUFFIXES, fold, split_as_typed
from app.rules.written_dates import month_number

# Longer texts are a slip (a pasted page): nobody says so much about a person.
LONGEST_TEXT = 200
# Each word costs a comparison with the whole vocabulary.
MOST_WORDS = 10
CUT_OFF = "…"

_PARTS = re.compile(r"[\s;]+|(,)")
_DATE_LIKE_DIGITS = 6
_YEAR_DIGITS = 4


@dataclass(frozen=True, slots=True)
class Word:
    """A word as typed and folded. `weight` is its share in the score of the whole text.

    `folded` is one glued word, empty where nothing of the word can be compared.
    """

    typed: str
    folded: str
    weight: float

    @property
    def is_name(self) -> bool:
        """Whether the word can be part of a person's name proper."""
        return (
            self.folded.isalpha() and self.folded not in SUFFIXES and not month_number(self.folded)
        )


@dataclass(frozen=True, slots=True)
class Typed:
    """The words in the order typed.

    `comma_at` is the position of the word after a comma that parts last from first name.
    `unread` are pieces left out before reading: signs that mean nothing, words beyond the
    tenth, and `…` for text beyond 200 characters.
    """

    words: tuple[Word, ...]
    comma_at: int | None = None
    unread: tuple[str, ...] = ()

    @property
    def weight(self) -> float:
        """Of all words together."""
        return sum(word.weight for word in self.words)


def parse(text: str) -> Typed:
    """Part `text` into words. Never raises, whatever the text holds."""
    words: list[Word] = []
    unread: list[str] = []
    commas: list[int] = []
    for chunk in filter(None, _PARTS.split(_printable(text[:LONGEST_TEXT]))):
        if chunk == ",":
            commas.append(len(words))
        elif pieces := _pieces(chunk):
            words += [Word(piece, folded, _weight(folded)) for piece, folded in pieces]
        elif any(unicodedata.category(character)[0] in "LNS" for character in chunk):
            unread.append(chunk)
    unread += [word.typed for word in words[MOST_WORDS:]]
    if len(text) > LONGEST_TEXT:
        unread.append(CUT_OFF)
    kept = tuple(words[:MOST_WORDS])
    return Typed(kept, _name_comma(kept, commas), tuple(unread))


def _printable(text: str) -> str:
    """Control characters, which a scanner may send around its text, become spaces."""
    if text.isprintable():
        return text
    return "".join(" " if unicodedata.category(char)[0] == "C" else char for char in text)


def _pieces(chunk: str) -> list[tuple[str, str]]:
    """The words of a chunk as typed and folded; one with a digit in it is kept whole.

    `3/4/1987` and `TC-0417` are one word, `Garcia-Lopez` is two.
    """
    folded = fold(chunk)
    if any(character.isdigit() for character in folded):
        return [(chunk, folded.replace(" ", ""))]
    pieces = ((piece, fold(piece).replace(" ", "")) for piece in split_as_typed(chunk))
    return [(piece, folded) for piece, folded in pieces if folded]


def _weight(folded: str) -> float:
    """How much a word tells: an initial or `de` little, a whole date more than a name.

    A year weighs so little that a name with another year comes before another name with it.
    """
    if folded.isdigit() and len(folded) >= _DATE_LIKE_DIGITS:
        return 1.2
    if folded.isdigit() and len(folded) == _YEAR_DIGITS:
        return 0.6
    if folded in PARTICLES:
        return 0.3
    if folded in SUFFIXES:
        return 0.6
    return {1: 0.5, 2: 0.8}.get(len(folded), 1.0)


def _name_comma(words: tuple[Word, ...], commas: list[int]) -> int | None:
    """The first comma, where there is a name on both sides of it.

    The commas of `March 4, 1987` and `John Smith, Jr` part no names.
    """
    for at in commas[:1]:
        if any(word.is_name for word in words[:at]) and any(word.is_name for word in words[at:]):
            return at
    return None
