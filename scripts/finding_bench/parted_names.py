"""Drafts of names that are more than one word, and of several slips in one query."""

from __future__ import annotations

import random
import re
from collections.abc import Callable
from datetime import date

from finding_bench import slips
from finding_bench.drafts import (
    FREE,
    WHOLE,
    Draft,
    Maker,
    Person,
    both,
    nickname_of,
    ordered,
    plain,
)
from finding_bench.folding import glued, words_of
from finding_bench.oracle import Facts

_PARTICLES = frozenset("de la del los las van der den von di du o d l m mc mac".split())
_ADDED = ("smith", "garcia", "miller", "lopez", "moore", "lewis", "clark", "young", "baker", "cruz")


def half_or_added(person: Person, chance: random.Random) -> Draft | None:
    """Half of a double last name, or a second one beside a single one."""
    first = glued(person.first)
    halves = [word for word in words_of(person.last) if word not in _PARTICLES]
    if len(halves) >= 2:
        half = chance.choice(halves)
        means = Facts(last_part=half, first=first)
        return Draft(ordered(half, plain(person.first), chance), means, means)
    if chance.random() < 0.97:  # double names are few: most single ones are passed over
        return None
    joint = chance.choice(("-", " "))
    names = [plain(person.last), chance.choice(_ADDED)]
    chance.shuffle(names)
    return both(joint.join(names), plain(person.first), person, chance)


def glued_or_dropped(person: Person, chance: random.Random) -> Draft | None:
    """Apostrophes, spaces, particles and accents as they are not printed."""
    variants = _variants(person.last)
    if not variants:
        return None
    last = chance.choice(variants)
    first = glued(person.first)
    typed = glued(last)
    if typed == glued(person.last):
        means = person.names
    else:  # a particle is missing: what is left is a part of the name
        means = Facts(last_part=typed, first=first)
    return Draft(ordered(last, plain(person.first), chance), means, Facts(last=typed, first=first))


def _variants(last: str) -> list[str]:
    """Other ways to write a last name that has something beyond letters."""
    words = words_of(last)
    made = {"".join(words), " ".join(words), "-".join(words)}
    made |= {re.sub("['’]", joint, last) for joint in (" ", "-", "") if re.search("['’]", last)}
    for at, word in enumerate(words[:-1], start=1):
        if word not in _PARTICLES:
            break
        made |= {" ".join(words[at:]), "".join(words[:at]) + " " + " ".join(words[at:])}
    if not last.isascii():
        made |= {last.upper(), last.lower()}
    return sorted(made - {last, last.lower()} | ({last.upper()} if not last.isascii() else set()))


def several(how_many: int) -> Maker:
    """Drafts with this many slips of different kinds; one that cannot happen gives way."""

    def made(person: Person, chance: random.Random) -> Draft | None:
        slipping = _Slipping(person, chance)
        done = 0
        for slip in chance.sample(slipping.slips, len(slipping.slips)):
            if done < how_many:
                done += slip()
        return slipping.draft() if done == how_many else None

    return made


class _Slipping:
    """The names and the birth date of one person while they go wrong.

    Each of `slips` says whether it happened.
    """

    def __init__(self, person: Person, chance: random.Random) -> None:
        self._person, self._chance = person, chance
        self._last, self._first = plain(person.last), plain(person.first)
        self._typed_birth: date | None = None
        self.slips: list[Callable[[], bool]] = [
            self._last_name, self._first_name, self._birth, self._no_joints
        ]  # fmt: skip

    def draft(self) -> Draft:
        says = Facts(last=glued(self._last), first=glued(self._first))
        text = ordered(self._last, self._first, self._chance)
        # Several slips and nothing else to go by would be a riddle too often.
        is_whole = self._typed_birth is not None or self._chance.random() < 0.5
        birth = WHOLE if is_whole else FREE
        return Draft(text, self._person.names, says, birth, self._typed_birth)

    def _last_name(self) -> bool:
        slip = self._chance.choice(
            (slips.mistyped, slips.mistyped, slips.respelt, slips.respelt, slips.misheard)
        )
        changed = slip(self._last, self._chance)
        self._last = changed or self._last
        return bool(changed)

    def _first_name(self) -> bool:
        if self._chance.random() < 0.4:
            changed = nickname_of(self._person.first, self._chance)
        else:
            slip = self._chance.choice((slips.mistyped, slips.respelt, slips.misheard))
            changed = slip(self._first, self._chance)
        self._first = changed or self._first
        return bool(changed)

    def _birth(self) -> bool:
        birth, drawn = self._person.birth, self._chance.random()
        if drawn < 0.5:
            self._typed_birth = slips.wrong_digit(birth, self._chance)
        elif drawn < 0.75:
            self._typed_birth = slips.day_month_swapped(birth)
        else:
            self._typed_birth = slips.year_off_by_one(birth, self._chance)
        return self._typed_birth is not None

    def _no_joints(self) -> bool:
        had_joints = " " in self._last
        self._last = self._last.replace(" ", "")
        return had_joints
