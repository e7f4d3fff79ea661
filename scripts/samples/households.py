"""Households for the rest of the precinct: who lives together, how old, under what names."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date, timedelta

from .draw import Draw, Weighted
from .first_names import draw_first_name, draw_middle_name
from .last_names import LastName, draw_last_name
from .name_cases import NAME_CASES
from .person import ELECTION_DAY, Person

# Invented parties; a blank cell is somebody who has named none.
_PARTIES = Weighted([("Harbor", 33), ("Upland", 30), ("Lantern", 5), ("", 32)])
_PERCENT_WITH_MAIDEN_NAME = 86
_PERCENT_WIVES_WITH_HUSBANDS_NAME = 76
_PERCENT_WIVES_WITH_BOTH_NAMES = 5
_PERCENT_SAME_ORIGIN = 80
_KEEP_BLANK = {person.who for case in NAME_CASES for person in case.people}


class Household:
    """One address being filled; `people` are those who are registered there."""

    def __init__(self, draw: Draw, street_address: str) -> None:
        self._draw = draw
        self._address = street_address
        self.people: list[Person] = []

    def add(
        self, last_name: str, origin: str, sex: str, age: int, mothers_name: str | None = None
    ) -> Person:
        """One more person of about `age`, whose first name nobody else here has."""
        born = _birth_date_at(self._draw, age)
        first = draw_first_name(self._draw, sex, born.year, origin)
        while first in {person.first_name for person in self.people}:
            first = draw_first_name(self._draw, sex, born.year, origin)
        middle = draw_middle_name(self._draw, sex, born.year, origin)
        person = Person(
            last_name,
            first,
            born,
            self._address,
            middle_name="" if middle == first else middle,
            mothers_maiden_name=self._maiden_name(mothers_name, origin),
            party=self._draw.weighted(_PARTIES),
        )
        self.people.append(person)
        return person

    def _maiden_name(self, known: str | None, origin: str) -> str:
        """Mostly of one's own origin; blank for some, even where it is known here."""
        same = self._draw.chance(_PERCENT_SAME_ORIGIN)
        drawn = draw_last_name(self._draw, origin if same else None).text
        return (known or drawn) if self._draw.chance(_PERCENT_WITH_MAIDEN_NAME) else ""

    def add_couple(self, name: LastName, age: int) -> str:
        """A couple, the second named as wives are in this precinct; her name at birth."""
        draw = self._draw
        origin = name.origin if draw.chance(_PERCENT_SAME_ORIGIN) else "general"
        own = draw_last_name(draw, origin).text
        share = draw.below(100)
        if share < _PERCENT_WIVES_WITH_HUSBANDS_NAME:
            last = name.text
        elif share < _PERCENT_WIVES_WITH_HUSBANDS_NAME + _PERCENT_WIVES_WITH_BOTH_NAMES:
            last = own if own == name.text else f"{own}-{name.text}"
        else:
            last = own
        self.add(name.text, name.origin, "M", age)
        self.add(last, origin, "F", max(19, age + draw.between(-6, 3)))
        return own


def _birth_date_at(draw: Draw, age: int) -> date:
    """A birth date at which somebody is `age` years old on election day; never 29 February."""
    newest = date(ELECTION_DAY.year - age, ELECTION_DAY.month, ELECTION_DAY.day)
    born = newest - timedelta(days=draw.below(365))
    return born - timedelta(days=1) if (born.month, born.day) == (2, 29) else born


def _adult_age(draw: Draw) -> int:
    """18 to 96, thick in the middle, thinning out from seventy."""
    age = draw.between(18, 96)
    return age if age < 70 or draw.chance(55) else draw.between(22, 74)


def _alone(draw: Draw, house: Household) -> None:
    name = draw_last_name(draw)
    house.add(name.text, name.origin, draw.pick("FFM"), _adult_age(draw))


def _couple(draw: Draw, house: Household) -> None:
    house.add_couple(draw_last_name(draw), draw.between(24, 90))


def _family(draw: Draw, house: Household) -> None:
    name, age = draw_last_name(draw), draw.between(43, 76)
    _add_children(draw, house, name, age, house.add_couple(name, age))


def _parent_alone(draw: Draw, house: Household) -> None:
    name, age = draw_last_name(draw), draw.between(40, 80)
    own = draw_last_name(draw, name.origin).text
    house.add(name.text, name.origin, "F", age)
    _add_children(draw, house, name, age, own)


def _add_children(draw: Draw, house: Household, name: LastName, age: int, mothers: str) -> None:
    """One to three grown children, two years or more between them, as of a parent of `age`."""
    oldest = age - draw.between(22, 31)
    for number in range(draw.weighted(Weighted([(1, 55), (2, 33), (3, 12)]))):
        child_age = oldest - number * draw.between(2, 4)
        if child_age >= 18:
            house.add(name.text, name.origin, draw.pick("FM"), child_age, mothers)


def _sharing(draw: Draw, house: Household) -> None:
    for _ in range(draw.between(2, 4)):
        name = draw_last_name(draw)
        house.add(name.text, name.origin, draw.pick("FM"), draw.between(20, 36))


def _with_grandparent(draw: Draw, house: Household) -> None:
    name, age = draw_last_name(draw), draw.between(38, 64)
    house.add_couple(name, age)
    house.add(name.text, name.origin, draw.pick("FFM"), age + draw.between(22, 32))


_KINDS: Weighted[Callable[[Draw, Household], None]] = Weighted(
    [
        (_alone, 31),
        (_couple, 37),
        (_family, 17),
        (_parent_alone, 8),
        (_sharing, 4),
        (_with_grandparent, 3),
    ]
)


def draw_household(draw: Draw, street_address: str) -> list[Person]:
    house = Household(draw, street_address)
    draw.weighted(_KINDS)(draw, house)
    return house.people


def draw_residents(draw: Draw, street_address: str, count: int) -> list[Person]:
    """`count` unrelated people of 74 to 99 at one address."""
    house = Household(draw, street_address)
    for _ in range(count):
        name = draw_last_name(draw)
        house.add(name.text, name.origin, draw.pick("FFM"), draw.between(74, 99))
    return house.people


def draw_newcomer(draw: Draw, street_address: str) -> list[Person]:
    """One person who registered in the last weeks, mostly young."""
    house = Household(draw, street_address)
    name = draw_last_name(draw)
    age = draw.between(18, 34) if draw.chance(70) else draw.between(35, 70)
    house.add(name.text, name.origin, draw.pick("FM"), age)
    return house.people


def complete_planted(draw: Draw, person: Person) -> tuple[str, str]:
    """A party for somebody planted, and a mother's maiden name.

    People of the name cases keep a blank maiden name: a drawn one would seldom suit theirs.
    """
    drawn = "" if person.who in _KEEP_BLANK else draw_last_name(draw, "general").text
    return draw.weighted(_PARTIES), person.mothers_maiden_name or drawn
