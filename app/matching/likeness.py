"""How one typed word is like every word of the vocabulary.

The vocabulary is the sorted, distinct name forms of the register. A comparison gives
one `Likeness` per word, never a mixture: that is what can be said aloud as the reason.
"""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Collection, Iterable, Sequence
from enum import IntEnum
from typing import Self

import numpy as np
from numpy.typing import NDArray
from rapidfuzz.distance import JaroWinkler
from rapidfuzz.process import cdist

from app.matching.arrays import Arrays, Ids, Lists, array_of_words, under, within, words_of_array
from app.matching.known_as import other_names
from app.matching.slips import SlipIndex, count_slips, letters_of
from app.matching.sounds import sound_key
from app.matching.starts import SHORTEST_START_OFF, StartIndex

Kinds = NDArray[np.uint8]
Scores = NDArray[np.float64]


class Likeness(IntEnum):
    """Ascending: where two hold for a word, the higher one is kept."""

    NONE = 0
    INITIAL_PRINTED = 1
    TWO_LETTERS_OFF = 2
    STARTS_ONE_LETTER_OFF = 3
    SOUNDS_LIKE = 4
    NICKNAME_STARTS = 5
    ONE_LETTER_OFF = 6
    NICKNAME = 7
    STARTS = 8
    SAME = 9


# Indexed by Likeness. Only the order and the gaps matter: a start of the right name comes
# before a slip, a slip before a sound, and two slips still outweigh a word that fits nothing.
# A printed initial agrees with every word that begins with it, which is not saying much.
SCORE_OF: Scores = np.array([0, 0.45, 0.62, 0.66, 0.70, 0.74, 0.80, 0.86, 0.90, 1.0])

# Shorter words are one or two letters from everything; the limits were found by trying.
SHORTEST_ONE_OFF = 3
SHORTEST_TWO_OFF = 5
SHORTEST_NICKNAME_START = 3
SHORTEST_HALF = 3
# Comparisons kept for the next keystroke: one byte each for every word.
REMEMBERED_BYTES, LEAST_REMEMBERED = 8_000_000, 16
# Soundex joins names that no ear would (Burke and Berg, 0.63); Smith and Schmidt stand at 0.74.
LEAST_JARO_WINKLER_OF_A_SOUND = 0.7
# It also hears no more than the first four sounds, whatever is glued on behind.
MOST_LETTERS_BESIDE_A_SOUND = 3


class Alike:
    """How one typed word is like every word of a vocabulary; not to be written to.

    kinds: one Likeness for each word and a last one, NONE, for no word. ids: the words that
    it is like, the least alike first; a printed initial, which would stand for everything
    that begins with it, is left out. scores: how well each of `ids` fits.
    """

    __slots__ = ("ids", "kinds", "scores")

    def __init__(self, kinds: Kinds) -> None:
        kinds.flags.writeable = False
        self.kinds = kinds
        ids = np.flatnonzero(kinds > Likeness.INITIAL_PRINTED)
        of_ids = kinds[ids]
        order = np.argsort(of_ids, kind="stable")
        self.ids = ids[order]
        self.scores: Scores = SCORE_OF[of_ids[order]]


class Vocabulary:
    """Sorted distinct words with what is needed to compare one more word with all of them.

    Identifiers are positions in `words`, so that the words with one start are neighbours;
    `none` is the identifier of no word at all, so that a missing name can be looked up
    like any other. Nothing changes after it is made but a cache, which only saves work.
    """

    def __init__(self, words: Iterable[str] = (), *, kept: Arrays | None = None) -> None:
        """Of `words`, or of what `arrays` gave for the same words."""
        self.words = sorted(set(words) - {""}) if kept is None else words_of_array(kept["words"])
        self.none = len(self.words)
        self._ids = {word: at for at, word in enumerate(self.words)}
        self._ids[""] = self.none
        if kept is None:
            letters, lengths = letters_of(self.words)
            self._slips = SlipIndex.made_of(letters, lengths, most=2)
            self._starts = StartIndex.made_of(self.words, letters, lengths)
            self._sounds = Lists.made_of(_by_sound(self.words))
        else:
            self._slips = SlipIndex.from_arrays(within("slips", kept))
            self._starts = StartIndex.from_arrays(self.words, within("starts", kept))
            self._sounds = Lists.from_arrays(within("sounds", kept))
        self._lengths = np.fromiter(map(len, self.words), dtype=np.int64, count=self.none)
        self._longest = int(self._lengths.max(initial=0))
        self._most_remembered = max(REMEMBERED_BYTES // (self.none + 1), LEAST_REMEMBERED)
        self._compared: dict[tuple[str, bool], Alike] = {}
        self._like_nothing = Alike(np.zeros(self.none + 1, dtype=np.uint8))

    def arrays(self) -> Arrays:
        return {
            "words": array_of_words(self.words),
            **under("slips", self._slips.arrays()),
            **under("starts", self._starts.arrays()),
            **under("sounds", self._sounds.arrays()),
        }

    def ids_of(self, words: Iterable[str]) -> list[int]:
        """The identifiers of `words`, which must be in the vocabulary or empty."""
        return [self._ids[word] for word in words]

    def find(self, word: str) -> int | None:
        """The identifier of `word`, None where it is not in the vocabulary."""
        return self._ids.get(word)

    def word(self, one: int) -> str:
        """The word of an identifier, empty for `none`."""
        return "" if one == self.none else self.words[one]

    def has_start(self, start: str) -> bool:
        """Whether any word begins with `start`."""
        low, high = self.range_of(start)
        return low < high

    def halves(self, word: str) -> list[tuple[int, int]]:
        """Two words of the vocabulary that `word`, itself none of them, is made of (`maryann`)."""
        if word in self._ids or len(word) < 2 * SHORTEST_HALF:
            return []
        cuts = range(SHORTEST_HALF, len(word) - SHORTEST_HALF + 1)
        pairs = ((self._ids.get(word[:at]), self._ids.get(word[at:])) for at in cuts)
        return [(one, other) for one, other in pairs if one is not None and other is not None]

    def compare(self, word: str, *, is_glued: bool = False) -> Kinds:
        """One Likeness for each word and a last one, NONE, for no word; not to be written to."""
        return self.alike(word, is_glued=is_glued).kinds

    def alike(self, word: str, *, is_glued: bool = False) -> Alike:
        """`word` compared with every word of the vocabulary.

        `word` is folded and not empty. `is_glued` is for words that were typed apart: they
        are compared as a whole or as a start, with one letter off at most. While somebody
        types, all words but the last stay as they were: they are compared once.
        """
        if is_glued and len(word) > self._longest + 1:
            # Of words glued together most are longer than any name: one letter off at most.
            return self._like_nothing
        known = self._compared.get((word, is_glued))
        if known is None:
            known = Alike(self._compare(word, is_glued))
            if len(self._compared) >= self._most_remembered:
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
        kinds[slice(*self.range_of(word))] = Likeness.STARTS
        if (same := self._ids.get(word)) is not None:
            kinds[same] = Likeness.SAME
        return kinds

    def range_of(self, start: str) -> tuple[int, int]:
        """The identifiers of the words that begin with `start`: from, and up to without it."""
        return bisect_left(self.words, start), bisect_left(self.words, start + "\x7f")

    def _mark_slips(self, kinds: Kinds, word: str, *, most: int) -> None:
        if len(word) < SHORTEST_ONE_OFF:
            return
        if len(word) < SHORTEST_TWO_OFF:
            most = 1
        ids = self._slips.near(word, most)
        others = list(map(self.words.__getitem__, ids.tolist()))
        edits = count_slips(word, others)
        # Words of three letters differ by one from too many: there a letter may only be
        # extra, or the first one must stand.
        one_off = (edits == 1) & (self._lengths[ids] >= SHORTEST_ONE_OFF)
        if len(word) == SHORTEST_ONE_OFF:
            one_off &= np.array([other[0] == word[0] for other in others], dtype=np.bool_)
        if most == 2:
            kinds[ids[edits == 2]] = Likeness.TWO_LETTERS_OFF
        kinds[ids[one_off]] = Likeness.ONE_LETTER_OFF

    def _mark_starts_with_slip(self, kinds: Kinds, word: str) -> None:
        """A slip early in a longer name: `smtih` for Smithson, a letter more or less included."""
        if len(word) < SHORTEST_START_OFF:
            return
        for low, high in self._starts.near(word):
            within = kinds[low:high]
            np.maximum(within, np.uint8(Likeness.STARTS_ONE_LETTER_OFF), out=within)

    def _mark_sounds(self, kinds: Kinds, word: str) -> None:
        if len(word) < SHORTEST_ONE_OFF:
            return
        ids = self._sounds.of(sound_key(word))
        ids = ids[np.abs(self._lengths[ids] - len(word)) <= MOST_LETTERS_BESIDE_A_SOUND]
        others = list(map(self.words.__getitem__, ids.tolist()))
        if not others:
            return
        alike = cdist([word], others, scorer=JaroWinkler.similarity, dtype=np.float64)[0]
        heard = ids[alike >= LEAST_JARO_WINKLER_OF_A_SOUND]
        kinds[heard] = np.maximum(kinds[heard], np.uint8(Likeness.SOUNDS_LIKE))


class Nicknames:
    """The first names of a vocabulary that a typed nickname may mean."""

    def __init__(self, meant: Lists) -> None:
        self._names = meant.keys
        self._meant = meant

    @classmethod
    def made_of(cls, vocabulary: Vocabulary, first_names: Collection[str]) -> Self:
        ids: dict[str, list[int]] = {}
        for name, at in zip(first_names, vocabulary.ids_of(first_names), strict=True):
            for other in other_names(name):
                ids.setdefault(other, []).append(at)
        return cls(Lists.made_of(ids))

    @classmethod
    def from_arrays(cls, arrays: Arrays) -> Self:
        return cls(Lists.from_arrays(arrays))

    def arrays(self) -> Arrays:
        return self._meant.arrays()

    def alike(self, alike: Alike, word: str) -> Alike:
        """The same as `raised`, as an `Alike`."""
        raised = self.raised(alike.kinds, word)
        return alike if raised is alike.kinds else Alike(raised)

    def raised(self, kinds: Kinds, word: str) -> Kinds:
        """`kinds` with the first names added that `word` stands for, or may be going to.

        The start of a nickname counts from three letters (two start a nickname of everybody)
        and only where it is none itself: `john` is not on its way to Johnathan.
        """
        low = bisect_left(self._names, word)
        if low < len(self._names) and self._names[low] == word:
            return _raised(kinds, self._meant.of_range(low, low + 1), Likeness.NICKNAME)
        if len(word) < SHORTEST_NICKNAME_START:
            return kinds
        high = bisect_left(self._names, word + "\x7f")
        if low == high:
            return kinds
        return _raised(kinds, self._meant.of_range(low, high), Likeness.NICKNAME_STARTS)


def _by_sound(words: Sequence[str]) -> dict[str, list[int]]:
    ids: dict[str, list[int]] = {}
    for at, word in enumerate(words):
        ids.setdefault(sound_key(word), []).append(at)
    return ids


def _raised(kinds: Kinds, ids: Ids, kind: Likeness) -> Kinds:
    raised = kinds.copy()
    raised[ids] = np.maximum(raised[ids], kind)
    return raised
