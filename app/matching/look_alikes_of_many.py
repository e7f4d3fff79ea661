"""Whom many new lines could be mistaken for, all at once: a supplemental list over a register.

What is flagged is what `look_alikes_of` flags row by row (the tests compare the two). The lines are
gone through once: only names that a new line bears, or that are near one, are kept and compared.
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterable, Iterator, Sequence
from itertools import product

from app.matching.known_as import other_names
from app.matching.look_alikes import (
    Folded,
    Person,
    are_alike,
    fold_line,
    is_near_first_name,
    is_near_name,
    what_near_names_share,
)
from app.matching.names import glue


def look_alikes_of_each(new: Sequence[Person], lines: Sequence[Person]) -> list[tuple[int, ...]]:
    """For each of `new` the positions in `lines`, ascending, that it could be mistaken for.

    As `look_alikes_of`: a line that stands in both must be left out by the caller.
    """
    if not lines:
        return [()] * len(new)
    folded = [fold_line(line) for line in new]
    bearers = _Bearers(folded, lines)
    known: dict[int, Folded] = {}

    def at(place: int) -> Folded:
        if place not in known:
            known[place] = fold_line(lines[place])
        return known[place]

    return [
        tuple(sorted(place for place in set(bearers.of(one)) if are_alike(one, at(place))))
        for one in folded
    ]


class _Bearers:
    """The lines that bear a name of one of the new ones, or a name near it."""

    def __init__(self, new: Sequence[Folded], lines: Sequence[Person]) -> None:
        lasts = _glued([line.last_name for line in lines])
        firsts = _glued([line.first_name for line in lines])
        self._near_lasts = _near({one.last for one in new}, set(lasts), is_near_name)
        self._near_firsts = _near(
            {one.first for one in new}, set(firsts), is_near_first_name, other_names
        )
        wanted = {one.last for one in new} | {one.first for one in new}
        wanted.update(*self._near_lasts.values())
        self._by_name: dict[str, dict[str, list[int]]] = {}
        self._twins: dict[tuple[str, object], list[int]] = {}
        born = {(one.last, one.birth_date) for one in new}
        for place, (last, first) in enumerate(zip(lasts, firsts, strict=True)):
            if last not in wanted:
                continue
            self._by_name.setdefault(last, {}).setdefault(first, []).append(place)
            key = (last, lines[place].birth_date)
            if key in born:
                self._twins.setdefault(key, []).append(place)

    def of(self, one: Folded) -> Iterator[int]:
        """The places of all that `one` could be mistaken for, and of some others; some twice."""
        yield from self._twins.get((one.last, one.birth_date), ())
        yield from self._by_name.get(one.first, {}).get(one.last, ())
        lasts = (one.last, *self._near_lasts[one.last])
        firsts = (one.first, *self._near_firsts[one.first])
        for last, first in product(lasts, firsts):
            yield from self._by_name.get(last, {}).get(first, ())


def _glued(texts: Sequence[str]) -> list[str]:
    """`glue` of every text; a register has far fewer names than lines."""
    known = {text: glue(text) for text in set(texts)}
    return [known[text] for text in texts]


def _near(
    wanted: Collection[str],
    names: Collection[str],
    is_near: Callable[[str, str], bool],
    other_names_of: Callable[[str], Iterable[str]] = lambda _: (),
) -> dict[str, set[str]]:
    """For each of `wanted` those of `names` that are near it; only what shares something is
    compared.
    """
    sharing: dict[tuple[str, str], list[str]] = {}
    for one in wanted:
        for shared in what_near_names_share(one):
            sharing.setdefault(shared, []).append(one)
    near = {one: {other for other in other_names_of(one) if other in names} for one in wanted}
    for name in names:
        met = {one for shared in what_near_names_share(name) for one in sharing.get(shared, ())}
        for one in met:
            if one != name and is_near(one, name):
                near[one].add(name)
    return near
