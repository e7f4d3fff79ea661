"""Help in the booth, and a voter who wants a detail changed, by keyboard alone."""

from __future__ import annotations

import pytest
from playwright.sync_api import expect

from _running_server import Server, post
from tests.browser.conftest import Table, Tables, entries

pytestmark = pytest.mark.browser

PLAIN, PLAIN_NAME = "marchb p", "Marchbanks, Penelope Ruth"


def needs_help(table: Table) -> None:
    table.open_first(PLAIN, PLAIN_NAME)
    table.press_button("Needs a helper in the booth")
    expect(table.page.locator("#helper-name")).to_be_focused()


def record(table: Table) -> None:
    expect(table.page.get_by_role("button", name="Helper signed on paper")).to_be_focused()
    table.wait_out_the_guard()
    table.press("Enter")


def test_without_a_y_the_reason_and_the_statement_of_support_are_written_down(
    table: Table, server: Server
) -> None:
    needs_help(table)
    expect(table.verdict).to_have_text("First…")
    table.keys("Wilma Gant", "Enter", "Space", "Enter")
    expect(table.page.locator("#helper-reason")).to_be_focused()
    table.keys("Enter")
    table.keys("Space", "Enter")
    expect(table.page.locator("#helper-reason-problem")).to_contain_text("Ask the voter why")
    expect(table.page.locator("#helper-reason")).to_be_focused()
    table.keys("cannot read the print", "Enter", "Enter")
    record(table)
    expect(table.verdict).to_have_text("Sign")
    table.wait_out_the_guard()
    table.sign_on_paper()
    (entry,) = entries(server, "assistance.recorded")
    body = entry["body"]
    assert (body["helper_is"], body["statement_of_support"]) == ("other", True)


def test_without_the_statement_of_support_it_is_recorded_and_said(table: Table) -> None:
    needs_help(table)
    table.keys("Wilma Gant", "Enter", "Space", "Enter", "cannot see", "Enter", "Enter")
    record(table)
    expect(table.page.locator(".flags")).to_contain_text("without the statement of support")
    expect(table.verdict).to_be_focused()


def test_the_voters_employer_may_not_help_and_that_is_said_before_anybody_signs(
    table: Table, server: Server
) -> None:
    needs_help(table)
    table.keys("Wilma Gant", "Enter", "ArrowDown")
    expect(table.page.get_by_role("radio", name="Yes")).to_be_checked()
    expect(table.page.locator("#helper-is-problem")).to_contain_text("52 U.S.C. 10508")
    table.page.locator("#helper-reason").focus()
    table.keys("cannot see", "Enter", "Enter")
    expect(table.page.get_by_role("radio", name="Yes")).to_be_focused()
    table.press_button("Helper signed on paper")
    expect(table.page.locator("#helper-is-problem")).to_contain_text("chooses somebody else")
    assert entries(server, "assistance.recorded") == []
    table.press_button("No helper after all")
    expect(table.verdict).to_have_text("Sign")


def test_a_helper_over_the_limit_is_flagged_and_the_lead_sees_the_list(
    tables: Tables, server: Server
) -> None:
    server.open_polls()
    client = server.station("RM", "Table 9")
    found = post(client, "/api/find", {"text": "lantern hill", "limit": 20}).json()["matches"]
    helped = {"wanted": True, "helper_name": "Wilma Gant", "helper_is": "other", "how": "paper"}
    said = {"reason": "cannot see", "statement_of_support": True}
    for match in found[:5]:
        line = f"/api/lines/{match['line_id']}/assistance"
        post(client, line, {**helped, **said}).raise_for_status()
    client.close()
    lead = tables()
    lead.sign_on("LO", "Lead's desk")
    needs_help(lead)
    lead.keys("Wilma Gant", "Enter", "Space", "Enter", "cannot see", "Enter", "Space", "Enter")
    record(lead)
    expect(lead.page.locator(".flags")).to_contain_text(
        "this helper has now helped 6 voters; the limit here is 5"
    )
    lead.go_to_lists("Who was sent where")
    lists = lead.page.locator(".lists")
    expect(lists).to_contain_text("The limit is 5 voters a helper. 1 helper is over it.")
    expect(lists).to_contain_text("Wilma Gant")
    expect(lists).to_contain_text("over the limit")
    lead.keys("Escape", "Escape")
    expect(lead.verdict).to_be_focused()


def test_a_voter_who_wants_a_detail_changed_gets_a_form_and_signs_as_printed(
    table: Table, server: Server
) -> None:
    table.open_first(PLAIN, PLAIN_NAME)
    table.press_button("Wants a detail changed")
    asked = table.page.locator("dialog")
    expect(asked).to_contain_text("Only that a form was given will be written down.")
    assert entries(server, "form.given") == []
    table.press("Escape")
    expect(table.verdict).to_be_focused()
    table.press_button("Wants a detail changed")
    table.press_button("Form given: write it down")
    expect(table.page.locator(".strip")).to_contain_text(f"Form given: {PLAIN_NAME}")
    assert len(entries(server, "form.given")) == 1
    table.press_button("Signed on paper")
    expect(table.page.locator(".confirmation")).to_contain_text(PLAIN_NAME)


def test_whoever_has_signed_already_may_still_need_a_helper(table: Table, server: Server) -> None:
    table.open_first(PLAIN, PLAIN_NAME)
    table.sign_on_paper()
    table.open_first(PLAIN, PLAIN_NAME)
    table.press_button("Needs a helper in the booth")
    expect(table.page.locator("#helper-name")).to_be_focused()
    table.keys("Wilma Gant", "Enter", "Space", "Enter", "cannot see", "Enter", "Space", "Enter")
    record(table)
    expect(table.page.locator("#helper-name")).to_have_count(0)
    expect(table.verdict).to_have_text("Do not sign")
    assert len(entries(server, "assistance.recorded")) == 1
