"""What a scanner typed, as the words of a person.

A scanner is a keyboard: nothing but the text says that it was one. A voter number may have a
letter before or behind it that the register does not print. A licence says who its holder was
when it was issued: a name may have changed since, and an address more often has, so that each
fact weighs what it is worth years later. Not one word of it is said back but in the reason why a
line came up.
"""

from __future__ import annotations

import re
from collections.abc import Collection, Iterator
from dataclasses import dataclass, replace

from app.matching.licence import Licence, read_licence
from app.matching.names import fold_street_word
from app.matching.parse import Typed, Word, parse
from app.matching.reading import Field

# What each fact weighs, all its words together. A date that a machine read is no slip, and
# is the one thing that never changes; half the people have moved since the card was issued.
_WEIGHT_OF = {
    Field.LAST: 1.0,
    Field.FIRST: 1.0,
    Field.MIDDLE: 0.4,
    Field.SUFFIX: 0.4,
    Field.BIRTH: 1.6,
    Field.HOUSE: 0.25,
    Field.STREET: 0.25,
}
# As many words of one name as are read together; of the given names, enough to tell by.
_MOST_WORDS = {Field.LAST: 4, Field.FIRST: 3, Field.MIDDLE: 2}
# A house number with more digits might be somebody's voter number, which settles the matter.
_LONGEST_HOUSE = 4
_SHORTEST_STREET = 3
# An old address is no fault, and nothing that anybody at the table has to settle.
_NEVER_SAID = frozenset({Field.HOUSE, Field.STREET})
# What may stand before the text to say what kind of code it was read from (ISO/IEC 15424).
_KIND_OF_CODE = re.compile(r"\s*\][A-Za-z][0-9A-Za-z]")
UNREADABLE = "licence"
# A voter number with a letter added in front or behind, as some cards and lists print it. Fewer
# digits might be a house (`12A`) or a year.
_LETTERED = re.compile(r"[a-z]?([0-9]{5,})[a-z]?")


@dataclass(frozen=True, slots=True)
class Scanned(Typed):
    """The words of a licence; `fields` says of each what it is on the licence."""

    fields: tuple[Field, ...] = ()

    def said(self, unread: Collection[int]) -> tuple[str, ...]:
        """The facts to name where the words at the places `unread` fit nothing: `birth date`,
        `part of the last name`. Never the words themselves, and no address.
        """
        parts = dict.fromkeys(self.fields[at] for at in sorted(unread))
        return tuple(self._said_of(field, unread) for field in parts if field not in _NEVER_SAID)

    def _said_of(self, field: Field, unread: Collection[int]) -> str:
        is_unread = [at in unread for at, other in enumerate(self.fields) if other is field]
        return field.value if all(is_unread) else f"part of the {field.value}"


def typed_of_scan(text: str) -> Typed | None:
    """The words in `text` that a scanner typed; None where it may as well be a person.

    Never raises. A truncated name needs no other treatment: every name is also compared
    as the start of a longer one.
    """
    licence = read_licence(text)
    if licence is not None:
        return _typed_of(licence)
    kind = _KIND_OF_CODE.match(text)
    return parse(text[kind.end() :]) if kind else None


def lettered_number(typed: Typed) -> tuple[str, Typed] | None:
    """A number that has a letter before or behind it, as typed and as it is without; None where
    something else was typed. Whether the register knows the one or the other is for the caller.
    """
    number = "".join(word.folded for word in typed.words)
    found = _LETTERED.fullmatch(number)
    if isinstance(typed, Scanned) or found is None or found[1] == number:
        return None
    whole = Word(" ".join(word.typed for word in typed.words), found[1], 1.0)
    return number, replace(typed, words=(whole,), comma_at=None)


def _typed_of(licence: Licence) -> Scanned:
    """`Last, First Middle Suffix birth-date house street`."""
    words: list[Word] = []
    fields: list[Field] = []
    for field, found in _facts(licence):
        words += found
        fields += [field] * len(found)
    last_count = fields.count(Field.LAST)
    has_both = last_count and Field.FIRST in fields
    unread = () if words else (UNREADABLE,)
    return Scanned(tuple(words), last_count if has_both else None, unread, tuple(fields))


def _facts(licence: Licence) -> Iterator[tuple[Field, list[Word]]]:
    yield Field.LAST, _words(Field.LAST, licence.last_name)
    yield Field.FIRST, _words(Field.FIRST, licence.first_name)
    yield Field.MIDDLE, _words(Field.MIDDLE, " ".join(licence.middle_names))
    yield Field.SUFFIX, _words(Field.SUFFIX, licence.suffix)
    if licence.birth_date:
        born = licence.birth_date.isoformat()
        # Folded so that it is nobody's voter number or house number.
        yield Field.BIRTH, [Word(born, f"born{born.replace('-', '')}", _WEIGHT_OF[Field.BIRTH])]
    yield from _address(licence.street_address)


def _words(field: Field, text: str) -> list[Word]:
    """The words of one fact, which share its weight as they would if they were typed."""
    words = parse(text).words[: _MOST_WORDS.get(field, 1)]
    total = sum(word.weight for word in words)
    return [replace(word, weight=_WEIGHT_OF[field] * word.weight / total) for word in words]


def _address(street_address: str) -> Iterator[tuple[Field, list[Word]]]:
    """The house number and the one word that tells most about the street."""
    words = list(parse(street_address).words)
    if not words or not words[0].folded[:1].isdigit():
        return
    house, *others = words
    if len(house.folded) <= _LONGEST_HOUSE:
        yield Field.HOUSE, [replace(house, weight=_WEIGHT_OF[Field.HOUSE])]
    telling = [word for word in others if _is_telling(word.folded)]
    if telling:
        street = max(telling, key=lambda word: len(word.folded))
        yield Field.STREET, [replace(street, weight=_WEIGHT_OF[Field.STREET])]


def _is_telling(word: str) -> bool:
    """Whether it may be the street's own name: `West` and `Avenue` are shortened in print."""
    return len(word) >= _SHORTEST_STREET and fold_street_word(word) == word
