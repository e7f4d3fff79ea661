"""What may stand in one cell or setting: characters, dates, numbers, names.

The character rules aim at what no clerk can see on the screen: text that runs backwards,
letters lost or garbled by an earlier conversion, look-alike letters of another alphabet.
"""

from __future__ import annotations

import re
import unicodedata
from datetime import date

from app.intake.fault_codes import Code

# Far above any name or address, far below what slows the page down.
CELL_CHARACTERS = 2_000

# Longer names exist on no register card; slipped columns and free text do reach this.
NAME_CHARACTERS = 150

# Only letters, digits and hyphens survive telephones, barcodes and spreadsheets alike.
_VOTER_NUMBER = re.compile(r"[A-Za-z0-9](?:[A-Za-z0-9-]{0,30}[A-Za-z0-9])?")

# The oldest person known lived to 122: nobody born before 1900 votes in this century.
_FIRST_BIRTH_YEAR = 1900

# Tab and line ends are missing: they fold into a space.
_CONTROL = "\x00-\x08\x0b\x0c\x0e-\x1f\x7f-\x9f\u2028\u2029\ufdd0-\ufdef\ufff9-\ufffb\ufffe\uffff"
_DIRECTION = "\u061c\u200e\u200f\u202a-\u202e\u2066-\u2069"
# The joiners U+200C and U+200D are missing: Persian and Indic names are written with them.
_INVISIBLE = (
    "\xad\u115f\u1160\u180e\u200b\u2060-\u2065\u206a-\u206f\u3164\ufeff\uffa0"
    "\ue000-\uf8ff\U000e0000-\U000e007f\U000f0000-\U0010ffff"
)
_LOST = "\ufffc\ufffd"
_UNDECODED = "\ud800-\udfff"

_SUSPECT = re.compile(f"[{_CONTROL}{_DIRECTION}{_INVISIBLE}{_LOST}{_UNDECODED}]")
_UNDECODED_PATTERN = re.compile(f"[{_UNDECODED}]")
_KINDS = (
    (re.compile(f"[{_DIRECTION}]"), Code.DIRECTION_CHARACTER),
    (re.compile(f"[{_INVISIBLE}]"), Code.INVISIBLE_CHARACTER),
    (re.compile(f"[{_LOST}]"), Code.LOST_CHARACTER),
)

_LATIN = re.compile("[A-Za-z\xc0-\u024f]")
_LOOKS_LATIN = re.compile("[\u0370-\u03ff\u0400-\u052f\u1f00-\u1fff]")
# ASCII, Latin letters with accents, typographic quotes and dashes.
_COMES_FROM_LATIN = re.compile("[ -~\\s\xa0-\u024f\u1e00-\u1eff\u2010-\u203a]*")
# What the first byte of every such letter looks like in Windows-1252.
_LATIN_LEAD = re.compile("[\xc2-\xc9\xe1\xe2]")
_BETWEEN_WORDS = re.compile(r"[\W_]+")


def holds_suspect_character(text: str) -> bool:
    """Whether `text`, a cell or a whole file, has any character that no cell may have."""
    return _SUSPECT.search(text) is not None


def is_undecoded(cell: str) -> bool:
    """Whether the cell holds bytes that were not UTF-8 (see `text.decode_list`)."""
    return _UNDECODED_PATTERN.search(cell) is not None


def character_fault(cell: str) -> Code | None:
    """The first thing wrong with the characters of a cell, or None."""
    if _SUSPECT.search(cell):
        for pattern, code in _KINDS:
            if pattern.search(cell):
                return code
        return Code.CONTROL_CHARACTER
    if cell.isascii():
        return None
    if _is_garbled(cell):
        return Code.GARBLED_TEXT
    return Code.MIXED_ALPHABETS if _mixes_alphabets(cell) else None


def _is_garbled(cell: str) -> bool:
    """Whether this is UTF-8 that somebody read as Windows-1252: `MuÃ±oz` for `Muñoz`."""
    if not _LATIN_LEAD.search(cell):
        return False
    try:
        repaired = cell.encode("cp1252").decode("utf-8")
    except UnicodeError:
        return False
    # `Heß’` would come out as a letter of West Africa: it is no garbled text.
    return _COMES_FROM_LATIN.fullmatch(repaired) is not None


def _mixes_alphabets(cell: str) -> bool:
    if not _LOOKS_LATIN.search(cell):
        return False
    words = _BETWEEN_WORDS.split(cell)
    return any(_LATIN.search(word) and _LOOKS_LATIN.search(word) for word in words)


def folded(cell: str) -> str:
    """The cell without outer spaces, every inner run of spaces and line ends made one space."""
    return " ".join(cell.split())


def voter_number_key(number: str) -> str:
    """What two writings of one number have in common: capitals do not tell numbers apart."""
    return number.upper()


def is_voter_number(cell: str) -> bool:
    """1 to 32 ASCII letters, digits and hyphens, with a letter or digit at both ends."""
    return _VOTER_NUMBER.fullmatch(cell) is not None


def is_name(cell: str) -> bool:
    """Whether a filled cell can be a name: it has a letter of some alphabet, and an end."""
    return len(cell) <= NAME_CHARACTERS and any(character.isalpha() for character in cell)


def same_name(one: str, other: str) -> bool:
    """Whether two names differ at most in capitals, accents, punctuation and spaces."""
    return one == other or _bare(one) == _bare(other)


def _bare(name: str) -> str:
    letters = unicodedata.normalize("NFKD", name).casefold()
    return "".join(letter for letter in letters if letter.isalnum())


def birth_year(cell: str, election_date: date | None) -> int | Code:
    """Read `1987`; anything but four digits, or a year in which no voter was born, is a fault."""
    if len(cell) != 4 or not (cell.isascii() and cell.isdigit()):
        return Code.BIRTH_YEAR_UNREADABLE
    year = int(cell)
    last = election_date.year if election_date else date.max.year
    return year if _FIRST_BIRTH_YEAR <= year <= last else Code.BIRTH_YEAR_UNLIKELY


def birth_date(cell: str, election_date: date | None) -> date | Code:
    """Read `1987-03-04`; any other form, an impossible day or an unlikely year is a fault.

    Nobody is refused here for being young: who may vote at what age is for local law.
    """
    # fromisoformat alone would also take 19870304 and 1987-W10-3.
    if len(cell) != 10 or cell[4] != "-" or cell[7] != "-" or not cell.isascii():
        return Code.BIRTH_DATE_UNREADABLE
    if not (cell[:4] + cell[5:7] + cell[8:]).isdigit():
        return Code.BIRTH_DATE_UNREADABLE
    try:
        day = date.fromisoformat(cell)
    except ValueError:
        return Code.BIRTH_DATE_IMPOSSIBLE
    if day.year < _FIRST_BIRTH_YEAR:
        return Code.BIRTH_DATE_TOO_EARLY
    if election_date is not None and day > election_date:
        return Code.BIRTH_DATE_IN_FUTURE
    return day
