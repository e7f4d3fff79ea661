"""Everybody as they are compared with somebody new: the same as their whole lines say."""

from __future__ import annotations

from app.records import queries
from app.records.people_on_lines import PersonOnLine, people_on_lines
from tests.desk.listing_table import PEOPLE, a_table


def test_everybody_is_as_their_line_stands_corrected_or_not() -> None:
    with a_table() as table:
        table.call(PEOPLE[1], "correct_detail", "last_name=Featherquill")
        table.call(PEOPLE[2], "correct_detail", "birth_date=3/4/1987")
        table.call(PEOPLE[3], "correct_detail", "party=Teal")
        read = table.roster.store.read
        people, lines = read(people_on_lines), list(read(lambda c: list(queries.all_lines_now(c))))
    names = [name for name in PersonOnLine._fields if name != "line_id"]
    said = [(line.line_id, *(getattr(line.printed, name) for name in names)) for line in lines]
    assert [tuple(person) for person in people] == said
    assert "Featherquill" in {person.last_name for person in people}
