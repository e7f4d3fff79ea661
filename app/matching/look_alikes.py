"""Lines that could be mistaken for each other at the table.

Flagged whatever the ages and addresses are: the same first and last name, with or without
a suffix (the wrong line is signed exactly there); the two names the other way round; twins,
whose birth date does not tell them apart. Near names (by a slip, by sound, by nickname) only
at the same address or with birth dates five years apart at most: a flag that is always up is
not looked at. What share of a register each kind flags is held by the tests.
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Hashable, Iterable, Iterator, Sequence
from dataclasses import dataclass
from datetime import date
from enum import StrEnum
from itertools import combinations, product
from typing import Protocol, TypeVar

from rapidfuzz.distance import OSA

from app.matching.known_as import is_known_as, other_names
from app.matching.names import glue
from app.matching.sounds import sound_key

# Five years cannot be seen in a face. In twenty registers of 2,000 drawn from census names, near
# names flag 1.7 lines in 1,000 with this bound, and 10.4 without one.
NEAR_YEARS = 5
_NEAR_DAYS = round(NEAR_YEARS * 365.25)

# In shorter names one letter is another name altogether (Jo, Bo; Li, Le).
SHORTEST_NEAR = 3

# A sound code alone is coarse (Maria, Moore): names further apart than this are read apart.
FURTHEST_SOUND = 2


Key = TypeVar("Key", bound=Hashable)


class Person(Protocol):
    """What of a line tells its person apart."""

    @property
    def last_name(self) -> str: ...
    @property
    def first_name(self) -> str: ...
    @property
    def birth_date(self) -> date: ...
    @property
    def street_address(self) -> str: ...
    @property
    def postal_code(self) -> str: ...


class Alike(StrEnum):
    """In what way two lines could be mistaken for each other."""

    SAME_NAME = "same_name"
    TWINS = "twins"
    NAMES_SWAPPED = "names_swapped"
    NEAR_NAME = "near_name"


@dataclass(frozen=True, slots=True)
class Folded:
    """What of a line tells people apart, folded. `at`: its position among others."""

    at: int
    last: str
    first: str
    birth_date: date
    address: str


def find_look_alikes(lines: Sequence[Person]) -> dict[int, tuple[int, ...]]:
    """For each position with look-alikes the positions of these, ascending.

    It is mutual. Lines without look-alikes are left out. The time grows with the number of
    lines and of namesakes, not with all pairs.
    """
    folded = [fold_line(line, at) for at, line in enumerate(lines)]
    others: dict[int, set[int]] = {}
    for one, other in _candidates(folded):
        if one.at != other.at and are_alike(one, other):
            others.setdefault(one.at, set()).add(other.at)
            others.setdefault(other.at, set()).add(one.at)
    return {at: tuple(sorted(others[at])) for at in sorted(others)}


def look_alikes_of(line: Person, lines: Iterable[Person]) -> tuple[int, ...]:
    """The positions in `lines`, ascending, that `line` could be mistaken for.

    For a line added during the day: one comparison for each of `lines`, among which `line`
    must not be. They hold the new line as a look-alike too.
    """
    new = fold_line(line)
    return tuple(at for at, other in enumerate(lines) if are_alike(new, fold_line(other)))


def how_alike(one: Person, other: Person) -> Alike | None:
    """The strongest way in which two people could be mistaken for each other, or None."""
    return are_alike(fold_line(one), fold_line(other))


def fold_line(line: Person, at: int = 0) -> Folded:
    """The line as it is compared."""
    return Folded(
        at,
        glue(line.last_name),
        glue(line.first_name),
        line.birth_date,
        glue(line.street_address + line.postal_code),
    )


def are_alike(one: Folded, other: Folded) -> Alike | None:
    """`how_alike` of two lines that are folded already."""
    if one.last == other.last:
        if one.first == other.first:
            return Alike.SAME_NAME
        if one.birth_date == other.birth_date:
            return Alike.TWINS
    if not (one.first and other.first):
        return None
    if (one.last, one.first) == (other.first, other.last):
        return Alike.NAMES_SWAPPED
    if (
        _is_near_in_life(one, other)
        and _is_like(one.last, other.last, is_near_name)
        and _is_like(one.first, other.first, is_near_first_name)
    ):
        return Alike.NEAR_NAME
    return None


def _is_near_in_life(one: Folded, other: Folded) -> bool:
    """Same address, or born within five years of each other."""
    if one.address and one.address == other.address:
        return True
    return abs((one.birth_date - other.birth_date).days) <= _NEAR_DAYS


def _is_like(one: str, other: str, is_near: Callable[[str, str], bool]) -> bool:
    return one == other or is_near(one, other)


def is_near_first_name(one: str, other: str) -> bool:
    """As `is_near_name`, or a nickname, either way."""
    return is_near_name(one, other) or is_known_as(one, other)


def is_near_name(one: str, other: str) -> bool:
    """One letter wrong, missing, extra or swapped with its neighbour; or said alike."""
    if min(len(one), len(other)) < SHORTEST_NEAR:
        return False
    apart = OSA.distance(one, other, score_cutoff=FURTHEST_SOUND)
    return apart == 1 or (apart <= FURTHEST_SOUND and sound_key(one) == sound_key(other))


def _candidates(lines: Sequence[Folded]) -> Iterator[tuple[Folded, Folded]]:
    """Pairs among which all look-alikes are; a pair may come twice."""
    for twins in _groups(lines, lambda line: (line.last, line.birth_date)).values():
        yield from combinations(twins, 2)
    by_last = _groups(lines, lambda line: line.last)
    by_first = {
        last: _groups(bearers, lambda line: line.first) for last, bearers in by_last.items()
    }
    for last, firsts in by_first.items():
        for first, bearers in firsts.items():
            yield from combinations(bearers, 2)
            yield from product(bearers, by_first.get(first, {}).get(last, ()))
    near_firsts = _neighbours({line.first for line in lines}, is_near_first_name, other_names)
    near_lasts = _neighbours(by_last, is_near_name)
    for last, firsts in by_first.items():
        for near_last in (last, *near_lasts[last]):
            # Of two near names each has the other: one of them is enough.
            if near_last <= last:
                yield from _near_pairs(firsts, by_first[near_last], near_firsts)


def _near_pairs(
    ones: dict[str, list[Folded]], others: dict[str, list[Folded]], near: dict[str, set[str]]
) -> Iterator[tuple[Folded, Folded]]:
    """The bearers of two last names whose first names are the same or near."""
    for first, bearers in ones.items():
        for near_first in (first, *near[first]):
            yield from product(bearers, others.get(near_first, ()))


def _groups(lines: Iterable[Folded], key: Callable[[Folded], Key]) -> dict[Key, list[Folded]]:
    groups: dict[Key, list[Folded]] = {}
    for line in lines:
        groups.setdefault(key(line), []).append(line)
    return groups


def what_near_names_share(name: str) -> Iterator[tuple[str, str]]:
    """Of two names that are near each other, by slip or sound, one of these is the same.

    Names one slip apart share what is left when each loses at most one letter; names that
    are said alike share their sound.
    """
    yield "sound", sound_key(name)
    for left in {name, *(name[:at] + name[at + 1 :] for at in range(len(name)))}:
        yield "slip", left


def _neighbours(
    names: Collection[str],
    is_near: Callable[[str, str], bool],
    other_names_of: Callable[[str], Iterable[str]] = lambda _: (),
) -> dict[str, set[str]]:
    """For each of `names` those of `names` that are near it.

    Only names that share something are compared.
    """
    sharing: dict[tuple[str, str], list[str]] = {}
    for name in names:
        for shared in what_near_names_share(name):
            sharing.setdefault(shared, []).append(name)
    near: dict[str, set[str]] = {name: set() for name in names}
    for same in sharing.values():
        for one, other in combinations(same, 2):
            if other not in near[one] and is_near(one, other):
                near[one].add(other)
                near[other].add(one)
    for name in names:
        near[name].update(other for other in other_names_of(name) if other in near)
    return near
