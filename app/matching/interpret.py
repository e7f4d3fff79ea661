"""What each typed word, or run of words, may mean.

Readings compete; `scoring` picks among them for each line. To teach the box something
new, add a generator here and its words in `reasons`.
"""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from app.matching.birth import BIRTH_SCORE_OF
from app.matching.columns import NamesHere
from app.matching.dates import read_part, readings_of
from app.matching.likeness import SCORE_OF, Kinds, Likeness, Scores
from app.matching.names import SUFFIXES, fold_street_word
from app.matching.parse import Typed
from app.matching.reading import Field, Reading, Run, Taken, make_reading
from app.matching.register import Shortlist
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
# The comma says which name is the last one; people get it wrong.
AGAINST_COMMA_FACTOR = 0.9
# A street without its house number, where it is not also somebody's name.
STREET_ALONE = 0.6
HOUSE_SAME, HOUSE_STARTS = 0.9, 0.6
# `Maria de los Angeles`; of longer names the parts are found.
LONGEST_NAME_WORDS = 4
LONGEST_DATE_WORDS = 5  # 4 de marzo de 1987
LONGEST_NUMBER_WORDS = 4
SHORTEST_NUMBER_START = 4
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
            readings += _as_name(run, typed.comma_at, here)
            readings += _as_birth_date(run, here, date_order, election_year)
            readings += _as_number(run, here)
            if len(run.words) == 1:
                readings += _as_suffix(run, here)
                readings += _as_address(run, here, has_house=has_house)
    return [reading for reading in readings if (reading.gain > 0).any()]


def _as_name(run: Run, comma_at: int | None, here: Shortlist) -> Iterator[Reading]:
    is_run = len(run.words) > 1
    if run.crosses(comma_at) or len(run.words) > LONGEST_NAME_WORDS:
        return
    if not all(word.folded.isalpha() for word in run.words):
        return
    kinds = here.register.vocabulary.compare(run.folded, is_glued=is_run)
    if is_run:
        kinds = _without_dropped_words(run, kinds, here)
        if not kinds.any():
            return
    is_after = comma_at is not None and run.start >= comma_at
    is_before = comma_at is not None and not is_after
    last_factor = AGAINST_COMMA_FACTOR if is_after else 1.0
    given_factor = AGAINST_COMMA_FACTOR if is_before else 1.0
    yield _name(run, Field.LAST, here.last, kinds, Taken.LAST, last_factor)
    first_kinds = here.register.nicknames.raised(kinds, run.folded)
    yield _name(run, Field.FIRST, here.first, first_kinds, Taken.FIRST, given_factor)
    if len(run.folded) >= SHORTEST_MAIDEN:
        yield _name(run, Field.MAIDEN, here.maiden, kinds, Taken.MAIDEN, MAIDEN_FACTOR)
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
) -> Reading:
    of_whole = kinds[column.whole]
    scores = SCORE_OF[of_whole]
    if len(run.words) > 1:
        scores[column.word_counts != len(run.words)] *= OTHER_PIECES_FACTOR
    of_part = column.best_part(kinds)
    part_scores = SCORE_OF[of_part] * PART_FACTOR
    on_part = part_scores > scores
    scores = np.maximum(scores, part_scores) * factor
    likeness = np.where(on_part, of_part, of_whole)
    if field is not Field.MAIDEN:
        return make_reading(run, field, scores, likeness, takes=takes, on_part=on_part)
    return make_reading(
        run,
        field,
        scores,
        likeness,
        takes=takes,
        alone=scores * MAIDEN_ALONE,
        needs=Taken.LAST | Taken.FIRST,
        on_part=on_part,
    )


def _middle(run: Run, here: Shortlist, kinds: Kinds, factor: float) -> Iterator[Reading]:
    """A middle name beside the first, or in its place."""
    found, scores = _best_of(here.middle, kinds)
    scores *= factor
    nothing = np.zeros(len(scores))
    yield make_reading(run, Field.MIDDLE, scores, found, alone=nothing, needs=Taken.FIRST)
    # A printed initial alone would stand for every word that begins with it.
    instead = np.where(found == Likeness.INITIAL_PRINTED, 0.0, scores * MIDDLE_AS_FIRST)
    # Who has no first name has only this one to go by.
    has_no_first = here.first.whole == here.register.vocabulary.none
    instead = np.where(has_no_first, scores, instead)
    yield make_reading(run, Field.MIDDLE, instead, found, takes=Taken.FIRST)


def _first_and_middle(run: Run, here: Shortlist, factor: float) -> Iterator[Reading]:
    """`maryann` for Mary, middle name Ann."""
    hits = np.zeros(len(here), dtype=np.bool_)
    for first, middle in here.register.vocabulary.halves(run.folded):
        is_middle = (here.middle.whole == middle) | here.middle.has_part(middle)
        hits |= (here.first.whole == first) & is_middle
    if hits.any():
        kinds = np.where(hits, np.uint8(Likeness.SAME), np.uint8(Likeness.NONE))
        scores = SCORE_OF[kinds] * OTHER_PIECES_FACTOR * factor
        yield make_reading(run, Field.FIRST, scores, kinds, takes=Taken.FIRST)


def _best_of(column: NamesHere, kinds: Kinds) -> tuple[Kinds, Scores]:
    """The best likeness among all words of a field, for each line, and its score."""
    found = np.maximum(kinds[column.whole], column.best_part(kinds))
    return found, SCORE_OF[found]


def _as_suffix(run: Run, here: Shortlist) -> Iterator[Reading]:
    kinds = here.of_suffix(SUFFIXES.get(run.folded, run.folded))
    yield make_reading(run, Field.SUFFIX, SCORE_OF[kinds], kinds)


def _as_birth_date(
    run: Run, here: Shortlist, date_order: DateOrder, election_year: int
) -> Iterator[Reading]:
    if len(run.words) > LONGEST_DATE_WORDS or not any(c.isdigit() for c in run.folded):
        return
    readings = readings_of(run.text, date_order=date_order, election_year=election_year)
    if readings:
        yield _birth(run, here.birth_dates.compare(readings))
    if len(run.words) > 1:
        return
    if started := read_part(run.text, date_order=date_order):
        yield _birth(run, here.birth_dates.compare_started(started))
    if run.text.isascii() and run.text.isdigit() and len(run.text) == 4:
        yield _birth(run, here.birth_dates.compare_year(int(run.text)))


def _birth(run: Run, kinds: Kinds) -> Reading:
    return make_reading(run, Field.BIRTH, BIRTH_SCORE_OF[kinds], kinds)


def _as_number(run: Run, here: Shortlist) -> Iterator[Reading]:
    """A voter number in full, or at least four digits of its start."""
    if len(run.words) > LONGEST_NUMBER_WORDS:
        return
    digit_count = sum(character.isdigit() for character in run.folded)
    kinds = here.of_number(run.folded, is_start=digit_count >= SHORTEST_NUMBER_START)
    yield make_reading(run, Field.NUMBER, SCORE_OF[kinds], kinds)


def _as_address(run: Run, here: Shortlist, *, has_house: bool) -> Iterator[Reading]:
    if not run.folded:
        return
    if run.folded[0].isdigit():
        yield _house(run, here)
    is_name = here.register.vocabulary.has_start(run.folded)
    if is_name and not has_house:
        return
    word = fold_street_word(run.folded)
    kinds = here.register.streets.compare(word, is_glued=True)
    if not word.isalpha() or len(word) < SHORTEST_STREET_START:
        # `5th` or `2` is another street or door than `5` or `21`.
        kinds = np.where(kinds == Likeness.SAME, kinds, np.uint8(Likeness.NONE))
    found, scores = _best_of(here.street, kinds)
    share = 0.0 if is_name else STREET_ALONE
    yield make_reading(run, Field.STREET, scores, found, alone=scores * share, needs=Taken.HOUSE)


def _house(run: Run, here: Shortlist) -> Reading:
    kinds = here.of_house(run.folded)
    scores = np.select(
        [kinds == Likeness.SAME, kinds == Likeness.STARTS], [HOUSE_SAME, HOUSE_STARTS], 0.0
    )
    return make_reading(run, Field.HOUSE, scores, kinds, takes=Taken.HOUSE)
