"""A voter stands at the table, and at that moment a list arrives: nobody signs any more."""

from __future__ import annotations

import base64
import time

import httpx
import pytest
from playwright.sync_api import Route, expect

from _running_server import Server, post
from tests.browser.conftest import Table, Tables, entries, line_id_of

pytestmark = pytest.mark.browser

PLAIN, PLAIN_NAME = "marchb p", "Marchbanks, Penelope Ruth"
ROW = "voter_number,last_name,first_name,birth_date\n931040611,Marchbanks,Penelope,{born}\n"
WITHIN_SECONDS = 1.0


def a_list_by_http(lead: httpx.Client, born: str) -> str:
    """Brought and not applied yet: its list_id."""
    content = base64.b64encode(ROW.format(born=born).encode()).decode()
    body = {"form": "file", "kind": "mail_voted", "name": "late.csv", "content_base64": content}
    answer = post(lead, "/api/late-lists", body)
    answer.raise_for_status()
    return str(answer.json()["list"]["list_id"])


@pytest.fixture
def born(server: Server) -> str:
    client = server.station("RM", "Table 9")
    line = client.get(f"/api/lines/{line_id_of(server, PLAIN)}").json()["line"]
    client.close()
    return str(line["birth_date"])


def test_a_list_applied_at_the_leads_desk_stops_the_open_line_before_it_is_signed(
    tables: Tables, server: Server, born: str
) -> None:
    server.open_polls()
    worker, lead = tables(), tables()
    worker.sign_on()
    lead.sign_on("LO", "Lead's desk")
    lead.go_to_lists("A list as a file")
    lead.press("Space")
    file = {"name": "late.csv", "mimeType": "text/csv", "buffer": ROW.format(born=born).encode()}
    lead.page.locator("#bring-file").set_input_files(file)  # type: ignore[arg-type]
    lead.press_button("Look at what it would do")
    expect(lead.page.locator(".written")).to_contain_text("1 mark “voted by mail” will be made")
    worker.open_first(PLAIN, PLAIN_NAME)
    worker.draw()
    expect(worker.page.get_by_role("button", name="Record signature")).to_be_visible()
    lead.page.get_by_role("button", name="Apply the list").focus()
    lead.wait_out_the_guard()
    lead.press("Enter")
    started = time.perf_counter()
    # Nobody touches the worker's page: it hears of it.
    expect(worker.verdict).to_have_text("Do not sign", timeout=1_000 * WITHIN_SECONDS)
    assert time.perf_counter() - started < WITHIN_SECONDS
    expect(worker.page.locator(".halted-by")).to_contain_text("Hand over no ballot")
    expect(worker.page.locator("#next")).to_contain_text("voted by mail")
    expect(worker.page.locator("signature-pad")).to_have_count(0)
    expect(worker.page.locator("#said-urgently")).to_contain_text("Do not sign")
    worker.press("Enter")
    assert worker.signed_count() == 0
    expect(lead.page.locator(".late .ask")).to_have_text("Applied. Nothing is left to do.")


def test_a_press_between_the_news_and_the_new_verdict_signs_nobody(
    table: Table, server: Server, born: str
) -> None:
    """The new verdict is held back on its way: Enter falls into that gap."""
    table.open_first(PLAIN, PLAIN_NAME)
    line = f"**/api/lines/{line_id_of(server, PLAIN)}"
    held: list[Route] = []
    table.page.route(line, lambda route: held.append(route))  # noqa: PLW0108 - a bound method is refused
    client = server.station("LO", "Lead's desk")
    list_id = a_list_by_http(client, born)
    post(client, f"/api/late-lists/{list_id}/apply", {}).raise_for_status()
    client.close()
    expect(table.page.locator(".verdict")).to_have_text(
        "Wait. This line is being marked at this moment."
    )
    table.press("Enter")
    expect(table.page.get_by_role("button", name="Signed on paper")).to_have_count(0)
    for route in held:
        route.continue_()
    expect(table.verdict).to_have_text("Do not sign")
    assert entries(server, "signature.recorded") == []


def test_a_mark_by_telephone_stops_the_open_line_too(table: Table, server: Server) -> None:
    table.open_first(PLAIN, PLAIN_NAME)
    client = server.station("LO", "Lead's desk")
    line_id = line_id_of(server, PLAIN)
    line = client.get(f"/api/lines/{line_id}").json()["line"]
    body = {
        "caller": "Ada Brisk",
        "office": "Registrar",
        "number_called_back": "555-0142",
        "asked": "voted by mail",
        "line_id": line_id,
        "change": {"what": "mark_by_mail", "argument": ""},
        "read_back": {
            "voter_number": line["voter_number"],
            "name": line["name"],
            "birth_year": int(line["birth_date"][:4]),
        },
        "confirmed": True,
        "code": None,
    }
    post(client, "/api/phone-ins", body).raise_for_status()
    client.close()
    expect(table.verdict).to_have_text("Do not sign", timeout=1_000)
    expect(table.page.locator(".halted-by")).to_be_visible()
    assert table.signed_count() == 0
