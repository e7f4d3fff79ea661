"""Which row of a late list is the heading row, and which column is what.

Offices head their columns as they please. What is known here are the usual ways; a package's
`[columns]` adds those of its own office. A heading that is not known is named to the person
who reads the preview, never guessed at.
"""

from __future__ import annotations

import unicodedata
from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from app.intake.late_cells import RawCell, RawRow, is_blank

# Titles, dates and the name of the office stand above the headings; never this many.
ROWS_SEARCHED = 25

# Compared without capitals, accents, spaces and punctuation. Common practice, no source.
SYNONYMS: Mapping[str, str] = {
    "voter_number": "voter number; voter no; voter nr; voter #; voter num; voter id;"
    " voter id number; voter id no; id number; id no; registration number; registration no;"
    " registration id; reg no; reg number; reg id; registrant number; registrant id;"
    " registered voter id;"
    " state voter id; state id; certificate number; numero de votante; numero de elector",
    "name": "name; full name; voter name; name of voter; voters name; registrant name;"
    " last first middle; last name first name; last first; nombre completo",
    "last_name": "last name; last; lastname; name last; lname; surname; family name;"
    " voter last name; apellido; apellidos",
    "first_name": "first name; first; firstname; name first; fname; given name; given names;"
    " forename; voter first name; nombre; nombres",
    "middle_name": "middle name; middle; middlename; name middle; mname; middle initial; mi;"
    " middle name or initial; middle names; segundo nombre",
    "suffix": "suffix; name suffix; sfx; generation; gen; sufijo",
    "birth_date": "birth date; date of birth; dob; birthdate; born; birthday; d o b; birth dt;"
    " voter dob; fecha de nacimiento",
    "initials": "initials; clerk initials; marked by; worked by; initialed by; clerk; iniciales",
    "reason": "reason; removal reason; reason for removal; reason code; cancel reason;"
    " cancellation reason; cause; motivo",
    "election_id": "election id; election; election code",
    "precinct": "precinct; precinct number; precinct no; pct; voting precinct; precinct code",
    "mothers_maiden_name": "mothers maiden name; mother maiden name; maiden name of mother",
    "street_address": "street address; address; residence address; home address; street;"
    " residential address; address line 1; address 1; direccion",
    "city": "city; town; municipality; city or town; city town; residence city; ciudad",
    "postal_code": "postal code; zip; zip code; zipcode; zip5; postcode; codigo postal",
    "party": "party; party code; political party; enrollment; party affiliation; partido",
    "ballot_button": "ballot button; button; button number; ballot button number",
    "assistance": "assistance; needs assistance; assistance needed",
    "address_confirmation": "address confirmation; address confirmation needed",
    "inactive": "inactive",
    "first_time_by_mail": "first time by mail",
    "address_protected": "address protected; protected address; confidential address",
}

# Without one of these a row of known words is a title: `Precinct | 4-07 | Election | …`.
_WHO = frozenset({"voter_number", "last_name", "name"})


@dataclass(frozen=True, slots=True)
class Headings:
    """The heading row of one file.

    `places`: our column name -> position in the row. `twice`: our names that two columns have.
    `titles` are the rows above, `texts` the row's own cells, blank ones too.
    """

    row_number: int
    texts: tuple[str, ...]
    places: Mapping[str, int]
    twice: tuple[str, ...]
    titles: tuple[str, ...]

    @property
    def width(self) -> int:
        """How many cells a row has, those without a heading included."""
        return len(self.texts)

    @property
    def headed_width(self) -> int:
        """How many cells a row has up to the last heading."""
        return max((place for place, text in enumerate(self.texts, start=1) if text), default=0)

    def heading(self, column: str) -> str:
        """The heading that the file has for one of our columns, our own name where it has none."""
        return self.texts[self.places[column]] if column in self.places else column

    def label(self, place: int) -> str:
        """What a person calls the column at `place`."""
        text = self.texts[place] if place < self.width else ""
        return text or f"column {place + 1}"


class ColumnNames:
    """The headings that are known for one package: the usual ones and its own."""

    def __init__(self, own_headings: Mapping[str, str]) -> None:
        self._columns = {
            _bare(heading): column
            for column, headings in SYNONYMS.items()
            for heading in (column, *headings.split(";"))
        }
        self._columns.update({_bare(heading): name for name, heading in own_headings.items()})

    def column(self, heading: str) -> str | None:
        """Our name of the column with this heading."""
        return self._columns.get(_bare(heading))

    def find(self, rows: Iterable[RawRow]) -> Headings | None:
        """The first row with two known headings, one of them of a number or name; else a number.

        Looks at the first `ROWS_SEARCHED` rows that are given.
        """
        single: Headings | None = None
        titles: list[str] = []
        for _, row in zip(range(ROWS_SEARCHED), rows, strict=False):
            headings = self._headings(row, tuple(titles))
            if len(headings.places) > 1 and not _WHO.isdisjoint(headings.places):
                return headings
            if single is None and "voter_number" in headings.places:
                single = headings
            titles.append(" ".join(filter(None, map(_text, row.cells))))
        return single

    def _headings(self, row: RawRow, titles: tuple[str, ...]) -> Headings:
        texts = [_text(cell) for cell in row.cells]
        places: dict[str, int] = {}
        twice: list[str] = []
        for place, text in enumerate(texts):
            column = self.column(text)
            if column in places:
                twice.append(column)
            elif column is not None:
                places[column] = place
        return Headings(row.number, tuple(texts), places, tuple(twice), titles)


def _text(cell: RawCell) -> str:
    return " ".join(cell.split()) if isinstance(cell, str) and not is_blank(cell) else ""


def _bare(heading: str) -> str:
    # `#` is all that tells `Voter #` from `Voter`.
    spelled = heading.replace("#", " number ")
    letters = unicodedata.normalize("NFKD", spelled).casefold()
    return "".join(letter for letter in letters if letter.isalnum())
