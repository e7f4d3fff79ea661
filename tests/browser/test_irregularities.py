"""Irregularities: written from anywhere in a few keys, and open until the lead settles them."""

from __future__ import annotations

import time

import pytest
from playwright.sync_api import expect

from _running_server import Server, post
from tests.browser.conftest import Table, Tables, entries, line_id_of

pytestmark = pytest.mark.browser

PLAIN, PLAIN_NAME = "marchb p", "Marchbanks, Penelope Ruth"
TWENTY_SECONDS = 20.0


def test_one_is_written_from_an_open_line_within_twenty_seconds(
    table: Table, server: Server
) -> None:
    table.open_first(PLAIN, PLAIN_NAME)
    started = time.perf_counter()
    table.press("Alt+i")
    expect(table.page.locator("dialog")).to_contain_text(PLAIN_NAME)
    expect(table.page.locator("#dialog-why-0")).to_be_focused()
    # Enter before anything is chosen says what is missing.
    table.press("Enter")
    expect(table.page.locator("#dialog-why-problem")).to_contain_text("what it is about")
    table.keys("ArrowDown", "Enter")
    expect(table.page.locator("#dialog-text")).to_be_focused()
    table.keys("two ballots were handed over", "Enter")
    expect(table.page.locator(".strip")).to_contain_text("The irregularity is written down")
    assert time.perf_counter() - started < TWENTY_SECONDS
    # The line is open as before, and nobody has signed.
    expect(table.verdict).to_be_focused()
    (entry,) = entries(server, "irregularity.recorded")
    assert entry["body"]["irregularity"] == "ballot"
    assert entry["line_id"] == line_id_of(server, PLAIN)
    assert table.signed_count() == 0


def test_of_electioneering_the_page_says_how_far_they_must_keep_off(table: Table) -> None:
    table.press("Alt+i")
    table.page.get_by_role("radio", name="Electioneering too near").check()
    expect(table.page.locator("dialog")).to_contain_text("within 75 feet of the entrance")
    table.page.get_by_role("radio", name="A machine").check()
    expect(table.page.locator("dialog")).not_to_contain_text("feet")


def test_escape_closes_it_and_nothing_is_written(table: Table, server: Server) -> None:
    table.press("Alt+i")
    expect(table.page.locator("dialog")).to_be_visible()
    table.press("Escape")
    expect(table.box).to_be_focused()
    assert entries(server, "irregularity.recorded") == []


def test_what_the_program_wrote_up_itself_is_said_with_its_facts(lead: Table) -> None:
    one = {
        "seq": 9,
        "kind": "irregularity.recorded",
        "at": "2027-03-02T12:00:00.000Z",
        "local_time": "07:00",
        "initials": "",
        "station": "this laptop",
        "irregularity": "other",
        "code": "stations-not-served",
        "facts": {"place": "192.0.2.14:8408"},
        "what": "",
        "told": "",
        "done": "",
        "person": None,
        "settled": None,
    }
    answer = {"irregularities": [one], "open": 1}
    lead.page.route("**/api/irregularities", lambda route: route.fulfill(json=answer))
    lead.go_to_lists("Irregularities")
    sentence = "no other device can be let in at 192.0.2.14:8408."
    expect(lead.page.locator(".late article")).to_contain_text(sentence)
    # Nobody wrote anything with it: the button is named by what it is about all the same.
    lead.press_button("Settle it: This laptop took over")
    expect(lead.page.get_by_role("dialog")).to_contain_text(sentence)


def test_the_lead_sees_the_oldest_first_and_settles_it_with_the_how(
    tables: Tables, server: Server
) -> None:
    server.open_polls()
    worker = server.station("RM", "Table 1")
    for what in ("a seal was broken", "an observer stood too near"):
        body = {"irregularity": "other", "what": what, "told": "", "done": "", "line_id": None}
        post(worker, "/api/irregularities", body).raise_for_status()
    worker.close()
    lead = tables()
    lead.sign_on("LO", "Lead's desk")
    expect(lead.page.locator(".badge")).to_have_text("2 wait")
    lead.go_to_lists("Irregularities: 2 open")
    expect(lead.page.locator(".late article").first).to_contain_text("a seal was broken")
    lead.press_button("Settle it: a seal was broken")
    expect(lead.page.locator("#dialog-text")).to_be_focused()
    lead.press("Enter")
    expect(lead.page.locator("#dialog-text-problem")).to_contain_text("how it was settled")
    lead.keys("new seal 4471, registrar told", "Enter")
    expect(lead.page.locator(".late .ask")).to_contain_text("1 irregularity is open.")
    expect(lead.page.locator(".late > .way-body > article")).to_have_count(1)
    expect(lead.page.locator(".badge")).to_have_text("1 waits")
    (settled,) = entries(server, "irregularity.settled")
    assert settled["body"]["how"] == "new seal 4471, registrar told"
    assert lead.has_no_sideways_scrolling()
