"""The way of a person who is found nowhere, as the table walks it: asked, and suggested."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from app.desk.finding import Hit, find
from app.desk.roster import Roster
from app.matching.licence import read_licence
from app.records import queries
from app.rules.coded import Option
from app.rules.ways_out import Question, Situation, next_question, ways_out

# As many as can be read out at the table.
MOST_SUGGESTIONS = 5
# Fewer letters than this begin half the names of a register.
SHORTEST_PART = 3


@dataclass(frozen=True, slots=True)
class Ways:
    """The next question with what might help to answer it, or what can be done."""

    question: Question | None
    options: tuple[Option, ...]
    suggestions: tuple[Hit, ...]


def ask(roster: Roster, situation: Situation, typed: str = "") -> Ways:
    """What to ask or do now. `typed` is what was looked for without success."""
    day = roster.store.read(queries.day_state)
    setting = roster.setting
    question = next_question(situation, setting.policy, setting, day)
    is_spelling = question is not None and question.code == "spelled-otherwise"
    return Ways(
        question,
        ways_out(situation, setting.policy, setting, day),
        tuple(_suggested(roster, typed)) if is_spelling else (),
    )


def _suggested(roster: Roster, typed: str) -> Iterator[Hit]:
    """Lines that part of the text finds and that the whole text did not show."""
    seen = {hit.line.line_id for hit in find(roster, typed, 8).hits}
    left = MOST_SUGGESTIONS
    for part in _parts(typed):
        for hit in find(roster, part, MOST_SUGGESTIONS).hits:
            if left and hit.line.line_id not in seen:
                seen.add(hit.line.line_id)
                left -= 1
                yield hit


def _parts(typed: str) -> list[str]:
    """Each word alone, then the beginnings of the longer ones."""
    licence = read_licence(typed)
    said = [licence.last_name, licence.first_name] if licence else typed.split()
    words = [word for word in said if len(word) >= SHORTEST_PART][:4]
    whole = words if len(words) > 1 else []
    beginnings = [word[: max(SHORTEST_PART, len(word) // 2)] for word in words]
    return list(dict.fromkeys((*whole, *beginnings)))
