"""Finding lines: typed text in, ranked lines with their reasons out."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from threading import Lock

import numpy as np
from numpy.typing import NDArray
from rapidfuzz.distance import JaroWinkler

from app.matching.candidates import worth_scoring
from app.matching.interpret import possible_readings
from app.matching.likeness import Likeness, Scores
from app.matching.parse import Typed, Word, parse
from app.matching.reading import Field, Reading
from app.matching.reasons import Why, reasons
from app.matching.register import Register, Shortlist
from app.matching.scoring import best_gains, best_path
from app.rules.line import Line
from app.rules.policy import DateOrder

# A line must explain this share of what was typed (more than a sound, where half of the text
# means nothing), and this share of what the best one explains.
LEAST_SCORE = 0.36
LEAST_OF_BEST = 0.6
# Lines this close to the first fit about as well.
FITS_MARGIN = 0.03
# The share of the other words that must fit where a birth date or number agrees in full:
# one of two names alone is not enough, two names a letter off are.
LOOSE_FIT = 0.6
# How many more lines than are shown have their names compared letter by letter, and how
# much that counts at most: it only orders lines that are about as good as each other.
WORTH_A_CLOSER_LOOK = 24
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


@dataclass(frozen=True, slots=True)
class Match:
    """A line that may be meant. `score` runs from 0 to 1 (everything typed fits exactly)."""

    line_id: str
    score: float
    why: tuple[Why, ...]


@dataclass(frozen=True, slots=True)
class Found:
    """What `find` found.

    matches: best first, equals in print order. ignored: the words, as typed, that fit
    nothing on the first match (all of them where there is none). fits: how many lines fit
    about as well as the first, also beyond the limit.
    """

    matches: tuple[Match, ...]
    ignored: tuple[str, ...]
    fits: int


class Finder:
    """Finds lines by whatever is known of a person. Safe to use from several threads.

    Lines that come or change during the day stand in a small register of their own, so
    that they are found at once, however large the first one is.
    """

    def __init__(
        self,
        lines: Iterable[Line],
        *,
        date_order: DateOrder = "month_first",
        election_year: int,
    ) -> None:
        self._date_order: DateOrder = date_order
        self._election_year = election_year
        self._lock = Lock()
        self._loaded = Register(lines)
        self._is_gone = np.zeros(len(self._loaded), dtype=np.bool_)
        self._added: dict[str, Line] = {}
        self._later: Register | None = Register(())

    def add(self, line: Line) -> None:
        """Add a line, or put it in the place of the one with the same `line_id`."""
        with self._lock:
            self._hide(line.line_id)
            self._added[line.line_id] = line
            self._later = None

    def remove(self, line_id: str) -> None:
        """Take a line out; nothing happens where there is none."""
        with self._lock:
            self._hide(line_id)
            if self._added.pop(line_id, None):
                self._later = None

    def find(self, text: str, limit: int = 8) -> Found:
        """The lines that `text` may mean, at most `limit`. Never raises, whatever the text."""
        typed = parse(text)
        pages = [page for page in self._pages(typed) if page is not None]
        scores = _judged(pages)
        best = max((float(some.max()) for some in scores), default=0.0)
        least = max(LEAST_SCORE, LEAST_OF_BEST * best)
        if best < least:
            return _nothing(typed)
        top = _top(pages, scores, least, max(limit, 1), typed)
        return Found(
            tuple(one.match(typed) for one in top)[: max(limit, 0)],
            _ignored(typed, top[0].path),
            sum(int((some >= best - FITS_MARGIN).sum()) for some in scores),
        )

    def _pages(self, typed: Typed) -> Iterator[_Page | None]:
        """What was typed against the register that was loaded, and the lines added later."""
        with self._lock:
            if self._later is None:
                self._later = Register(self._added.values())
            later, is_gone = self._later, self._is_gone
        yield self._page(typed, self._loaded, is_gone)
        yield self._page(typed, later, None)

    def _page(
        self, typed: Typed, register: Register, is_gone: NDArray[np.bool_] | None
    ) -> _Page | None:
        orders = self._date_order, self._election_year
        positions = worth_scoring(typed, register, *orders)
        if is_gone is not None and is_gone.any():
            everybody = np.arange(len(register), dtype=np.int32)
            positions = everybody if positions is None else positions
            positions = positions[~is_gone[positions]]
        here = Shortlist(register, positions)
        readings = possible_readings(typed, here, *orders) if len(here) else []
        return _page(typed, here, readings) if readings else None

    def _hide(self, line_id: str) -> None:
        at = self._loaded.find_line(line_id)
        if at is not None:
            # A copy: a search under way keeps the one it began with.
            self._is_gone = self._is_gone.copy()
            self._is_gone[at] = True


@dataclass(frozen=True, slots=True, eq=False)
class _Page:
    """Lines of one register scored by themselves: each score from 0 to 1.

    `decisive` are the lines on which a birth date or number agrees in full and the rest at
    least loosely; `alone` those that a voter number typed in full points at, None where it
    does not settle the matter.
    """

    here: Shortlist
    readings: Sequence[Reading]
    ignoring: Sequence[float]
    scores: Scores
    decisive: NDArray[np.bool_]
    alone: NDArray[np.bool_] | None

    def line(self, at: int, judged: float, typed: Typed) -> _Line:
        """The line at place `at`, whose score was judged so far, looked at more closely."""
        path = best_path(self.readings, self.ignoring, at)
        score = judged + self._closeness(at, path, typed)
        return _Line(self, at, round(min(max(score, 1e-6), 1.0), 6), path)

    def _closeness(self, at: int, path: Sequence[Reading], typed: Typed) -> float:
        """A little more or less for names that only resemble what was typed.

        Two names may both be a letter off or sound alike: the likelier is the one that
        has more letters in place, above all the first ones.
        """
        total = sum(word.weight for word in typed.words)
        more = 0.0
        for reading in path:
            if reading.field in NAME_FIELDS and reading.kinds[at] in RESEMBLING:
                name = self.here.name_of(reading.field, at)
                alike = JaroWinkler.similarity(reading.folded, name)
                more += CLOSER_LOOK * (alike - USUAL_LIKENESS) * reading.weight / total
        return more


@dataclass(frozen=True, slots=True, eq=False)
class _Line:
    """One line of a page with its final score and the readings behind it."""

    page: _Page
    at: int
    score: float
    path: Sequence[Reading]

    def match(self, typed: Typed) -> Match:
        here = self.page.here
        line_id = bytes(here.register.line_ids[here.positions[self.at]]).decode()
        return Match(line_id, self.score, reasons(self.path, here, self.at, typed.comma_at))

    def print_key(self) -> tuple[str, ...]:
        here = self.page.here
        return here.register.print_key(int(here.positions[self.at]))


def _page(typed: Typed, here: Shortlist, readings: Sequence[Reading]) -> _Page:
    total = sum(word.weight for word in typed.words)
    ignoring = [_ignoring(word, here.register) for word in typed.words]
    gains = best_gains(readings, ignoring, len(here))
    decisive = np.zeros(len(here), dtype=np.bool_)
    for reading in filter(lambda one: one.can_be_exact, readings):
        decisive |= reading.is_exact & _others_fit(reading, gains, total)
    # Rounded, so that equals are equal whatever order their sums were made in.
    scores = np.round(gains / total, 6)
    alone = _by_number_alone(readings, gains, total)
    return _Page(here, readings, ignoring, scores, decisive, alone)


def _ignoring(word: Word, register: Register) -> float:
    """What is gained by ignoring a word: a little for a common last name, by which somebody
    may be known besides their own, since the rarer name is the one that tells.
    """
    return IGNORED_COMMON_NAME * word.weight * register.commonness(word.folded)


def _judged(pages: Sequence[_Page]) -> list[Scores]:
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


def _top(
    pages: Sequence[_Page], scores: Sequence[Scores], least: float, limit: int, typed: Typed
) -> list[_Line]:
    """The best lines of all pages, of those that only resemble the closer first, equals in
    print order.
    """
    top: list[_Line] = []
    for page, some in zip(pages, scores, strict=True):
        kept = np.flatnonzero(some >= least)
        ranked = kept[np.argsort(-some[kept], kind="stable")][: limit + WORTH_A_CLOSER_LOOK]
        top += [page.line(at, float(some[at]), typed) for at in ranked.tolist()]
    if len(pages) > 1:
        top.sort(key=lambda line: (-line.score, line.print_key()))
    else:
        top.sort(key=lambda line: -line.score)
    return top[:limit]


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


def _ignored(typed: Typed, path: Sequence[Reading]) -> tuple[str, ...]:
    read = {at for reading in path for at in range(reading.start, reading.stop)}
    unread = (word.typed for at, word in enumerate(typed.words) if at not in read)
    return (*unread, *typed.unread)


def _nothing(typed: Typed) -> Found:
    return Found((), _ignored(typed, ()), 0)
