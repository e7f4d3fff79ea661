"""Which lines are worth scoring, where there are too many to score them all.

Every typed word marks the lines that it may mean, in any field; a birth date marks the
lines born then or a slip away. A line is worth scoring if two things typed point at it
or, where only one thing points anywhere, that one. Nothing is keyed on one field: a
name that is beyond recognition is made up for by the date, and the other way round.
"""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np
from numpy.typing import NDArray

from app.matching.birth import day_number, near_days
from app.matching.columns import Positions
from app.matching.dates import read_part, readings_of
from app.matching.interpret import (
    LONGEST_DATE_WORDS,
    LONGEST_NAME_WORDS,
    SHORTEST_NUMBER_START,
)
from app.matching.likeness import Likeness
from app.matching.names import fold_street_word
from app.matching.parse import Typed, Word
from app.matching.register import Register
from app.rules.policy import DateOrder

# Up to here scoring every line is the simplest and the best.
ALL_LINES = 4_000
# Shorter words begin the names of too many people to point at anybody.
SHORTEST_TELLING = 3
# More lines than this are not worth scoring: what was typed is still too little.
MOST_LINES = 60_000
# So many people or fewer make a last name rare.
MOST_RARE = 1_500

Marks = NDArray[np.uint16]


class _Marks:
    """One bit for each typed word, on each line that the word may mean."""

    def __init__(self, line_count: int) -> None:
        self.bits: Marks = np.zeros(line_count, dtype=np.uint16)
        self.pointed = 0

    def put(self, bits: int, positions: Positions) -> None:
        """The words of `bits` may mean the lines at `positions`.

        Only single words count as pointing: a run points where its words do not.
        """
        if len(positions):
            self.bits[positions] |= np.uint16(bits)
            if not bits & (bits - 1):
                self.pointed |= bits

    def with_at_least(self, least: int) -> Positions:
        """The lines that at least so many words may mean, ascending."""
        left = self.bits
        for _ in range(least - 1):
            left = left & (left - np.uint16(1))  # strikes the lowest bit
        return np.flatnonzero(left != 0).astype(np.int32)


def worth_scoring(
    typed: Typed, register: Register, date_order: DateOrder, election_year: int
) -> Positions | None:
    """The positions of the lines worth scoring, ascending; None for all of them."""
    if len(register) <= ALL_LINES:
        return None
    marks = _Marks(len(register))
    dates, sure = _mark_dates(marks, typed, register, date_order, election_year)
    _mark_numbers(marks, typed, register, dates)
    rare = _mark_names(marks, typed, register, dates)
    _mark_streets(marks, typed, register, dates)
    if not marks.bits.any():
        return _by_little(typed, register, date_order)
    found = marks.with_at_least(2 if marks.pointed.bit_count() > 1 else 1)
    if not len(found):
        found = marks.with_at_least(1)
    if len(found) > MOST_LINES:
        narrower = marks.with_at_least(3)
        found = narrower if len(narrower) else found[:MOST_LINES]
    certain = np.concatenate([sure, *rare])
    return np.union1d(found, certain).astype(np.int32) if len(certain) else found


def _mark_dates(
    marks: _Marks, typed: Typed, register: Register, date_order: DateOrder, election_year: int
) -> tuple[int, Positions]:
    """Mark the lines born on or near a whole date.

    Answers the bits of the words that dates are made of, and the lines born on a date. A
    date is one thing, in however many words it was typed: it gets the bit of its first.
    """
    dates, sure = 0, [np.zeros(0, dtype=np.int32)]
    for bits, words in _runs(typed, LONGEST_DATE_WORDS):
        if not any(character.isdigit() for word in words for character in word.folded):
            continue
        text = " ".join(word.typed for word in words)
        for parts in readings_of(text, date_order=date_order, election_year=election_year):
            marks.put(bits & -bits, register.born_on(near_days(parts)))
            sure.append(register.born_on([day_number(*parts)]))
            dates |= bits
    return dates, np.concatenate(sure)


def _mark_numbers(marks: _Marks, typed: Typed, register: Register, dates: int) -> None:
    for bits, words in _runs(typed, LONGEST_NAME_WORDS):
        glued = "".join(word.folded for word in words)
        digit_count = sum(character.isdigit() for character in glued)
        if bits & dates or _is_year(glued):
            continue
        if digit_count >= SHORTEST_NUMBER_START:
            marks.put(bits, register.numbers.starting(glued))
        elif glued:
            marks.put(bits, register.numbers.same(glued))


def _mark_names(marks: _Marks, typed: Typed, register: Register, dates: int) -> list[Positions]:
    """Mark the lines that a word may name; answers those with a rare last name as typed.

    They are scored even if nothing else points at them: the other words may be too far off.
    """
    rare: list[Positions] = []
    vocabulary = register.vocabulary
    for bits, words in _runs(typed, LONGEST_NAME_WORDS):
        glued = "".join(word.folded for word in words)
        if len(glued) < SHORTEST_TELLING or not glued.isalpha() or bits & dates:
            continue
        kinds = vocabulary.compare(glued, is_glued=len(words) > 1)
        # A printed initial would stand for every word that begins with it.
        ids = np.flatnonzero((kinds != 0) & (kinds != Likeness.INITIAL_PRINTED))
        for column in (register.last, register.maiden, register.middle):
            marks.put(bits, column.postings.of(ids))
        if len(words) > 1:
            marks.put(bits, register.first.postings.of(ids))
        else:
            given = np.flatnonzero(register.nicknames.raised(kinds, glued) != 0)
            marks.put(bits, register.first.postings.of(given))
            for first, _ in vocabulary.halves(glued):
                marks.put(bits, register.first.postings.of(np.array([first])))
        same = vocabulary.find(glued)
        if same is not None:
            lines = register.last.postings.of_range(same, same + 1)
            rare += [lines] if len(lines) <= MOST_RARE else []
    return rare


def _mark_streets(marks: _Marks, typed: Typed, register: Register, dates: int) -> None:
    """A street points at people only beside a house number, or if it is nobody's name."""
    houses = [
        register.houses.postings.of_range(*register.houses.starting(word.folded))
        for word in typed.words
        if word.folded[:1].isdigit()
    ]
    for at, word in enumerate(typed.words):
        street = fold_street_word(word.folded)
        if len(street) < SHORTEST_TELLING or not street.isalpha() or dates >> at & 1:
            continue
        is_name = register.vocabulary.has_start(word.folded)
        if is_name and not any(map(len, houses)):
            continue
        ids = np.flatnonzero(register.streets.compare(street, is_glued=True) != 0)
        lines = register.street.postings.of(ids)
        if houses:
            at_house = np.zeros(len(register), dtype=np.bool_)
            for some in houses:
                at_house[some] = True
            lines = lines[at_house[lines]]
        marks.put(1 << at, lines)


def _by_little(typed: Typed, register: Register, date_order: DateOrder) -> Positions:
    """Only letters, a year, or a date that has just been begun: as good as they go."""
    words = [word for word in typed.words if word.folded]
    names = [word.folded for word in words if word.folded.isalpha()]
    if names:
        return _by_letters(names, register)
    for word in words:
        if word.folded.isdigit() and len(word.folded) == 4:
            year = int(word.folded) * 10_000
            return np.sort(register.born_between(year, year + 9_999))[:MOST_LINES]
        if started := read_part(word.typed, date_order=date_order):
            month_day = register.days % 10_000
            hits = month_day // 100 == started.month if started.month else register.days > 0
            if started.day is not None:
                hits &= month_day % 100 == started.day
            return np.flatnonzero(hits).astype(np.int32)[:MOST_LINES]
    return np.zeros(0, dtype=np.int32)


def _by_letters(names: list[str], register: Register) -> Positions:
    """`s j`: the last names under S, of them the first names under J, either way round."""
    vocabulary = register.vocabulary
    ranges = [vocabulary.range_of(name) for name in names[:2]]
    found = []
    for at, (low, high) in enumerate(ranges):
        lines = register.last.postings.of_range(low, high)
        if len(ranges) == 2:
            first_low, first_high = ranges[1 - at]
            first = register.first.whole_at(lines)
            lines = lines[(first >= first_low) & (first < first_high)]
        elif len(lines) < MOST_LINES:
            found.append(register.first.postings.of_range(low, high)[:MOST_LINES])
        found.append(lines)
    return np.unique(np.concatenate(found))[:MOST_LINES]


def _is_year(word: str) -> bool:
    """Four digits are sooner a year of birth than the start of a voter number."""
    return len(word) == 4 and word.isdigit() and word[:2] in ("19", "20")


def _runs(typed: Typed, longest: int) -> Iterator[tuple[int, tuple[Word, ...]]]:
    """Every run of neighbouring words, with a bit for each of its words."""
    count = len(typed.words)
    for start in range(count):
        for stop in range(start + 1, min(start + longest, count) + 1):
            yield sum(1 << at for at in range(start, stop)), typed.words[start:stop]
