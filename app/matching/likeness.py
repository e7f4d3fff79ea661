"""How one typed word is like every word of the vocabulary.

The vocabulary is the sorted, distinct name forms of the register. A comparison gives
one `Likeness` per word, never a mixture: that is what can be said aloud as the reason.
"""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Collection, Iterable, Sequence
from enum import IntEnum
from itertools import chain

import numpy as np
from numpy.typing import NDArray
from rapidfuzz.distance import OSA, JaroWinkler
from rapidfuzz.process import cdist

from app.matching.known_as import other_names
from app.matching.sounds import sound_key

Kinds = NDArray[np.uint8]
Scores = NDArray[np.float64]


class Likeness(IntEnum):
    """Ascending: where two hold for a word, the higher one is kept."""

    NONE = 0
    TWO_LETTERS_OFF = 1
    STARTS_ONE_LETTER_OFF = 2
    SOUNDS_LIKE = 3
    NICKNAME_STARTS = 4
    INITIAL_PRINTED = 5
    ONE_LETTER_OFF = 6
    NICKNAME = 7
    STARTS = 8
    SAME = 9


# Indexed by Likeness. Only the order and the gaps matter: a start of the right name comes
# before a slip, a slip before a sound, and two slips still outweigh a word that fits nothing.
SCORE_OF: Scores = np.array([0, 0.62, 0.66, 0.70, 0.74, 0.78, 0.80, 0.86, 0.90, 1.0])

# Shorter words are one or two letters from everything; the limits were found by trying.
SHORTEST_ONE_OFF = 3
SHORTEST_START_OFF = 5
SHORTEST_TWO_OFF = 6
SHORTEST_NICKNAME_START = 3
# Comparisons kept for the next keystroke, a few kilobytes each.
MOST_REMEMBERED = 256
# Soundex joins names that no ear would (Burke and Berg, 0.63); Smith and Schmidt stand at 0.74.
LEAST_JARO_WINKLER_OF_A_SOUND = 0.7


class Vocabulary:
    """Sorted distinct words with what is needed to compare one more word with all of them.

    Identifiers are positions in `words`; `none` is the identifier of no word at all, so
    that a missing name can be looked up like any other. Nothing changes after it is made
    but two caches, which only save work.
    """

    def __init__(self, words: Iterable[str]) -> None:
        self.words = sorted(set(words) - {""})
        self.none = len(self.words)
        self._ids = {word: at for at, word in enumerate(self.words)}
        self._ids[""] = self.none
        by_length = sorted(range(self.none), key=lambda at: len(self.words[at]))
        self._ids_by_length = np.array(by_length, dtype=np.intp)
        self._words_by_length = [self.words[at] for at in by_length]
        self._lengths = [len(word) for word in self._words_by_length]
        self._ids_by_sound: dict[str, list[int]] = {}
        for at, word in enumerate(self.words):
            self._ids_by_sound.setdefault(sound_key(word), []).append(at)
        self._starts: dict[int, tuple[list[str], NDArray[np.intp], NDArray[np.intp]]] = {}
        self._compared: dict[tuple[str, bool], Kinds] = {}

    def ids_of(self, words: Iterable[str]) -> list[int]:
        """The identifiers of `words`, which must be in the vocabulary or empty."""
        return [self._ids[word] for word in words]

    def find(self, word: str) -> int | None:
        """The identifier of `word`, None where it is not in the vocabulary."""
        return self._ids.get(word)

    def has_start(self, start: str) -> bool:
        """Whether any word begins with `start`."""
        low, high = self._range_of(start)
        return low < high

    def compare(self, word: str, *, is_glued: bool = False) -> Kinds:
        """One Likeness for each word and a last one, NONE, for no word; not to be written to.

        `word` is folded and not empty. `is_glued` is for words that were typed apart: they
        are compared as a whole or as a start, with one letter off at most. While somebody
        types, all words but the last stay as they were: they are compared once.
        """
        known = self._compared.get((word, is_glued))
        if known is None:
            known = self._compare(word, is_glued)
            known.flags.writeable = False
            if len(self._compared) >= MOST_REMEMBERED:
                self._compared.clear()
            self._compared[word, is_glued] = known
        return known

    def _compare(self, word: str, is_glued: bool) -> Kinds:
        kinds = np.zeros(self.none + 1, dtype=np.uint8)
        if not self.words:
            return kinds
        self._mark_slips(kinds, word, most=1 if is_glued else 2)
        if not is_glued:
            self._mark_starts_with_slip(kinds, word)
            self._mark_sounds(kinds, word)
        if len(word) > 1 and (initial := self._ids.get(word[0])) is not None:
            kinds[initial] = Likeness.INITIAL_PRINTED
        kinds[slice(*self._range_of(word))] = Likeness.STARTS
        if (same := self._ids.get(word)) is not None:
            kinds[same] = Likeness.SAME
        return kinds

    def _range_of(self, start: str) -> tuple[int, int]:
        return bisect_left(self.words, start), bisect_left(self.words, start + "\x7f")

    def _mark_slips(self, kinds: Kinds, word: str, *, most: int) -> None:
        if len(word) < SHORTEST_ONE_OFF:
            return
        # Words of three letters differ by one from too many: there a letter may only be
        # extra, or the first one must stand.
        shortest = max(len(word) - most, SHORTEST_ONE_OFF)
        ids, words = self._of_lengths(shortest, len(word) + most)
        edits = _edits(word, words)
        one_off = edits == 1
        if len(word) == SHORTEST_ONE_OFF:
            one_off &= np.array([other[0] == word[0] for other in words], dtype=np.bool_)
        if most == 2 and len(word) >= SHORTEST_TWO_OFF:
            kinds[ids[edits == 2]] = Likeness.TWO_LETTERS_OFF
        kinds[ids[one_off]] = Likeness.ONE_LETTER_OFF

    def _of_lengths(self, low: int, high: int) -> tuple[NDArray[np.intp], list[str]]:
        """The words of `low` to `high` letters, and their identifiers."""
        place = slice(bisect_left(self._lengths, low), bisect_left(self._lengths, high + 1))
        return self._ids_by_length[place], self._words_by_length[place]

    def _mark_starts_with_slip(self, kinds: Kinds, word: str) -> None:
        """A slip early in a longer name: `smtih` for Smithson, a letter more or less included."""
        if len(word) < SHORTEST_START_OFF:
            return
        for length in (len(word) - 1, len(word), len(word) + 1):
            starts, start_of, ids = self._starts_of_length(length)
            hits = ids[(_edits(word, starts) <= 1)[start_of]]
            kinds[hits] = np.maximum(kinds[hits], Likeness.STARTS_ONE_LETTER_OFF)

    def _starts_of_length(
        self, length: int
    ) -> tuple[list[str], NDArray[np.intp], NDArray[np.intp]]:
        """The distinct starts of all longer words; for each such word its start, and itself."""
        if length not in self._starts:
            place = bisect_left(self._lengths, length + 1)
            cut = [word[:length] for word in self._words_by_length[place:]]
            places = {start: at for at, start in enumerate(dict.fromkeys(cut))}
            start_of = np.array([places[start] for start in cut], dtype=np.intp)
            self._starts[length] = list(places), start_of, self._ids_by_length[place:]
        return self._starts[length]

    def _mark_sounds(self, kinds: Kinds, word: str) -> None:
        if len(word) < SHORTEST_ONE_OFF:
            return
        for at in self._ids_by_sound.get(sound_key(word), ()):
            if kinds[at] < Likeness.SOUNDS_LIKE:
                alike = JaroWinkler.similarity(word, self.words[at])
                if alike >= LEAST_JARO_WINKLER_OF_A_SOUND:
                    kinds[at] = Likeness.SOUNDS_LIKE


class Nicknames:
    """The first names of a vocabulary that a typed nickname may mean."""

    def __init__(self, vocabulary: Vocabulary, first_names: Collection[str]) -> None:
        ids: dict[str, list[int]] = {}
        for name, at in zip(first_names, vocabulary.ids_of(first_names), strict=True):
            for other in other_names(name):
                ids.setdefault(other, []).append(at)
        self._names = sorted(ids)
        self._ids = [ids[name] for name in self._names]

    def raised(self, kinds: Kinds, word: str) -> Kinds:
        """`kinds` with the first names added that `word` stands for, or may be going to.

        The start of a nickname counts from three letters (two start a nickname of everybody)
        and only where it is none itself: `john` is not on its way to Johnathan.
        """
        low = bisect_left(self._names, word)
        if low < len(self._names) and self._names[low] == word:
            return _raised(kinds, self._ids[low], Likeness.NICKNAME)
        if len(word) < SHORTEST_NICKNAME_START:
            return kinds
        high = bisect_left(self._names, word + "\x7f")
        ids = list(chain.from_iterable(self._ids[low:high]))
        return _raised(kinds, ids, Likeness.NICKNAME_STARTS)


def _edits(word: str, words: Sequence[str]) -> NDArray[np.uint8]:
    """Slips (wrong, missing, extra or swapped letters) from `word`; more than two read three."""
    edits: NDArray[np.uint8] = cdist(
        [word], words, scorer=OSA.distance, score_cutoff=2, dtype=np.uint8
    )[0]
    return edits


def _raised(kinds: Kinds, ids: NDArray[np.intp] | list[int], kind: Likeness) -> Kinds:
    raised = kinds.copy()
    raised[ids] = np.maximum(raised[ids], kind)
    return raised
