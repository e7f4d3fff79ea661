"""How people write a birth date: the names of the months, and years of two digits."""

from __future__ import annotations

# A year of two digits makes its owner at least this old: younger people are on no
# register, while some places preregister at sixteen.
YOUNGEST_YEARS = 16
_SHORTEST_MONTH = 3

# English and Spanish, the languages spoken at the table; three letters are enough.
_MONTHS = (
    ("january", "enero"),
    ("february", "febrero"),
    ("march", "marzo"),
    ("april", "abril"),
    ("may", "mayo"),
    ("june", "junio"),
    ("july", "julio"),
    ("august", "agosto"),
    ("september", "septiembre"),
    ("october", "octubre"),
    ("november", "noviembre"),
    ("december", "diciembre"),
)


def month_number(word: str) -> int | None:
    """1 to 12 for a month's name or its first three or more letters, in small letters."""
    if len(word) < _SHORTEST_MONTH:
        return None
    for number, names in enumerate(_MONTHS, start=1):
        if any(name.startswith(word) for name in names):
            return number
    return None


def full_year(year: str, election_year: int) -> int:
    """Two digits mean the latest year that makes the person old enough; four are a year."""
    if len(year) == 4:
        return int(year)
    latest = election_year - YOUNGEST_YEARS
    return latest - (latest - int(year)) % 100
