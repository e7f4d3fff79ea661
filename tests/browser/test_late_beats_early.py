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


def by_telephone(server: Server, what: str, argument: str = "") -> None:
    """The lead's desk writes a call about the line down, read back and done."""
    client = server.station("LO", "Lead's desk")
    line_id = line_id_of(server, PLAIN)
    line = client.get(f"/api/lines/{line_id}").json()["line"]
    body = {
        "caller": "Ada Brisk",
        "office": "Registrar",
        "number_called_back": "555-0142",
        "asked": "as she says",
        "line_id": line_id,
        "change": {"what": what, "argument": argument},
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


def test_a_mark_by_telephone_stops_the_open_line_too(table: Table, server: Server) -> None:
    table.open_first(PLAIN, PLAIN_NAME)
    by_telephone(server, "mark_by_mail")
    expect(table.verdict).to_have_text("Do not sign", timeout=1_000)
    expect(table.page.locator(".halted-by")).to_be_visible()
    assert table.signed_count() == 0


def challenged(table: Table) -> None:
    """The form of a provisional ballot lies over the line, half filled in."""
    table.open_first(PLAIN, PLAIN_NAME)
    table.press_button("An official says: may not vote")
    expect(table.page.locator("#form-note")).to_be_focused()
    table.keys("a neighbor doubts it", "Enter", "Enter", "Enter", "Enter", "Enter", "Enter")
    table.keys("Space", "Enter", "A-12")


def expect_stopped(table: Table) -> None:
    expect(table.asked).to_have_text(
        "Stop: this line was changed while the form was open.", timeout=1_000 * WITHIN_SECONDS
    )
    expect(table.asked).to_be_focused()
    expect(table.page.locator(".way")).to_contain_text("Nothing of this form is recorded")
    expect(table.page.locator(".way input")).to_have_count(0)


def test_a_provisional_form_stops_when_the_line_is_signed_at_another_table(
    tables: Tables, server: Server
) -> None:
    server.open_polls()
    first, second = tables(), tables()
    first.sign_on()
    second.sign_on("RM", "Table 2")
    challenged(first)
    second.open_first(PLAIN, PLAIN_NAME)
    second.sign_on_paper()
    expect_stopped(first)
    # The Enter that would have handed the form in falls into the stop, and does nothing.
    first.press("Enter")
    way = first.page.locator(".way")
    expect(way).to_contain_text("Table 2 at")
    expect(way).to_contain_text("signature recorded")
    kept = first.page.locator(".unrecorded")
    expect(kept).to_contain_text("a neighbor doubts it")
    expect(kept).to_contain_text("A-12")
    assert entries(server, "provisional.recorded") == []
    first.choose("To the line")
    expect(first.verdict).to_have_text("Do not sign")
    expect(first.page.locator("#next")).to_contain_text("Table 2")


def test_a_form_that_is_still_right_goes_on_with_what_was_typed(
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
    challenged(worker)
    lead.press_button("Apply the list")
    expect_stopped(worker)
    expect(worker.page.locator(".way")).to_contain_text("voted by mail")
    worker.choose("go on with the form")
    expect(worker.page.locator("#form-envelope")).to_have_value("A-12")
    worker.press_button("Go on to the signature")
    worker.choose("Signed on paper: record it")
    expect(worker.page.locator(".confirmation")).to_contain_text("Penelope Ruth Marchbanks")
    (entry,) = entries(server, "provisional.recorded")
    assert entry["body"]["reason"] == "voted-by-mail"


def test_an_affidavit_over_a_removed_line_stops_when_the_line_is_put_to_use_elsewhere(
    table: Table, server: Server
) -> None:
    by_telephone(server, "remove")
    table.open_first(PLAIN, PLAIN_NAME)
    table.press_option("A correction affidavit")
    expect(table.page.locator("#form-authorised_by")).to_be_focused()
    table.keys("Ada Brisk", "Enter")
    by_telephone(server, "mark_by_mail")
    expect_stopped(table)
    expect(table.page.locator(".unrecorded")).to_contain_text("Ada Brisk")
    table.press("Escape")
    table.wait_out_the_guard()
    table.press("Escape")
    expect(table.verdict).to_be_focused()
    assert entries(server, "line.added") == []


def test_a_helper_half_written_down_is_stopped_and_stays_readable(
    tables: Tables, server: Server
) -> None:
    server.open_polls()
    first, second = tables(), tables()
    first.sign_on()
    second.sign_on("RM", "Table 2")
    first.open_first(PLAIN, PLAIN_NAME)
    first.press_button("Needs a helper in the booth")
    expect(first.page.locator("#helper-name")).to_be_focused()
    first.keys("Wilma Gant", "Enter", "Space", "Enter", "cannot read the print")
    second.open_first(PLAIN, PLAIN_NAME)
    second.sign_on_paper()
    expect(first.verdict).to_have_text("Do not sign", timeout=1_000 * WITHIN_SECONDS)
    expect(first.page.locator("#helper-name")).to_have_count(0)
    kept = first.page.locator(".unrecorded")
    expect(kept).to_contain_text("Wilma Gant")
    expect(kept).to_contain_text("cannot read the print")
    first.press("Enter")
    assert entries(server, "assistance.recorded") == []


def test_a_birth_date_half_typed_is_stopped_and_stays_readable(
    table: Table, server: Server
) -> None:
    """Told apart by birth date; the line is signed meanwhile at another table."""
    table.find("fairweather")
    table.press("ArrowDown")
    table.press("Enter")
    expect(table.page.locator("#birth-date")).to_be_focused()
    table.keys("7/4/19")
    number = table.page.locator(".picked .number").inner_text()
    client = server.station("LO", "Lead's desk")
    found = post(client, "/api/find", {"text": number}).json()["matches"][0]
    line = client.get(f"/api/lines/{found['line_id']}").json()["line"]
    body = {"how": "paper", "strokes": None, "evidence": {"birth_date": line["birth_date"]}}
    post(client, f"/api/lines/{found['line_id']}/signature", body).raise_for_status()
    client.close()
    expect(table.verdict).to_have_text("Do not sign", timeout=1_000 * WITHIN_SECONDS)
    expect(table.page.locator(".unrecorded")).to_contain_text("7/4/19")
    expect(table.page.locator("#birth-date")).to_have_count(0)
