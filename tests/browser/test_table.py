"""A morning at the table: keys, scans, other stations, a server that goes away, the lead."""

from __future__ import annotations

import re

import pytest
from playwright.sync_api import expect

from _running_server import Server, fresh_token, sign_on_paper
from app.records.store import verify_database
from tests.browser.conftest import Table, Tables, line_id_of

pytestmark = pytest.mark.browser

PLAIN, PLAIN_NAME = "marchb p", "Marchbanks, Penelope Ruth"


def test_before_opening_the_verdict_says_so_and_the_lead_opens_the_polls(
    tables: Tables, server: Server
) -> None:
    worker, lead = tables(), tables()
    worker.sign_on()
    worker.open_first(PLAIN, PLAIN_NAME)
    expect(worker.verdict).to_have_text("Do not sign")
    expect(worker.page.locator(".sheet")).to_contain_text("not open")
    lead.sign_on("LO", "Lead's desk")
    lead.page.get_by_role("button", name="Day").focus()
    lead.press("Enter")
    for button in ("Open the polls", "Yes: Open the polls"):
        lead.page.get_by_role("button", name=button, exact=True).focus()
        lead.wait_out_the_guard()
        lead.press("Enter")
    # Nobody touches the worker's page: it hears of it.
    expect(worker.verdict).to_have_text("Sign")


def test_a_line_signed_at_another_table_turns_while_it_is_open(
    table: Table, server: Server
) -> None:
    table.open_first(PLAIN, PLAIN_NAME)
    expect(table.verdict).to_have_text("Sign")
    other = server.station("RM", "Table 2")
    line_id = line_id_of(server, PLAIN)
    assert sign_on_paper(other, line_id, fresh_token()).status_code == 200
    other.close()
    expect(table.verdict).to_have_text("Do not sign")
    expect(table.page.locator(".sheet")).to_contain_text("Table 2 signed this line")


def test_a_signature_drawn_with_the_mouse_is_recorded_with_its_strokes(
    table: Table, server: Server
) -> None:
    table.open_first(PLAIN, PLAIN_NAME)
    pad = table.page.locator("signature-pad").bounding_box()
    assert pad is not None
    mouse = table.page.mouse
    mouse.move(pad["x"] + 30, pad["y"] + 60)
    mouse.down()
    for step in range(1, 12):
        mouse.move(pad["x"] + 30 + 20 * step, pad["y"] + 60 + (15 if step % 2 else -15))
    mouse.up()
    record = table.page.get_by_role("button", name="Record signature")
    expect(record).to_be_visible()
    table.wait_out_the_guard()
    record.focus()
    table.press("Enter")
    expect(table.page.locator(".confirmation")).to_be_visible()
    client = server.station("RM", "Table 9")
    entry = client.get(f"/api/lines/{line_id_of(server, PLAIN)}").json()["history"][-1]
    client.close()
    assert entry["body"]["how"] == "drawn"
    assert verify_database(server.day.url).holds


def test_a_scan_while_a_line_is_open_signs_nobody(table: Table, server: Server) -> None:
    """A scanner types a number in a burst and ends it with Enter, wherever the focus is."""
    table.open_first(PLAIN, PLAIN_NAME)
    table.page.keyboard.type("723042235")
    table.press("Enter")
    table.page.wait_for_timeout(600)
    client = server.station("RM", "Table 9")
    assert client.get("/api/day").json()["counts"]["signed"] == 0
    client.close()


def test_a_scanned_voter_number_opens_its_line(table: Table) -> None:
    table.page.keyboard.type("931040611")
    table.press("Enter")
    expect(table.page.locator("#sheet-name")).to_have_text(PLAIN_NAME)


def test_when_the_server_goes_away_the_page_says_so_keeps_what_was_typed_and_recovers(
    table: Table, server: Server
) -> None:
    table.find("marchb")
    server.kill()
    expect(table.page.get_by_text("The server cannot be reached")).to_be_visible(timeout=2_000)
    table.keys(" p")
    expect(table.box).to_have_value("marchb p")
    server.start()
    expect(table.page.get_by_text("The server answers.")).to_be_visible(timeout=5_000)
    expect(table.box).to_have_value("marchb p")
    expect(table.rows.first.locator(".name")).to_have_text(PLAIN_NAME)


def test_a_signature_sent_into_a_dead_server_is_recorded_once_when_it_is_back(
    table: Table, server: Server
) -> None:
    table.open_first(PLAIN, PLAIN_NAME)
    server.kill()
    expect(table.page.get_by_text("The server cannot be reached")).to_be_visible(timeout=2_000)
    table.wait_out_the_guard()
    table.press("Enter")
    expect(table.page.get_by_text(re.compile("is kept and will be sent")).first).to_be_visible()
    expect(table.page.locator(".confirmation")).to_have_count(0)
    server.start()
    expect(table.page.locator(".confirmation")).to_contain_text(PLAIN_NAME, timeout=8_000)
    client = server.station("RM", "Table 9")
    history = client.get(f"/api/lines/{line_id_of(server, PLAIN)}").json()["history"]
    client.close()
    assert [entry["kind"] for entry in history] == ["signature.recorded"]
    assert verify_database(server.day.url).holds


def test_the_lead_withdraws_a_signature_by_keyboard_with_a_reason(
    tables: Tables, server: Server
) -> None:
    server.open_polls()
    lead = tables()
    lead.sign_on("LO", "Lead's desk")
    lead.open_first(PLAIN, PLAIN_NAME)
    lead.sign_on_paper()
    lead.open_first(PLAIN, PLAIN_NAME)
    lead.page.get_by_role("button", name="Withdraw the signature").focus()
    lead.press("Enter")
    lead.page.locator("#dialog-text").focus()
    lead.keys("signed on the wrong line", "Enter")
    expect(lead.verdict).to_have_text("Sign")


def test_nobody_found_is_said_with_what_to_do_next(table: Table) -> None:
    table.keys("zzzzqqqq")
    expect(table.page.get_by_role("heading", name="No line fits.")).to_be_visible()
    expect(table.page.get_by_text(re.compile("555-0142"))).to_be_visible()


def test_nothing_personal_is_kept_in_the_browser(table: Table) -> None:
    table.open_first(PLAIN, PLAIN_NAME)
    table.sign_on_paper()
    kept = table.page.evaluate(
        "() => JSON.stringify([{...localStorage}, {...sessionStorage}, document.cookie,"
        " location.href, document.title, history.length])"
    )
    for private in ("Marchbanks", "Penelope", "1979", "931040611"):
        assert private not in kept


def test_the_page_turns_spanish_at_once(table: Table) -> None:
    table.find(PLAIN)
    table.page.get_by_role("button", name="Español").focus()
    table.press("Enter")
    expect(table.page.locator("html")).to_have_attribute("lang", "es")
    expect(table.box).to_have_value(PLAIN)


@pytest.mark.parametrize("width", [1366, 820, 320])
def test_the_page_needs_no_sideways_scrolling(tables: Tables, server: Server, width: int) -> None:
    server.open_polls()
    table = tables(viewport={"width": width, "height": 768})
    table.sign_on()
    table.open_first(PLAIN, PLAIN_NAME)
    overflow = table.page.evaluate(
        "() => document.documentElement.scrollWidth - document.documentElement.clientWidth"
    )
    assert overflow <= 0
