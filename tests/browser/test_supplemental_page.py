"""A supplemental page is keyed in by keyboard: Enter from field to field, traps said at once."""

from __future__ import annotations

from pathlib import Path

import pytest
from playwright.sync_api import Locator, expect

from _running_server import Server, post
from app.records.store import verify_database
from tests.browser.conftest import Table, Tables, entries, line_id_of

pytestmark = pytest.mark.browser

TAKEN_NUMBER, TAKEN_NAME = "931040611", "Marchbanks, Penelope Ruth"


class Page:
    """The form row of a supplemental page, as a clerk works it."""

    def __init__(self, table: Table) -> None:
        self.table = table

    @property
    def first(self) -> Locator:
        return self.table.page.locator("#person-voter_number")

    @property
    def told(self) -> Locator:
        return self.table.page.locator(".late .last")

    @property
    def count(self) -> Locator:
        return self.table.page.locator(".count strong")

    def row(self, number: str, last: str, first: str, born: str) -> None:
        """Every field in the order of the page; the last Enter keys the row."""
        expect(self.first).to_be_focused()
        self.table.keys(number, "Enter", last, "Enter", first, "Enter", "Enter", "Enter")
        self.table.keys(born, "Enter", "Enter", "12 Wharf Street", "Enter", "Ternwick", "Enter")
        self.table.keys("00417", "Enter", "Enter", "ArrowDown", "Enter", "Enter", "Enter")


def begin(lead: Table, total: int) -> Page:
    lead.go_to_lists("A list on paper")
    expect(lead.page.locator("#start-kind-0")).to_be_focused()
    lead.keys("ArrowDown", "ArrowDown", "Enter", "Supplemental, page 2", "Enter")
    lead.keys(str(total), "Enter")
    page = Page(lead)
    expect(page.first).to_be_focused()
    expect(page.count).to_have_text(f"0 of {total}")
    return page


def begun(server: Server, total: int) -> str:
    client = server.station("LO", "Lead's desk")
    body = {"form": "paper", "kind": "supplemental", "name": "Page 2", "printed_total": total}
    answer = post(client, "/api/late-lists", body)
    answer.raise_for_status()
    client.close()
    return str(answer.json()["list"]["list_id"])


def keyed_by_a_worker(table: Table, server: Server, total: int) -> Page:
    begun(server, total)
    table.go_to_lists("Key in: Page 2")
    page = Page(table)
    expect(page.first).to_be_focused()
    return page


def test_a_row_adds_a_line_that_can_be_signed_at_once(table: Table, server: Server) -> None:
    page = keyed_by_a_worker(table, server, 2)
    page.row("770000001", "Quillon", "Ada", "3/4/1980")
    expect(page.told).to_contain_text("Row 1. Added: Quillon, Ada. They can sign.")
    expect(page.count).to_have_text("1 of 2")
    expect(page.first).to_be_focused()
    expect(page.first).to_have_value("")
    assert len(entries(server, "line.added")) == 1
    table.press("Escape")
    expect(table.page.locator(".late .ask")).to_be_focused()
    table.press("Escape")
    table.open_first("quillon", "Quillon, Ada")
    expect(table.verdict).to_have_text("Sign")
    table.sign_on_paper()
    assert verify_database(server.day.url).holds


def test_a_number_that_is_somebody_elses_waits_and_the_lead_decides_it(
    tables: Tables, server: Server
) -> None:
    server.open_polls()
    worker, lead = tables(), tables()
    worker.sign_on()
    lead.sign_on("LO", "Lead's desk")
    page = keyed_by_a_worker(worker, server, 1)
    page.row(TAKEN_NUMBER, "Oddly", "Named", "3/4/1981")
    expect(page.told).to_contain_text("Row 1 waits for the lead worker: Oddly, Named")
    expect(page.told).to_contain_text("The number belongs to somebody else here.")
    expect(page.told).to_contain_text(f"{TAKEN_NAME} · {TAKEN_NUMBER}")
    expect(page.told).to_contain_text("nobody was added")
    expect(page.count).to_have_text("1 of 1")
    expect(worker.page.get_by_role("button", name="Take back the last: Oddly")).to_be_visible()
    assert entries(server, "line.added") == []
    expect(lead.page.locator(".badge")).to_contain_text("wait")
    lead.go_to_lists("Key in: Page 2")
    lead.press_button("Decide 1 row that waits for you")
    expect(lead.page.locator(".late .ask")).to_have_text("1 row of this page needs you.")
    lead.choose("Row 1")
    lead.choose("Leave this row off")
    lead.keys("called: a misprint", "Enter")
    expect(lead.page.locator(".late .ask")).to_have_text("No row of this list waits.")
    assert len(entries(server, "late_list.row_settled")) == 1


def test_what_is_wrong_is_said_beside_every_field_and_nothing_typed_is_lost(
    table: Table, server: Server
) -> None:
    page = keyed_by_a_worker(table, server, 1)
    expect(page.first).to_be_focused()
    table.press_button("Key this row")
    expect(table.page.locator("#person-last_name")).to_be_focused()
    expect(table.page.locator("#person-last_name-problem")).to_contain_text("must not be blank")
    page.first.focus()
    page.row("770000001", "Quillon", "Ada", "31/31/1980")
    expect(table.page.locator("#person-birth_date")).to_be_focused()
    expect(table.page.locator("#person-birth_date-problem")).not_to_have_text("")
    expect(table.page.locator("#person-last_name")).to_have_value("Quillon")
    assert entries(server, "late_list.row_keyed") == []


def test_the_same_row_twice_is_asked_about(table: Table, server: Server) -> None:
    page = keyed_by_a_worker(table, server, 2)
    page.row("770000001", "Quillon", "Ada", "3/4/1980")
    expect(page.count).to_have_text("1 of 2")
    page.row("770000001", "Quillon", "Ada", "3/4/1980")
    asked = table.page.locator(".late .ask")
    expect(asked).to_contain_text("was keyed already, as row 1")
    table.choose("Yes, twice on the page")
    expect(page.count).to_have_text("2 of 2")
    expect(page.told).to_contain_text("On a line already, counted: Quillon, Ada")


def test_a_row_taken_back_takes_its_line_off_again(table: Table, server: Server) -> None:
    page = keyed_by_a_worker(table, server, 1)
    page.row("770000001", "Quillon", "Ada", "3/4/1980")
    expect(page.count).to_have_text("1 of 1")
    table.press("Alt+KeyU")
    expect(table.page.locator("#dialog-text")).to_be_focused()
    table.press("Enter")
    expect(page.count).to_have_text("0 of 1")
    expect(table.page.locator(".late")).to_contain_text("Taken back: Quillon, Ada")
    expect(page.first).to_be_focused()
    assert len(entries(server, "line.removed")) == 1


def test_a_row_whose_line_is_signed_since_is_not_taken_back(table: Table, server: Server) -> None:
    page = keyed_by_a_worker(table, server, 1)
    page.row("770000001", "Quillon", "Ada", "3/4/1980")
    expect(page.count).to_have_text("1 of 1")
    client = server.station("RM", "Table 7")
    path = f"/api/lines/{line_id_of(server, 'quillon ada')}/signature"
    post(client, path, {"how": "paper", "strokes": None, "evidence": {}}).raise_for_status()
    client.close()
    table.press("Alt+KeyU")
    expect(table.page.locator("#dialog-text")).to_be_focused()
    table.press("Enter")
    expect(table.page.get_by_role("dialog")).to_contain_text("the row stays")


def test_a_row_that_cannot_be_read_is_counted_and_adds_nobody(table: Table, server: Server) -> None:
    page = keyed_by_a_worker(table, server, 1)
    table.keys("Enter", "Illeg")
    table.press_button("The row cannot be read whole")
    expect(page.told).to_contain_text("Row 1. Counted, nobody added: Illeg")
    expect(page.count).to_have_text("1 of 1")
    assert entries(server, "line.added") == []


def test_escape_does_not_lose_a_row_half_typed(table: Table, server: Server) -> None:
    keyed_by_a_worker(table, server, 1)
    table.keys("770000001", "Enter", "Quillon")
    table.press("Escape")
    expect(table.page.locator(".late .ask")).to_contain_text("Leave the page?")
    table.press("Escape")
    expect(table.page.locator("#person-last_name")).to_have_value("Quillon")


def test_the_finished_list_is_printed_as_a_proof_from_its_screen_and_from_its_row(
    lead: Table, server: Server
) -> None:
    page = begin(lead, 1)
    page.row("770000001", "Quillon", "Ada", "3/4/1980")
    expect(page.count).to_have_text("1 of 1")
    lead.press_button("The paper is done")
    lead.press("Tab")
    lead.press_button("Finish the list")
    expect(lead.page.locator(".late .ask")).to_have_text("Finished: 1 of 1.")
    assert _printed(lead).startswith("list-")
    lead.press("Escape")
    expect(lead.page.locator(".with-proof")).to_contain_text("on paper: finished")
    assert _printed(lead).endswith(".pdf?language=en")


def _printed(lead: Table) -> str:
    """The name of the paper that opens in a window of its own."""
    with lead.page.expect_popup() as popup:
        lead.press_button("Print the proof of Supplemental, page 2")
    url = popup.value.url
    if url in ("", "about:blank", ":"):
        # A headless browser loads a PDF as a download: its address is asked for all the same.
        url = lead.page.evaluate("() => performance.getEntriesByType('resource').at(-1).name")
    popup.value.close()
    return Path(url).name


@pytest.mark.parametrize("size", [(320, 700), (683, 384)])
def test_a_page_fits_a_narrow_and_a_low_window(
    tables: Tables, server: Server, size: tuple[int, int]
) -> None:
    server.open_polls()
    worker = tables(viewport={"width": size[0], "height": size[1]})
    worker.sign_on()
    page = keyed_by_a_worker(worker, server, 1)
    assert worker.has_no_sideways_scrolling()
    page.row(TAKEN_NUMBER, "Oddly", "Named", "3/4/1981")
    expect(page.told).to_contain_text("waits for the lead worker")
    assert worker.has_no_sideways_scrolling()
