"""Hours on paper as they are shown: with the names of their rows and what contradicts them."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from sqlalchemy import Connection

from app.desk.catching_up import contradiction_of
from app.desk.paper_hours import KeyedRow, PaperHour, paper_hours
from app.desk.roster import Roster
from app.records import personal, queries
from app.records.entry import Entry


@dataclass(frozen=True, slots=True)
class PersonOnPaper:
    """Who a row is: of a line as it stands, of nobody's line as it was read."""

    name: str = ""
    said_number: str = ""


@dataclass(frozen=True, slots=True)
class PaperRead:
    """`people` and `contradictions` by the entry that keyed the row."""

    hours: list[PaperHour]
    people: Mapping[int, PersonOnPaper]
    contradictions: Mapping[int, Entry]


def read_paper(roster: Roster) -> PaperRead:
    """Every hour on paper, oldest first, in one snapshot."""

    def read(connection: Connection) -> PaperRead:
        hours = paper_hours(connection)
        return _read(connection, hours, [row for hour in hours for row in hour.rows])

    return roster.store.read(read)


def read_row(roster: Roster, row: KeyedRow) -> PaperRead:
    """The same of one row, without its hour."""
    return roster.store.read(lambda connection: _read(connection, [], [row]))


def _read(connection: Connection, hours: list[PaperHour], rows: list[KeyedRow]) -> PaperRead:
    opened = {row.keyed.seq: contradiction_of(connection, row.decided) for row in rows}
    found = {seq: entry for seq, entry in opened.items() if entry}
    return PaperRead(hours, _people(connection, rows), found)


def _people(connection: Connection, rows: list[KeyedRow]) -> dict[int, PersonOnPaper]:
    line_ids = list(dict.fromkeys(row.row.line_id for row in rows if row.row.line_id))
    lines = queries.lines_with(connection, line_ids)
    found = {}
    for row in rows:
        line = lines.get(row.row.line_id or "")
        if line:
            found[row.keyed.seq] = PersonOnPaper(line.printed.name_last_first)
        else:
            words: dict[str, Any] = personal.details_of(connection, row.keyed)
            found[row.keyed.seq] = PersonOnPaper(words.get("name", ""), words.get("number", ""))
    return found
