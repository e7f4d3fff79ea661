"""How many keys sign a voter: what scripts/bench_keystrokes.py counts over HTTP, in a real page."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import closing
from pathlib import Path

import pytest
from playwright.sync_api import expect

from _running_server import Day, Server, make_day, running
from bench_keystrokes import people, three_and_first, type_until_alone
from tests.browser.conftest import Table, entries

pytestmark = pytest.mark.browser

MANY = 12
CHOSEN = '[role="option"][aria-selected="true"]'


@pytest.fixture
def server(tmp_path: Path) -> Iterator[Server]:
    with running(make_day(tmp_path)) as server:
        yield server


def type_until_chosen(table: Table, text: str, number: str) -> int:
    """The keys until the page has chosen the voter's line by itself; each one is waited for.

    Somebody else's line may be chosen before: the clerk reads the name and types on.
    """
    expect(table.box).to_be_focused()
    for keys in range(1, len(text) + 1):
        with table.page.expect_response("**/api/find"):
            table.press("Space" if text[keys - 1] == " " else text[keys - 1])
        table.page.wait_for_function("() => document.querySelector('.register .below')")
        table.page.evaluate(
            "() => new Promise((done) => requestAnimationFrame(() => setTimeout(done)))"
        )
        if table.page.locator(CHOSEN).filter(has_text=number).count():
            return keys
    raise AssertionError(f"no line was chosen for {text}")


def test_a_voter_is_signed_with_the_keys_that_the_bench_counts_and_two_enters(
    table: Table, server: Server
) -> None:
    day: Day = server.day
    played, counted = [], []
    with closing(server.station("RM", "Table 9")) as station:
        for line in people(day.url, day.open_lines, MANY):
            text = three_and_first(line.printed)
            counted.append(type_until_alone(station, line, text).until_alone)
            played.append(type_until_chosen(table, text, line.printed.voter_number))
            table.press("Enter")
            expect(table.page.locator("#sheet-name")).to_have_text(line.printed.name_last_first)
            expect(table.page.get_by_role("button", name="Signed on paper")).to_be_focused()
            table.wait_out_the_guard()
            table.press("Enter")
            expect(table.page.locator(".confirmation")).to_contain_text(
                line.printed.name_last_first
            )
    assert played == counted
    assert len(entries(server, "signature.recorded")) == MANY


def test_where_the_line_is_only_in_sight_alt_its_digit_and_one_enter_sign_it(
    table: Table, server: Server
) -> None:
    day: Day = server.day
    with closing(server.station("RM", "Table 9")) as station:
        for line in people(day.url, day.open_lines, MANY)[:3]:
            text = three_and_first(line.printed)
            keys = type_until_alone(station, line, text).until_in_sight
            assert keys is not None
            table.find(text[:keys])
            name = line.printed.name_last_first
            row = table.rows.filter(has_text=line.printed.voter_number)
            digit = row.locator(".digit").inner_text()
            table.wait_out_the_guard()
            table.press(f"Alt+Digit{digit}")
            expect(table.page.locator("#sheet-name")).to_have_text(name)
            expect(table.page.get_by_role("button", name="Signed on paper")).to_be_focused()
            table.wait_out_the_guard()
            table.press("Enter")
            expect(table.page.locator(".confirmation")).to_contain_text(name)
    assert len(entries(server, "signature.recorded")) == 3
