"""The second copy pulled out and put back, as a worker and the lead see it."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest
from playwright.sync_api import Browser, Page, expect

from _running_server import PINS, Server, make_day, running

pytestmark = pytest.mark.browser

# The server tries again every two seconds, and a page asks once a second.
SOON_MS = 30_000
FAILS = "The second copy is not being written."
IS_BACK = "The second copy is written again."


@pytest.fixture(scope="module")
def stick(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return tmp_path_factory.mktemp("stick")


@pytest.fixture(scope="module")
def with_carbon(tmp_path_factory: pytest.TempPathFactory, stick: Path) -> Iterator[Server]:
    with running(make_day(tmp_path_factory.mktemp("day")), ("--carbon", str(stick))) as server:
        server.open_polls()
        yield server


def signed_on(browser: Browser, server: Server, initials: str, station: str) -> Page:
    page = browser.new_context(locale="en-US").new_page()
    page.goto(server.address)
    page.locator("#initials").fill(initials)
    page.locator("#pin").fill(PINS[initials])
    page.locator("#station").fill(station)
    page.keyboard.press("Enter")
    expect(page.get_by_role("region", name="How things stand")).to_contain_text(
        "The polls are open"
    )
    return page


def test_every_station_says_so_at_once_and_says_once_that_it_is_back(
    browser: Browser, with_carbon: Server, stick: Path
) -> None:
    table = signed_on(browser, with_carbon, "RM", "Table 1")
    lead = signed_on(browser, with_carbon, "LO", "Lead's desk")
    strips = [page.get_by_role("region", name="How things stand") for page in (table, lead)]
    for strip in strips:
        expect(strip).not_to_contain_text("copy")
    stick.rename(stick.with_name("in-a-pocket"))
    # Whatever is recorded next notices it: here that somebody else signs on.
    third = signed_on(browser, with_carbon, "RM", "Table 2")
    for strip in strips:
        expect(strip).to_contain_text(FAILS, timeout=SOON_MS)
        expect(strip).to_contain_text("tell the lead worker")
    lead.keyboard.press("Alt+n")
    expect(lead.locator(".sentence", has_text="Put its stick back in")).to_be_visible()
    lead.keyboard.press("Escape")
    stick.with_name("in-a-pocket").rename(stick)
    for strip in strips:
        expect(strip).to_contain_text(IS_BACK, timeout=SOON_MS)
        expect(strip).not_to_contain_text(FAILS)
    for page in (table, lead, third):
        page.context.close()
