"""One draft of a query a kind: what a clerk types of a person, and what it conveys.

`KINDS` names every kind; `draft` makes one for the person at a position, or None where
that person has no name for it. Dates are added by `queries`.
"""

from __future__ import annotations

import random
from collections.abc import Callable
from datetime import date
from typing import NamedTuple

from nicknames import NickNamer

from finding_bench import slips
from finding_bench.folding import glued, words_of
from finding_bench.oracle import Facts
from finding_bench.people import SUFFIXES, People

# What is said about the birth date: what chance gives, or all of it.
FREE, WHOLE = "free", "whole"


class Draft(NamedTuple):
    """A query without its date.

    means: what is conveyed of the person. says: the same, as the letters stand there.
    typed_birth: the date that is typed, where it is not the person's own.
    """

    text: str
    means: Facts
    says: Facts
    birth: str = FREE
    typed_birth: date | None = None


class Person(NamedTuple):
    """The printed fields of one line, names as printed."""

    last: str
    first: str
    middle: str
    maiden: str
    suffix: str
    birth: date

    @classmethod
    def of(cls, people: People, at: int) -> Person:
        """The person at a position of the register."""
        return cls(
            people.last_names[people.last[at]],
            people.given_names[people.first[at]],
            people.given_names[people.middle[at]],
            people.last_names[people.maiden[at]],
            SUFFIXES[people.suffix[at]],
            people.birth_date(at),
        )

    @property
    def names(self) -> Facts:
        """Last and first name."""
        return Facts(last=glued(self.last), first=glued(self.first))


Maker = Callable[[Person, random.Random], Draft | None]


def ordered(last: str, first: str, chance: random.Random) -> str:
    """Both names in one of the orders in which they are typed."""
    drawn = chance.random()
    if drawn < 0.45:
        return f"{last} {first}"
    return f"{last}, {first}" if drawn < 0.65 else f"{first} {last}"


def plain(name: str) -> str:
    """A name in plain small letters, its words parted."""
    return " ".join(words_of(name))


def both(last: str, first: str, person: Person, chance: random.Random) -> Draft:
    """A draft of a last and a first name, either of them perhaps gone wrong."""
    says = Facts(last=glued(last), first=glued(first))
    return Draft(ordered(last, first, chance), person.names, says)


def exact_last_first(person: Person, chance: random.Random) -> Draft:
    joint = ", " if chance.random() < 0.4 else " "
    return Draft(f"{person.last}{joint}{person.first}", person.names, person.names)


def exact_first_last(person: Person, _: random.Random) -> Draft:
    return Draft(f"{person.first} {person.last}", person.names, person.names)


def one_slip(person: Person, chance: random.Random) -> Draft | None:
    last, first = plain(person.last), plain(person.first)
    # A key is as likely to be hit wrongly in a long name as its length says.
    if chance.randrange(len(last) + len(first)) < len(last):
        slipped = slips.mistyped(last, chance)
        return both(slipped, first, person, chance) if slipped else None
    slipped = slips.mistyped(first, chance)
    return both(last, slipped, person, chance) if slipped else None


def two_slips(person: Person, chance: random.Random) -> Draft | None:
    last, first = plain(person.last), plain(person.first)
    where = chance.random()
    slipped_last = slips.mistyped(last, chance) if where < 0.7 else last
    if slipped_last and where < 0.35 and len(last) > 5:
        slipped_last = slips.mistyped(slipped_last, chance)
        slipped_first: str | None = first
    else:
        slipped_first = slips.mistyped(first, chance)
        if slipped_first and where >= 0.7 and len(first) > 5:
            slipped_first = slips.mistyped(slipped_first, chance)
        elif where >= 0.7:
            slipped_last = slips.mistyped(last, chance)
    if not slipped_last or not slipped_first:
        return None
    return both(slipped_last, slipped_first, person, chance)


def sound_last(person: Person, chance: random.Random) -> Draft | None:
    last = slips.respelt(plain(person.last), chance)
    return both(last, plain(person.first), person, chance) if last else None


def sound_first(person: Person, chance: random.Random) -> Draft | None:
    first = slips.respelt(plain(person.first), chance)
    return both(plain(person.last), first, person, chance) if first else None


def misheard(person: Person, chance: random.Random) -> Draft | None:
    last = slips.misheard(plain(person.last), chance)
    first: str | None = plain(person.first)
    if chance.random() < 0.3:
        first = slips.misheard(plain(person.first), chance)
    return both(last, first, person, chance) if last and first else None


_NICKNAMES = NickNamer()


def nickname_of(first: str, chance: random.Random) -> str | None:
    """Another name of somebody with this first name; None where none is known."""
    folded = glued(first)
    known = _NICKNAMES.nicknames_of(folded) or _NICKNAMES.canonicals_of(folded)
    others = sorted(name for name in known if name.isascii() and glued(name) != folded)
    return chance.choice(others) if others else None


def nickname(person: Person, chance: random.Random) -> Draft | None:
    other = nickname_of(person.first, chance)
    return both(plain(person.last), other, person, chance) if other else None


def swapped(person: Person, _: random.Random) -> Draft:
    """The comma says that the first name is the last one."""
    return Draft(f"{person.first}, {person.last}", person.names, person.names)


def initials(person: Person, chance: random.Random) -> Draft:
    last, initial = plain(person.last), glued(person.first)[0]
    means = Facts(last=glued(person.last), first_start=initial)
    text = f"{last} {initial}" if chance.random() < 0.5 else f"{initial} {last}"
    if person.middle and chance.random() < 0.5:
        middle = glued(person.middle)[0]
        means = means._replace(middle_start=middle)
        text = (
            f"{last} {initial} {middle}" if chance.random() < 0.5 else f"{initial} {middle} {last}"
        )
    return Draft(text, means, means)


def middle_as_first(person: Person, chance: random.Random) -> Draft | None:
    middle = glued(person.middle)
    if len(middle) < 2 or middle == glued(person.first):
        return None
    last = glued(person.last)
    return Draft(
        ordered(plain(person.last), plain(person.middle), chance),
        Facts(last=last, middle=middle),
        Facts(last=last, first=middle),
    )


def suffix_said(person: Person, chance: random.Random) -> Draft | None:
    if not person.suffix:
        return None
    means = person.names._replace(suffix=person.suffix)
    said = person.suffix + ("." if person.suffix in ("Jr", "Sr") and chance.random() < 0.3 else "")
    if chance.random() < 0.5:
        return Draft(f"{person.first} {person.last} {said}", means, means)
    return Draft(f"{person.last} {said} {person.first}", means, means)


def suffix_not_said(person: Person, chance: random.Random) -> Draft:
    return Draft(ordered(person.last, person.first, chance), person.names, person.names)


def first_and_birth(person: Person, _: random.Random) -> Draft:
    means = Facts(first=glued(person.first))
    return Draft(person.first, means, means, WHOLE)


def twins(person: Person, chance: random.Random) -> Draft | None:
    """The name of one twin, often not quite right; all else fits the other one too."""
    drawn = chance.random()
    if drawn < 0.4:
        made: Draft | None = exact_last_first(person, chance)
    elif drawn < 0.6:
        made = nickname(person, chance)
    else:
        made = one_slip(person, chance)
    return made._replace(birth=WHOLE) if made else None


def maiden_with_birth(person: Person, chance: random.Random) -> Draft | None:
    maiden, first = glued(person.maiden), glued(person.first)
    if not maiden or maiden == glued(person.last):
        return None
    means = Facts(maiden=maiden, first=first)
    text = ordered(plain(person.maiden), plain(person.first), chance)
    return Draft(text, means, Facts(last=maiden, first=first), WHOLE)


def prefixes(letters_of_last: tuple[int, int], letters_of_first: tuple[int, int]) -> Maker:
    """The beginnings of last and first name, of so many letters, less than the whole."""

    def made(person: Person, chance: random.Random) -> Draft | None:
        last, first = glued(person.last), glued(person.first)
        of_last, of_first = chance.randint(*letters_of_last), chance.randint(*letters_of_first)
        if len(last) <= of_last or len(first) <= of_first:
            return None
        means = Facts(last_start=last[:of_last], first_start=first[:of_first])
        return Draft(f"{last[:of_last]} {first[:of_first]}", means, means)

    return made


def wrong_date(slip: Callable[[date, random.Random], date | None]) -> Maker:
    """The right names with a birth date that `slip` has changed."""

    def made(person: Person, chance: random.Random) -> Draft | None:
        typed = slip(person.birth, chance)
        if typed is None:
            return None
        text = ordered(plain(person.last), plain(person.first), chance)
        return Draft(text, person.names, person.names, WHOLE, typed)

    return made
