"""Points for every line of a register, from the words that may mean it.

Each word gives a line as many points as it fits it at best, in any field; the sum over all
words is what the line could score, were no field named twice. A byte holds it.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from app.matching.columns import Positions, Postings
from app.matching.interpret import MIDDLE_AS_FIRST
from app.matching.likeness import Alike
from app.matching.parse import Typed, Word
from app.matching.register import Register
from app.matching.scoring import NO_LAST_NAME

# Fewer lines than this are scored, all of them.
ENOUGH_LINES = 400
# Lines with equal points are taken together. Where that makes them many, some are enough,
# and more than the most are never taken.
SOME_LINES, MANY_LINES, MOST_LINES = 60, 2_000, 8_000
# Of everything typed together; leaves room for one more for each word, in a byte.
MOST_POINTS = 240
# A line with less than this share of the most points is never shown beside it.
LEAST_OF_MOST = 0.45
# A word is sooner a last name, where there are too many of both; alone it is so by what
# is taken off where there is no last name.
GIVEN_FACTOR, GIVEN_FACTOR_ALONE = 0.97, 1 - NO_LAST_NAME
Points = NDArray[np.uint8]


@dataclass(frozen=True, slots=True)
class Shortened:
    """`positions`, ascending, are worth scoring; `left_out` others have as many points as the
    least of them, and were more than can be scored.
    """

    positions: Positions
    left_out: int = 0


class Pointing:
    """What was typed, the register, and the points that each word gives so far."""

    def __init__(self, typed: Typed, register: Register) -> None:
        self.typed, self.register = typed, register
        # Bits of the words that a date is made of.
        self.dates = 0
        is_alone = sum(word.is_name for word in typed.words) < 2
        self.given_factor = GIVEN_FACTOR_ALONE if is_alone else GIVEN_FACTOR
        self.middle_factor = self.given_factor * (MIDDLE_AS_FIRST if is_alone else 1.0)
        self._scale = MOST_POINTS / max(sum(word.weight for word in typed.words), 1e-6)
        self._of_word: dict[int, Points] = {}

    def runs(self, longest: int) -> Iterator[tuple[int, tuple[Word, ...]]]:
        """Every run of neighbouring words, with a bit for each of its words."""
        count = len(self.typed.words)
        for start in range(count):
            for stop in range(start + 1, min(start + longest, count) + 1):
                yield sum(1 << at for at in range(start, stop)), self.typed.words[start:stop]

    def put(self, bits: int, positions: Positions, score: float) -> None:
        """The words of `bits` may mean the lines at `positions`, and fit them so well."""
        if len(positions):
            at = positions.astype(np.intp)
            for word_at, most in self._most_points(bits):
                self._raise(word_at, at, np.uint8(score * most))

    def put_names(self, bits: int, postings: Postings, alike: Alike, factor: float) -> None:
        """The words of `bits` may mean the lines that bear a name like them.

        The names come in ascending order, so that where a line has two of them the
        better one is written last.
        """
        positions, counts = postings.of_counted(alike.ids)
        if len(positions):
            at = positions.astype(np.intp)
            for word_at, most in self._most_points(bits):
                points = (alike.scores * (factor * most)).astype(np.uint8)
                self._raise(word_at, at, np.repeat(points, counts))

    def _most_points(self, bits: int) -> Iterator[tuple[int, float]]:
        for at, word in enumerate(self.typed.words):
            if bits >> at & 1:
                yield at, word.weight * self._scale

    def _raise(self, word_at: int, at: NDArray[np.intp], points: Points | np.uint8) -> None:
        known = self._of_word.get(word_at)
        if known is None:
            known = self._of_word[word_at] = np.zeros(len(self.register), dtype=np.uint8)
            known[at] = points
        else:
            known[at] = np.maximum(known[at], points)

    def prefer(self, bits: int, start: int, stop: int) -> None:
        """One more point for the neighbouring lines at positions `start` to `stop`."""
        for word_at, _ in self._most_points(bits):
            if word_at in self._of_word:
                self._of_word[word_at][start:stop] += np.uint8(1)

    def sum(self) -> Points:
        """The points of each line, from all words."""
        every = list(self._of_word.values())
        if not every:
            return np.zeros(len(self.register), dtype=np.uint8)
        total = every[0]
        for points in every[1:]:
            np.add(total, points, out=total)
        return total


def most_pointed(points: Points) -> Shortened:
    """The lines with the most points: enough of them, equals together."""
    most = int(points.max(initial=0))
    if not most:
        return Shortened(np.zeros(0, dtype=np.int32))
    lines = np.flatnonzero(points >= max(int(most * LEAST_OF_MOST), 1))
    of_lines = points[lines]
    # How many lines have so many points or more, from `most` down.
    counts = np.cumsum(np.bincount(of_lines, minlength=most + 1)[::-1])
    down = int(np.searchsorted(counts, ENOUGH_LINES))
    down = min(down, most - int(of_lines.min()))
    if down and counts[down] > MANY_LINES and counts[down - 1] >= SOME_LINES:
        down -= 1
    least, count = most - down, int(counts[down])
    if count <= MOST_LINES:
        return Shortened(lines[of_lines >= least].astype(np.int32))
    above = lines[of_lines > least]
    equal = lines[of_lines == least][: MOST_LINES - len(above)]
    kept = np.sort(np.concatenate([above, equal])).astype(np.int32)
    return Shortened(kept, count - len(kept))
