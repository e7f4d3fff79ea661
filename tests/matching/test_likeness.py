"""Comparing a word with a whole vocabulary, against the slow and obvious way."""

from __future__ import annotations

from hypothesis import given
from hypothesis import strategies as st
from rapidfuzz.distance import OSA, JaroWinkler

from app.matching.likeness import (
    LEAST_JARO_WINKLER_OF_A_SOUND,
    MOST_LETTERS_BESIDE_A_SOUND,
    SCORE_OF,
    Likeness,
    Vocabulary,
)
from app.matching.sounds import sound_key

# Few letters, so that near words are common.
WORDS = st.text(alphabet="abehrst", min_size=1, max_size=9)


def likeness_by_definition(word: str, other: str) -> Likeness:
    if word == other:
        return Likeness.SAME
    if other.startswith(word):
        return Likeness.STARTS
    if len(other) == 1 and word.startswith(other):
        return Likeness.INITIAL_PRINTED
    slips = OSA.distance(word, other)
    long_enough = len(word) > 3 or (len(word) == 3 and word[0] == other[0])
    if slips == 1 and long_enough and len(other) >= 3:
        return Likeness.ONE_LETTER_OFF
    sounds = sound_key(word) == sound_key(other) and len(word) >= 3
    sounds = sounds and abs(len(word) - len(other)) <= MOST_LETTERS_BESIDE_A_SOUND
    if sounds and JaroWinkler.similarity(word, other) >= LEAST_JARO_WINKLER_OF_A_SOUND:
        return Likeness.SOUNDS_LIKE
    starts = (other[:length] for length in range(len(word) - 1, len(word) + 2))
    if len(word) >= 5 and any(
        len(start) < len(other) and OSA.distance(word, start) <= 1 for start in starts
    ):
        return Likeness.STARTS_ONE_LETTER_OFF
    if slips == 2 and len(word) >= 5 and len(other) >= 3:
        return Likeness.TWO_LETTERS_OFF
    return Likeness.NONE


@given(WORDS, st.lists(WORDS, max_size=12))
def test_the_fast_comparison_agrees_with_the_definition(word: str, others: list[str]) -> None:
    vocabulary = Vocabulary(others)
    kinds = vocabulary.compare(word)
    assert len(kinds) == len(vocabulary.words) + 1
    assert kinds[vocabulary.none] == Likeness.NONE
    for other in others:
        found = Likeness(int(kinds[vocabulary.find(other)]))
        assert found == likeness_by_definition(word, other), (word, other)


@given(WORDS, st.lists(WORDS, max_size=12))
def test_words_typed_apart_are_compared_more_strictly(word: str, others: list[str]) -> None:
    vocabulary = Vocabulary(others)
    assert (vocabulary.compare(word, is_glued=True) <= vocabulary.compare(word)).all()


def test_a_better_likeness_never_scores_less() -> None:
    assert len(SCORE_OF) == len(Likeness)
    assert sorted(SCORE_OF) == list(SCORE_OF)


def test_asking_again_gives_the_same_answer_after_many_other_words() -> None:
    vocabulary = Vocabulary(["smith", "smythe", "jones"])
    first = vocabulary.compare("smit").tolist()
    for at in range(600):
        vocabulary.compare(f"w{at}")
    assert vocabulary.compare("smit").tolist() == first
