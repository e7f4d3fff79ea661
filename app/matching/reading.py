"""One way to read some of the typed words, and how well it fits every line.

Only the value and its making; which readings there are is in `interpret`.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from app.matching.birth import BirthLikeness
from app.matching.likeness import Kinds, Likeness, Scores
from app.matching.parse import Word

# Never the best sum: a reading that fits nothing must not count its field as named.
NO_FIT = -np.inf


class Field(Enum):
    """The part of a line that a reading is about."""

    LAST = "last name"
    FIRST = "first name"
    MIDDLE = "middle name"
    SUFFIX = "suffix"
    BIRTH = "birth date"
    NUMBER = "voter number"
    MAIDEN = "mother's maiden name"
    HOUSE = "house number"
    STREET = "street"


class Taken:
    """Fields that one typed text can name once only, as bits (an IntFlag is too slow here)."""

    NOTHING = 0
    LAST = 1
    FIRST = 2
    MAIDEN = 4
    HOUSE = 8


@dataclass(frozen=True, slots=True, eq=False)
class Reading:
    """Words `start` to `stop` (without it) read as one field.

    gain: for each line, what the words add to its score, up to the weight of the words, or
    NO_FIT.
    gain_alone: the same where no earlier word has named any of `needs`.
    kinds: for each line, the likeness behind the gain. on_part: where only a part of the
    printed name is meant. text: the words as typed. folded: what was compared. weight: the
    sum of the words' weights.
    """

    start: int
    stop: int
    field: Field
    text: str
    folded: str
    weight: float
    gain: Scores
    gain_alone: Scores
    kinds: Kinds
    takes: int = Taken.NOTHING
    needs: int = Taken.NOTHING
    on_part: NDArray[np.bool_] | None = None

    @property
    def can_be_exact(self) -> bool:
        """Whether this is a birth date or a voter number, which may settle the matter."""
        return self.field in _IN_FULL

    @property
    def is_exact(self) -> NDArray[np.bool_]:
        """The lines on which the birth date or voter number agrees in full."""
        exact: NDArray[np.bool_] = self.kinds == _IN_FULL[self.field]
        return exact


_IN_FULL = {Field.BIRTH: BirthLikeness.SAME, Field.NUMBER: Likeness.SAME}


@dataclass(frozen=True)
class Run:
    """Neighbouring words taken together; `folded` glues them."""

    start: int
    words: tuple[Word, ...]
    folded: str

    @property
    def stop(self) -> int:
        return self.start + len(self.words)

    @cached_property
    def weight(self) -> float:
        return sum(word.weight for word in self.words)

    @property
    def text(self) -> str:
        return " ".join(word.typed for word in self.words)

    def crosses(self, at: int | None) -> bool:
        """Whether a comma before word `at` stands inside the run."""
        return at is not None and self.start < at < self.stop


def make_reading(
    run: Run,
    field: Field,
    gain: Scores,
    kinds: Kinds,
    *,
    alone: Scores | None = None,
    takes: int = Taken.NOTHING,
    needs: int = Taken.NOTHING,
    on_part: NDArray[np.bool_] | None = None,
) -> Reading:
    """A reading of `run`; `gain`, from `gains_of`, says how well it fits each line.

    `alone` is the gain where no earlier word has named any of `needs`.
    """
    return Reading(
        run.start,
        run.stop,
        field,
        run.text,
        run.folded,
        run.weight,
        gain,
        gain if alone is None else alone,
        kinds,
        takes,
        needs,
        on_part,
    )


def gains_of(scores: Scores, worth: float) -> Scores:
    """What each of `scores`, 0 to 1, adds where everything is `worth` so much."""
    return np.where(scores > 0, scores * worth, NO_FIT)
