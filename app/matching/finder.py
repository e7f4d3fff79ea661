"""Finding lines: typed text in, ranked lines with their reasons out.

Every line is scored for every text; at the size of a precinct that takes a few
milliseconds and leaves nothing to a guess about where to look.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from threading import Lock

import numpy as np
from numpy.typing import NDArray

from app.matching.interpret import possible_readings
from app.matching.likeness import Scores
from app.matching.parse import Typed, parse
from app.matching.reading import Field, Reading
from app.matching.reasons import Why, reasons
from app.matching.register import FoldedLine, Register, fold_line
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
LOOSE_FIT = 0.55
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
    """Finds lines by whatever is known of a person. Safe to use from several threads."""

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
        self._lines = {line.line_id: fold_line(line) for line in lines}
        self._register: Register | None = Register(self._lines.values())

    def add(self, line: Line) -> None:
        """Add a line, or put it in the place of the one with the same `line_id`."""
        folded = fold_line(line)
        with self._lock:
            self._lines[line.line_id] = folded
            self._register = None

    def remove(self, line_id: str) -> None:
        """Take a line out; nothing happens where there is none."""
        with self._lock:
            if self._lines.pop(line_id, None):
                self._register = None

    def find(self, text: str, limit: int = 8) -> Found:
        """The lines that `text` may mean, at most `limit`. Never raises, whatever the text."""
        typed = parse(text)
        register = self._current()
        readings = possible_readings(typed, register, self._date_order, self._election_year)
        if not readings:
            return _nothing(typed)
        scores = _scores(readings, typed, len(register))
        best = float(scores.max())
        kept = np.flatnonzero(scores >= max(LEAST_SCORE, LEAST_OF_BEST * best))
        if not len(kept):
            return _nothing(typed)
        ranked = kept[np.argsort(-scores[kept], kind="stable")]
        paths = [best_path(readings, len(typed.words), int(at)) for at in ranked[: max(limit, 1)]]
        matches = (
            _match(register.lines[at], int(at), float(scores[at]), path, typed)
            for at, path in zip(ranked, paths, strict=False)
        )
        return Found(
            tuple(matches)[: max(limit, 0)],
            _ignored(typed, paths[0]),
            int((scores >= best - FITS_MARGIN).sum()),
        )

    def _current(self) -> Register:
        """The register with all changes; made anew after a change, by whoever asks first."""
        with self._lock:
            if self._register is None:
                self._register = Register(self._lines.values())
            return self._register


def _scores(readings: Sequence[Reading], typed: Typed, line_count: int) -> Scores:
    """The score of every line, 0 to 1; lines that are out of the question are 0."""
    total = sum(word.weight for word in typed.words)
    gains = best_gains(readings, len(typed.words), line_count)
    # Rounded, so that equals are equal whatever order their sums were made in.
    scores = np.round(gains / total, 6)
    meant = _by_number_alone(readings, gains, total)
    if meant is not None:
        return np.where(meant, np.maximum(scores, LEAST_SCORE), 0.0)
    decisive = np.zeros(line_count, dtype=np.bool_)
    for reading in filter(lambda one: one.can_be_exact, readings):
        decisive |= reading.is_exact & _others_fit(reading, gains, total)
    if decisive.any():
        below = max(float(scores[decisive].min()) - FITS_MARGIN - 0.01, 0.0)
        scores = np.where(decisive, scores, np.minimum(scores, below))
    return scores


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


def _match(line: FoldedLine, at: int, score: float, path: Sequence[Reading], typed: Typed) -> Match:
    return Match(line.line_id, score, reasons(path, line, at, typed.comma_at))


def _ignored(typed: Typed, path: Sequence[Reading]) -> tuple[str, ...]:
    read = {at for reading in path for at in range(reading.start, reading.stop)}
    unread = (word.typed for at, word in enumerate(typed.words) if at not in read)
    return (*unread, *typed.unread)


def _nothing(typed: Typed) -> Found:
    return Found((), _ignored(typed, ()), 0)
