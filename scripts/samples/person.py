"""One invented person, and how their name is folded for sorting and comparing."""

from __future__ import annotations

import unicodedata
from dataclasses import dataclass
from datetime import date

ELECTION_DAY = date(2027, 3, 2)

# Letters that Unicode does not take apart into a plain letter and an accent.
_PLAIN_LETTERS = str.maketrans({"ø": "o", "ł": "l", "đ": "d", "æ": "ae", "œ": "oe", "ß": "ss"})


@dataclass(frozen=True, slots=True)
class Person:
    """Who somebody is and where they live; empty text means a blank cell."""

    last_name: str
    first_name: str
    birth_date: date
    street_address: str
    middle_name: str = ""
    suffix: str = ""
    mothers_maiden_name: str = ""
    party: str = ""
    voter_number: str = ""

    @property
    def who(self) -> tuple[str, str, str, date]:
        """What tells this person from every other one in the sample."""
        return (self.last_name, self.first_name, self.suffix, self.birth_date)

    @property
    def name_last_first(self) -> str:
        """`Last Suffix, First Middle`, as a register prints it."""
        last = " ".join(part for part in (self.last_name, self.suffix) if part)
        given = " ".join(part for part in (self.first_name, self.middle_name) if part)
        return ", ".join(part for part in (last, given) if part)


def fold(text: str) -> str:
    """The letters and digits of a name alone: `fold("de la Peña")` is `"delapena"`."""
    apart = unicodedata.normalize("NFKD", text.casefold()).translate(_PLAIN_LETTERS)
    return "".join(letter for letter in apart if letter.isalnum())


def print_order(person: Person) -> tuple[str, str, str, str, date, str]:
    """The order of a printed register, letter by letter, accents and spaces ignored."""
    return (
        fold(person.last_name),
        fold(person.first_name),
        fold(person.middle_name),
        person.suffix,
        person.birth_date,
        person.voter_number,
    )


def age_on(birth_date: date, day: date = ELECTION_DAY) -> int:
    """Whole years; who is born on 29 February turns a year older on 1 March of common years."""
    return day.year - birth_date.year - ((day.month, day.day) < (birth_date.month, birth_date.day))
