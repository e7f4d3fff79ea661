"""The witness of a voter who cannot sign: who may be one, and where the name is kept."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Literal

from sqlalchemy import Connection

from app.matching.names import SUFFIXES, fold, glue
from app.records import personal
from app.records.entry import Entry, canonical
from app.records.personal import Sealed
from app.rules.line import Line

Drawing = Sequence[Sequence[tuple[int, int, int]]]


@dataclass(frozen=True, slots=True)
class Witness:
    """Saw the voter make the mark; may be a worker. `strokes` is None for a name on paper."""

    name: str
    how: Literal["drawn", "paper"]
    strokes: Drawing | None = None


def details_of_witness(witness: Witness) -> dict[str, str | None]:
    """What is kept beside the log. The drawing is there too: an entry has room for one."""
    strokes = [[list(point) for point in stroke] for stroke in witness.strokes or ()]
    drawn = canonical(strokes) if witness.strokes is not None else None
    return {"witness_name": witness.name, "witness_strokes": drawn}


def seal_witness(witness: Witness) -> Sealed:
    return personal.seal(details_of_witness(witness))


def is_name_of(name: str, line: Line) -> bool:
    """Whether a name written down is the one on the line: in any order, middle names and suffix
    left out or not or shortened, capitals and accents as they come.

    A name with something more (`Sr` where the line says `Jr`) is somebody else's.
    """
    printed = line.printed
    first, last = printed.first_name, printed.last_name
    needed = _words(f"{first} {last}")
    words = _words(name)
    others = _words(f"{printed.middle_name} {printed.suffix}")
    initials = {other[0] for other in others}
    is_as_said = needed <= words and words - needed <= others | initials
    return is_as_said or glue(name) in {glue(first + last), glue(last + first)}


def _words(name: str) -> set[str]:
    return {SUFFIXES.get(word, word) for word in fold(name).split()}


def with_witness(connection: Connection, entry: Entry) -> Entry:
    """The entry as its line's history shows it: with the witness's name, where there is one."""
    if entry.body.get("witness_how") is None:
        return entry
    name = personal.details_of(connection, entry).get("witness_name", "")
    return replace(entry, body={**entry.body, "witness_name": name})
