"""A station that nobody touches covers its page, and keeps everything beneath it."""

from __future__ import annotations

import pytest
from playwright.sync_api import expect

from _running_server import PINS, Server
from tests.browser.conftest import Table, Tables, entries

pytestmark = pytest.mark.browser

PLAIN, PLAIN_NAME = "marchb p", "Marchbanks, Penelope Ruth"
# The sample says nothing of it: five minutes.
WARNED_AT, COVERED_AT = "04:31", "05:01"


@pytest.fixture
def timed(tables: Tables, server: Server) -> Table:
    """A table whose clock stands still but for what a test lets pass."""
    server.open_polls()
    table = tables()
    table.page.clock.install()
    table.sign_on()
    return table


def fall_asleep(table: Table) -> None:
    table.page.clock.run_for(COVERED_AT)
    expect(table.page.get_by_role("heading", name="Covered")).to_be_visible()


def type_pin(table: Table, pin: str) -> None:
    expect(table.page.locator("#pin")).to_be_focused()
    table.keys(pin, "Enter")


def test_it_warns_half_a_minute_before_and_any_key_ends_that_and_presses_nothing(
    timed: Table,
) -> None:
    timed.open_first(PLAIN, PLAIN_NAME)
    expect(timed.page.get_by_role("button", name="Signed on paper")).to_be_focused()
    timed.page.clock.run_for(WARNED_AT)
    warning = timed.page.locator(".idle-warning")
    expect(warning).to_be_visible()
    expect(timed.page.locator("#said-urgently")).to_contain_text("half a minute")
    timed.press("Enter")
    expect(warning).to_have_count(0)
    timed.page.clock.run_for("00:45")
    expect(timed.page.get_by_role("button", name="Signed on paper")).to_be_focused()
    assert timed.signed_count() == 0
    timed.page.clock.run_for("03:50")
    expect(warning).to_be_visible()
    timed.page.mouse.click(5, 5)
    expect(warning).to_have_count(0)


def test_nothing_of_anybody_is_left_on_the_covered_page_and_all_is_there_after_the_pin(
    timed: Table,
) -> None:
    timed.open_first(PLAIN, PLAIN_NAME)
    timed.draw()
    timed.press("Alt+b")
    expect(timed.page.locator(".private")).to_contain_text("1979")
    fall_asleep(timed)
    whole = timed.page.evaluate("() => document.documentElement.outerHTML")
    for private in ("Marchbanks", "931040611", "1979", "Dunlin"):
        assert private not in whole
    timed.press("Escape")
    timed.press("Alt+b")
    type_pin(timed, PINS["RM"])
    expect(timed.page.locator("#sheet-name")).to_have_text(PLAIN_NAME)
    expect(timed.page.locator(".private")).not_to_contain_text("1979")
    button = timed.page.get_by_role("button", name="Record signature")
    expect(button).to_be_visible()
    timed.page.clock.run_for("00:01")
    button.focus()
    timed.press("Enter")
    expect(timed.page.locator(".confirmation")).to_contain_text(PLAIN_NAME)


def test_a_wrong_pin_and_loading_the_page_anew_uncover_nothing(timed: Table) -> None:
    timed.find(PLAIN)
    fall_asleep(timed)
    type_pin(timed, "111111")
    expect(timed.page.locator("#problem")).to_contain_text("do not belong together")
    timed.page.reload()
    expect(timed.page.get_by_role("heading", name="Covered")).to_be_visible()
    type_pin(timed, PINS["RM"])
    expect(timed.box).to_be_focused()
    timed.page.reload()
    expect(timed.box).to_be_focused()


def test_somebody_else_takes_over_and_the_open_line_is_left_unsigned(
    timed: Table, server: Server
) -> None:
    timed.open_first(PLAIN, PLAIN_NAME)
    timed.draw()
    expect(timed.page.get_by_role("button", name="Record signature")).to_be_visible()
    fall_asleep(timed)
    timed.page.get_by_role("button", name="Somebody else").focus()
    timed.press("Enter")
    expect(timed.page.locator("#initials")).to_be_focused()
    timed.keys("LO", "Tab", PINS["LO"], "Enter")
    expect(timed.box).to_be_focused()
    expect(timed.box).to_have_value("")
    expect(timed.page.locator(".who")).to_contain_text("LO")
    expect(timed.page.locator(".strip")).to_contain_text(f"Not recorded: {PLAIN_NAME}")
    assert entries(server, "signature.recorded") == []


def test_with_the_server_gone_the_page_is_covered_all_the_same_and_says_so(
    timed: Table, server: Server
) -> None:
    timed.find(PLAIN)
    server.kill()
    fall_asleep(timed)
    expect(timed.page.locator(".strip.alarm")).to_contain_text("cannot be reached")
    assert "Marchbanks" not in timed.page.content()
    server.start()
    timed.page.clock.run_for("00:02")
    type_pin(timed, PINS["RM"])
    expect(timed.box).to_have_value(PLAIN)
