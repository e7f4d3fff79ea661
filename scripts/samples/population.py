"""Everybody in the precinct: the planted people and, around them, 870-odd households."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass, replace
from functools import partial

from . import households
from .closeness import are_last_names_close
from .draw import Draw
from .person import Person, fold
from .planted import ADDED_ON_THE_MORNING, everybody_planted
from .streets import GROUP_RESIDENCE, GROUP_RESIDENCE_SIZE, every_address
from .twelve import THE_TWELVE

_PEOPLE_SEED = 12  # chosen for an even fall from the commonest last names
_PLANTED_SEED = 4  # apart, so that a new case does not redraw the whole precinct
_NUMBER_SEED = 417
_REGISTER_SIZE = 1_800  # of the last household as many as fit
_SUPPLEMENTAL_SIZE = 14
_NEWCOMERS_IN_MAY = 6
# Besides the planted ones: as many as census names bring about among 1,800 people.
_NAMESAKES_DRAWN = 7


@dataclass(frozen=True, slots=True)
class Population:
    """`register` before the day, `added` on its morning, `newcomers` by May; no order."""

    register: tuple[Person, ...]
    added: tuple[Person, ...]
    newcomers: tuple[Person, ...]


class _Numbers:
    """Voter numbers of nine digits, leading zeros among them, that mean nothing."""

    def __init__(self) -> None:
        self._draw = Draw(_NUMBER_SEED)
        self._given: set[str] = set()

    def next(self) -> str:
        number = f"{self._draw.below(1_000_000_000):09d}"
        while number in self._given:
            number = f"{self._draw.below(1_000_000_000):09d}"
        self._given.add(number)
        return number


class _Doorkeeper:
    """Lets in only people who cannot be taken for one of the twelve or for a planted case."""

    def __init__(self, planted: Iterable[Person]) -> None:
        self._last_names = [one.person.last_name for one in THE_TWELVE]
        self._first_names = {fold(one.person.first_name) for one in THE_TWELVE}
        self._birth_dates = {one.person.birth_date for one in THE_TWELVE}
        self._birth_dates |= {
            born.replace(day=born.month, month=born.day)
            for born in list(self._birth_dates)
            if born.day <= 12
        }
        self._taken = {_same_person(person) for person in planted}
        self._drawn_names: set[tuple[str, str]] = set()
        self._namesakes = 0
        self._planted_names = {taken[:2] for taken in self._taken}

    def lets_in(self, people: Iterable[Person]) -> bool:
        """All or none of a household; whoever is let in is remembered."""
        people = list(people)
        names = [_same_person(person)[:2] for person in people]
        namesakes = self._namesakes + sum(name in self._drawn_names for name in names)
        if namesakes > _NAMESAKES_DRAWN or not all(self._may_come(person) for person in people):
            return False
        self._namesakes = namesakes
        self._drawn_names.update(names)
        self._taken |= {_same_person(person) for person in people}
        return True

    def _may_come(self, person: Person) -> bool:
        names = _same_person(person)
        return (
            person.birth_date not in self._birth_dates
            and fold(person.first_name) not in self._first_names
            and names not in self._taken
            and names[:2] not in self._planted_names
            and not any(are_last_names_close(person.last_name, name) for name in self._last_names)
        )


def _same_person(person: Person) -> tuple[str, str, str]:
    return (fold(person.last_name), fold(person.first_name), person.birth_date.isoformat())


def draw_population() -> Population:
    """The same people at every call."""
    draw, numbers = Draw(_PEOPLE_SEED), _Numbers()
    parties = Draw(_PLANTED_SEED)
    planted = [_completed(parties, person, numbers) for person in everybody_planted()]
    addresses = _free_addresses(draw, planted)
    added_who = {person.who for person in ADDED_ON_THE_MORNING}
    added = [person for person in planted if person.who in added_who]
    register = [person for person in planted if person.who not in added_who]

    door = _Doorkeeper(planted)
    register += _residents(draw, door, register)
    while len(register) < _REGISTER_SIZE:
        register += _admitted(door, partial(households.draw_household, draw, addresses.pop()))
    del register[_REGISTER_SIZE:]
    late = [
        person
        for _ in range(_SUPPLEMENTAL_SIZE - len(added) + _NEWCOMERS_IN_MAY)
        for person in _admitted(door, partial(households.draw_newcomer, draw, addresses.pop()))
    ]
    return Population(
        register=_numbered(register, numbers),
        added=_numbered(added + late[:-_NEWCOMERS_IN_MAY], numbers),
        newcomers=_numbered(late[-_NEWCOMERS_IN_MAY:], numbers),
    )


def _completed(draw: Draw, person: Person, numbers: _Numbers) -> Person:
    party, maiden = households.complete_planted(draw, person)
    return replace(person, party=party, mothers_maiden_name=maiden, voter_number=numbers.next())


def _free_addresses(draw: Draw, planted: list[Person]) -> list[str]:
    taken = {person.street_address for person in planted}
    return draw.shuffled(address for address in every_address() if address not in taken)


def _residents(draw: Draw, door: _Doorkeeper, already: list[Person]) -> list[Person]:
    """The rest of the group residence, beside the planted people who live there."""
    missing = GROUP_RESIDENCE_SIZE - sum(
        person.street_address == GROUP_RESIDENCE for person in already
    )
    return _admitted(door, partial(households.draw_residents, draw, GROUP_RESIDENCE, missing))


def _admitted(door: _Doorkeeper, draw_people: Callable[[], list[Person]]) -> list[Person]:
    """Drawn again and again until all of them are let in."""
    people = draw_people()
    while not door.lets_in(people):
        people = draw_people()
    return people


def _numbered(people: Iterable[Person], numbers: _Numbers) -> tuple[Person, ...]:
    """Numbers for those who have none yet, in the order of `people`."""
    return tuple(
        person if person.voter_number else replace(person, voter_number=numbers.next())
        for person in people
    )
