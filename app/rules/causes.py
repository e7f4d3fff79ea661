"""The causes of a difference that fit its number, the most likely first.

Pure and explainable: each cause is found by a small function of its own (`causes_of_counters`,
`causes_of_people`, `causes_of_lists`), which says how much of the difference it accounts for and
what speaks for it; the points of `cause_weights` put them in order. Nothing here says that a
cause is the true one: it says where to look first, at 21:30, with everybody tired. What is found
is written down, never forced.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass

from app.rules import causes_of_counters, causes_of_lists, causes_of_people
from app.rules.cause_scene import Explains, Found, Scene, Span
from app.rules.cause_weights import (
    PARTLY,
    PEOPLE_AT_RANDOM,
    PRIOR,
    TELLING,
    WHOLLY,
    for_people,
    worth,
)
from app.rules.coded import Coded
from app.rules.day_sentences import day_sentence

FINDERS: tuple[Callable[[Scene], Iterator[Found]], ...] = (
    *causes_of_counters.FINDERS,
    *causes_of_people.FINDERS,
    *causes_of_lists.FINDERS,
)


@dataclass(frozen=True, slots=True)
class Cause(Coded):
    """A cause that fits. `delta` is what it adds to the difference that it `explains`.

    `why` are the codes of what speaks for it or against it. `lines`, `serials`, `entries` and
    `times` are where to look, the most likely first.
    """

    explains: Explains = "machines"
    delta: int = 0
    wholly: bool = False
    why: tuple[str, ...] = ()
    score: int = 0
    lines: tuple[str, ...] = ()
    serials: tuple[str, ...] = ()
    entries: tuple[int, ...] = ()
    times: tuple[Span, ...] = ()

    @property
    def sentence(self) -> str:
        return day_sentence(self.code)


def causes(scene: Scene) -> list[Cause]:
    """Every cause that fits, each once, the most likely first."""
    best: dict[tuple[str, str], Cause] = {}
    for found in (one for finder in FINDERS for one in finder(scene)):
        difference = difference_of(scene, found)
        if not fits(found, difference):
            continue
        cause, key = _cause(found, difference), (found.code, found.about)
        if key not in best or best[key].score < cause.score:
            best[key] = cause
    return sorted(best.values(), key=lambda one: (-one.score, -abs(one.delta), one.code))


def fits(found: Found, difference: int) -> bool:
    """Whether less is left of the difference without it: all, or the largest part, is gone.

    Where entries themselves show it, it is also told for a smaller part, since three people slip
    through on three ways; and where it goes past the difference, since two errors may hide each
    other.
    """
    rest = difference - found.delta
    if abs(rest) >= abs(difference):
        return False
    is_shown = worth(found.evidence) >= TELLING
    is_largest_part = rest * difference >= 0 and 2 * abs(found.delta) >= abs(difference)
    return is_largest_part or is_shown


def difference_of(scene: Scene, found: Found) -> int:
    """The difference that a cause is measured by."""
    if found.explains == "machines":
        return scene.difference
    if found.explains == "marks":
        lists = {str(one.list_seq): one.difference for one in scene.balance.lists}
        return lists.get(found.about, 0)
    # What remains is found only where the two sides differ, by exactly that much.
    return found.delta


def _cause(found: Found, difference: int) -> Cause:
    is_whole = found.delta == difference
    return Cause(
        found.code,
        found.facts,
        found.explains,
        found.delta,
        is_whole,
        found.evidence,
        _score(found, is_whole),
        found.lines,
        found.serials,
        found.entries,
        found.times,
    )


def _score(found: Found, is_whole: bool) -> int:
    points = PRIOR[found.code] + worth(found.evidence) + (WHOLLY if is_whole else -PARTLY)
    if found.code in PEOPLE_AT_RANDOM:
        points += for_people(abs(found.delta))
    return points


def by_code(found: Iterable[Cause]) -> Mapping[str, Cause]:
    """The first of each code."""
    codes: dict[str, Cause] = {}
    for cause in found:
        codes.setdefault(cause.code, cause)
    return codes
