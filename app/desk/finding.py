"""Finding the person at the table: ranked lines, each with its verdict's outcome."""

from __future__ import annotations

from dataclasses import dataclass

from sqlalchemy import Connection

from app.desk.roster import Roster
from app.matching.finder import Match
from app.matching.settling import Fact
from app.records import queries
from app.records.taken_back import taken_back
from app.rules.line import Line, as_shown
from app.rules.verdict import Outcome


@dataclass(frozen=True, slots=True)
class Hit:
    """One line that fits what was typed."""

    line: Line
    outcome: Outcome
    match: Match


@dataclass(frozen=True, slots=True)
class Hits:
    """Best first. `ignored` are typed words that no shown line answers to;
    `fits` says how many lines fit about as well as the first, `ask_for` which one more
    fact would leave the fewest of them.
    """

    hits: tuple[Hit, ...]
    ignored: tuple[str, ...]
    fits: int
    ask_for: Fact | None


def find(roster: Roster, text: str, limit: int) -> Hits:
    """The lines that `text` may mean, at most `limit`."""
    found = roster.finder.find(text, limit)
    line_ids = [match.line_id for match in found.matches]

    def judged(connection: Connection) -> tuple[Hit, ...]:
        lines = queries.lines_with(connection, line_ids)
        states = queries.stored_states(connection, line_ids)
        if any(states[line_id].state.removed for line_id in lines):
            gone = taken_back(connection)
            lines = {line_id: line for line_id, line in lines.items() if line_id not in gone}
        day = queries.day_state(connection)
        return tuple(
            Hit(
                as_shown(lines[match.line_id]),
                roster.judge(lines[match.line_id], states[match.line_id].state, day).outcome,
                match,
            )
            for match in found.matches
            if match.line_id in lines
        )

    return Hits(roster.store.read(judged), found.ignored, found.fits, found.ask_for)
