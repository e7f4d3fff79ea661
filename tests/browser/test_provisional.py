"""Provisional ballots: for a person on no list, from a stopped line, and taken back by the lead."""

from __future__ import annotations

import pytest
from playwright.sync_api import expect

from _running_server import Server
from app.records.store import verify_database
from tests.browser.conftest import Table, entries

pytestmark = pytest.mark.browser

STOPPED, STOPPED_NAME = "postleth", "Postlethwaite, Hollis Edwin"


def on_no_list(table: Table, name: str, envelope: str) -> None:
    """From the box to the signature for a provisional ballot."""
    table.get_lost_to_the_registrar("Nobody answers")
    table.choose("A provisional ballot")
    expect(table.page.locator("#form-name")).to_be_focused()
    table.keys(name, "Enter", "Enter", "12 Wharf Street", "Enter", "Enter", "Enter")
    table.keys("Space", "Enter", envelope, "Enter")


def test_a_person_on_no_list_gets_one_and_the_envelope_stands_large(
    table: Table, server: Server
) -> None:
    on_no_list(table, "Ambrose Quixote", "A-12")
    expect(table.asked).to_have_text("The voter signs for the provisional ballot.")
    expect(table.page.locator(".way")).to_contain_text("I am registered in Tern County")
    expect(table.page.locator("#written")).to_contain_text(
        "Ambrose Quixote gets a provisional ballot in envelope A-12, button 1, signed on paper,"
        " because the person is on no list here (RM)."
    )
    table.press("Enter")
    assert entries(server, "provisional.recorded") == []
    table.choose("Signed on paper: record it")
    done = table.page.locator(".confirmation")
    expect(done.locator(".ballot strong")).to_have_text(["1", "A-12"])
    expect(done).to_contain_text("never into the machine")
    expect(done).to_contain_text("how to learn whether the ballot counted")
    expect(table.box).to_be_focused()
    (entry,) = entries(server, "provisional.recorded")
    assert (entry["body"]["reason"], entry["line_id"]) == ("not-on-a-list", None)
    assert verify_database(server.day.url).holds


def test_an_envelope_number_is_copied_plainly_and_used_once(table: Table, server: Server) -> None:
    on_no_list(table, "Ambrose Quixote", "A 12")
    beside = table.page.locator("#form-envelope-problem")
    expect(beside).to_contain_text("Letters, digits and hyphens only")
    table.press("ControlOrMeta+A")
    table.keys("A-12", "Enter")
    table.choose("Signed on paper: record it")
    expect(table.page.locator(".confirmation")).to_be_visible()
    on_no_list(table, "Otto Quixote", "a-12")
    table.choose("Signed on paper: record it")
    expect(beside).to_contain_text("This number has been used.")
    expect(table.page.locator("#form-envelope")).to_be_focused()
    expect(table.page.locator("#form-name")).to_have_value("Otto Quixote")
    assert len(entries(server, "provisional.recorded")) == 1


def test_a_voter_whose_line_says_voted_by_mail_gets_one_on_the_line(
    table: Table, server: Server
) -> None:
    table.open_first(STOPPED, STOPPED_NAME)
    table.press_option("A provisional ballot")
    expect(table.page.locator("#form-name")).to_have_value("Hollis Edwin Postlethwaite")
    expect(table.page.locator("#form-street_address")).to_have_value("21 Samphire Way")
    expect(table.page.locator("#form-ballot_button-1")).to_be_checked()
    table.page.locator("#form-envelope").focus()
    table.keys("B-1", "Enter")
    expect(table.page.locator("#written")).to_contain_text("the line says voted by mail")
    table.choose("Signed on paper: record it")
    expect(table.page.locator(".confirmation")).to_contain_text("B-1")
    (entry,) = entries(server, "provisional.recorded")
    assert entry["line_id"]
    table.open_first(STOPPED, STOPPED_NAME)
    expect(table.page.locator(".sheet")).to_contain_text("A provisional ballot was given")


def test_escape_from_the_form_of_a_line_goes_back_to_the_line(table: Table) -> None:
    table.open_first(STOPPED, STOPPED_NAME)
    table.press_option("A provisional ballot")
    expect(table.page.locator("#form-name")).to_be_focused()
    table.press("Escape")
    expect(table.verdict).to_be_focused()
    expect(table.page.locator("#sheet-name")).to_have_text(STOPPED_NAME)


def test_a_challenged_voter_gets_one_and_who_says_so_is_written_down(
    table: Table, server: Server
) -> None:
    table.open_first("marchb p", "Marchbanks, Penelope Ruth")
    table.press_button("An official says: may not vote")
    expect(table.page.locator("#form-note")).to_be_focused()
    table.press_button("Go on to the signature")
    expect(table.page.locator("#form-note-problem")).to_contain_text(
        "Write it here, in a few words."
    )
    table.keys("The inspector says she moved")
    table.page.locator("#form-envelope").focus()
    table.keys("C-3", "Enter")
    table.choose("Signed on paper: record it")
    expect(table.page.locator(".confirmation")).to_contain_text("C-3")
    (entry,) = entries(server, "provisional.recorded")
    assert entry["body"]["reason"] == "challenged"


def test_the_lead_takes_one_back_from_the_list(lead: Table, server: Server) -> None:
    on_no_list(lead, "Ambrose Quixote", "A-12")
    lead.choose("Signed on paper: record it")
    expect(lead.page.locator(".confirmation")).to_be_visible()
    lead.go_to_lists("Who was sent where")
    expect(lead.page.locator(".lists")).to_contain_text("1 provisional ballot")
    lead.press_button("Take back the provisional ballot of Ambrose Quixote")
    expect(lead.page.locator("#dialog-text")).to_be_focused()
    expect(lead.page.locator("dialog")).to_contain_text("the envelope number stays used")
    lead.keys("Enter")
    expect(lead.page.locator("#dialog-text-problem")).to_contain_text("A reason is needed")
    lead.keys("found on the register after all", "Enter")
    expect(lead.page.locator(".lists")).to_contain_text("taken back at")
    expect(lead.page.locator("#lists-title")).to_be_focused()
    assert len(entries(server, "provisional.withdrawn")) == 1


def test_a_voter_who_cannot_do_the_step_is_offered_what_is_left(
    table: Table, server: Server
) -> None:
    table.open_first("newhouse w", "Newhouse, Wanda Jean")
    expect(table.verdict).to_have_text("First…")
    table.press_button("The voter cannot or will not do this")
    table.walk(("What can be done now", "A provisional ballot"))
    expect(table.page.locator("#form-note")).to_be_focused()
    table.keys("cannot hold a pen")
    table.page.locator("#form-envelope").focus()
    table.keys("D-4", "Enter")
    expect(table.page.locator("#written")).to_contain_text("what comes first could not be done")
    table.choose("Signed on paper: record it")
    expect(table.page.locator(".confirmation")).to_contain_text("D-4")
    (entry,) = entries(server, "provisional.recorded")
    assert (entry["body"]["reason"], entry["body"]["note"]) == (
        "step-not-done",
        "cannot hold a pen",
    )


def test_escape_goes_from_there_back_to_the_step(table: Table) -> None:
    table.open_first("newhouse w", "Newhouse, Wanda Jean")
    table.press_button("The voter cannot or will not do this")
    table.walk(("What can be done now", "write down why"), ("First offer", "declined"))
    expect(table.page.locator("#way-reason")).to_be_focused()
    for question in ("First offer a provisional ballot", "What can be done now"):
        table.press("Escape")
        expect(table.asked).to_contain_text(question)
    table.press("Escape")
    expect(table.question).to_contain_text("address confirmation card")
    expect(table.page.get_by_role("button", name="Card completed")).to_be_visible()
