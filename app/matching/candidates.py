"""Which lines are worth scoring: those that what was typed points at the most.

Every typed word gives points to the lines that it may mean, in any field, the more the
better it fits there; a birth date gives them to those born then or a slip away. The sum
is what a line could score at best, were no field named twice. Only the lines with the
highest sums are scored. Nothing is keyed on one field: a name that is beyond recognition
is made up for by the date, and the other way round.
"""

from __future__ import annotations

import numpy as np

from app.matching.birth import BIRTH_SCORE_OF, BirthLikeness, near_days, year_starts
from app.matching.columns import Positions, distinct
from app.matching.dates import StartedDate, read_part, readings_of
from app.matching.interpret import (
    HOUSE_SAME,
    LONGEST_DATE_WORDS,
    LONGEST_NAME_WORDS,
    MAIDEN_FACTOR,
    SHORTEST_MAIDEN,
    SHORTEST_NUMBER_START,
    SHORTEST_STREET_START,
    can_be_number,
)
from app.matching.likeness import SCORE_OF, Alike, Likeness
from app.matching.names import SUFFIXES, fold_street_word
from app.matching.parse import Typed, Word
from app.matching.pointing import Pointing, Shortened, most_pointed
from app.matching.register import Register
from app.rules.policy import DateOrder

# So many people or fewer make a last name rare.
MOST_RARE = 400
# The best that a date a slip away from the typed one can score.
NEAR_DATE = float(BIRTH_SCORE_OF[BirthLikeness.DAY_MONTH_SWAPPED])
STARTED_DATE = float(BIRTH_SCORE_OF[BirthLikeness.MONTH_AND_DAY])

_NOBODY: Positions = np.zeros(0, dtype=np.int32)


def worth_scoring(
    typed: Typed, register: Register, date_order: DateOrder, election_year: int
) -> Shortened:
    """The lines worth scoring. None where nothing typed points at anybody."""
    pointing = Pointing(typed, register)
    sure = _point_by_dates(pointing, date_order, election_year)
    sure += _point_by_numbers(pointing)
    rare = _point_by_names(pointing)
    _point_by_suffixes(pointing)
    _point_by_streets(pointing)
    shortened = most_pointed(pointing.sum())
    if not sure and not rare:
        return shortened
    return Shortened(distinct([shortened.positions, *sure, *rare]), shortened.left_out)


def _point_by_dates(
    pointing: Pointing, date_order: DateOrder, election_year: int
) -> list[Positions]:
    """Point at the lines born on or near a date; answers those born on a date typed in full."""
    register, sure = pointing.register, []
    for bits, words in pointing.runs(LONGEST_DATE_WORDS):
        if not any(character.isdigit() for word in words for character in word.folded):
            continue
        text = " ".join(word.typed for word in words)
        if readings := readings_of(text, date_order=date_order, election_year=election_year):
            near, same = near_days(readings)
            born_then = register.born_on(same)
            pointing.put(bits, register.born_on(near), NEAR_DATE)
            pointing.put(bits, born_then, 1.0)
            pointing.dates |= bits
            sure.append(born_then)
        if len(words) == 1:
            _point_by_part(pointing, bits, words[0], date_order)
    return sure


def _point_by_part(pointing: Pointing, bits: int, word: Word, date_order: DateOrder) -> None:
    """A year alone, or a date that is still being typed."""
    register = pointing.register
    if _is_year(word.folded):
        year = int(word.folded)
        for first, last, kind in (
            (year - 1, year + 1, BirthLikeness.YEAR_NEAR),
            (year, year, BirthLikeness.YEAR_SAME),
        ):
            born = register.born_between(first * 10_000, last * 10_000 + 9_999)
            pointing.put(bits, born, float(BIRTH_SCORE_OF[kind]))
    elif started := read_part(word.typed, date_order=date_order):
        pointing.put(bits, _born_on_part(register, started), STARTED_DATE)


def _born_on_part(register: Register, started: StartedDate) -> Positions:
    if started.month is None:
        if len(started.year_start) == 4:
            year = int(started.year_start) * 10_000
            return register.born_between(year, year + 9_999)
        return _NOBODY
    lines = register.born_in(started.month, started.day)
    if started.year_start:
        lines = lines[year_starts(register.days[lines] // 10_000, started.year_start)]
    return lines


def _point_by_numbers(pointing: Pointing) -> list[Positions]:
    """Point at the lines that a number begins; answers those that have it in full.

    Digits that are a date in the first place may still be somebody's number.
    """
    sure, numbers = [], pointing.register.numbers
    for bits, words in pointing.runs(LONGEST_NAME_WORDS):
        glued = "".join(word.folded for word in words)
        digit_count = sum(character.isdigit() for character in glued)
        if not digit_count or not can_be_number(words):
            continue
        may_be_started = not bits & pointing.dates and not _is_year(glued)
        if may_be_started and digit_count >= SHORTEST_NUMBER_START:
            pointing.put(bits, numbers.starting(glued), float(SCORE_OF[Likeness.STARTS]))
        same = numbers.same(glued)
        if len(same):
            pointing.put(bits, same, 1.0)
            sure.append(same)
    return sure


def _point_by_names(pointing: Pointing) -> list[Positions]:
    """Point at the lines that a word may name; answers those with a rare last name as typed.

    They are scored even if nothing else points at them: the other words may be too far off.
    """
    rare: list[Positions] = []
    register = pointing.register
    vocabulary = register.vocabulary
    for bits, words in pointing.runs(LONGEST_NAME_WORDS):
        glued = "".join(word.folded for word in words)
        if not glued.isalpha() or bits & pointing.dates:
            continue
        alike = vocabulary.alike(glued, is_glued=len(words) > 1)
        if len(words) > 1 and not len(alike.ids):
            continue
        _point_by_name(pointing, bits, glued, alike, is_run=len(words) > 1)
        same = vocabulary.find(glued)
        if same is not None and len(glued) > 1:
            lines = register.last.postings.of_range(same, same + 1)
            rare += [lines] if 0 < len(lines) <= MOST_RARE else []
    return rare


def _point_by_name(
    pointing: Pointing, bits: int, glued: str, alike: Alike, *, is_run: bool
) -> None:
    register = pointing.register
    pointing.put_names(bits, register.last.postings, alike, 1.0)
    # Whose name begins so comes before whom a part of the name does.
    pointing.prefer(bits, *register.with_last_names(*register.vocabulary.range_of(glued)))
    if len(glued) >= SHORTEST_MAIDEN:
        pointing.put_names(bits, register.maiden.postings, alike, MAIDEN_FACTOR)
    if is_run:
        pointing.put_names(bits, register.first.postings, alike, pointing.given_factor)
        return
    pointing.put_names(bits, register.middle.postings, alike, pointing.middle_factor)
    given = register.nicknames.alike(alike, glued)
    pointing.put_names(bits, register.first.postings, given, pointing.given_factor)
    for first, _ in register.vocabulary.halves(glued):
        pointing.put(bits, register.first.postings.of(np.array([first])), 1.0)


def _point_by_suffixes(pointing: Pointing) -> None:
    suffixes = pointing.register.suffixes
    for at, word in enumerate(pointing.typed.words):
        if word.folded in SUFFIXES:
            lines = suffixes.postings.of_range(*suffixes.same(SUFFIXES[word.folded]))
            pointing.put(1 << at, lines, 1.0)


def _point_by_streets(pointing: Pointing) -> None:
    """A street points at people only beside a house number, or if it is nobody's name."""
    register = pointing.register
    houses = {
        at: register.houses.starting(word.folded)
        for at, word in enumerate(pointing.typed.words)
        if word.folded[:1].isdigit() and not pointing.dates >> at & 1
    }
    for at, word in enumerate(pointing.typed.words):
        street = fold_street_word(word.folded)
        if len(street) < SHORTEST_STREET_START or at in houses or pointing.dates >> at & 1:
            continue
        if not houses and register.vocabulary.has_start(word.folded):
            continue
        alike = register.streets.alike(street, is_glued=True)
        if not houses:
            pointing.put_names(1 << at, register.street.postings, alike, 1.0)
            continue
        lines, _ = register.street.postings.of_counted(alike.ids)
        of_lines = register.houses.at(lines)
        for house_at, (low, high) in houses.items():
            both = lines[(of_lines >= low) & (of_lines < high)]
            pointing.put(1 << at, both, 1.0)
            pointing.put(1 << house_at, both, HOUSE_SAME)


def _is_year(word: str) -> bool:
    """Four digits are sooner a year of birth than the start of a voter number."""
    return len(word) == 4 and word.isdigit() and word[:2] in ("19", "20")
