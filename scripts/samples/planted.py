"""The awkward cases, planted on purpose: the table that tests and the README read.

Each case names its people as they stand in the main sample. Where a case needs a
mark or a list, `lists.py` gives it to these same people. The twelve people to try
are in `twelve.py`, the cases of names in `name_cases.py`.
"""

from __future__ import annotations

from . import twelve
from .case import Case, invented, twins
from .name_cases import NAME_CASES
from .person import Person
from .streets import GROUP_RESIDENCE

ON_MAIL_LIST_FATHER = invented("Loomis", "Chester", "1951-05-26", "62 Mizzen Street", "Dale", "Sr")
ON_MAIL_LIST_SON = invented("Loomis", "Chester", "1978-12-09", "62 Mizzen Street", "Dale", "Jr")
PRINTED_BY_MAIL = invented("Hargreave", "Eunice", "1944-10-18", "9 Curlew Crescent", "Adele")
ON_EARLY_LIST = invented("Underhill", "Clifford", "1963-02-27", "17 Ropewalk", "Roy")
EARLY_TWIN, OTHER_TWIN = twins(
    "Brockway", "Tilden", "1969-07-22", "14 Binnacle Court", "Daniel", "Douglas"
)
NAMESAKE_IN_REGISTER = invented("Bennett", "Laura", "1975-06-13", "58 Capstan Road", "Jean")
NAMESAKE_ADDED = invented("Bennett", "Laura", "1998-09-24", "524 Salt Pan Road", "Kate")
TURNING_EIGHTEEN = invented("Castleton", "Owen", "2009-03-02", "32 Bellbuoy Drive", "Lee")

_CASES_OF_PEOPLE = (
    Case(
        "father-and-son",
        "Same name at one address, told apart by Sr and Jr",
        (twelve.FATHER, twelve.SON, ON_MAIL_LIST_FATHER, ON_MAIL_LIST_SON),
    ),
    Case(
        "three-generations",
        "Sr, Jr and III at one address",
        (
            invented("Merriweather", "Thaddeus", "1940-02-11", "66 Halyard Street", "Cole", "Sr"),
            invented("Merriweather", "Thaddeus", "1964-08-30", "66 Halyard Street", "Cole", "Jr"),
            invented("Merriweather", "Thaddeus", "1992-11-05", "66 Halyard Street", "Cole", "III"),
        ),
    ),
    Case(
        "father-without-suffix",
        "The son has Jr, the father nothing",
        (
            invented("Lambert", "Russell", "1947-03-19", "21 Wheelhouse Road", "Guy"),
            invented("Lambert", "Russell", "1973-10-07", "21 Wheelhouse Road", "Guy", "Jr"),
        ),
    ),
    Case(
        "twins-alike",
        "Same last name, birth date and address, first names alike",
        (
            twelve.MIRIAM,
            twelve.MARIAN,
            *twins("Keating", "Osborn", "1985-05-14", "80 Capstan Road", "Jason", "Jayson"),
        ),
    ),
    Case(
        "twins-unlike",
        "Same last name, birth date and address, first names far apart",
        (
            EARLY_TWIN,
            OTHER_TWIN,
            *twins("Vandermeer", "Pruitt", "2003-12-01", "330 Old Ferry Road", "Zoe", "Hannah"),
        ),
    ),
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
        "namesake",
        "Same first and last name, other birth date",
        (
            invented("Smith", "Robert", "1948-01-09", "12 Wheelhouse Road", "Allen"),
            invented("Smith", "Robert", "1966-11-23", "47 Mizzen Street"),
            invented("Smith", "Robert", "1990-05-02", "357 Old Ferry Road", "J"),
            invented("Garcia", "Maria", "1962-12-08", "66 Brine Street", "Elena"),
            invented("Garcia", "Maria", "1979-03-15", "45 Dovekie Drive", "Luz"),
        ),
    ),
    Case(
        "namesake-across-parts",
        "One in the register, one on the supplemental pages",
        (NAMESAKE_IN_REGISTER, NAMESAKE_ADDED),
    ),
    Case(
        "one-letter-apart",
        "Names that differ by a letter",
        (
            invented("Hansen", "Kathryn", "1968-09-19", "29 Halyard Street", "Sue"),
            invented("Hanson", "Katharyn", "1971-01-04", "71 Dovekie Drive"),
            invented("Larsen", "Jon", "1977-06-26", "61 Mizzen Street", "Erik"),
            invented("Larson", "John", "1974-02-03", "21 Binnacle Court", "Eric"),
        ),
    ),
    Case(
        "day-and-month-swapped",
        "Namesakes whose birth dates are one another's, day for month",
        (
            invented("Carter", "Linda", "1961-03-08", "75 Wheelhouse Road", "Gail"),
            invented("Carter", "Linda", "1961-08-03", "111 Samphire Way", "Rae"),
        ),
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
        "marked-look-alike",
        "One of a pair has voted already, the other has not",
        (ON_MAIL_LIST_FATHER, ON_MAIL_LIST_SON, EARLY_TWIN, OTHER_TWIN),
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
)

CASES = _CASES_OF_PEOPLE + NAME_CASES


# Stand on the supplemental pages of the main sample, not in its register.
ADDED_ON_THE_MORNING = (twelve.ADDED, NAMESAKE_ADDED, TURNING_EIGHTEEN)


def everybody_planted() -> list[Person]:
    """The twelve, their relatives and the people of all cases, each once, in table order."""
    people = [one.person for one in twelve.THE_TWELVE]
    people += [person for case in CASES for person in case.people]
    return list({person.who: person for person in people}.values())
