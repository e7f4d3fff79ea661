"""Which lines a query may mean: slow, obvious, apart from every engine.

`Facts` says what somebody conveys about a person; `Oracle.lines_with` gives all lines of
which all of that is true. What was meant decides which answers are right; what was typed,
read letter by letter, shows where a slip happens to spell somebody else.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from finding_bench.folding import glued, words_of
from finding_bench.people import SUFFIXES, People


class Facts(NamedTuple):
    """What is conveyed: folded text, empty or None where nothing is.

    `last_part` is one word of a last name; the fields ending in `_start` are beginnings.
    """

    last: str = ""
    last_part: str = ""
    last_start: str = ""
    first: str = ""
    first_start: str = ""
    middle: str = ""
    middle_start: str = ""
    maiden: str = ""
    suffix: str = ""
    birth: int | None = None
    birth_year: int | None = None


class Oracle:
    """Answers for one register."""

    def __init__(self, people: People) -> None:
        self._people = people
        self._last = [glued(name) for name in people.last_names]
        self._given = [glued(name) for name in people.given_names]
        self._last_ids = _ids_by_key([name] for name in self._last)
        self._given_ids = _ids_by_key([name] for name in self._given)
        self._part_ids = _ids_by_key(_parts(words_of(name)) for name in people.last_names)
        days = people.birth.astype("datetime64[D]") - _DAYS_BEFORE_1970
        self._years = days.astype("datetime64[Y]").astype(np.int32) + 1970

    def lines_with(self, facts: Facts) -> NDArray[np.int64]:
        """The positions of all lines of which every fact is true, ascending."""
        people = self._people
        true = np.ones(len(people), dtype=np.bool_)
        if facts.birth is not None:
            true &= people.birth == facts.birth
        if facts.birth_year is not None:
            true &= self._years == facts.birth_year
        if facts.suffix:
            true &= people.suffix == SUFFIXES.index(facts.suffix)
        kept = np.flatnonzero(true)
        for column, ids_by_name, name in (
            (people.last, self._last_ids, facts.last),
            (people.last, self._part_ids, facts.last_part),
            (people.first, self._given_ids, facts.first),
            (people.middle, self._given_ids, facts.middle),
            (people.maiden, self._last_ids, facts.maiden),
        ):
            if name:
                kept = kept[np.isin(column[kept], ids_by_name.get(name, []))]
        for column, names, start in (
            (people.last, self._last, facts.last_start),
            (people.first, self._given, facts.first_start),
            (people.middle, self._given, facts.middle_start),
        ):
            if start:
                ids = [at for at, name in enumerate(names) if name.startswith(start)]
                kept = kept[np.isin(column[kept], ids)]
        return kept


# numpy counts days from 1970, Python from the year 1.
_DAYS_BEFORE_1970 = np.timedelta64(719_163, "D")


def _parts(words: tuple[str, ...]) -> Iterator[str]:
    """Each word of a name, and what is left where its first words are."""
    yield from words
    yield from ("".join(words[at:]) for at in range(len(words)))


def _ids_by_key(keys_of_names: Iterable[Iterable[str]]) -> dict[str, list[int]]:
    ids: dict[str, list[int]] = {}
    for at, keys in enumerate(keys_of_names):
        for key in set(keys):
            ids.setdefault(key, []).append(at)
    return ids
