"""What the page fetches: little at first, and each rarer part once, when it is asked for."""

from __future__ import annotations

import re
from dataclasses import dataclass, field
from typing import Any

import pytest
from playwright.sync_api import Page, Route, expect

from _running_server import Server
from tests.browser.conftest import Table, Tables

pytestmark = pytest.mark.browser

# From a cold start until one voter has signed: page, scripts, styles, words of one language, and
# one answer to each question that the table asks the server meanwhile. Uncompressed. A slow
# laptop on a hall's network opens that at once.
MOST_BYTES = 150_000
TYPES = {
    "js": "text/javascript",
    "css": "text/css",
    "json": "application/json",
    "svg": "image/svg+xml",
    "": "text/html",
}
# As in frontend/controller.js.
KEYS_WAIT_MS = 1500
PLAIN, PLAIN_NAME = "marchb p", "Marchbanks, Penelope Ruth"


@dataclass
class Fetched:
    """Everything that one page was sent, as the browser itself counts it.

    Of what is asked again and again (how the day stands, who fits what is typed) the first
    answer counts: how often it is asked says how slow the computer is that runs the test.
    """

    page: Page
    types: list[tuple[str, str]] = field(default_factory=list)
    bytes_sent: int = 0
    repeated: set[str] = field(default_factory=set)

    def __post_init__(self) -> None:
        devtools = self.page.context.new_cdp_session(self.page)
        devtools.send("Network.enable")
        devtools.on("Network.responseReceived", self._note)
        devtools.on("Network.dataReceived", self._count)

    def _note(self, event: dict[str, Any]) -> None:
        path = "/" + event["response"]["url"].split("/", 3)[3]
        if path.startswith("/api/") and path in [known for known, _ in self.types]:
            self.repeated.add(event["requestId"])
        self.types.append((path, event["response"]["mimeType"]))

    def _count(self, event: dict[str, Any]) -> None:
        if event["requestId"] not in self.repeated:
            self.bytes_sent += event["dataLength"]

    @property
    def files(self) -> list[str]:
        return [path for path, _ in self.types if not path.startswith("/api/")]


def test_until_one_voter_has_signed_the_page_is_sent_less_than_150_kb(
    tables: Tables, server: Server
) -> None:
    server.open_polls()
    table = tables()
    fetched = Fetched(table.page)
    table.sign_on()
    table.open_first(PLAIN, PLAIN_NAME)
    table.sign_on_paper()
    assert len(fetched.files) == len(set(fetched.files)) > 40
    assert 50_000 < fetched.bytes_sent < MOST_BYTES
    for path, mime_type in fetched.types:
        if path in fetched.files:
            ending = path.rpartition(".")[2] if "." in path else ""
            assert mime_type == TYPES[ending], path
    of_parts = re.compile(r"/parts/|/styles/(?!tokens|page)|/words/(?!en/table)")
    assert [path for path in fetched.files if of_parts.match(path)] == []


def test_the_way_out_and_the_lists_are_fetched_once_and_only_when_they_are_opened(
    lead: Table,
) -> None:
    fetched = Fetched(lead.page)
    lead.get_lost()
    of_way = fetched.files
    assert {"/parts/way.js", "/styles/ways.css", "/words/en/way.json"} <= set(of_way)
    assert "/parts/lead.js" not in of_way
    lead.press("Escape")
    expect(lead.box).to_be_focused()
    lead.press_button("Lists")
    expect(lead.page.locator(".late .ask")).to_be_focused()
    assert {"/parts/lead.js", "/styles/late.css", "/words/en/lead.json"} <= set(fetched.files)
    lead.press("Escape")
    lead.get_lost()
    lead.press("Escape")
    lead.press_button("Lists")
    expect(lead.page.locator(".late .ask")).to_be_focused()
    assert len(fetched.files) == len(set(fetched.files))


def test_another_language_brings_the_words_of_the_parts_that_are_here_and_of_no_other(
    table: Table,
) -> None:
    table.get_lost()
    fetched = Fetched(table.page)
    table.page.get_by_role("button", name="Español").focus()
    table.press("Enter")
    expect(table.asked).to_contain_text("deletreen el nombre")
    assert fetched.files == ["/words/es/table.json", "/words/es/way.json"]
    table.press_button("Anotar")
    expect(table.page.get_by_role("dialog")).to_contain_text("¿Qué pasó?")


def test_a_part_that_cannot_be_fetched_is_told_and_the_next_press_fetches_it(table: Table) -> None:
    """One script in the middle of the part fails, as it does when the cable is pulled."""
    pulled = "**/elements/way_questions.js"
    table.page.route(pulled, lambda route: route.abort())
    _type_nobody(table)
    table.press("Enter")
    strip = table.page.locator(".strip.alarm")
    expect(strip).to_contain_text("could not be fetched")
    expect(table.box).to_be_focused()
    expect(table.box).to_have_value("qqqq zzzz")
    table.page.unroute(pulled)
    table.wait_out_the_guard()
    table.press("Enter")
    expect(table.asked).to_contain_text("letter by letter")
    expect(strip).to_have_count(0)


def test_with_the_server_gone_the_strip_says_so_and_the_way_opens_once_it_is_back(
    table: Table, server: Server
) -> None:
    _type_nobody(table)
    server.kill()
    table.press("Enter")
    expect(table.page.locator(".strip.alarm")).to_contain_text("cannot be reached")
    expect(table.box).to_have_value("qqqq zzzz")
    server.start()
    expect(table.page.locator(".strip.alarm")).not_to_contain_text("cannot be reached")
    # The line is looked for once more by itself.
    table.wait_out_the_guard()
    table.press("Enter")
    expect(table.asked).to_contain_text("letter by letter")


def test_whoever_goes_on_to_the_next_voter_meanwhile_is_not_thrown_onto_the_way(
    table: Table,
) -> None:
    held: list[Route] = []

    def hold(route: Route) -> None:
        held.append(route)

    table.page.route("**/parts/way.js", hold)
    _type_nobody(table)
    table.press("Enter")
    # What is typed at once was meant for the screen that is coming.
    table.keys("Enter", "x")
    expect(table.box).to_have_value("qqqq zzzz")
    table.page.wait_for_timeout(KEYS_WAIT_MS)
    table.open_first(PLAIN, PLAIN_NAME)
    with table.page.expect_response("**/words/en/way.json"):
        held[0].continue_()
    expect(table.verdict).to_have_text("Sign")
    table.sign_on_paper()
    table.get_lost()


def _type_nobody(table: Table) -> None:
    expect(table.box).to_be_focused()
    table.press("ControlOrMeta+A")
    table.keys("qqqq zzzz")
    expect(table.page.get_by_role("heading", name="No line fits.")).to_be_visible()
    table.wait_out_the_guard()
