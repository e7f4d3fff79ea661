"""SQLite: its full-text index over trigrams, with plain indexes for beginnings and dates."""

from __future__ import annotations

import sqlite3
import tempfile
from pathlib import Path

from finding_bench.engines.anchor import Anchor
from finding_bench.engines.engine import Missing
from finding_bench.rows import Rows
from finding_bench.typed import Typed

_TABLES = """
CREATE TABLE person (position INTEGER PRIMARY KEY, last TEXT, first TEXT, birth INTEGER);
CREATE VIRTUAL TABLE names USING fts5(words, tokenize='trigram', content='', columnsize=1);
"""
_INDEXES = """
CREATE INDEX by_last ON person (last, first);
CREATE INDEX by_first ON person (first, last);
CREATE INDEX by_birth ON person (birth);
"""


class SqliteTrigrams(Anchor):
    """FTS5 with the trigram tokenizer, ranked by bm25; a file in a folder of its own."""

    name = "sqlite trigram"

    def _store(self, rows: Rows) -> None:
        self._folder = tempfile.TemporaryDirectory(prefix="finding-sqlite-")
        self._path = Path(self._folder.name) / "people.db"
        self._database = sqlite3.connect(self._path)
        try:
            self._database.executescript(_TABLES)
        except sqlite3.OperationalError as fault:
            raise Missing(f"an SQLite with FTS5 and its trigram tokenizer ({fault})") from fault
        with self._database as database:
            database.execute("PRAGMA synchronous = OFF")
            database.executemany(
                "INSERT INTO person VALUES (?, ?, ?, ?)",
                (
                    (at, rows.last(at), rows.first(at), int(rows.people.birth[at]))
                    for at in range(len(rows))
                ),
            )
            database.executemany(
                "INSERT INTO names (rowid, words) VALUES (?, ?)",
                ((at, _spaced(text.split())) for at, text in enumerate(rows.search_texts())),
            )
            database.execute("INSERT INTO names (names) VALUES ('optimize')")
        self._database.executescript(_INDEXES)
        self._database.execute("PRAGMA cache_size = -262144")
        self._database.execute("ANALYZE")

    def _by_names(self, typed: Typed, width: int) -> list[int]:
        words = [_any_of(_trigrams(word)) for word in typed.words]
        others = [f'" {name} "' for name in self.nicknames(typed)]
        # A line has something of every word; where too few do, something of any.
        strict = " AND ".join(f"({word})" for word in words)
        loose = " OR ".join([*words, *others])
        queries = [strict] if not others else [strict, f"({_any_of(others)}) AND ({loose})"]
        found: list[int] = []
        for query in queries:
            found += self._match(query, width)
        if len(found) < width // 4 and len(words) > 1:
            found += self._match(loose, width)
        return list(dict.fromkeys(found))

    def _match(self, query: str, width: int) -> list[int]:
        rows = self._database.execute(
            "SELECT rowid FROM names WHERE names MATCH ? ORDER BY rank LIMIT ?", (query, width)
        )
        return [at for (at,) in rows]

    def _by_starts(self, typed: Typed, width: int) -> list[int]:
        found: list[int] = []
        for last, first in self.starts(typed):
            rows = self._database.execute(
                "SELECT position FROM person"
                " WHERE last >= ? AND last < ? AND first >= ? AND first < ? LIMIT ?",
                (last, last + "\x7f", first, first + "\x7f", width),
            )
            found += [at for (at,) in rows]
        return found

    def _by_birth(self, typed: Typed, width: int) -> list[int]:
        rows = self._database.execute(
            "SELECT position FROM person WHERE birth = ? LIMIT ?",
            (typed.births[0].toordinal(), width),
        )
        return [at for (at,) in rows]

    def disk_bytes(self) -> int:
        return self._path.stat().st_size

    def close(self) -> None:
        self._database.close()
        self._folder.cleanup()


def _spaced(words: list[str]) -> str:
    """Two spaces between words: their heads and ends are trigrams of their own."""
    return " " + "  ".join(words) + " "


def _trigrams(word: str) -> list[str]:
    padded = f" {word} "
    return [f'"{padded[at : at + 3]}"' for at in range(len(padded) - 2)]


def _any_of(terms: list[str]) -> str:
    return " OR ".join(terms)
