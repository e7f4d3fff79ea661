"""Lines that could be mistaken for each other at the table.

Three kinds: the same first and last name, whatever the suffix and birth date; twins
(same last name and birth date); and near names, but those only where the address is the
same or the birth years are close, because a flag that is always up is not looked at.
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Hashable, Iterable, Iterator, Sequence
from dataclasses import dataclass
from itertools import combinations, product

from rapidfuzz.distance import OSA

from app.matching.known_as import is_known_as, other_names
from app.matching.names import glue
from app.rules.line import PrintedLine

# Near names with birth years further apart are told apart by looking up.
NEAR_YEARS = 2
# In shorter names one letter is another name altogether (Jo, Bo; Li, Le).
SHORTEST_NEAR = 3


@dataclass(frozen=True, slots=True)
class _Folded:
    at: int
    last: str
    first: str
    birth_date: Hashable
    birth_year: int
    address: str

    def is_near(self, other: _Folded) -> bool:
        """Same address, or born within two years."""
        return bool(self.address and self.address == other.address) or (
            abs(self.birth_year - other.birth_year) <= NEAR_YEARS
        )


def find_look_alikes(lines: Sequence[PrintedLine]) -> dict[int, tuple[int, ...]]:
    """For each position with look-alikes the positions of these, ascending.

    It is mutual. Lines without look-alikes are left out. The time grows with the number of
    lines and of namesakes, not with all pairs.
    """
    folded = [_fold(at, line) for at, line in enumerate(lines)]
    others: dict[int, set[int]] = {}
    for one, other in _pairs(folded):
        others.setdefault(one, set()).add(other)
        others.setdefault(other, set()).add(one)
    return {at: tuple(sorted(others[at])) for at in sorted(others)}


def _fold(at: int, line: PrintedLine) -> _Folded:
    return _Folded(
        at,
        glue(line.last_name),
        glue(line.first_name),
        line.birth_date,
        line.birth_date.year,
        glue(line.street_address + line.postal_code),
    )


def _pairs(lines: Sequence[_Folded]) -> Iterator[tuple[int, int]]:
    for same in _groups(lines, lambda line: (line.last, line.first)):
        yield from combinations([line.at for line in same], 2)
    for twins in _groups(lines, lambda line: (line.last, line.birth_date)):
        yield from combinations([line.at for line in twins], 2)
    for same_last in _groups(lines, lambda line: line.last):
        yield from _near_pairs(same_last, lambda line: line.first, _is_near_first_name)
    for same_first in _groups(lines, lambda line: line.first):
        if same_first[0].first:
            yield from _near_pairs(same_first, lambda line: line.last, _is_one_slip)


def _groups(
    lines: Iterable[_Folded], key: Callable[[_Folded], Hashable]
) -> Iterator[list[_Folded]]:
    """The lines that share a key, where there are two or more."""
    groups: dict[Hashable, list[_Folded]] = {}
    for line in lines:
        groups.setdefault(key(line), []).append(line)
    return (group for group in groups.values() if len(group) > 1)


def _near_pairs(
    lines: Sequence[_Folded],
    name_of: Callable[[_Folded], str],
    is_near_name: Callable[[str, str], bool],
) -> Iterator[tuple[int, int]]:
    """Near lines of one group whose other names are near: each distinct name is compared once."""
    by_name: dict[str, list[_Folded]] = {}
    for line in lines:
        by_name.setdefault(name_of(line), []).append(line)
    for name, near in _candidates(by_name):
        if is_near_name(name, near):
            for one, other in product(by_name[name], by_name[near]):
                if one.is_near(other):
                    yield one.at, other.at


def _candidates(names: Collection[str]) -> set[tuple[str, str]]:
    """Pairs of names that may be near, each once: nicknames, and those a letter apart.

    Names one slip apart share what is left when each loses at most one letter.
    """
    sharing: dict[str, list[str]] = {}
    for name in names:
        for left in {name, *(name[:at] + name[at + 1 :] for at in range(len(name)))}:
            sharing.setdefault(left, []).append(name)
    pairs = {(min(pair), max(pair)) for same in sharing.values() for pair in combinations(same, 2)}
    pairs |= {
        (min(name, other), max(name, other))
        for name in names
        for other in other_names(name)
        if other in names
    }
    return pairs


def _is_near_first_name(one: str, other: str) -> bool:
    return _is_one_slip(one, other) or is_known_as(one, other)


def _is_one_slip(one: str, other: str) -> bool:
    """One letter wrong, missing, extra or swapped with its neighbour."""
    if min(len(one), len(other)) < SHORTEST_NEAR:
        return False
    return OSA.distance(one, other, score_cutoff=1) == 1
