"""Hours extended by an order, turns taken back, and who comes after the end of the line."""

from __future__ import annotations

import pytest
from playwright.sync_api import expect

from _running_server import Server, post
from tests.browser.conftest import Table, Tables, entries

pytestmark = pytest.mark.browser

PLAIN, PLAIN_NAME = "marchb p", "Marchbanks, Penelope Ruth"


def extend(lead: Table) -> None:
    lead.press_button("Day")
    lead.press_button("Extend the hours by an order")
    expect(lead.page.locator("#dialog-reference")).to_be_focused()
    lead.keys("Tern County Court 27-118", "Tab", "2130")
    expect(lead.page.locator("dialog .before-after")).to_contain_text("votes until 21:30")
    lead.press("Enter")
    # Until the end of the line is marked nobody would be asked whether they came later.
    expect(lead.page.locator(".strip")).to_contain_text(
        "Hours extended to 21:30 by an order: at 20:00 the lead worker marks the end of the line."
    )


def mark_the_end_of_the_line(server: Server) -> None:
    client = server.station("LO", "Table 9")
    post(client, "/api/day/cut-off", {}).raise_for_status()
    client.close()


def test_the_order_and_the_hour_are_asked_for_before_the_hours_are_extended(
    lead: Table, server: Server
) -> None:
    lead.press_button("Day")
    lead.press_button("Extend the hours by an order")
    lead.press("Enter")
    expect(lead.page.locator("#dialog-reference-problem")).to_contain_text("must be named")
    lead.keys("order 27-118", "Enter")
    expect(lead.page.locator("#dialog-until-problem")).to_contain_text("like 21:30")
    expect(lead.page.locator("#dialog-until")).to_be_focused()
    assert entries(server, "hours.extended") == []
    lead.press("Escape")
    expect(lead.page.get_by_role("heading", name="The day")).to_be_focused()
    lead.press("Escape")
    expect(lead.box).to_be_focused()


def test_whoever_comes_after_the_end_of_the_line_votes_on_a_provisional_ballot_kept_apart(
    lead: Table, server: Server
) -> None:
    extend(lead)
    mark_the_end_of_the_line(server)
    lead.open_first(PLAIN, PLAIN_NAME)
    lead.answer("No, came later", "ArrowDown", "ArrowDown")
    expect(lead.verdict).to_have_text("Do not sign")
    expect(lead.page.locator(".sheet")).to_contain_text("By an order (Tern County Court 27-118)")
    lead.press_option("A provisional ballot")
    expect(lead.page.locator(".way")).to_contain_text("it is kept apart from all others")
    lead.page.locator("#form-envelope").focus()
    lead.keys("X-1", "Enter")
    lead.choose("Signed on paper: record it")
    expect(lead.page.locator(".confirmation")).to_contain_text("kept apart from all others")
    (entry,) = entries(server, "provisional.recorded")
    assert entry["body"]["ballot_class"] == "extended_hours"


def test_whoever_stood_in_line_still_signs_after_the_hours_were_extended(
    lead: Table, server: Server
) -> None:
    extend(lead)
    mark_the_end_of_the_line(server)
    lead.open_first(PLAIN, PLAIN_NAME)
    lead.answer("Yes, was in line", "ArrowDown")
    expect(lead.verdict).to_have_text("Sign")


def test_without_an_order_nobody_who_came_later_is_offered_a_ballot_but_everybody_an_answer(
    table: Table, server: Server
) -> None:
    mark_the_end_of_the_line(server)
    table.open_first(PLAIN, PLAIN_NAME)
    table.answer("No, came later", "ArrowDown", "ArrowDown")
    options = table.page.locator(".refusal .answers")
    expect(options).not_to_contain_text("provisional")
    expect(options).to_contain_text("Ask the lead worker")
    expect(options).to_contain_text("write down why")
    table.press_option("write down why")
    expect(table.page.locator("#way-reason")).to_be_focused()


def test_the_latest_turn_is_taken_back_with_a_reason_and_stays_in_the_record(
    lead: Table, server: Server
) -> None:
    mark_the_end_of_the_line(server)
    expect(lead.page.locator(".strip")).to_contain_text("The end of the line is marked")
    lead.press_button("Day")
    lead.press_button("Take back: end of the line marked")
    expect(lead.page.locator("#dialog-text")).to_be_focused()
    before_after = lead.page.locator("dialog .before-after")
    expect(before_after).to_contain_text("The end of the line is marked")
    expect(before_after).to_contain_text("The polls are open until 20:00")
    lead.press("Enter")
    expect(lead.page.locator("#dialog-text-problem")).to_contain_text("A reason is needed")
    lead.keys("marked an hour early", "Enter")
    expect(lead.page.locator(".strip")).to_contain_text("The polls are open until 20:00")
    (entry,) = entries(server, "turn.withdrawn")
    assert entry["body"]["turn"] == "line.cut_off"


def test_the_day_dialog_needs_no_sideways_scrolling_in_a_narrow_window(
    tables: Tables, server: Server
) -> None:
    server.open_polls()
    lead = tables(viewport={"width": 320, "height": 700})
    lead.sign_on("LO", "Lead's desk")
    lead.press_button("Day")
    assert lead.has_no_sideways_scrolling()
    lead.press_button("Extend the hours by an order")
    assert lead.has_no_sideways_scrolling()
