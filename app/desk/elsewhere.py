"""Finding a person of another precinct: as much as is needed to send them to the right place."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date

from app.matching.dates import read_birth_date
from app.matching.finder import Finder
from app.matching.licence import read_licence
from app.records.elsewhere import ElsewherePerson
from app.rules.line import Line, PrintedLine
from app.rules.setting import Setting

# Five to choose from: more would be a list of the county to read through.
MOST_PEOPLE = 5


@dataclass(frozen=True, slots=True)
class FoundElsewhere:
    """Best first. `ignored` are typed words that nobody shown answers to."""

    people: tuple[ElsewherePerson, ...]
    ignored: tuple[str, ...]


class ElsewhereFinder:
    """Finds people by name and birth year. Safe to use from several threads."""

    def __init__(self, people: Iterable[ElsewherePerson], setting: Setting) -> None:
        self._people = {person.elsewhere_id: person for person in people}
        self._date_order = setting.policy.date_order
        self._election_year = setting.election.date.year
        self._finder = Finder(
            (_as_line(person) for person in self._people.values()),
            date_order=self._date_order,
            election_year=self._election_year,
        )

    @property
    def has_people(self) -> bool:
        """Whether the package brought the list at all."""
        return bool(self._people)

    def find(self, text: str) -> FoundElsewhere:
        """At most MOST_PEOPLE whom `text` may mean. Never raises, whatever the text."""
        found = self._finder.find(self._asked(text), MOST_PEOPLE)
        people = tuple(self._people[match.line_id] for match in found.matches)
        return FoundElsewhere(people, found.ignored)

    def _asked(self, text: str) -> str:
        licence = read_licence(text)
        if licence is None:
            return " ".join(map(self._year_of, text.split()))
        given = " ".join((licence.first_name, *licence.middle_names, licence.suffix))
        born = licence.birth_date.year if licence.birth_date else ""
        return f"{licence.last_name}, {given} {born}"

    def _year_of(self, word: str) -> str:
        """A birth date as its year, which is all that is known here."""
        born = read_birth_date(word, date_order=self._date_order, election_year=self._election_year)
        return str(born.year) if born else word


def _as_line(person: ElsewherePerson) -> Line:
    """As the finder takes it: no number, no address, the first of January for the year."""
    of = person.line
    return Line(
        person.elsewhere_id,
        PrintedLine(
            voter_number="",
            last_name=of.last_name,
            first_name=of.first_name,
            middle_name=of.middle_name,
            suffix=of.suffix,
            birth_date=date(of.birth_year, 1, 1),
        ),
    )
