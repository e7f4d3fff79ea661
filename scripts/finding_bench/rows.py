"""The columns that every anchor gets, folded: what its candidates are ranked by."""

from __future__ import annotations

from collections.abc import Iterator

from finding_bench.folding import glued, words_of
from finding_bench.people import SUFFIXES, People


class Rows:
    """Folded names of one register; a line's names are positions in these tables.

    last_forms: the whole name glued, then its words and what follows leading words.
    """

    def __init__(self, people: People) -> None:
        self.people = people
        self.last_forms = [_forms(words_of(name)) for name in people.last_names]
        self.given = [glued(name) for name in people.given_names]
        self.given_words = [words_of(name) for name in people.given_names]

    def __len__(self) -> int:
        return len(self.people)

    def last(self, at: int) -> str:
        """The glued last name of the line at this position."""
        return self.last_forms[int(self.people.last[at])][0]

    def first(self, at: int) -> str:
        """The glued first name."""
        return self.given[int(self.people.first[at])]

    def suffix(self, at: int) -> str:
        """The suffix as printed."""
        return SUFFIXES[self.people.suffix[at]]

    def search_text(self, at: int) -> str:
        """All words of last, first, middle and maiden name, and the glued last name."""
        people = self.people
        last = self.last_forms[people.last[at]]
        words = (
            *words_of(people.last_names[people.last[at]]),
            *self.given_words[people.first[at]],
            *self.given_words[people.middle[at]],
            *words_of(people.last_names[people.maiden[at]]),
        )
        return " ".join(words if len(last) == 1 else (last[0], *words))

    def search_texts(self) -> Iterator[str]:
        """`search_text` of every line."""
        return (self.search_text(at) for at in range(len(self)))


def _forms(words: tuple[str, ...]) -> tuple[str, ...]:
    """The whole name first; single letters are no form of their own."""
    ends = ("".join(words[at:]) for at in range(len(words)))
    forms = dict.fromkeys(form for form in (*ends, *words) if len(form) > 1)
    return tuple(forms) or ("",)
