"""A small invented register whose people are easily taken for each other."""

from __future__ import annotations

import random
from datetime import date

from app.matching.finder import Finder, Found
from app.rules.line import Line
from tests.making import printed

ELECTION_YEAR = 2027


def _person(line_id: str, last: str, first: str, born: str, number: str, **columns: str) -> Line:
    facts = {"street_address": "9 Mill Street", **columns}
    birth_date = date.fromisoformat(born)
    return Line(
        line_id,
        printed(
            last_name=last, first_name=first, birth_date=birth_date, voter_number=number, **facts
        ),
    )


PEOPLE = (
    _person("ashworth", "Ashworth", "Wilhelmina", "1950-01-31", "400100220"),
    _person("baker", "Baker", "Ann Marie", "1988-10-10", "400100221"),
    _person("baker-jr", "Baker", "Peter", "1990-03-09", "400100222", suffix="Jr"),
    _person("baker-sr", "Baker", "Peter", "1961-07-21", "400100223", suffix="Sr"),
    _person("catherine", "Holloway", "Catherine", "1977-11-02", "400100224"),
    _person("cruz", "de la Cruz", "Marisol", "1969-12-23", "400100225"),
    _person("cruz-glued", "Delacruz", "Hector", "1972-06-06", "400100226"),
    _person(
        "garcia-lopez", "García-López", "Inés", "1994-04-18", "400100227", mothers_maiden_name=""
    ),
    _person(
        "garcia", "Garcia", "Tomás", "1958-08-30", "400100228", mothers_maiden_name="Villalobos"
    ),
    _person("jameson", "Jameson", "Thomas", "1949-09-09", "400100229"),
    _person("james-thomas", "James", "Thomas", "1981-02-14", "400100230"),
    _person("thomas-james", "Thomas", "James", "1983-05-27", "400100231"),
    _person("johnson", "Johnson", "Ruth", "1945-06-15", "400100232", middle_name="Quincy"),
    _person("kirkbride", "Kirkbride", "J", "1999-12-31", "400100233", middle_name="Q"),
    _person("mackenzie", "Mac Kenzie", "Fergus", "1936-03-03", "400100234"),
    _person("marchbank", "March", "April", "1990-07-08", "400100235"),
    _person("mono", "Suharsono", "", "1975-01-05", "400100236"),
    _person("nunez", "Núñez", "José María", "1966-02-11", "400100237"),
    _person("oneil", "O'Neil", "Maeve", "1987-03-04", "TC-0077123"),
    _person("oneil-day-first", "O'Neil", "Brigid", "1987-04-03", "400100239"),
    _person("phelan", "Phelan", "Kathryn", "1970-09-19", "400100240"),
    _person("schneider", "Schneider", "Greta", "1952-10-28", "400100241"),
    _person("smith", "Smith", "Joan", "1987-03-04", "400100242"),
    _person("smith-john", "Smith", "John", "1960-11-30", "400100243", middle_name="Quincy"),
    _person("smith-william", "Smith", "William", "1944-01-01", "400100244"),
    _person("smithers", "Smithson", "Arlo", "2001-05-05", "400100245"),
    _person("van-der-berg", "van der Berg", "Pieter", "1955-05-15", "400100246"),
    _person(
        "wheelhouse",
        "Yarrow",
        "Delphine",
        "1991-01-09",
        "400100247",
        street_address="41 Wheelhouse Road",
    ),
    _person(
        "wheelhouse-far",
        "Yarwood",
        "Edgar",
        "1929-08-12",
        "400100248",
        street_address="412 Wheelhouse Road",
    ),
    _person("zhang", "Zhang", "Wei", "1998-02-28", "500200111"),
)


def full_register(line_count: int) -> list[Line]:
    """As many people as asked for, with names put together from syllables, always the same."""
    chance = random.Random(407)
    syllables = "ba bo dal den fer gar kel lo mar ner pol quin ren sor tam ver wick yor".split()

    def name() -> str:
        return "".join(chance.choices(syllables, k=chance.randint(2, 3))).capitalize()

    first_names = [name() for _ in range(300)]
    return [
        _person(
            f"filler-{at}",
            name(),
            chance.choice(first_names),
            f"{chance.randint(1930, 2008)}-{chance.randint(1, 12):02}-{chance.randint(1, 28):02}",
            f"{600_000_000 + at}",
            middle_name=chance.choice(first_names),
            street_address=f"{chance.randint(1, 300)} Mill Street",
        )
        for at in range(line_count)
    ]


def finder(date_order: str = "month_first") -> Finder:
    return Finder(
        PEOPLE,
        date_order="day_first" if date_order == "day_first" else "month_first",
        election_year=ELECTION_YEAR,
    )


def ids(found: Found) -> list[str]:
    return [match.line_id for match in found.matches]


def codes(found: Found, place: int = 0) -> list[str]:
    return [why.code for why in found.matches[place].why]
