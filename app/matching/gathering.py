"""The lines of a register gathered into columns, in one pass.

Lines may come from a stream: none is kept. Texts that many lines share are kept once, and
each line has a code, the place of its text among them. What differs on every line, such as
a voter number, becomes one array of bytes.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from datetime import date
from itertools import chain, islice

import numpy as np
from numpy.typing import NDArray

from app.matching.columns import Ids, Texts
from app.matching.names import fold, fold_street_word, glue_each
from app.rules.line import Line

# Few enough to stay in the processor's cache from one column to the next.
LINES_AT_ONCE = 2_048

# Day 1 of the calendar of `date.toordinal`, counted from that of `numpy.datetime64`.
_FIRST_DAY = date(1970, 1, 1).toordinal()
_NO_TEXTS: Texts = np.zeros(0, dtype=np.bytes_)


class _Known(dict[str, int]):
    """Texts with their codes; a new text gets the next one."""

    def __missing__(self, text: str) -> int:
        code = self[text] = len(self)
        return code


class Coded:
    """A column: the code of each line, and the distinct texts that the codes count."""

    def __init__(self, known: _Known | None = None) -> None:
        self._known = _Known() if known is None else known
        self._parts = [np.zeros(0, dtype=np.int32)]

    def beside(self) -> Coded:
        """Another column that shares the texts of this one."""
        return Coded(self._known)

    def take(self, texts: Sequence[str]) -> None:
        """The texts of the next lines."""
        codes = map(self._known.__getitem__, texts)
        self._parts.append(np.fromiter(codes, dtype=np.int32, count=len(texts)))

    @property
    def texts(self) -> list[str]:
        """The distinct texts by their codes."""
        return list(self._known)

    def codes(self) -> Ids:
        return np.concatenate(self._parts)


class Gathered:
    """All columns, in the order in which the lines came.

    Birth dates are numbers YYYYMMDD. `numbers` are folded, all else is as printed; a house
    is what stands before the first space of an address, if it begins with a digit.
    """

    def __init__(self, lines: Iterable[Line]) -> None:
        self.last, self.first, self.middle, self.suffix = Coded(), Coded(), Coded(), Coded()
        self.maiden = self.last.beside()
        self.house, self.street = Coded(), Coded()
        line_ids, numbers, days = [_NO_TEXTS], [_NO_TEXTS], [np.zeros(0, dtype=np.int32)]
        left = iter(lines)
        while some := list(islice(left, LINES_AT_ONCE)):
            printed = [line.printed for line in some]
            births = map(date.toordinal, (one.birth_date for one in printed))
            days.append(np.fromiter(births, dtype=np.int32, count=len(printed)))
            line_ids.append(_bytes_of([line.line_id for line in some]))
            numbers.append(_bytes_of(glue_each([one.voter_number for one in printed])))
            self.last.take([one.last_name for one in printed])
            self.maiden.take([one.mothers_maiden_name for one in printed])
            self.first.take([one.first_name for one in printed])
            self.middle.take([one.middle_name for one in printed])
            self.suffix.take([one.suffix for one in printed])
            self._take_addresses([one.street_address for one in printed])
        self.line_ids, self.numbers = np.concatenate(line_ids), np.concatenate(numbers)
        self.days = _day_numbers(np.concatenate(days))

    def _take_addresses(self, addresses: Sequence[str]) -> None:
        parted = [
            address.partition(" ") if address[:1].isdigit() else ("", "", address)
            for address in addresses
        ]
        self.house.take([house for house, _, _ in parted])
        self.street.take([street for _, _, street in parted])


class Forms:
    """The forms of every distinct text of a column, one text after the other."""

    def __init__(self, texts: Sequence[str], forms: Callable[[str], tuple[str, ...]]) -> None:
        of_texts = [forms(text) for text in texts]
        self.words = list(chain.from_iterable(of_texts))
        self.counts = np.fromiter(map(len, of_texts), dtype=np.int64, count=len(texts))
        self.word_counts = np.array([_word_count(text) for text in texts], dtype=np.uint8)


def street_words(street: str) -> tuple[str, ...]:
    """The folded words of a street, each once, its kind shortened."""
    return tuple(dict.fromkeys(map(fold_street_word, fold(street).split())))


def _word_count(text: str) -> int:
    """In how many words a name is printed, as far as one byte counts."""
    if text.isascii() and text.isalpha():
        return 1
    return min(len(fold(text).split()), 255)


def _bytes_of(texts: Sequence[str]) -> Texts:
    """The texts in UTF-8."""
    joined = "\n".join(texts)
    if joined.count("\n") >= len(texts):
        return np.array([text.encode() for text in texts], dtype=np.bytes_)
    letters = np.frombuffer(f"{joined}\n".encode(), dtype=np.uint8)
    is_letter = letters != ord("\n")
    ends = np.flatnonzero(~is_letter)
    lengths = np.diff(ends, prepend=-1) - 1
    width = max(int(lengths.max()), 1)
    padded = np.zeros((len(texts), width), dtype=np.uint8)
    padded[np.arange(width) < lengths[:, np.newaxis]] = letters[is_letter]
    return padded.view(f"S{width}").reshape(len(texts))


def _day_numbers(ordinals: NDArray[np.int32]) -> NDArray[np.int32]:
    days = (ordinals - _FIRST_DAY).astype("datetime64[D]")
    months = days.astype("datetime64[M]")
    years = months.astype("datetime64[Y]")
    numbers = (years.astype(np.int64) + 1970) * 10_000
    numbers += ((months - years).astype(np.int64) + 1) * 100
    numbers += (days - months).astype(np.int64) + 1
    return numbers.astype(np.int32)
