"""The lines of the register as arrays, in the order in which a register is printed.

A `Register` never changes: `finder` makes a new one when a line comes or goes. Because
lines stand in print order here, a stable sort by score leaves equals in that order.
"""

from __future__ import annotations

import re
from bisect import bisect_left
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date
from itertools import zip_longest

import numpy as np
from numpy.typing import NDArray

from app.matching.birth import BirthDates
from app.matching.likeness import Nicknames, Vocabulary
from app.matching.names import (
    first_name_forms,
    fold,
    fold_street_word,
    fold_suffix,
    glue,
    last_name_forms,
    middle_name_forms,
)
from app.rules.line import Line

Ids = NDArray[np.int32]


@dataclass(frozen=True, slots=True)
class FoldedLine:
    """A line folded once, when it enters. `print_order` sorts lines as a register does."""

    line_id: str
    print_order: tuple[str, str, str, str, str]
    last: tuple[str, ...]
    first: tuple[str, ...]
    middle: tuple[str, ...]
    maiden: tuple[str, ...]
    suffix: str
    last_word_count: int
    first_word_count: int
    birth_date: date
    number: str
    number_starts: frozenset[str]
    house: str
    street: tuple[str, ...]


def fold_line(line: Line) -> FoldedLine:
    """Fold everything on `line` that somebody may type."""
    printed = line.printed
    last = last_name_forms(printed.last_name)
    first = first_name_forms(printed.first_name, printed.middle_name)
    suffix, number = fold_suffix(printed.suffix), glue(printed.voter_number)
    house, street = _house_and_street(printed.street_address)
    middle = middle_name_forms(printed.middle_name)
    return FoldedLine(
        line_id=line.line_id,
        print_order=(_whole(last), suffix, _whole(first), " ".join(middle), number),
        last=last,
        first=first,
        middle=middle,
        maiden=last_name_forms(printed.mothers_maiden_name),
        suffix=suffix,
        last_word_count=len(fold(printed.last_name).split()),
        first_word_count=len(fold(printed.first_name).split()),
        birth_date=printed.birth_date,
        number=number,
        number_starts=_starts(number),
        house=house,
        street=street,
    )


class NameColumn:
    """One name field of all lines, as identifiers in the vocabulary.

    `whole` holds one per line; `parts` has a row for each further form of the longest name.
    `word_counts` says in how many words the whole name is printed.
    """

    def __init__(
        self,
        vocabulary: Vocabulary,
        names: Sequence[tuple[str, ...]],
        word_counts: Sequence[int] | None = None,
    ) -> None:
        # Row by row: the whole names, then the first parts, the second parts, ….
        rows = list(zip_longest(*names, fillvalue="")) or [("",) * len(names)]
        ids = np.array([vocabulary.ids_of(row) for row in rows], dtype=np.int32)
        self.whole: Ids = ids[0]
        self.parts: Ids = ids[1:]
        self.word_counts = np.array(word_counts or [1] * len(names), dtype=np.int32)


class Keys:
    """Lines by something short that is compared letter by letter: a number, a suffix."""

    def __init__(self, keys_of_lines: Iterable[Iterable[str]]) -> None:
        lines: dict[str, list[int]] = {}
        for at, keys in enumerate(keys_of_lines):
            for key in keys:
                if key:
                    lines.setdefault(key, []).append(at)
        self._lines = lines
        self._keys = sorted(lines)

    def same(self, key: str) -> list[int]:
        """The positions of the lines with this key, ascending."""
        return self._lines.get(key, [])

    def starting(self, start: str) -> list[int]:
        """The positions of the lines with a key that begins so; a line may come twice."""
        low, high = bisect_left(self._keys, start), bisect_left(self._keys, start + "\x7f")
        return [at for key in self._keys[low:high] for at in self._lines[key]]


class Register:
    """All lines, ready to be compared with one typed text after another."""

    def __init__(self, lines: Iterable[FoldedLine]) -> None:
        self.lines = sorted(lines, key=lambda line: line.print_order)
        forms = (line.last + line.first + line.middle + line.maiden for line in self.lines)
        self.vocabulary = Vocabulary(form for names in forms for form in names)
        self._make_name_columns()
        self.birth_dates = BirthDates([line.birth_date for line in self.lines])
        self.streets = Vocabulary(word for line in self.lines for word in line.street)
        self.street = NameColumn(self.streets, [line.street for line in self.lines])
        self.houses = Keys((line.house,) for line in self.lines)
        self.suffixes = Keys((line.suffix,) for line in self.lines)
        self.numbers = Keys((line.number,) for line in self.lines)
        self.number_starts = Keys(line.number_starts for line in self.lines)

    def __len__(self) -> int:
        return len(self.lines)

    def _make_name_columns(self) -> None:
        lines, vocabulary = self.lines, self.vocabulary
        self.last = NameColumn(
            vocabulary, [line.last for line in lines], [line.last_word_count for line in lines]
        )
        self.first = NameColumn(
            vocabulary, [line.first for line in lines], [line.first_word_count for line in lines]
        )
        self.middle = NameColumn(vocabulary, [line.middle for line in lines])
        self.maiden = NameColumn(vocabulary, [line.maiden for line in lines])
        self.most_name_words = max(
            (max(line.last_word_count, line.first_word_count) for line in lines), default=1
        )
        self.nicknames = Nicknames(vocabulary, {form for line in lines for form in line.first})


def _whole(forms: tuple[str, ...]) -> str:
    return forms[0] if forms else ""


def _house_and_street(street_address: str) -> tuple[str, tuple[str, ...]]:
    """The house number, empty where the address does not start with one, and the other words."""
    words = fold(street_address).split()
    house = words.pop(0) if words and words[0][0].isdigit() else ""
    return house, tuple(dict.fromkeys(map(fold_street_word, words)))


def _starts(number: str) -> frozenset[str]:
    """Where people may begin to read a voter number: at its head, after letters, after zeros."""
    without_letters = re.sub(r"^[a-z]+", "", number)
    return frozenset({number, without_letters, without_letters.lstrip("0")})
