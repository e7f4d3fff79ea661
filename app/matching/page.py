"""A register as one typed text sees it: what each line scores, and how it was read."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from rapidfuzz.distance import JaroWinkler

from app.matching.likeness import Likeness, Scores
from app.matching.parse import Typed, Word
from app.matching.reading import Field, Reading
from app.matching.register import Register
from app.matching.scoring import best_gains, best_path
from app.matching.shortlist import Shortlist

# A line must explain this share of what was typed: one name of two and a date, but no sound
# where half of the text means nothing.
LEAST_SCORE = 0.26
# Lines this close to the first fit about as well.
FITS_MARGIN = 0.03
# The share of the other words that must fit where a birth date or number agrees in full:
# one of two names alone is not enough, two names a letter off are.
LOOSE_FIT = 0.6
# How much it counts that names look alike letter by letter, at most: it only orders lines
# that are about as good as each other.
CLOSER_LOOK, USUAL_LIKENESS = 0.15, 0.85
RESEMBLING = frozenset(
    {
        Likeness.TWO_LETTERS_OFF,
        Likeness.STARTS_ONE_LETTER_OFF,
        Likeness.SOUNDS_LIKE,
        Likeness.ONE_LETTER_OFF,
    }
)
NAME_FIELDS = frozenset({Field.LAST, Field.FIRST, Field.MIDDLE, Field.MAIDEN})
# Small enough to change nothing but the order of lines that one name each fits.
IGNORED_COMMON_NAME = 0.08
# A shorter voter number may be a house number or a year in a longer text.
SHORTEST_NUMBER_ALONE = 5


@dataclass(frozen=True, slots=True, eq=False)
class Page:
    """Lines of one register scored by themselves: each score from 0 to 1.

    `decisive` are the lines on which a birth date or number agrees in full and the rest at
    least loosely; `alone` those that a voter number typed in full points at, None where it
    does not settle the matter. `left_out` more lines were as good a guess as the least of
    these and too many to score.
    """

    here: Shortlist
    readings: Sequence[Reading]
    ignoring: Sequence[float]
    scores: Scores
    decisive: NDArray[np.bool_]
    alone: NDArray[np.bool_] | None
    left_out: int

    def line(self, at: int, judged: float, typed: Typed) -> PageLine:
        """The line at place `at`, whose score was judged so far, looked at more closely."""
        path = best_path(self.readings, self.ignoring, at)
        score = judged + self._closeness(at, path, typed)
        return PageLine(self, at, round(min(max(score, 1e-6), 1.0), 6), path)

    def _closeness(self, at: int, path: Sequence[Reading], typed: Typed) -> float:
        """A little more or less for names that only resemble what was typed.

        Two names may both be a letter off or sound alike: the likelier is the one that
        has more letters in place, above all the first ones.
        """
        more = 0.0
        for reading in path:
            if reading.field in NAME_FIELDS and reading.kinds[at] in RESEMBLING:
                name = self.here.name_of(reading.field, at)
                alike = JaroWinkler.similarity(reading.folded, name)
                more += CLOSER_LOOK * (alike - USUAL_LIKENESS) * reading.weight / typed.weight
        return more


@dataclass(frozen=True, slots=True, eq=False)
class PageLine:
    """One line of a page with its final score and the readings behind it."""

    page: Page
    at: int
    score: float
    path: Sequence[Reading]

    def print_key(self) -> tuple[str, ...]:
        here = self.page.here
        return here.register.print_key(int(here.positions[self.at]))


def make_page(typed: Typed, here: Shortlist, readings: Sequence[Reading], left_out: int) -> Page:
    total = typed.weight
    ignoring = [_ignoring(word, here.register) for word in typed.words]
    gains = best_gains(readings, ignoring, len(here))
    decisive = np.zeros(len(here), dtype=np.bool_)
    for reading in filter(lambda one: one.can_be_exact, readings):
        decisive |= reading.is_exact & _others_fit(reading, gains, total)
    # Rounded, so that equals are equal whatever order their sums were made in.
    scores = np.round(gains / total, 6)
    alone = _by_number_alone(readings, gains, total)
    return Page(here, readings, ignoring, scores, decisive, alone, left_out)


def _ignoring(word: Word, register: Register) -> float:
    """What is gained by ignoring a word: a little for a common last name, by which somebody
    may be known besides their own, since the rarer name is the one that tells.
    """
    return IGNORED_COMMON_NAME * word.weight * register.commonness(word.folded)


def judged(pages: Sequence[Page]) -> list[Scores]:
    """The final scores of each page, lines that are out of the question at 0."""
    if any(page.alone is not None for page in pages):
        return [
            np.zeros_like(page.scores)
            if page.alone is None
            else np.where(page.alone, np.maximum(page.scores, LEAST_SCORE), 0.0)
            for page in pages
        ]
    sure = [page.scores[page.decisive] for page in pages]
    least_sure = min((float(some.min()) for some in sure if len(some)), default=None)
    if least_sure is None:
        return [page.scores for page in pages]
    below = max(least_sure - FITS_MARGIN - 0.01, 0.0)
    return [np.where(page.decisive, page.scores, np.minimum(page.scores, below)) for page in pages]


def _by_number_alone(
    readings: Sequence[Reading], gains: Scores, total: float
) -> NDArray[np.bool_] | None:
    """The lines that a voter number typed in full points at, where it settles the matter.

    It does not where the same digits are somebody's birth date, nor where a short number
    stands among other words that say somebody else.
    """
    for reading in readings:
        if reading.field is not Field.NUMBER:
            continue
        exact = reading.is_exact
        if len(reading.folded) < SHORTEST_NUMBER_ALONE:
            exact &= _others_fit(reading, gains, total)
        is_birth_date = any(
            other.field is Field.BIRTH
            and (other.start, other.stop) == (reading.start, reading.stop)
            and other.is_exact.any()
            for other in readings
        )
        if exact.any() and not is_birth_date:
            return exact
    return None


def _others_fit(reading: Reading, gains: Scores, total: float) -> NDArray[np.bool_]:
    """The lines on which the words beside `reading` fit at least loosely."""
    others = total - reading.weight
    fit: NDArray[np.bool_] = gains - reading.gain >= LOOSE_FIT * others - 1e-9
    return fit
