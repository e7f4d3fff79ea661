"""The lead puts a signature right: moved, withdrawn, left without voting, came back."""

from __future__ import annotations

import re

import pytest
from playwright.sync_api import expect

from _running_server import Server
from app.records.store import verify_database
from tests.browser.conftest import Table, entries

pytestmark = pytest.mark.browser

PLAIN, PLAIN_NAME = "marchb p", "Marchbanks, Penelope Ruth"
SON = "Fairweather Jr, Barnaby Amos"


def signed(table: Table) -> None:
    """The line is signed, and open again."""
    table.open_first(PLAIN, PLAIN_NAME)
    table.sign_on_paper()
    table.open_first(PLAIN, PLAIN_NAME)
    expect(table.verdict).to_have_text("Do not sign")


def looking_for(lead: Table, text: str) -> None:
    """In the dialog that moves a signature, with the lines found for `text`."""
    lead.press_button("Move the signature to the right line")
    expect(lead.page.locator("#dialog-search")).to_be_focused()
    lead.keys(text)
    expect(lead.page.locator("dialog .answers button").first).to_be_visible()


def test_the_signature_is_moved_to_the_right_line_in_one_confirmation(
    lead: Table, server: Server
) -> None:
    signed(lead)
    looking_for(lead, "fairweather")
    lead.keys("ArrowDown")
    expect(lead.page.locator("dialog .answers button", has_text=SON)).to_be_focused()
    lead.wait_out_the_guard()
    lead.press("Enter")
    asked = lead.page.locator("dialog")
    expect(asked.locator(".before-after")).to_contain_text(f"{PLAIN_NAME}: free to sign again")
    expect(asked.locator(".before-after")).to_contain_text(f"{SON}: signed, moved here by you")
    expect(asked).not_to_contain_text("1983")
    # It has a look-alike: the birth date is asked here, too.
    expect(lead.page.locator("#dialog-birthDate")).to_be_focused()
    lead.press("Enter")
    expect(lead.page.locator("#dialog-birthDate-problem")).to_contain_text("is missing")
    lead.keys("1/29/83", "Tab")
    expect(lead.page.locator("#dialog-text")).to_be_focused()
    assert entries(server, "signature.withdrawn") == []
    lead.keys("read the wrong row", "Enter")
    done = lead.page.locator(".confirmation")
    expect(done).to_contain_text(re.compile(f"After.*{PLAIN_NAME}: not signed", re.DOTALL))
    expect(done).to_contain_text(re.compile(f"{SON}: signed at .*Table|{SON}: signed at"))
    # The ballots of the two lines differ, and somebody must find out which was given.
    expect(done.locator(".flags")).to_contain_text("Find out which ballot was given")
    expect(lead.box).to_be_focused()
    assert len(entries(server, "signature.withdrawn")) == 1
    assert entries(server, "signature.recorded")[-1]["body"]["moved_from"]
    assert verify_database(server.day.url).holds


def test_a_wrong_birth_date_moves_nothing_and_what_was_typed_is_kept(
    lead: Table, server: Server
) -> None:
    signed(lead)
    looking_for(lead, "fairweather")
    lead.keys("ArrowDown")
    lead.wait_out_the_guard()
    lead.press("Enter")
    lead.keys("3/9/1948", "Tab", "read the wrong row", "Enter")
    expect(lead.page.locator("dialog")).to_contain_text("not the one on this line")
    expect(lead.page.locator("#dialog-text")).to_have_value("read the wrong row")
    assert entries(server, "signature.withdrawn") == []


def test_escape_goes_back_to_the_search_and_then_to_the_line(lead: Table) -> None:
    signed(lead)
    looking_for(lead, "fairweather")
    lead.keys("ArrowDown")
    lead.wait_out_the_guard()
    lead.press("Enter")
    expect(lead.page.locator("#dialog-birthDate")).to_be_focused()
    lead.press("Escape")
    expect(lead.page.locator("#dialog-search")).to_have_value("fairweather")
    lead.press("Escape")
    expect(lead.page.locator("dialog")).to_have_count(0)
    expect(lead.verdict).to_be_focused()


def test_a_voter_who_signs_and_leaves_is_written_down_and_may_come_back(
    lead: Table, server: Server
) -> None:
    signed(lead)
    lead.press_button("Left without voting")
    expect(lead.page.locator("dialog .before-after")).to_contain_text("left without voting")
    expect(lead.page.locator("#dialog-text")).to_be_focused()
    lead.keys("the queue was too long", "Enter")
    expect(lead.page.locator(".confirmation")).to_contain_text("Left without voting")
    assert len(entries(server, "voter.left")) == 1
    lead.open_first(PLAIN, PLAIN_NAME)
    expect(lead.page.locator(".picked")).to_contain_text("signed, and left without voting")
    lead.press_button("Came back to vote")
    lead.keys("had only moved the car", "Enter")
    expect(lead.page.locator(".confirmation")).to_contain_text("No new signature is needed")
    assert len(entries(server, "voter.returned")) == 1


def test_a_table_worker_is_told_to_ask_the_lead(table: Table) -> None:
    signed(table)
    sheet = table.page.locator(".sheet")
    expect(sheet).to_contain_text("Ask the lead worker: only they can correct it.")
    for name in ("Move the signature", "Withdraw the signature", "Left without voting"):
        expect(table.page.get_by_role("button", name=name)).to_have_count(0)
    table.press_option("Ask the lead worker")
    expect(table.asked).to_contain_text("Call the lead worker to this table")
