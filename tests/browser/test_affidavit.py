"""A person on no list whom the registrar authorises: the correction affidavit, by keyboard."""

from __future__ import annotations

import pytest
from playwright.sync_api import expect

from _running_server import Server
from app.records.store import verify_database
from tests.browser.conftest import Table, Tables, entries

pytestmark = pytest.mark.browser


def authorised(table: Table) -> None:
    """At the form, its first field focused."""
    table.get_lost_to_the_registrar("Authorizes a correction affidavit")
    table.choose("the registrar has authorized it")
    expect(table.page.locator("#form-authorised_by")).to_be_focused()


def fill_in(table: Table, *, last: str = "Quixote", first: str = "Ambrose", born: str) -> None:
    """From the first field to the last as one asks, with Enter from field to field."""
    table.keys("Ada Brisk", "Enter", "Space", "Enter")
    table.keys(last, "Enter", first, "Enter", "Enter", "Enter", born, "Enter")
    table.keys("Enter", "12 Wharf Street", "Enter", "Ternwick", "Enter", "00417", "Enter", "Enter")
    expect(table.page.locator("#form-ballot_button-0")).to_be_focused()
    table.keys("ArrowDown", "Enter")


def test_the_affidavit_is_filled_in_signed_and_gives_a_ballot_and_a_line(
    table: Table, server: Server
) -> None:
    authorised(table)
    fill_in(table, born="9/30/1999")
    expect(table.asked).to_have_text("The voter signs the affidavit.")
    expect(table.page.locator("#written")).to_contain_text(
        "Ambrose Quixote signed a correction affidavit on paper, authorized by Ada Brisk"
        " (by telephone), and gets a ballot by button 2 (RM)."
    )
    # One Enter that nobody meant records nothing.
    table.press("Enter")
    assert entries(server, "line.added") == []
    table.choose("Signed on paper: record it")
    done = table.page.locator(".confirmation")
    expect(done).to_contain_text("Quixote, Ambrose")
    expect(done.locator(".ballot strong")).to_have_text("2")
    expect(table.box).to_be_focused()
    assert len(entries(server, "line.added")) == 1
    assert verify_database(server.day.url).holds
    table.open_first("quixote", "Quixote, Ambrose")
    expect(table.verdict).to_have_text("Do not sign")
    expect(table.page.locator(".picked")).to_contain_text("added by correction affidavit")


def test_what_is_missing_is_said_beside_its_field_and_what_cannot_be_read_too(table: Table) -> None:
    authorised(table)
    table.press_button("Go on to the signature")
    expect(table.page.locator("#form-authorised_by")).to_be_focused()
    beside = table.page.locator("#form-authorised_by-problem")
    expect(beside).to_contain_text("Write who authorized it.")
    expect(table.page.locator("#form-ballot_button-problem")).to_contain_text("Ask the registrar")
    table.press("ControlOrMeta+A")
    fill_in(table, born="31 of September")
    expect(table.page.locator("#form-birth_date")).to_be_focused()
    expect(table.page.locator("#form-birth_date-problem")).to_contain_text("in numbers")
    expect(table.page.locator("#form-last_name")).to_have_value("Quixote")


def test_escape_goes_back_to_the_fields_and_nothing_typed_is_lost(
    table: Table, server: Server
) -> None:
    authorised(table)
    fill_in(table, born="9/30/1999")
    expect(table.asked).to_have_text("The voter signs the affidavit.")
    table.press("Escape")
    expect(table.page.locator("#form-birth_date")).to_have_value("9/30/1999")
    table.press("Escape")
    expect(table.asked).to_contain_text("What can be done now")
    table.choose("the registrar has authorized it")
    expect(table.page.locator("#form-last_name")).to_have_value("Quixote")
    assert entries(server, "line.added") == []


def test_a_signature_drawn_for_the_affidavit_is_recorded_as_drawn(
    table: Table, server: Server
) -> None:
    authorised(table)
    fill_in(table, born="9/30/1999")
    expect(table.asked).to_have_text("The voter signs the affidavit.")
    table.draw()
    expect(table.page.locator("#written")).to_contain_text("on the screen")
    table.press_button("Record signature and form")
    expect(table.page.locator(".confirmation")).to_be_visible()
    (entry,) = entries(server, "signature.recorded")
    assert entry["body"]["how"] == "drawn"


def test_a_person_who_has_a_line_is_sent_to_it(table: Table, server: Server) -> None:
    authorised(table)
    fill_in(table, last="Marchbanks", first="Penelope", born="10/23/1979")
    told = table.page.locator('[data-focus="already-on"]')
    expect(told).to_be_focused()
    expect(told).to_contain_text("Marchbanks, Penelope Ruth")
    expect(told).to_contain_text("Call the lead worker")
    table.press_button("Open the line")
    expect(table.page.locator("#sheet-name")).to_have_text("Marchbanks, Penelope Ruth")
    assert entries(server, "line.added") == []


def test_the_lead_may_say_that_it_is_somebody_else(lead: Table, server: Server) -> None:
    authorised(lead)
    fill_in(lead, last="Marchbanks", first="Penelope", born="10/23/1979")
    lead.press_button("It is somebody else: go on")
    expect(lead.asked).to_have_text("The voter signs the affidavit.")
    lead.choose("Signed on paper: record it")
    expect(lead.page.locator(".confirmation")).to_contain_text("Marchbanks, Penelope")
    (entry,) = entries(server, "line.added")
    assert entry["body"]["somebody_else"] is True


def test_in_a_narrow_window_the_form_needs_no_sideways_scrolling(
    tables: Tables, server: Server
) -> None:
    server.open_polls()
    table = tables(viewport={"width": 320, "height": 700})
    table.sign_on()
    authorised(table)
    assert table.has_no_sideways_scrolling()
    fill_in(table, born="9/30/1999")
    expect(table.asked).to_have_text("The voter signs the affidavit.")
    assert table.has_no_sideways_scrolling()
