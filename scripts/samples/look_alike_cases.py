"""Awkward cases of people who are taken for each other at the table."""

from __future__ import annotations

from . import twelve
from .case import Case, invented, twins
from .person import Person

ON_MAIL_LIST_FATHER = invented("Loomis", "Chester", "1951-05-26", "62 Mizzen Street", "Dale", "Sr")
ON_MAIL_LIST_SON = invented("Loomis", "Chester", "1978-12-09", "62 Mizzen Street", "Dale", "Jr")
EARLY_TWIN, OTHER_TWIN = twins(
    "Brockway", "Tilden", "1969-07-22", "14 Binnacle Court", "Daniel", "Douglas"
)
NAMESAKE_ADDED = invented("Bennett", "Laura", "1998-09-24", "524 Salt Pan Road", "Kate")
PROTECTED_NAMESAKE = invented("Winslow", "Teresa", "1981-06-02", "39 Bellbuoy Drive", "Faye")


def _case(code: str, sentence: str, *groups: tuple[Person, ...]) -> Case:
    """In each group everybody could be taken for everybody else."""
    return Case(code, sentence, tuple(person for group in groups for person in group), groups)


CASES_OF_LOOK_ALIKES = (
    _case(
        "father-and-son",
        "Same name at one address, told apart by Sr and Jr",
        (twelve.FATHER, twelve.SON),
        (ON_MAIL_LIST_FATHER, ON_MAIL_LIST_SON),
    ),
    _case(
        "three-generations",
        "Sr, Jr and III at one address",
        (
            invented("Merriweather", "Thaddeus", "1940-02-11", "66 Halyard Street", "Cole", "Sr"),
            invented("Merriweather", "Thaddeus", "1964-08-30", "66 Halyard Street", "Cole", "Jr"),
            invented("Merriweather", "Thaddeus", "1992-11-05", "66 Halyard Street", "Cole", "III"),
        ),
    ),
    _case(
        "father-without-suffix",
        "The son has Jr, the father nothing",
        (
            invented("Lambert", "Russell", "1947-03-19", "21 Wheelhouse Road", "Guy"),
            invented("Lambert", "Russell", "1973-10-07", "21 Wheelhouse Road", "Guy", "Jr"),
        ),
    ),
    _case(
        "twins-alike",
        "Same last name, birth date and address, first names alike",
        (twelve.MIRIAM, twelve.MARIAN),
        twins("Keating", "Osborn", "1985-05-14", "80 Capstan Road", "Jason", "Jayson"),
    ),
    _case(
        "twins-unlike",
        "Same last name, birth date and address, first names far apart",
        (EARLY_TWIN, OTHER_TWIN),
        twins("Vandermeer", "Pruitt", "2003-12-01", "330 Old Ferry Road", "Zoe", "Hannah"),
    ),
    _case(
        "same-name-same-address",
        "Mother and daughter, or two cousins, of one name at one address and without a suffix",
        (
            invented("Nightingale", "Rosamund", "1949-01-18", "18 Curlew Crescent", "Vera"),
            invented("Nightingale", "Rosamund", "1975-05-27", "18 Curlew Crescent", "June"),
        ),
        (
            invented("Ostrander", "Philip", "1991-02-13", "42 Lantern Hill Road"),
            invented("Ostrander", "Philip", "1993-07-08", "42 Lantern Hill Road", "Wayne"),
        ),
    ),
    _case(
        "namesake",
        "Same first and last name, other birth date",
        (
            invented("Smith", "Robert", "1948-01-09", "12 Wheelhouse Road", "Allen"),
            invented("Smith", "Robert", "1966-11-23", "47 Mizzen Street"),
            invented("Smith", "Robert", "1990-05-02", "357 Old Ferry Road", "J"),
        ),
        (
            invented("Garcia", "Maria", "1962-12-08", "66 Brine Street", "Elena"),
            invented("Garcia", "Maria", "1979-03-15", "45 Dovekie Drive", "Luz"),
        ),
    ),
    _case(
        "namesake-across-parts",
        "One in the register, one on the supplemental pages",
        (invented("Bennett", "Laura", "1975-06-13", "58 Capstan Road", "Jean"), NAMESAKE_ADDED),
    ),
    _case(
        "protected-namesake",
        "Same name; the address of the first is kept secret",
        (
            PROTECTED_NAMESAKE,
            invented("Winslow", "Teresa", "1969-10-14", "27 Windlass Street", "Gwen"),
        ),
    ),
    _case(
        "one-letter-apart",
        "Names that differ by a letter",
        (
            invented("Hansen", "Kathryn", "1968-09-19", "29 Halyard Street", "Sue"),
            invented("Hanson", "Katharyn", "1971-01-04", "71 Dovekie Drive"),
        ),
        (
            invented("Larsen", "Jon", "1977-06-26", "61 Mizzen Street", "Erik"),
            invented("Larson", "John", "1974-02-03", "21 Binnacle Court", "Eric"),
        ),
    ),
    _case(
        "one-letter-apart-at-home",
        "First names that differ by a letter, at one address, a generation apart",
        (
            invented("Haverstock", "Mildred", "1946-03-30", "57 Mizzen Street", "Ruth"),
            invented("Haverstock", "Mildrid", "1972-11-21", "57 Mizzen Street"),
        ),
    ),
    _case(
        "same-by-sound",
        "Names that are said alike and spelled otherwise",
        (
            invented("Coughlan", "Stephen", "1976-08-05", "35 Halyard Street", "Kirk"),
            invented("Coghlan", "Steven", "1978-09-16", "90 Brine Street"),
        ),
        (
            invented("Sherrard", "Catherine", "1984-01-22", "60 Windlass Street", "Fay"),
            invented("Sherrard", "Katharine", "1982-12-12", "23 Samphire Way"),
        ),
    ),
    _case(
        "day-and-month-swapped",
        "Namesakes whose birth dates are one another's, day for month",
        (
            invented("Carter", "Linda", "1961-03-08", "75 Wheelhouse Road", "Gail"),
            invented("Carter", "Linda", "1961-08-03", "111 Samphire Way", "Rae"),
        ),
    ),
    _case(
        "marked-look-alike",
        "One of a pair has voted already, the other has not",
        (ON_MAIL_LIST_FATHER, ON_MAIL_LIST_SON),
        (EARLY_TWIN, OTHER_TWIN),
    ),
    _case(
        "first-or-last",
        "The one's first name is the other's last name",
        (
            invented("Kelly", "Jordan", "1987-10-28", "14 Quarterdeck Terrace Unit 1"),
            invented("Jordan", "Kelly", "1982-07-16", "99 Wheelhouse Road", "Ann"),
        ),
    ),
)
