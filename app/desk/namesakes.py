"""Who is already here: the line of the same person, and the lines a new one looks like."""

from __future__ import annotations

from collections.abc import Collection, Sequence

from sqlalchemy import Connection

from app.matching.look_alikes import look_alikes_of
from app.matching.look_alikes_of_many import look_alikes_of_each
from app.matching.names import glue
from app.records import queries
from app.records.named import Named, all_named_now
from app.rules.line import Line, LineState, PrintedLine


def line_of_same_person(connection: Connection, printed: PrintedLine) -> Line | None:
    """A line with the same name and birth date, or the same number, that somebody could sign.

    A line that was merely removed does not count: the affidavit is what puts its person
    back. One that was also signed or marked does.
    """
    named = [
        line
        for line in queries.lines_born_on(connection, printed.birth_date)
        if _name(line.printed) == _name(printed)
    ]
    number = printed.voter_number
    numbered = queries.lines_numbered(connection, number) if number else []
    found = sorted((*numbered, *named), key=lambda line: line.line_id)
    states = queries.stored_states(connection, [line.line_id for line in found])
    counting = (line for line in found if _counts(states[line.line_id].state))
    return next(counting, None)


def ids_of_look_alikes(printed: PrintedLine, others: Sequence[Line]) -> tuple[str, ...]:
    """The line_ids among `others` that a new line could be mistaken for, in their order."""
    places = look_alikes_of(printed, [line.printed for line in others])
    return tuple(others[place].line_id for place in places)


def ids_of_look_alikes_now(
    connection: Connection, printed: PrintedLine, but: Collection[str] = ()
) -> tuple[str, ...]:
    """The lines as they stand now, without `but`, that a new one could be mistaken for."""
    others = [one for one in all_named_now(connection) if one.line_id not in but]
    (found,) = ids_of_look_alikes_of_each([printed], others)
    return found


def ids_of_look_alikes_of_each(
    new: Sequence[PrintedLine], others: Sequence[Named]
) -> list[tuple[str, ...]]:
    """`ids_of_look_alikes` for each of `new`, over `others` once."""
    found = look_alikes_of_each(new, others)
    return [tuple(others[place].line_id for place in places) for places in found]


def places_of_look_alikes_before(new: Sequence[PrintedLine]) -> list[tuple[int, ...]]:
    """For each of `new` the places of those before it that it could be mistaken for."""
    found = look_alikes_of_each(new, new)
    return [tuple(place for place in places if place < at) for at, places in enumerate(found)]


def _counts(state: LineState) -> bool:
    return not (state.removed and not state.signature and not state.marks)


def _name(printed: PrintedLine) -> tuple[str, str]:
    return glue(printed.last_name), glue(printed.first_name)
