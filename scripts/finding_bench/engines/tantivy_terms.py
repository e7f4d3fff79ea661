"""Tantivy: an inverted index asked for terms within one or two edits."""

from __future__ import annotations

from typing import Any

from finding_bench.engines.anchor import Anchor
from finding_bench.engines.engine import needed
from finding_bench.folding import words_of
from finding_bench.rows import Rows
from finding_bench.typed import Typed

_HEAP_BYTES = 128_000_000
# Where a name is looked for, and how much a hit there counts.
_FIELDS = (("last", 1.0), ("first", 1.0), ("middle", 0.6), ("maiden", 0.6))
_EXACT, _ONE_EDIT, _TWO_EDITS, _NICKNAME, _STARTS = 4.0, 2.5, 1.5, 3.0, 2.0


class TantivyTerms(Anchor):
    """Each typed word in each name field: exact, one edit, two edits, each worth less."""

    name = "tantivy fuzzy"

    def _store(self, rows: Rows) -> None:
        tantivy = self._tantivy = needed("tantivy", "pip install tantivy")
        builder = tantivy.SchemaBuilder()
        builder.add_unsigned_field("position", stored=True)
        for field, _ in _FIELDS:
            builder.add_text_field(field, index_option="basic", tokenizer_name="whitespace")
        builder.add_text_field("birth", index_option="basic", tokenizer_name="raw")
        self._schema = builder.build()
        self._index = tantivy.Index(self._schema)
        writer = self._index.writer(heap_size=_HEAP_BYTES, num_threads=1)
        for at in range(len(rows)):
            writer.add_document(tantivy.Document(**_fields(rows, at)))
        writer.commit()
        writer.wait_merging_threads()
        self._index.reload()
        self._searcher = self._index.searcher()

    def _by_names(self, typed: Typed, width: int) -> list[int]:
        parts = [part for word in typed.words for part in self._word(word)]
        glued = "".join(typed.words[:-1]), "".join(typed.words[1:])
        parts += [part for word in glued if len(typed.words) > 2 for part in self._word(word)]
        parts += [
            self._boosted(self._term("first", name), _NICKNAME) for name in self.nicknames(typed)
        ]
        return self._found(self._any(parts), width)

    def _word(self, word: str) -> list[Any]:
        """The word in every field; the best way in which it fits counts once a field."""
        made = []
        for field, share in _FIELDS:
            ways = [self._boosted(self._term(field, word), _EXACT * share)]
            if len(word) > 2:
                ways.append(self._boosted(self._fuzzy(field, word, 1), _ONE_EDIT * share))
            if len(word) > 4:
                ways.append(self._boosted(self._fuzzy(field, word, 2), _TWO_EDITS * share))
            made.append(self._tantivy.Query.disjunction_max_query(ways))
        return made

    def _by_starts(self, typed: Typed, width: int) -> list[int]:
        found: list[int] = []
        for last, first in self.starts(typed):
            must = [
                (self._tantivy.Occur.Must, self._starting(field, start))
                for field, start in (("last", last), ("first", first))
                if start
            ]
            found += self._found(self._tantivy.Query.boolean_query(must), width)
        return found

    def _by_birth(self, typed: Typed, width: int) -> list[int]:
        return self._found(self._term("birth", typed.births[0].isoformat()), width)

    def _found(self, query: Any, width: int) -> list[int]:
        hits = self._searcher.search(query, width).hits
        return [self._searcher.doc(address)["position"][0] for _, address in hits]

    def _term(self, field: str, word: str) -> Any:
        return self._tantivy.Query.term_query(self._schema, field, word)

    def _fuzzy(self, field: str, word: str, edits: int) -> Any:
        return self._tantivy.Query.fuzzy_term_query(
            self._schema, field, word, distance=edits, transposition_cost_one=True
        )

    def _starting(self, field: str, start: str) -> Any:
        return self._tantivy.Query.fuzzy_term_query(
            self._schema, field, start, distance=0, prefix=True
        )

    def _boosted(self, query: Any, times: float) -> Any:
        return self._tantivy.Query.boost_query(query, times)

    def _any(self, queries: list[Any]) -> Any:
        should = self._tantivy.Occur.Should
        return self._tantivy.Query.boolean_query([(should, query) for query in queries])


def _fields(rows: Rows, at: int) -> dict[str, Any]:
    people = rows.people
    last = words_of(people.last_names[people.last[at]])
    first = rows.given_words[people.first[at]]
    return {
        "position": at,
        "last": _with_whole(last),
        "first": _with_whole(first),
        "middle": " ".join(rows.given_words[people.middle[at]]),
        "maiden": _with_whole(words_of(people.last_names[people.maiden[at]])),
        "birth": people.birth_date(at).isoformat(),
    }


def _with_whole(words: tuple[str, ...]) -> str:
    return " ".join(words if len(words) < 2 else ("".join(words), *words))
