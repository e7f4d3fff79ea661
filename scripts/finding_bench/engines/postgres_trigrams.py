"""PostgreSQL: pg_trgm word similarity over a GIN or a GiST index.

Runs a throw-away cluster of its own, reached through a socket in a temporary folder.
"""

from __future__ import annotations

import os
import shutil
import subprocess
import tempfile
from pathlib import Path
from typing import Any

from finding_bench.engines.anchor import Anchor
from finding_bench.engines.engine import Missing, needed
from finding_bench.rows import Rows
from finding_bench.typed import Typed

# How like the typed text a stretch of a line's names must be to be a candidate of GIN.
_LEAST_LIKENESS = 0.3
_SETTINGS = (
    "listen_addresses=''", "shared_buffers=512MB", "work_mem=64MB", "maintenance_work_mem=512MB",
    "fsync=off", "synchronous_commit=off", "full_page_writes=off", "jit=off",
    "max_parallel_workers_per_gather=0", "autovacuum=off",
)  # fmt: skip
_PLACES = ("/usr/lib/postgresql", "/opt/homebrew/opt", "/usr/local/opt")
_KNOWN_AS = (
    "SELECT position FROM person WHERE first = ANY(%(others)s)"
    " ORDER BY word_similarity(%(text)s, names) DESC LIMIT %(width)s"
)
_INSTALL = "apt-get install postgresql-15, and pip install 'psycopg[binary]'"


class PostgresTrigrams(Anchor):
    """The GIN index: everybody like enough, then the likest."""

    name = "postgres gin"
    _index = "CREATE INDEX by_names ON person USING gin (names gin_trgm_ops)"
    _like = (
        "SELECT position FROM person WHERE %(text)s <%% names"
        " ORDER BY word_similarity(%(text)s, names) DESC LIMIT %(width)s"
    )

    _cluster: _Cluster | None = None
    _connection: Any = None

    def _store(self, rows: Rows) -> None:
        self._cluster = _Cluster()
        self._connection = self._cluster.connect()
        run = self._connection.execute
        run("CREATE EXTENSION pg_trgm")
        run("CREATE TABLE person (position int, last text, first text, names text, birth int)")
        with self._connection.cursor().copy("COPY person FROM STDIN") as copy:
            for at, text in enumerate(rows.search_texts()):
                birth = int(rows.people.birth[at])
                copy.write_row((at, rows.last(at), rows.first(at), text, birth))
        run(self._index)
        run("CREATE INDEX by_last ON person (last text_pattern_ops, first text_pattern_ops)")
        run("CREATE INDEX by_first ON person (first text_pattern_ops, last text_pattern_ops)")
        run("CREATE INDEX by_birth ON person (birth)")
        run("VACUUM ANALYZE person")
        run(f"SET pg_trgm.word_similarity_threshold = {_LEAST_LIKENESS}")

    def _by_names(self, typed: Typed, width: int) -> list[int]:
        values = {"text": " ".join(typed.words), "width": width}
        found = self._positions(self._like, values)
        others = self.nicknames(typed)
        if others:
            found += self._positions(_KNOWN_AS, {**values, "others": others})
        return found

    def _by_starts(self, typed: Typed, width: int) -> list[int]:
        found: list[int] = []
        for last, first in self.starts(typed):
            found += self._positions(
                "SELECT position FROM person WHERE last LIKE %(last)s AND first LIKE %(first)s"
                " LIMIT %(width)s",
                {"last": f"{last}%", "first": f"{first}%", "width": width},
            )
        return found

    def _by_birth(self, typed: Typed, width: int) -> list[int]:
        return self._positions(
            "SELECT position FROM person WHERE birth = %(birth)s LIMIT %(width)s",
            {"birth": typed.births[0].toordinal(), "width": width},
        )

    def _positions(self, query: str, values: dict[str, object]) -> list[int]:
        # Prepared statements would plan LIKE without knowing the beginning.
        rows = self._connection.execute(query, values, prepare=False).fetchall()
        return [at for (at,) in rows]

    def disk_bytes(self) -> int:
        size = self._connection.execute("SELECT pg_total_relation_size('person')").fetchone()
        return int(size[0])

    def close(self) -> None:
        if self._connection:
            self._connection.close()
        if self._cluster:
            self._cluster.stop()


class PostgresNearest(PostgresTrigrams):
    """The GiST index: the nearest first, without a threshold."""

    name = "postgres gist"
    _index = "CREATE INDEX by_names ON person USING gist (names gist_trgm_ops (siglen=64))"
    _like = "SELECT position FROM person ORDER BY %(text)s <<-> names LIMIT %(width)s"


class _Cluster:
    """A server in a folder that is gone after `stop`. It will not run as root."""

    def __init__(self) -> None:
        self._programs = _programs()
        self._folder = Path(tempfile.mkdtemp(prefix="finding-postgres-", dir="/tmp"))
        self._user = "postgres" if os.geteuid() == 0 else None
        if self._user:
            shutil.chown(self._folder, self._user)
        data = self._folder / "data"
        self._run("initdb", "-D", data, "-U", "bench", "-A", "trust", "-E", "UTF8", "--locale=C")
        options = " ".join(f"-c {setting}" for setting in _SETTINGS)
        self._run(
            "pg_ctl", "-D", data, "-w", "-l", self._folder / "log",
            "-o", f"{options} -k {self._folder}", "start",
        )  # fmt: skip

    def connect(self) -> Any:
        return needed("psycopg", _INSTALL).connect(
            host=str(self._folder), user="bench", dbname="postgres", autocommit=True
        )

    def stop(self) -> None:
        self._run("pg_ctl", "-D", self._folder / "data", "-m", "immediate", "stop")
        shutil.rmtree(self._folder, ignore_errors=True)

    def _run(self, program: str, *arguments: str | Path) -> None:
        done = subprocess.run(
            [self._programs / program, *arguments],
            user=self._user,
            cwd=self._folder,
            stdout=subprocess.DEVNULL,
            stderr=subprocess.PIPE,
            text=True,
        )
        if done.returncode:
            raise Missing(f"a PostgreSQL that starts: {done.stderr.strip()[:300]}")


def _programs() -> Path:
    """The folder with PostgreSQL's own programs."""
    needed("psycopg", _INSTALL)
    for place in _PLACES:
        for found in sorted(Path(place).glob("*/bin/initdb"), reverse=True):
            return found.parent
    on_path = shutil.which("initdb")
    if not on_path:
        raise Missing(_INSTALL)
    return Path(on_path).parent
