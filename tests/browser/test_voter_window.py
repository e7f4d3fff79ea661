"""The voter's window: two windows of one browser, the second turned to the voter."""

from __future__ import annotations

import json
import re
from dataclasses import dataclass, field

import pytest
from playwright.sync_api import Page, expect

from _running_server import Server, post
from tests.browser.conftest import Table, entries, line_id_of
from tests.browser.test_axe import violations

pytestmark = pytest.mark.browser

PLAIN, PLAIN_NAME = "marchb p", "Marchbanks, Penelope Ruth"
NEXT, NEXT_NAME = "hyde const", "Hyde, Constance Ivy"
PROTECTED, PROTECTED_NAME = NEXT, NEXT_NAME
CALM = "One moment, please."
# The voter's window asks once a second whether the table is there, and waits for three answers.
GONE_MS = 9000
# Page, styles and scripts of the voter's window, uncompressed.
MOST_BYTES = 30_000


@dataclass
class Voter:
    """The window that is turned to the voter, and what it complained of."""

    page: Page
    complaints: list[str] = field(default_factory=list)

    def is_calm(self) -> None:
        expect(self.page.locator(".nobody")).to_contain_text(CALM)
        expect(self.page.locator(".nobody")).to_contain_text("Un momento")
        expect(self.page.locator("h1")).to_have_count(0)
        expect(self.page.locator("signature-pad")).to_have_count(0)

    def draw(self) -> None:
        Table.draw(self)  # type: ignore[arg-type]

    def press(self, name: str) -> None:
        self.page.get_by_role("button", name=name).click()


def turned(table: Table) -> Voter:
    """With a line open: press the button, and take the window that opens."""
    with table.page.expect_popup() as popup:
        table.press_button("Turn the screen to the voter")
    voter = Voter(popup.value)
    voter.page.on("pageerror", lambda error: voter.complaints.append(str(error)))
    return voter


def open_next(table: Table, text: str, name: str) -> None:
    table.press("Escape")
    table.open_first(text, name)


def test_the_voter_reads_spanish_signs_and_what_they_drew_is_recorded(
    table: Table, server: Server
) -> None:
    table.open_first(PLAIN, PLAIN_NAME)
    voter = turned(table)
    expect(voter.page.get_by_role("heading", name=PLAIN_NAME)).to_be_visible()
    expect(voter.page.locator(".affirmation")).to_contain_text("have not voted in this election")
    voter.press("Español")
    expect(voter.page.locator(".affirmation")).to_contain_text("no he votado en esta elección")
    expect(voter.page.locator("html")).to_have_attribute("lang", "es")
    expect(table.page.locator("html")).to_have_attribute("lang", "en")
    expect(table.page.locator(".voter-panel")).to_contain_text("shows this line in Español")
    voter.draw()
    voter.press("Empezar de nuevo")
    expect(table.page.get_by_role("button", name="Signed on paper")).to_be_visible()
    voter.draw()
    voter.press("Listo")
    expect(voter.page.get_by_role("status")).to_contain_text("Gracias")
    expect(table.page.locator(".voter-panel")).to_contain_text("pressed Done")
    assert entries(server, "signature.recorded") == []
    table.press_button("Record signature")
    expect(table.page.locator(".confirmation")).to_contain_text(PLAIN_NAME)
    voter.is_calm()
    (entry,) = entries(server, "signature.recorded")
    assert entry["body"]["how"] == "drawn"
    assert re.fullmatch(r"[0-9a-f]{64}", entry["body"]["strokes_sha256"])
    # The next voter has the worker's language again, and a blank pad.
    table.open_first(NEXT, NEXT_NAME)
    expect(voter.page.get_by_role("heading", name=NEXT_NAME)).to_be_visible()
    expect(voter.page.locator(".affirmation")).to_contain_text("have not voted")
    expect(voter.page.get_by_role("button", name="Done")).to_have_attribute("aria-disabled", "true")
    assert voter.complaints == []


def test_nothing_of_the_voter_stands_in_address_title_stores_or_history(table: Table) -> None:
    table.open_first(PLAIN, PLAIN_NAME)
    voter = turned(table)
    expect(voter.page.get_by_role("heading", name=PLAIN_NAME)).to_be_visible()
    assert voter.page.url == f"{table.server.address}/voter.html"
    assert voter.page.title() == "Tablebook"
    kept = voter.page.evaluate("() => [history.length, {...localStorage}, {...sessionStorage}]")
    assert kept[0] == 1
    assert set(kept[1]) <= {"station", "language", "covered", "head"}
    # Where the log ended: two hashes and a number.
    assert set(json.loads(kept[1]["head"])) == {"began", "hash", "seq"}
    assert kept[2] == {}
    # It has the worker's cookie and can do nothing with it.
    asked = voter.page.evaluate("() => fetch('/api/day').then(() => 'answered', () => 'refused')")
    assert asked == "refused"
    sent = (
        "() => performance.getEntries().reduce((sum, each) => sum + (each.decodedBodySize ?? 0), 0)"
    )
    assert 5_000 < voter.page.evaluate(sent) < MOST_BYTES


def test_a_protected_address_is_not_shown_to_the_queue(table: Table) -> None:
    table.open_first(PLAIN, PLAIN_NAME)
    voter = turned(table)
    expect(voter.page.locator(".address")).not_to_be_empty()
    open_next(table, PROTECTED, PROTECTED_NAME)
    expect(voter.page.get_by_role("heading", name=PROTECTED_NAME)).to_be_visible()
    expect(voter.page.locator(".address")).to_have_count(0)


def test_after_a_stop_nothing_of_the_person_is_shown(table: Table, server: Server) -> None:
    table.open_first(PLAIN, PLAIN_NAME)
    voter = turned(table)
    expect(voter.page.get_by_role("heading", name=PLAIN_NAME)).to_be_visible()
    elsewhere = server.station("RM", "Table 2")
    path = f"/api/lines/{line_id_of(server, PLAIN)}/signature"
    post(elsewhere, path, {"how": "paper", "strokes": None, "evidence": {}}).raise_for_status()
    elsewhere.close()
    expect(table.verdict).to_have_text("Do not sign")
    voter.is_calm()
    assert "Marchbanks" not in voter.page.content()


def test_before_a_question_is_answered_and_on_a_way_out_nobody_is_shown(table: Table) -> None:
    table.open_first(PLAIN, PLAIN_NAME)
    voter = turned(table)
    expect(voter.page.get_by_role("heading", name=PLAIN_NAME)).to_be_visible()
    open_next(table, "desai kiran", "Desai, Kiran")
    voter.is_calm()
    table.answer("Shown", "ArrowDown")
    expect(voter.page.get_by_role("heading", name="Desai, Kiran")).to_be_visible()


def test_after_sign_off_the_window_shows_nobody_to_the_next_worker_either(table: Table) -> None:
    table.open_first(PLAIN, PLAIN_NAME)
    voter = turned(table)
    expect(voter.page.get_by_role("heading", name=PLAIN_NAME)).to_be_visible()
    table.press_button("Sign off")
    expect(table.page.locator("#initials")).to_be_focused()
    voter.is_calm()
    table.page.goto("about:blank")
    table.sign_on()
    table.open_first(NEXT, NEXT_NAME)
    voter.is_calm()


def test_whichever_window_is_closed_the_other_works_on(table: Table) -> None:
    table.open_first(PLAIN, PLAIN_NAME)
    voter = turned(table)
    expect(voter.page.get_by_role("heading", name=PLAIN_NAME)).to_be_visible()
    voter.page.close()
    expect(table.page.locator(".voter-panel")).to_have_count(0)
    again = turned(table)
    expect(again.page.get_by_role("heading", name=PLAIN_NAME)).to_be_visible()
    again.draw()
    expect(table.page.get_by_role("button", name="Record signature")).to_be_visible()
    table.page.close()
    expect(again.page.locator(".nobody")).to_contain_text(CALM, timeout=GONE_MS)
    assert "Marchbanks" not in again.page.content()
    assert again.complaints == []


def test_where_the_browser_opens_no_window_the_worker_is_told_what_to_do(table: Table) -> None:
    table.page.evaluate("() => { window.open = () => null; }")
    table.open_first(PLAIN, PLAIN_NAME)
    table.press_button("Turn the screen to the voter")
    expect(table.page.locator(".signing").get_by_role("alert")).to_contain_text("Allow windows")
    expect(table.page.get_by_role("button", name="Signed on paper")).to_be_visible()


def test_the_voters_page_and_the_calm_page_break_no_rule_of_axe(table: Table) -> None:
    table.open_first(PLAIN, PLAIN_NAME)
    voter = turned(table)
    expect(voter.page.locator("signature-pad")).to_be_visible()
    side = Table(voter.page, table.server, [], [])
    assert violations(side) == []
    table.press("Escape")
    voter.is_calm()
    assert violations(side) == []
