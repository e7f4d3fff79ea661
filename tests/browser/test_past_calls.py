"""The calls of today, as the lead reads them later."""

from __future__ import annotations

from typing import Any

import pytest
from playwright.sync_api import expect

from _running_server import Server, post
from tests.browser.conftest import Table, Tables, line_id_of

pytestmark = pytest.mark.browser

PLAIN, PLAIN_NAME, PLAIN_NUMBER = "marchb p", "Marchbanks, Penelope Ruth", "931040611"


def call(server: Server, what: str, argument: str = "", *, on_line: bool = True) -> dict[str, Any]:
    client = server.station("LO", "Lead's desk")
    line_id = line_id_of(server, PLAIN) if on_line else None
    line = client.get(f"/api/lines/{line_id}").json()["line"] if line_id else None
    body = {
        "caller": "Ada Brisk",
        "office": "Registrar of Voters",
        "number_called_back": "555-0142",
        "asked": f"please: {what}",
        "line_id": line_id,
        "change": {"what": what, "argument": argument},
        "read_back": line
        and {
            "voter_number": line["voter_number"],
            "name": line["name"],
            "birth_year": int(line["birth_date"][:4]),
        },
        "confirmed": True,
        "code": None,
    }
    answer = post(client, "/api/phone-ins", body)
    answer.raise_for_status()
    client.close()
    made: dict[str, Any] = answer.json()
    return made


def test_before_the_first_call_the_screen_says_so(lead: Table) -> None:
    lead.go_to_lists("Calls of today")
    asked = lead.page.locator(".late .ask")
    expect(asked).to_have_text("No call has been written down today.")
    expect(asked).to_be_focused()
    lead.press("Escape")
    expect(asked).to_have_text("What has come in?")


def test_every_call_is_told_with_who_what_and_where_it_stands(lead: Table, server: Server) -> None:
    call(server, "correct_detail", "last_name=Marchbank")
    call(server, "mark_by_mail")
    call(server, "mark_by_mail")
    last = call(server, "authorise_affidavit", "Odette Pell 1980", on_line=False)
    lead.go_to_lists("Calls of today")
    expect(lead.page.locator(".late .ask")).to_have_text("4 calls were written down today.")
    rows = lead.page.locator(".late tbody tr")
    expect(rows).to_have_count(4)
    newest = rows.nth(0)
    expect(newest).to_contain_text(f"Entry {last['phone_in']['seq']} of the record")
    expect(newest).to_contain_text("an affidavit is authorized for Odette Pell 1980")
    expect(newest).to_contain_text("On no line")
    expect(newest).to_contain_text("Ada Brisk")
    expect(newest).to_contain_text("called back at 555\u20110142")
    expect(newest).to_contain_text("No code")
    expect(newest).to_contain_text("LO, Lead's desk")
    expect(rows.nth(1)).to_contain_text("It stood so already")
    expect(rows.nth(2)).to_contain_text("is marked voted by mail")
    expect(rows.nth(2)).to_contain_text(PLAIN_NUMBER)
    expect(rows.nth(3)).to_contain_text("becomes Marchbank")
    expect(rows.nth(3)).to_contain_text("Asked: please: correct_detail")
    rows.nth(2).get_by_role("button", name="Open the line of Marchbank").focus()
    lead.wait_out_the_guard()
    lead.press("Enter")
    expect(lead.verdict).to_have_text("Do not sign")


def test_a_call_taken_meanwhile_comes_by_itself(lead: Table, server: Server) -> None:
    lead.go_to_lists("Calls of today")
    call(server, "mark_early")
    expect(lead.page.locator(".late tbody tr")).to_have_count(1)


def test_a_table_worker_does_not_see_the_calls(table: Table) -> None:
    table.press_button("Lists")
    expect(table.page.locator(".late .ask")).to_be_focused()
    expect(table.page.get_by_role("button", name="Calls of today")).to_have_count(0)


@pytest.mark.parametrize("size", [(320, 700), (683, 384), (820, 1180)])
def test_the_calls_fit_a_narrow_and_a_low_window(
    tables: Tables, server: Server, size: tuple[int, int]
) -> None:
    server.open_polls()
    call(server, "mark_early")
    lead = tables(viewport={"width": size[0], "height": size[1]})
    lead.sign_on("LO", "Lead's desk")
    lead.go_to_lists("Calls of today")
    expect(lead.page.locator(".late tbody tr")).to_have_count(1)
    assert lead.has_no_sideways_scrolling()
