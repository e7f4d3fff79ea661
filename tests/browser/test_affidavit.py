"""A person on no list whom the registrar authorises: the correction affidavit, by keyboard."""

from __future__ import annotations

import pytest
from playwright.sync_api import expect

from _running_server import Server, post
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


def by_telephone(server: Server, person: str) -> int:
    """The lead writes down a call that authorises an affidavit: its entry's number."""
    client = server.station("LO", "Lead's desk")
    body = {
        "caller": "Ada Brisk",
        "office": "Registrar of Voters",
        "number_called_back": "555-0142",
        "asked": "let them sign an affidavit",
        "line_id": None,
        "change": {"what": "authorise_affidavit", "argument": person},
        "read_back": None,
        "confirmed": True,
        "code": None,
    }
    answer = post(client, "/api/phone-ins", body)
    answer.raise_for_status()
    client.close()
    return int(answer.json()["phone_in"]["seq"])


def test_the_call_that_authorised_it_is_chosen_by_arrow_and_fills_in_what_it_says(
    table: Table, server: Server
) -> None:
    by_telephone(server, "Odette Pell 1980")
    seq = by_telephone(server, "Ambrose Quixote 1999")
    table.get_lost_to_the_registrar("Authorizes a correction affidavit")
    table.choose("the registrar has authorized it")
    calls = table.page.get_by_role("radiogroup").first
    expect(calls).to_contain_text("Odette Pell 1980 (Ada Brisk,")
    expect(table.page.locator("#form-authorisation_seq-0")).to_be_focused()
    # Two could be meant: none is chosen beforehand.
    expect(calls.locator("input:checked")).to_have_count(0)
    expect(table.page.locator("#form-last_name")).to_have_value("")
    table.keys("ArrowDown")
    expect(table.page.locator("#form-last_name")).to_have_value("Quixote")
    expect(table.page.locator("#form-first_name")).to_have_value("Ambrose")
    expect(table.page.locator("#form-authorised_by")).to_have_value("Ada Brisk")
    expect(table.page.locator("#form-birth_date-hint")).to_contain_text("The call named 1999")
    table.keys("Enter", "Enter", "Enter", "Enter", "Enter", "Enter", "Enter", "9/30/1999", "Enter")
    table.keys("Enter", "12 Wharf Street", "Enter", "Ternwick", "Enter", "00417", "Enter", "Enter")
    table.keys("ArrowDown", "Enter")
    expect(table.page.locator("#written")).to_contain_text("authorized by Ada Brisk (by telephone)")
    table.choose("Signed on paper: record it")
    expect(table.page.locator(".confirmation")).to_contain_text("Quixote, Ambrose")
    (entry,) = entries(server, "line.added")
    assert entry["body"]["authorisation_seq"] == seq


def test_a_call_that_the_lead_takes_while_the_form_is_open_appears_in_it(
    table: Table, server: Server
) -> None:
    authorised(table)
    by_telephone(server, "Odette Pell 1980")
    expect(table.page.locator("#form-authorisation_seq-0")).to_be_focused()
    # By hand it goes on as well.
    table.keys("ArrowDown", "Enter")
    expect(table.page.locator("#form-authorised_by")).to_be_focused()
    fill_in(table, born="9/30/1999")
    table.choose("Signed on paper: record it")
    expect(table.page.locator(".confirmation")).to_be_visible()
    (entry,) = entries(server, "line.added")
    assert entry["body"]["authorisation_seq"] is None


def test_a_call_used_at_another_table_is_no_longer_offered_and_that_is_said(
    tables: Tables, server: Server
) -> None:
    server.open_polls()
    by_telephone(server, "Odette Pell 1980")
    first, second = tables(), tables()
    first.sign_on()
    second.sign_on("RM", "Table 2")
    for table in (first, second):
        table.get_lost_to_the_registrar("Authorizes a correction affidavit")
        table.choose("the registrar has authorized it")
        expect(table.page.locator("#form-authorisation_seq-0")).to_be_focused()
        table.keys("Space")
    second.keys("Enter", "Enter", "Enter", "Enter", "Enter", "Enter", "Enter", "3/4/1980", "Enter")
    second.keys("Enter", "12 Wharf Street", "Enter", "Enter", "Enter", "Enter", "Space", "Enter")
    second.choose("Signed on paper: record it")
    expect(second.page.locator(".confirmation")).to_contain_text("Pell, Odette")
    expect(first.page.locator("#form-authorised_by")).to_be_focused()
    expect(first.page.locator("#form-authorised_by-problem")).to_contain_text("at another table")
    expect(first.page.locator("#form-authorisation_seq-0")).to_have_count(0)
    expect(first.page.locator("#form-last_name")).to_have_value("Pell")
