"""An older record put back in the place of the newer one: the pages that saw more say so."""

from __future__ import annotations

import re
import shutil
from collections.abc import Callable, Iterator
from contextlib import closing
from pathlib import Path

import pytest
from playwright.sync_api import Browser, Locator, Page, Route, expect

from _running_server import Server, fresh_token, make_day, post, running, sign_on_paper
from tests.browser.conftest import GUARD_MS
from tests.browser.test_second_copy import signed_on

pytestmark = pytest.mark.browser

SOON_MS = 30_000
GONE = "are gone from this record"


@pytest.fixture
def laptop(tmp_path: Path) -> Iterator[Server]:
    (tmp_path / "day").mkdir()
    with running(make_day(tmp_path / "day")) as server:
        server.open_polls()
        yield server


def strip_of(page: Page) -> Locator:
    return page.get_by_role("region", name="How things stand")


def sign(server: Server, line_id: str) -> None:
    with closing(server.station("RM", "Table 9")) as table:
        assert sign_on_paper(table, line_id, fresh_token()).status_code == 200


def open_now(lead: Page) -> Locator:
    lead.keyboard.press("Alt+n")
    return lead.locator("button.need", has_text="Entries that a page has seen").first


def reads_what_it_is(lead: Page) -> None:
    """On Now, among the irregularities and where it is settled: each sentence is whole."""
    whole = re.compile(r"has seen entry \d+, and this record ends with \d+ or has another there")
    need = open_now(lead)
    expect(need).to_contain_text("Not settled.", timeout=SOON_MS)
    expect(need).not_to_contain_text("something else")
    need.press("Enter")
    one = lead.locator(".late article").first
    expect(one).to_contain_text(whole)
    settle = one.get_by_role("button", name=re.compile("^Settle it: A page has seen entry"))
    expect(settle).to_be_visible()
    # An Enter right behind the one that opened this would be taken for a bouncing key.
    lead.wait_for_timeout(GUARD_MS)
    settle.press("Enter")
    expect(lead.get_by_role("dialog")).to_contain_text(whole)
    # Once for the dialog, the list and Now.
    for gone in ("dialog", ".late", ".now"):
        lead.keyboard.press("Escape")
        expect(lead.locator(gone)).to_have_count(0)


@pytest.mark.parametrize("signed_again", [5, 0])
def test_a_record_put_back_with_everything_beside_it_is_noticed_and_settled_by_the_lead(
    browser: Browser, laptop: Server, tmp_path: Path, signed_again: int
) -> None:
    table = signed_on(browser, laptop, "RM", "Table 1")
    lead = signed_on(browser, laptop, "LO", "Lead's desk")
    strips = [strip_of(page) for page in (table, lead)]
    laptop.kill()
    shutil.copytree(tmp_path / "day", tmp_path / "older")
    laptop.start()
    sign(laptop, laptop.day.open_lines[0])
    for strip in strips:
        expect(strip).to_contain_text("1 line signed.", timeout=SOON_MS)
        expect(strip).not_to_contain_text(GONE)
    laptop.kill()
    shutil.rmtree(tmp_path / "day")
    shutil.copytree(tmp_path / "older", tmp_path / "day")
    laptop.start()
    # Five signatures make the log grow past what was seen: its number alone would tell nothing.
    for line_id in laptop.day.open_lines[1 : 1 + signed_again]:
        sign(laptop, line_id)
    for strip in strips:
        expect(strip).to_contain_text(GONE, timeout=SOON_MS)
    expect(strips[0]).to_contain_text("Call the lead worker")
    # The lead is not told to call themselves.
    expect(strips[1]).to_contain_text("Look at Now (Alt+N) before the next voter signs.")
    expect(strips[1]).not_to_contain_text("Call the lead worker")
    reads_what_it_is(lead)
    table.reload()
    expect(strips[0]).to_contain_text(GONE, timeout=SOON_MS)
    with closing(laptop.station("LO", "Lead's desk")) as desk:
        opened = desk.get("/api/irregularities").json()["irregularities"]
        codes = [one["code"] for one in opened]
        assert codes.count("record-is-older") == len(codes) > 0
        for one in opened:
            path = f"/api/irregularities/{one['seq']}/settle"
            post(desk, path, {"how": "the registrar says to go on"}).raise_for_status()
    for strip in strips:
        expect(strip).to_contain_text("The polls are open", timeout=SOON_MS)
        expect(strip).not_to_contain_text(GONE)
    for page in (table, lead):
        page.context.close()


def says_that_it_holds_more(which: str) -> Callable[[Route], None]:
    """The server’s own answer, with one copy more that holds what the record does not have."""
    more = {"which": which, "state": "failing", "since": "2027-03-02T12:00:00.000Z"}

    def answer(route: Route) -> None:
        day = route.fetch().json()
        route.fulfill(json={**day, "copies": [{**more, "why": "holds-more"}]})

    return answer


def test_where_a_copy_holds_more_every_station_is_told_to_stop_and_the_lead_what_to_do(
    browser: Browser, laptop: Server
) -> None:
    table = signed_on(browser, laptop, "RM", "Table 1")
    lead = signed_on(browser, laptop, "LO", "Lead's desk")
    for page, what in ((table, "Call the lead worker"), (lead, "Look at Now (Alt+N)")):
        page.route("**/api/day", says_that_it_holds_more("carbon"))
        strip = strip_of(page)
        expect(strip).to_contain_text("Let nobody sign here", timeout=SOON_MS)
        expect(strip).to_contain_text(f"{what} before the next voter signs.")
        expect(strip).not_to_contain_text("Go on signing")
        expect(strip.get_by_role("alert")).to_be_visible()
        page.unroute_all(behavior="ignoreErrors")
        page.context.close()
