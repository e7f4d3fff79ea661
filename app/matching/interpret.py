"""What each typed word, or run of words, may mean.

Readings compete; `scoring` picks among them for each line. To teach the box something
new, add a generator here and its words in `reasons`.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

import numpy as np

from app.matching.birth import BIRTH_SCORE_OF
from app.matching.columns import NamesHere
from app.matching.dates import read_part, readings_of
from app.matching.likeness import SCORE_OF, Kinds, Likeness, Scores
from app.matching.names import SUFFIXES, fold_street_word
from app.matching.parse import Typed, Word
from app.matching.reading import NO_FIT, Field, Reading, Run, Taken, gains_of, make_reading
from app.matching.shortlist import Shortlist
from app.rules.policy import DateOrder

# Some people go by their middle name.
MIDDLE_AS_FIRST = 0.88
# People give their own name; their mother's stands beside it or, at the very last, alone.
MAIDEN_FACTOR = 0.85
MAIDEN_ALONE = 0.36
SHORTEST_MAIDEN = 3
# Half of a double name, after those who have the name alone.
PART_FACTOR = 0.95
# Typed in other pieces than printed (`o neil`, `garcialopez`).
OTHER_PIECES_FACTOR = 0.97
# Who types a start of each name types the last name first: it only decides between equals.
BEFORE_LAST = 0.01
# The comma says which name is the last one; people get it wrong.
AGAINST_COMMA_FACTOR = 0.9
# A street without its house number, where it is not also somebody's name.
STREET_ALONE = 0.6
HOUSE_SAME, HOUSE_STARTS = 0.9, 0.6
HOUSE_SCORE_OF: Scores = np.zeros(len(Likeness))
HOUSE_SCORE_OF[Likeness.SAME], HOUSE_SCORE_OF[Likeness.STARTS] = HOUSE_SAME, HOUSE_STARTS
# `Maria de los Angeles`; of longer names the parts are found.
LONGEST_NAME_WORDS = 4
LONGEST_DATE_WORDS = 5  # 4 de marzo de 1987
LONGEST_NUMBER_WORDS = 4
SHORTEST_NUMBER_START = 4
MOST_NUMBER_LETTERS = 3
SHORTEST_STREET_START = 3


def possible_readings(
    typed: Typed, here: Shortlist, date_order: DateOrder, election_year: int
) -> list[Reading]:
    """Every reading of `typed` that fits at least one line."""
    most = max(LONGEST_NAME_WORDS, LONGEST_DATE_WORDS, LONGEST_NUMBER_WORDS)
    readings: list[Reading] = []
    has_house = any(word.folded[:1].isdigit() for word in typed.words)
    for start in range(len(typed.words)):
        for stop in range(start + 1, min(start + most, len(typed.words)) + 1):
            words = typed.words[start:stop]
            run = Run(start, words, "".join(word.folded for word in words))
            if run.folded.isalpha():
                readings += _as_name(run, typed.comma_at, here)
            else:
                readings += _as_birth_date(run, here, date_order, election_year)
                readings += _as_number(run, here)
            if len(run.words) == 1:
                readings += _as_suffix(run, here)
                readings += _as_address(run, here, has_house=has_house)
    return readings


def _as_name(run: Run, comma_at: int | None, here: Shortlist) -> Iterator[Reading]:
    is_run = len(run.words) > 1
    if run.crosses(comma_at) or len(run.words) > LONGEST_NAME_WORDS:
        return
    alike = here.register.vocabulary.alike(run.folded, is_glued=is_run)
    kinds = alike.kinds
    if is_run:
        if not len(alike.ids):
            return
        kinds = _without_dropped_words(run, kinds, here)
        if not kinds.any():
            return
    is_after = comma_at is not None and run.start >= comma_at
    is_before = comma_at is not None and not is_after
    last_factor = AGAINST_COMMA_FACTOR if is_after else 1.0
    given_factor = AGAINST_COMMA_FACTOR if is_before else 1.0
    yield from _name(run, Field.LAST, here.last, kinds, Taken.LAST, last_factor)
    first_kinds = here.register.nicknames.raised(kinds, run.folded)
    yield from _name(run, Field.FIRST, here.first, first_kinds, Taken.FIRST, given_factor)
    if len(run.folded) >= SHORTEST_MAIDEN:
        yield from _name(run, Field.MAIDEN, here.maiden, kinds, Taken.MAIDEN, MAIDEN_FACTOR)
    if not is_run:
        yield from _middle(run, here, kinds, given_factor)
        yield from _first_and_middle(run, here, given_factor)


def _without_dropped_words(run: Run, kinds: Kinds, here: Shortlist) -> Kinds:
    """`smith j` is no slip for Smith: a word left out is ignored, and said to be."""
    kinds = kinds.copy()
    for at in range(len(run.words)):
        others = "".join(word.folded for word in run.words[:at] + run.words[at + 1 :])
        known = here.register.vocabulary.find(others)
        if known is not None and kinds[known] == Likeness.ONE_LETTER_OFF:
            kinds[known] = Likeness.NONE
    return kinds


def _name(
    run: Run, field: Field, column: NamesHere, kinds: Kinds, takes: int, factor: float
) -> Iterator[Reading]:
    likeness = kinds[column.whole]
    places, of_parts = column.parts_like(kinds)
    if not len(places) and not likeness.any():
        return
    worth = run.weight * factor
    gain = gains_of(SCORE_OF, worth)[likeness]
    if len(run.words) > 1:
        gain[column.word_counts != len(run.words)] *= OTHER_PIECES_FACTOR
    on_part = None
    if len(places):
        part_gain = SCORE_OF[of_parts] * (PART_FACTOR * worth)
        is_better = part_gain > gain[places]
        places = places[is_better]
        gain[places], likeness[places] = part_gain[is_better], of_parts[is_better]
        on_part = np.zeros(len(gain), dtype=np.bool_)
        on_part[places] = True
    if field is Field.MAIDEN:
        # No fit is below zero without end: a share of it is no fit either.
        alone, needs = gain * MAIDEN_ALONE, Taken.LAST | Taken.FIRST
    elif field is Field.FIRST:
        alone, needs = gain - (likeness == Likeness.STARTS) * (BEFORE_LAST * worth), Taken.LAST
    else:
        alone, needs = gain, Taken.NOTHING
    yield make_reading(
        run, field, gain, likeness, alone=alone, takes=takes, needs=needs, on_part=on_part
    )


def _middle(run: Run, here: Shortlist, kinds: Kinds, factor: float) -> Iterator[Reading]:
    """A middle name beside the first, or in its place."""
    found = here.middle.best_like(kinds)
    if not found.any():
        return
    gains = gains_of(SCORE_OF, run.weight * factor)
    beside = gains[found]
    nothing = np.full(len(found), NO_FIT)
    yield make_reading(run, Field.MIDDLE, beside, found, alone=nothing, needs=Taken.FIRST)
    instead_gains = gains * MIDDLE_AS_FIRST
    # A printed initial alone would stand for every word that begins with it.
    instead_gains[Likeness.INITIAL_PRINTED] = NO_FIT
    # Who has no first name has only this one to go by.
    has_no_first = here.first.whole == here.register.vocabulary.none
    instead = np.where(has_no_first, beside, instead_gains[found])
    yield make_reading(run, Field.MIDDLE, instead, found, takes=Taken.FIRST)


def _first_and_middle(run: Run, here: Shortlist, factor: float) -> Iterator[Reading]:
    """`maryann` for Mary, middle name Ann."""
    hits = None
    for first, middle in here.register.vocabulary.halves(run.folded):
        is_middle = (here.middle.whole == middle) | here.middle.has_part(middle)
        both = (here.first.whole == first) & is_middle
        hits = both if hits is None else hits | both
    if hits is not None and hits.any():
        kinds = np.where(hits, np.uint8(Likeness.SAME), np.uint8(Likeness.NONE))
        gain = gains_of(SCORE_OF, run.weight * OTHER_PIECES_FACTOR * factor)[kinds]
        yield make_reading(run, Field.FIRST, gain, kinds, takes=Taken.FIRST)


def _as_suffix(run: Run, here: Shortlist) -> Iterator[Reading]:
    kinds = here.of_suffix(SUFFIXES.get(run.folded, run.folded))
    if kinds is not None:
        yield make_reading(run, Field.SUFFIX, gains_of(SCORE_OF, run.weight)[kinds], kinds)


def _as_birth_date(
    run: Run, here: Shortlist, date_order: DateOrder, election_year: int
) -> Iterator[Reading]:
    if len(run.words) > LONGEST_DATE_WORDS or not any(c.isdigit() for c in run.folded):
        return
    readings = readings_of(run.text, date_order=date_order, election_year=election_year)
    if readings:
        yield from _birth(run, here.birth_dates.compare(readings))
    if len(run.words) > 1:
        return
    if started := read_part(run.text, date_order=date_order):
        yield from _birth(run, here.birth_dates.compare_started(started))
    if run.text.isascii() and run.text.isdigit() and len(run.text) == 4:
        yield from _birth(run, here.birth_dates.compare_year(int(run.text)))


def _birth(run: Run, kinds: Kinds) -> Iterator[Reading]:
    if kinds.any():
        yield make_reading(run, Field.BIRTH, gains_of(BIRTH_SCORE_OF, run.weight)[kinds], kinds)


def _as_number(run: Run, here: Shortlist) -> Iterator[Reading]:
    """A voter number in full, or at least four digits of its start."""
    digit_count = sum(character.isdigit() for character in run.folded)
    if not digit_count or not can_be_number(run.words):
        return
    kinds = here.of_number(run.folded, is_start=digit_count >= SHORTEST_NUMBER_START)
    if kinds is not None:
        yield make_reading(run, Field.NUMBER, gains_of(SCORE_OF, run.weight)[kinds], kinds)


def can_be_number(words: Sequence[Word]) -> bool:
    """Whether a voter number may be typed in these words; it holds few letters."""
    return len(words) <= LONGEST_NUMBER_WORDS and all(
        len(word.folded) <= MOST_NUMBER_LETTERS or not word.folded.isalpha() for word in words
    )


def _as_address(run: Run, here: Shortlist, *, has_house: bool) -> Iterator[Reading]:
    if not run.folded:
        return
    if run.folded[0].isdigit() and "/" not in run.text:
        yield from _house(run, here)
    is_name = here.register.vocabulary.has_start(run.folded)
    if is_name and not has_house:
        return
    word = fold_street_word(run.folded)
    # `5th` or `2` is another street or door than `5` or `21`.
    is_as_typed = not word.isalpha() or len(word) < SHORTEST_STREET_START
    if is_as_typed and here.register.streets.find(word) is None:
        return
    kinds = here.register.streets.compare(word, is_glued=True)
    if is_as_typed:
        kinds = np.where(kinds == Likeness.SAME, kinds, np.uint8(Likeness.NONE))
    found = here.street.best_like(kinds)
    if found.any():
        gains = gains_of(SCORE_OF, run.weight)
        share = 0.0 if is_name else STREET_ALONE
        alone = gains_of(SCORE_OF, run.weight * share)[found]
        yield make_reading(run, Field.STREET, gains[found], found, alone=alone, needs=Taken.HOUSE)


def _house(run: Run, here: Shortlist) -> Iterator[Reading]:
    kinds = here.of_house(run.folded)
    if kinds is not None:
        gains = gains_of(HOUSE_SCORE_OF, run.weight)
        yield make_reading(run, Field.HOUSE, gains[kinds], kinds, takes=Taken.HOUSE)
