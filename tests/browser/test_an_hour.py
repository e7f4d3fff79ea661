"""An hour at the door: sixty voters of all kinds over three stations, one after the other.

Each station has its own browser and its own line of voters. While one station reads a
verdict, the two others find and sign: a voter stops where a worker would read, and the next
station goes on. At the end the record is verified and every line stands as it must.
"""

from __future__ import annotations

import random
from collections import Counter
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path

import pytest
from playwright.sync_api import expect

from _running_server import Server
from app.records import queries
from app.records.clock import SystemClock
from app.records.store import open_store, verify_database
from app.rules.line import Act, Line, Standing
from app.rules.moment import DayState, Moment
from app.rules.verdict import Outcome, Verdict, decide
from tests.browser.conftest import Table, Tables, entries
from tests.browser.test_affidavit import authorised, fill_in
from tests.browser.test_not_found import to_the_lists_of_the_others
from tests.browser.test_provisional import on_no_list

pytestmark = pytest.mark.browser

STATIONS = ("Table 1", "Table 2", "Table 3")

# A voter at a station: goes on until the worker reads, then gives way to the other stations.
Visit = Callable[[Table], Iterator[None]]


@dataclass(frozen=True)
class Person:
    line: Line
    verdict: Verdict

    @property
    def steps(self) -> list[str]:
        return [step.code for step in self.verdict.steps]

    @property
    def typed(self) -> str:
        """Name and birth date, as a worker types somebody who has namesakes."""
        printed = self.line.printed
        born = printed.birth_date
        return f"{printed.last_name} {printed.first_name} {born.month}/{born.day}/{born.year}"

    @property
    def name(self) -> str:
        return self.line.printed.name_last_first


def people(database: Path) -> list[Person]:
    """Everybody of the sample with the verdict that stands at the opening, in a fixed order."""
    with open_store(f"sqlite:///{database.as_posix()}", SystemClock()) as store:
        setting = store.read(queries.setting)
        # In the register's order: the identifiers of the lines are other ones at every load.
        lines = sorted(
            store.read(lambda connection: list(queries.all_lines(connection))),
            key=lambda line: line.printed.voter_number,
        )
        states = store.read(
            lambda connection: queries.stored_states(connection, [line.line_id for line in lines])
        )
    moment = Moment(setting, DayState(opened=Act(1, SystemClock().now(), "", "")))
    found = [
        Person(line, decide(line, states[line.line_id].state, setting.policy, moment))
        for line in lines
    ]
    random.Random("an hour").shuffle(found)
    return found


def opened(table: Table, person: Person, outcome: str) -> None:
    table.open_first(person.typed, person.name)
    expect(table.verdict).to_have_text(outcome)


def signs(person: Person) -> Visit:
    def visit(table: Table) -> Iterator[None]:
        opened(table, person, "Sign")
        yield
        table.sign_on_paper()

    return visit


def completes_the_card(person: Person) -> Visit:
    def visit(table: Table) -> Iterator[None]:
        opened(table, person, "First…")
        yield
        table.answer("Card completed", "Tab")
        expect(table.verdict).to_have_text("Sign")
        table.wait_out_the_guard()
        table.sign_on_paper()

    return visit


def brings_a_helper(person: Person) -> Visit:
    def visit(table: Table) -> Iterator[None]:
        opened(table, person, "First…")
        yield
        table.answer("Yes, a helper", "ArrowDown", "ArrowDown")
        expect(table.page.locator("#helper-name")).to_be_focused()
        table.keys("Ottilie Crane", "Enter", "Space", "Enter")
        expect(table.page.get_by_role("button", name="Helper signed on paper")).to_be_focused()
        table.wait_out_the_guard()
        table.press("Enter")
        expect(table.verdict).to_have_text("Sign")
        yield
        table.wait_out_the_guard()
        table.sign_on_paper()

    return visit


def says_the_birth_date(person: Person) -> Visit:
    def visit(table: Table) -> Iterator[None]:
        opened(table, person, "First…")
        yield
        born = person.line.printed.birth_date
        table.say_birth_date(f"{born.month}/{born.day}/{born.year}")
        expect(table.verdict).to_have_text("Sign")
        table.wait_out_the_guard()
        table.sign_on_paper()

    return visit


def may_not_sign(person: Person, outcome: str = "Do not sign") -> Visit:
    def visit(table: Table) -> Iterator[None]:
        opened(table, person, outcome)
        yield
        expect(table.page.locator(".sheet")).to_contain_text("What this person may still do")
        table.press("Escape")
        expect(table.box).to_be_focused()

    return visit


def is_sent_to_another_place(table: Table) -> Iterator[None]:
    to_the_lists_of_the_others(table, "clark laura")
    table.choose("Clark, Laura, born 1967")
    table.choose("Yes, goes there")
    yield
    table.walk(("What can be done now", "Send the person to their polling place"))
    table.choose("write it down")
    expect(table.page.locator(".confirmation")).to_be_visible()
    expect(table.box).to_be_focused()


def gets_a_provisional_ballot(table: Table) -> Iterator[None]:
    on_no_list(table, "Otto Quixote", "A-12")
    yield
    table.choose("Signed on paper: record it")
    expect(table.page.locator(".confirmation")).to_contain_text("A-12")
    expect(table.box).to_be_focused()


def signs_an_affidavit(table: Table) -> Iterator[None]:
    authorised(table)
    fill_in(table, born="9/30/1999")
    yield
    table.choose("Signed on paper: record it")
    expect(table.page.locator(".confirmation")).to_contain_text("Quixote, Ambrose")
    expect(table.box).to_be_focused()


@dataclass(frozen=True)
class Cast:
    """Who comes, in which order, and who of them signs on a line that was there before."""

    visits: tuple[Visit, ...]
    signing: frozenset[str]


def cast(everybody: Sequence[Person]) -> Cast:
    """Sixty voters; those who come a second time come last, and to another table."""

    def some(count: int, fits: Callable[[Person], bool]) -> list[Person]:
        chosen = [person for person in everybody if fits(person)][:count]
        assert len(chosen) == count
        return chosen

    plain = some(44, lambda one: one.verdict.outcome is Outcome.SIGN)
    card = some(2, lambda one: one.steps == ["address-confirmation"])
    helped = some(2, lambda one: one.steps == ["assistance"])
    born = {one.line.line_id: one.line.printed.birth_date for one in everybody}

    def has_a_twin(person: Person) -> bool:
        """A twin is asked for the first name too; see the twelve people."""
        of_person = person.line
        return any(born[other] == born[of_person.line_id] for other in of_person.look_alikes)

    alike = some(2, lambda one: one.steps == ["tell-apart"] and not has_a_twin(one))
    stopped = some(4, lambda one: one.verdict.outcome is Outcome.STOP)
    contradicted = some(1, lambda one: one.verdict.outcome is Outcome.CALL)
    first = [
        *map(signs, plain),
        *map(completes_the_card, card),
        *map(brings_a_helper, helped),
        *map(says_the_birth_date, alike),
        *map(may_not_sign, stopped),
        *(may_not_sign(person, "Call the registrar") for person in contradicted),
        is_sent_to_another_place,
        gets_a_provisional_ballot,
        signs_an_affidavit,
    ]
    random.Random("the door").shuffle(first)
    again = [may_not_sign(plain[0]), may_not_sign(card[0])]
    signing = {person.line.line_id for person in (*plain, *card, *helped, *alike)}
    return Cast((*first, *again), frozenset(signing))


def run(stations: Sequence[Table], visits: Sequence[Visit]) -> None:
    """Every station takes the next voter of the line as soon as it has none."""
    waiting = iter(visits)
    at_table: dict[int, Iterator[None]] = {}
    is_over = False
    while at_table or not is_over:
        for number, table in enumerate(stations):
            if number not in at_table:
                visit = next(waiting, None)
                if visit is None:
                    is_over = True
                    continue
                at_table[number] = visit(table)
            if next(at_table[number], table) is table:
                del at_table[number]


def test_sixty_voters_at_three_tables_leave_every_line_as_it_must_be(
    tables: Tables, server: Server, sample_day: Path
) -> None:
    hour = cast(people(sample_day))
    assert len(hour.visits) == 60
    server.open_polls()
    stations = [tables() for _ in STATIONS]
    for table, name in zip(stations, STATIONS, strict=True):
        table.sign_on(station=name)
    run(stations, hour.visits)

    signed = entries(server, "signature.recorded")
    (added,) = entries(server, "line.added")
    assert Counter(entry["line_id"] for entry in signed) == Counter(
        [*hour.signing, added["line_id"]]
    )
    assert {entry["station"] for entry in signed} == set(STATIONS)
    assert len(entries(server, "provisional.recorded")) == 1
    assert [entry["body"]["way"] for entry in entries(server, "person.directed")] == ["elsewhere"]
    checked = verify_database(server.day.url)
    assert checked.holds
    with open_store(server.day.url, SystemClock()) as store:
        standing = store.read(queries.counts)
    assert standing[Standing.SIGNED] == len(hour.signing) + 1
