"""Who is registered in the other precincts of the county: invented people, invented places.

Nobody here has a name that comes near one of the twelve to try. Some are planted: the case
that tells them apart is beside them.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from .closeness import are_last_names_close
from .draw import Draw
from .households import draw_household
from .person import Person, fold, print_order
from .planted import everybody_planted
from .twelve import THE_TWELVE

_SEED = 4_070
_PEOPLE_IN_EACH_PRECINCT = 64  # met exactly or passed by less than a household


@dataclass(frozen=True, slots=True)
class Precinct:
    number: str
    polling_place: str
    place_address: str


@dataclass(frozen=True, slots=True)
class Elsewhere:
    """A person and the precinct where they are registered."""

    person: Person
    precinct: Precinct


PRECINCTS = (
    Precinct("3-09", "Upper Tern Grange, hall", "2 Grange Lane, Upper Tern"),
    Precinct("4-01", "Ternwick Town Hall, council chamber", "1 Fountain Square, Ternwick"),
    Precinct("4-02", "Saltmarsh Library, reading room", "9 Saltmarsh Road, Ternwick"),
    Precinct("4-03", "Gannet Street Firehouse, engine bay", "118 Gannet Street, Ternwick"),
    # Two precincts in one room, at two tables.
    Precinct("4-05", "Bellows Mill Community Room", "30 Bellows Mill Road, Ternwick"),
    Precinct("4-06", "Bellows Mill Community Room", "30 Bellows Mill Road, Ternwick"),
    # The right building and the wrong room: the next door to ours.
    Precinct("4-08", "Wheelhouse Road School, library", "40 Wheelhouse Road, Ternwick"),
    Precinct("5-01", "Ferry Landing Hall", "77 Landing Street, Port Tern"),
    Precinct("5-02", "Port Tern Middle School, cafeteria", "215 Breakwater Avenue, Port Tern"),
)
_BY_NUMBER = {precinct.number: precinct for precinct in PRECINCTS}


def _planted(number: str, last: str, first: str, year: int, *rest: str) -> Elsewhere:
    """`rest` are middle name and suffix. Of the birth date only the year is written."""
    return Elsewhere(Person(last, first, date(year, 7, 1), "", *rest), _BY_NUMBER[number])


PLANTED_ELSEWHERE = (
    # Found by one name and year, and sent to one place.
    _planted("4-02", "Hollingworth", "Beatrix", 1984, "Maeve"),
    # The same building, another room.
    _planted("4-08", "Penhaligon", "Ruben", 1996),
    # Namesakes of one year in two precincts: nobody can be sent before the registrar is asked.
    _planted("4-03", "Dempster", "Louise", 1973, "Ada"),
    _planted("5-01", "Dempster", "Louise", 1973, "Irene"),
    # Father and son in two precincts.
    _planted("4-01", "Quartermain", "Emmett", 1950, "Hugh", "Sr"),
    _planted("5-02", "Quartermain", "Emmett", 1977, "Hugh", "Jr"),
    # A namesake of somebody in our own register, who is found there first.
    _planted("4-06", "Bennett", "Laura", 1986, "Rose"),
    # Letters outside plain English, small words before the name, a single name.
    _planted("3-09", "Żurawska", "Bożena", 1968),
    _planted("4-05", "del Olmo", "Ramón", 1959, "Luis"),
    _planted("5-01", "Wibisono", "", 1992),
)


def everybody_elsewhere() -> list[Elsewhere]:
    """The same people at every call, precinct by precinct, in print order."""
    draw = Draw(_SEED)
    taken = {_name(person) for person in everybody_planted()}
    people = list(PLANTED_ELSEWHERE)
    for precinct in PRECINCTS:
        count = 0
        while count < _PEOPLE_IN_EACH_PRECINCT:
            household = draw_household(draw, "")
            if not any(_comes_near_the_twelve(person) for person in household):
                kept = [person for person in household if _name(person) not in taken]
                people += [Elsewhere(person, precinct) for person in kept]
                count += len(kept)
    return sorted(people, key=lambda one: (one.precinct.number, print_order(one.person)))


def _name(person: Person) -> tuple[str, str]:
    return (fold(person.last_name), fold(person.first_name))


def _comes_near_the_twelve(person: Person) -> bool:
    return any(are_last_names_close(person.last_name, one.person.last_name) for one in THE_TWELVE)
