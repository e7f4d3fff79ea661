"""RapidFuzz: Jaro-Winkler against every distinct name, summed up line by line."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import chain

import numpy as np
from numpy.typing import NDArray
from rapidfuzz import process
from rapidfuzz.distance import JaroWinkler

from finding_bench.census import Ids
from finding_bench.engines.anchor import Anchor
from finding_bench.rerank import partings
from finding_bench.rows import Rows
from finding_bench.typed import Typed

Likeness = NDArray[np.float32]

# Other fields count less than the ones that are asked for.
_OTHER_FIELD = np.float32(0.9)


class Scan(Anchor):
    """No index: each distinct name is compared once a query, then looked up by line."""

    name = "rapidfuzz scan"

    def _store(self, rows: Rows) -> None:
        people = rows.people
        self._last = _Names(rows.last_forms, people.last, people.maiden)
        self._given = _Names([(name,) for name in rows.given], people.first, people.middle)
        self._birth = people.birth

    def _by_names(self, typed: Typed, width: int) -> list[int]:
        best = np.zeros(len(self.rows), dtype=np.float32)
        for last, given in partings(typed):
            total = np.zeros(len(self.rows), dtype=np.float32)
            if last:
                total += self._last.likeness(["".join(last)])
            if given:
                others = self.nicknames(Typed(given)) if len(given) == 1 else []
                total += self._given.likeness(["".join(given), *others[:4]])
            np.maximum(best, total, out=best)
        return _highest(best, width)

    def _by_starts(self, typed: Typed, width: int) -> list[int]:
        found: list[int] = []
        for last, first in self.starts(typed):
            hits = self._last.starting(last) & self._given.starting(first)
            found += np.flatnonzero(hits)[:width].tolist()
        return found

    def _by_birth(self, typed: Typed, width: int) -> list[int]:
        hits = np.flatnonzero(self._birth == typed.births[0].toordinal())
        found: list[int] = hits[:width].tolist()
        return found


class _Names:
    """One table of names, and the two columns of the lines that point into it."""

    def __init__(self, forms: Sequence[Sequence[str]], column: Ids, other: Ids) -> None:
        self._flat = list(chain.from_iterable(forms))
        lengths = [len(of_name) for of_name in forms]
        self._starts_at = np.concatenate([[0], np.cumsum(lengths)[:-1]])
        self._whole = np.array([of_name[0] for of_name in forms])
        self._column, self._other = column, other

    def likeness(self, texts: Sequence[str]) -> Likeness:
        """For each line how like its name is to the likest of `texts`, 0 to 1."""
        compared = process.cdist(
            texts, self._flat, scorer=JaroWinkler.similarity, dtype=np.float32, workers=1
        )
        of_form = compared.max(axis=0)
        of_name = np.maximum.reduceat(of_form, self._starts_at)
        of_line: Likeness = np.maximum(of_name[self._column], of_name[self._other] * _OTHER_FIELD)
        return of_line

    def starting(self, start: str) -> NDArray[np.bool_]:
        """The lines whose name begins so; all of them for an empty start."""
        if not start:
            return np.ones(len(self._column), dtype=np.bool_)
        starts = np.char.startswith(self._whole, start)
        found: NDArray[np.bool_] = starts[self._column]
        return found


def _highest(values: Likeness, count: int) -> list[int]:
    if count < len(values):
        found = np.argpartition(-values, count)[:count]
    else:
        found = np.arange(len(values))
    ordered: list[int] = found[np.argsort(-values[found], kind="stable")].tolist()
    return ordered
