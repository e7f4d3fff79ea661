"""Finding lines: typed text in, ranked lines with their reasons out."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from threading import Lock

import numpy as np
from numpy.typing import NDArray

from app.matching.birth import BirthLikeness
from app.matching.candidates import worth_scoring
from app.matching.interpret import possible_readings
from app.matching.likeness import Likeness, Scores
from app.matching.page import (
    CLOSER_LOOK,
    FITS_MARGIN,
    LEAST_SCORE,
    Page,
    PageLine,
    judged,
    make_page,
)
from app.matching.parse import Typed, parse
from app.matching.reading import Reading
from app.matching.reasons import Why, reasons
from app.matching.register import Register
from app.matching.scan import Scanned, lettered_number, typed_of_scan
from app.matching.settling import Fact, settling_fact
from app.matching.shortlist import Shortlist
from app.matching.sureness import probabilities
from app.rules.line import Line
from app.rules.policy import DateOrder

# A line must explain this share of what the best one explains.
LEAST_OF_BEST = 0.6
# How many more lines than are shown have their names compared letter by letter.
WORTH_A_CLOSER_LOOK = 24


@dataclass(frozen=True, slots=True)
class Match:
    """A line that may be meant.

    score: 0 to 1 (everything typed fits exactly). probability: 0 to 1, that this is the
    line meant, if the person is on the register (see `sureness`).
    """

    line_id: str
    score: float
    why: tuple[Why, ...]
    probability: float


@dataclass(frozen=True, slots=True)
class Found:
    """What `find` found.

    matches: best first, equals in print order. ignored: the words, as typed, that fit
    nothing on the first match (all of them where there is none). fits: how many lines fit
    about as well as the first, also beyond the limit. ask_for: where more than one does,
    the one more fact that would leave the fewest of them; None where none would.
    """

    matches: tuple[Match, ...]
    ignored: tuple[str, ...]
    fits: int
    ask_for: Fact | None = None


class Finder:
    """Finds lines by whatever is known of a person. Safe to use from several threads.

    Lines that come or change during the day stand in a small register of their own, so
    that they are found at once, however large the first one is.
    """

    def __init__(
        self,
        lines: Iterable[Line] | Register,
        *,
        date_order: DateOrder = "month_first",
        election_year: int,
    ) -> None:
        """Of lines, or of a register that was saved and is ready."""
        self._date_order: DateOrder = date_order
        self._election_year = election_year
        self._lock = Lock()
        self._loaded = lines if isinstance(lines, Register) else Register(lines)
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
        typed = self._without_added_letter(typed_of_scan(text) or parse(text))
        pages = [page for page in self._pages(typed) if page is not None]
        scores = judged(pages)
        best = max((float(some.max()) for some in scores), default=0.0)
        least = max(LEAST_SCORE, LEAST_OF_BEST * best)
        if best < least:
            return _nothing(typed)
        top = _top(pages, scores, least, max(limit, 1), typed)
        return Found(
            _matches(top, pages, scores, least, typed)[: max(limit, 0)],
            _ignored(typed, top[0].path),
            sum(_fit_count(page, some, best) for page, some in zip(pages, scores, strict=True)),
            _ask_for(pages, scores, best, top[0]),
        )

    def _without_added_letter(self, typed: Typed) -> Typed:
        """A voter number that the register prints without the letter is read without it."""
        if (found := lettered_number(typed)) is None:
            return typed
        number, bare = found
        is_known = self._has_number(bare.words[0].folded) and not self._has_number(number)
        return bare if is_known else typed

    def _has_number(self, number: str) -> bool:
        registers = self._loaded, self._now()[0]
        return any(len(each.numbers.same(number)) for each in registers if len(each))

    def _now(self) -> tuple[Register, NDArray[np.bool_]]:
        """The lines added so far, and which of the loaded ones are out."""
        with self._lock:
            if self._later is None:
                self._later = Register(self._added.values())
            return self._later, self._is_gone

    def _pages(self, typed: Typed) -> Iterator[Page | None]:
        """What was typed against the register that was loaded, and the lines added later."""
        later, is_gone = self._now()
        yield self._page(typed, self._loaded, is_gone)
        yield self._page(typed, later, None)

    def _page(
        self, typed: Typed, register: Register, is_gone: NDArray[np.bool_] | None
    ) -> Page | None:
        if not len(register):
            return None
        orders = self._date_order, self._election_year
        shortened = worth_scoring(typed, register, *orders)
        positions = shortened.positions
        if is_gone is not None and is_gone.any():
            positions = positions[~is_gone[positions]]
        here = Shortlist(register, positions)
        readings = possible_readings(typed, here, *orders) if len(here) else []
        return make_page(typed, here, readings, shortened.left_out) if readings else None

    def _hide(self, line_id: str) -> None:
        at = self._loaded.find_line(line_id)
        if at is not None:
            # A copy: a search under way keeps the one it began with.
            self._is_gone = self._is_gone.copy()
            self._is_gone[at] = True


def _top(
    pages: Sequence[Page], scores: Sequence[Scores], least: float, limit: int, typed: Typed
) -> list[PageLine]:
    """The best lines of all pages, of those that only resemble the closer first, equals in
    print order.
    """
    top: list[PageLine] = []
    for page, some in zip(pages, scores, strict=True):
        kept = np.flatnonzero(some >= least)
        ranked = kept[np.argsort(-some[kept], kind="stable")][: limit + WORTH_A_CLOSER_LOOK]
        if len(ranked) > limit:
            # No closer look makes up for more than this.
            ranked = ranked[some[ranked] >= some[ranked[limit - 1]] - CLOSER_LOOK]
        top += [page.line(at, float(some[at]), typed) for at in ranked.tolist()]
    if len(pages) > 1:
        top.sort(key=lambda line: (-line.score, line.print_key()))
    else:
        top.sort(key=lambda line: -line.score)
    return top[:limit]


def _matches(
    top: Sequence[PageLine],
    pages: Sequence[Page],
    scores: Sequence[Scores],
    least: float,
    typed: Typed,
) -> tuple[Match, ...]:
    """The lines to show, each with the probability that it is the one meant."""
    shown = [line.score for line in top]
    if any(page.alone is not None for page in pages):
        # The number is the person's own: what else was typed is a slip.
        sure = [round(1 / len(shown), 4)] * len(shown)
    else:
        every = np.sort(np.concatenate([some[some >= least] for some in scores]))[::-1]
        sure = probabilities(shown, every[len(shown) :], typed.weight)
    return tuple(_match(line, typed, one) for line, one in zip(top, sure, strict=True))


def _match(line: PageLine, typed: Typed, probability: float) -> Match:
    here = line.page.here
    line_id = bytes(here.register.line_ids[here.positions[line.at]]).decode()
    why = reasons(line.path, here, line.at, typed.comma_at)
    return Match(line_id, line.score, why, probability)


def _fit_count(page: Page, scores: Scores, best: float) -> int:
    fitting = int((scores >= best - FITS_MARGIN).sum())
    # Where all that were scored fit, those that were left out do, too.
    return fitting + page.left_out if fitting == len(scores) else fitting


def _ask_for(
    pages: Sequence[Page], scores: Sequence[Scores], best: float, first: PageLine
) -> Fact | None:
    """What to ask, of the lines on the first one's page that fit as well as it does."""
    some = next(some for page, some in zip(pages, scores, strict=True) if page is first.page)
    fitting = np.flatnonzero(some >= best - FITS_MARGIN)
    in_full = {
        reading.field
        for reading in first.path
        if reading.kinds[first.at] in (Likeness.SAME, BirthLikeness.SAME)
    }
    return settling_fact(first.page.here, fitting, in_full)


def _ignored(typed: Typed, path: Sequence[Reading]) -> tuple[str, ...]:
    read = {at for reading in path for at in range(reading.start, reading.stop)}
    unread = [at for at in range(len(typed.words)) if at not in read]
    if isinstance(typed, Scanned):
        return (*typed.said(unread), *typed.unread)
    return (*(typed.words[at].typed for at in unread), *typed.unread)


def _nothing(typed: Typed) -> Found:
    return Found((), _ignored(typed, ()), 0)
