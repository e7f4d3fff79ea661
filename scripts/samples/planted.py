"""The awkward cases, planted on purpose: the table that tests and the README read.

Each case names its people as they stand in the main sample. Where a case needs a
mark or a list, `lists.py` gives it to these same people. The twelve people to try
are in `twelve.py`, the cases of names in `name_cases.py`, those of people who are taken for
each other in `look_alike_cases.py`.
"""

from __future__ import annotations

from . import twelve
from .case import Case, invented
from .look_alike_cases import (
    CASES_OF_LOOK_ALIKES,
    NAMESAKE_ADDED,
    PROTECTED_NAMESAKE,
)
from .name_cases import NAME_CASES
from .person import Person
from .streets import GROUP_RESIDENCE

PRINTED_BY_MAIL = invented("Hargreave", "Eunice", "1944-10-18", "9 Curlew Crescent", "Adele")
ON_EARLY_LIST = invented("Underhill", "Clifford", "1963-02-27", "17 Ropewalk", "Roy")
NOT_HEARD_FROM = (
    invented("Inchbald", "Gordon", "1959-02-11", "33 Samphire Way", "Neil"),
    invented("Ipswich", "Yolanda", "1985-12-30", "24 Marram Avenue Unit 1"),
)
FIRST_TIME_BY_MAIL = (
    invented("Firth", "Tobias", "2007-10-05", "20 Cooper's Row", "Quinn"),
    invented("Mailer", "Svetlana", "1990-04-09", "5 Sextant Square Apt 5C"),
)
PROTECTED = (
    invented("Hyde", "Constance", "1987-08-24", "71 Capstan Road", "Ivy"),
    PROTECTED_NAMESAKE,
)
TURNING_EIGHTEEN = invented("Castleton", "Owen", "2009-03-02", "32 Bellbuoy Drive", "Lee")

_CASES_OF_PEOPLE = (
    Case(
        "leap-day",
        "Born on 29 February",
        (
            invented("Tillman", "Leopold", "1988-02-29", "69 Windlass Street", "Jay"),
            invented("Osgood", "Frances", "1956-02-29", "6 Slipway Lane", "Mae"),
            invented("Redding", "Alexis", "2004-02-29", "19 Curlew Crescent"),
        ),
    ),
    Case(
        "over-105",
        "More than 105 years old",
        (
            invented("Winterbourne", "Edith", "1919-08-11", GROUP_RESIDENCE, "Maude"),
            invented("Abbott", "Clarence", "1921-01-30", GROUP_RESIDENCE, "Otis"),
        ),
    ),
    Case(
        "turning-eighteen",
        "Eighteen years old on the very day of the election",
        (TURNING_EIGHTEEN,),
    ),
    Case(
        "day-or-month",
        "A birth date that reads two ways when typed with slashes",
        (
            twelve.BY_BIRTH_DATE,
            invented("Pemberly", "Sylvia", "1970-06-07", "20 Ropewalk", "Dee"),
            invented("Stroud", "Marcus", "1982-11-10", "32 Slipway Lane"),
        ),
    ),
    Case(
        "awkward-address",
        "An address with a comma, a half number or an ordinal street",
        (
            invented("Tolliver", "Denise", "1973-08-21", "9 Binnacle Court, Rear", "Kay"),
            invented("Yarrow", "Calvin", "1968-04-13", "17 1/2 Ropewalk", "Dean"),
            invented("Pettibone", "Ira", "1957-12-05", "155 4th Street"),
        ),
    ),
    Case(
        "voted-by-mail",
        "Voted by mail: printed in the register, or on the mail-voted list",
        (PRINTED_BY_MAIL, twelve.BY_MAIL),
    ),
    Case(
        "voted-early",
        "Voted early: printed in the register with initials, or on the list",
        (twelve.EARLY, ON_EARLY_LIST),
    ),
    Case(
        "lists-contradict",
        "Voted early in the register and on the mail-voted list as well",
        (twelve.CONTRADICTION,),
    ),
    Case(
        "inactive",
        "Printed as inactive: a notice to the address was not answered",
        NOT_HEARD_FROM,
    ),
    Case(
        "first-time-by-mail",
        "Registered by mail and votes here for the first time",
        FIRST_TIME_BY_MAIL,
    ),
    Case(
        "address-protected",
        "The address is kept secret; the second has a namesake who has nothing to hide",
        PROTECTED,
    ),
)

CASES = CASES_OF_LOOK_ALIKES + _CASES_OF_PEOPLE + NAME_CASES
LOOK_ALIKE_CASES = tuple(case for case in CASES if case.mistaken)


# Stand on the supplemental pages of the main sample, not in its register.
ADDED_ON_THE_MORNING = (twelve.ADDED, NAMESAKE_ADDED, TURNING_EIGHTEEN)


def everybody_planted() -> list[Person]:
    """The twelve, their relatives and the people of all cases, each once, in table order."""
    people = [one.person for one in twelve.THE_TWELVE]
    people += [person for case in CASES for person in case.people]
    return list({person.who: person for person in people}.values())
