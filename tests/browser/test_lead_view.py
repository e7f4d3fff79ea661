"""The lead's view: what waits, oldest first, by keyboard; and the turnout beside it."""

from __future__ import annotations

import re

import pytest
from playwright.sync_api import Locator, Page, expect

from _running_server import Server, post
from tests.browser.conftest import Table, Tables, line_id_of
from tests.browser.test_axe import faults

pytestmark = pytest.mark.browser

# A second, and whatever a slow laptop needs to ask and to paint.
SOON_MS = 6000


@pytest.fixture
def waiting(tables: Tables, server: Server) -> Table:
    """A lead for whom two irregularities wait; in the sample nothing else does."""
    server.open_polls()
    write(server, "a seal was broken", "seal")
    write(server, "an observer stood too near", "observer")
    made = tables()
    made.sign_on("LO", "Lead's desk")
    return made


def write(server: Server, what: str, irregularity: str) -> None:
    worker = server.station("RM", "Table 1")
    body = {"irregularity": irregularity, "what": what, "told": "", "done": "", "line_id": None}
    post(worker, "/api/irregularities", body).raise_for_status()
    worker.close()


def settle(server: Server, seq: int) -> None:
    lead = server.station("LO", "Table 9")
    post(lead, f"/api/irregularities/{seq}/settle", {"how": "new seal"}).raise_for_status()
    lead.close()


def open_seqs(server: Server) -> list[int]:
    lead = server.station("LO", "Table 9")
    items = lead.get("/api/attention").raise_for_status().json()["items"]
    lead.close()
    return [item["irregularity_seq"] for item in items if item["irregularity_seq"]]


def needs(page: Page) -> Locator:
    return page.locator("button.need")


def test_the_number_stands_in_the_head_and_the_list_opens_on_the_oldest(waiting: Table) -> None:
    page = waiting.page
    expect(page.locator(".needs")).to_have_text(re.compile(r"^\d+ need you$"))
    waiting.press("Alt+n")
    expect(page.get_by_role("heading", name="What needs me now")).to_be_visible()
    oldest = needs(page).first
    expect(oldest).to_be_focused()
    of_seal = needs(page).filter(has_text="about a seal")
    expect(of_seal).to_contain_text("since ")
    for _ in range(5):
        if of_seal.evaluate("node => node === document.activeElement"):
            break
        waiting.press("ArrowDown")
    waiting.press("Enter")
    article = page.locator(".late article", has_text="a seal was broken")
    expect(article).to_be_focused()
    # Escape leads back to where the lead was, then to the table.
    waiting.press("Escape")
    expect(of_seal).to_be_focused()
    waiting.press("Escape")
    expect(waiting.box).to_be_focused()
    assert waiting.has_no_sideways_scrolling()


def test_what_comes_is_said_once_and_the_focus_stays_on_the_same_item(
    waiting: Table, server: Server
) -> None:
    page = waiting.page
    waiting.press("Alt+n")
    last = needs(page).filter(has_text="about an observer")
    last.focus()
    write(server, "the lights went out", "emergency")
    said = page.locator("#said")
    expect(said).to_contain_text("An irregularity is not settled", timeout=SOON_MS)
    expect(needs(page).filter(has_text="about an emergency")).to_be_visible()
    expect(last).to_be_focused()
    settle(server, open_seqs(server)[0])
    expect(needs(page).filter(has_text="about a seal")).to_have_count(0, timeout=SOON_MS)
    expect(last).to_be_focused()
    settle(server, open_seqs(server)[0])
    expect(needs(page).filter(has_text="about an observer")).to_have_count(0, timeout=SOON_MS)
    expect(page.locator("button.need:focus")).to_have_count(1)


def test_a_kind_that_the_page_does_not_know_and_an_empty_list_are_told_in_words(
    lead: Table,
) -> None:
    item = {
        "key": "from-next-year:1",
        "kind": "from-next-year",
        "since": "2027-03-02T12:00:00.000Z",
        "local_time": "07:00",
        "line_id": None,
        "list_id": None,
        "irregularity_seq": None,
        "station": None,
        "facts": {},
    }
    answers = [{"items": [item], "count": 1}]
    lead.page.route("**/api/attention", lambda route: route.fulfill(json=answers[0]))
    lead.press("Alt+n")
    expect(lead.page.locator(".need")).to_contain_text("no sentence for", timeout=SOON_MS)
    expect(needs(lead.page)).to_have_count(0)
    answers[0] = {"items": [], "count": 0}
    lead.press("Escape")
    lead.press("Alt+n")
    expect(lead.page.locator(".now")).to_contain_text("Nothing waits for you now.", timeout=SOON_MS)
    expect(lead.page.locator(".needs")).to_have_count(0)


def test_what_the_program_wrote_up_itself_says_what_it_is_and_names_nobody(lead: Table) -> None:
    item = {
        "key": "irregularity-open:9",
        "kind": "irregularity-open",
        "since": "2027-03-02T12:00:00.000Z",
        "local_time": "07:00",
        "line_id": None,
        "list_id": None,
        "irregularity_seq": 9,
        "station": None,
    }
    facts = {"irregularity": "other", "name": "", "initials": "", "station": "this laptop"}
    codes = ("stations-not-served", "from-next-year")
    items = [
        {**item, "key": f"irregularity-open:{code}", "facts": {**facts, "code": code}}
        for code in codes
    ]
    answer = {"items": items, "count": 2}
    lead.page.route("**/api/attention", lambda route: route.fulfill(json=answer))
    lead.press("Alt+n")
    sentences = lead.page.locator(".need .sentence")
    expect(sentences).to_have_text(
        [
            "This laptop took over, but no other device can be let in. Not settled.",
            "An irregularity is not settled, about something else.",
        ],
        timeout=SOON_MS,
    )


def test_the_turnout_stands_in_numbers_and_the_posted_count_is_printed(
    lead: Table, server: Server
) -> None:
    worker = server.station("RM", "Table 1")
    for line_id in (line_id_of(server, "marchb p"), line_id_of(server, "hyde const")):
        body = {"how": "paper", "strokes": None, "evidence": {}}
        post(worker, f"/api/lines/{line_id}/signature", body).raise_for_status()
    worker.close()
    lead.press("Alt+n")
    turnout = lead.page.get_by_role("region", name="Turnout so far")
    expect(turnout).to_contain_text("2 voters have signed", timeout=SOON_MS)
    expect(turnout).to_contain_text("%")
    counted = turnout.get_by_role("table", name="Signed, hour by hour")
    expect(counted.get_by_role("columnheader")).to_have_text(["Hour", "Signed", "So far"])
    assert "2" in counted.locator("td.figure").all_inner_texts()
    with lead.page.expect_popup() as popup:
        lead.press_button("Print the posted count")
    assert "/api/papers/posted-count.pdf?language=en" in popup.value.url
    popup.value.close()
    lead.page.route("**/api/papers/**", lambda route: route.abort())
    lead.press_button("Print the posted count")
    expect(turnout.get_by_role("alert")).to_contain_text("copy the numbers onto paper")


def test_a_worker_has_no_such_button_and_the_key_does_nothing(table: Table) -> None:
    expect(table.page.get_by_role("button", name="Now (Alt+N)")).to_have_count(0)
    table.press("Alt+n")
    expect(table.page.locator(".now")).to_have_count(0)


def test_on_paper_it_is_black_on_white_without_buttons(waiting: Table) -> None:
    page = waiting.page
    waiting.press("Alt+n")
    expect(needs(page).first).to_be_visible()
    page.emulate_media(media="print", color_scheme="dark")
    for gone in (".tools", ".strip", ".turnout .buttons", ".now-top .button"):
        for each in page.locator(gone).all():
            expect(each).to_be_hidden()
    expect(needs(page).first).to_be_visible()
    expect(needs(page).first).to_have_css("color", "rgb(0, 0, 0)")
    expect(needs(page).first).to_have_css("background-color", "rgb(255, 255, 255)")


def test_the_leads_view_breaks_no_rule_of_axe_and_scrolls_only_downwards(waiting: Table) -> None:
    waiting.press("Alt+n")
    expect(needs(waiting.page).first).to_be_focused()
    assert faults(waiting) == []


def test_the_lead_reads_that_the_record_is_not_encrypted_and_where_its_log_ends(
    waiting: Table, server: Server
) -> None:
    page = waiting.page
    waiting.press("Alt+n")
    expect(page.locator(".how-kept")).to_contain_text("NOT encrypted", timeout=SOON_MS)
    lead = server.station("LO", "Table 9")
    head = lead.get("/api/turnout").raise_for_status().json()["head"]
    lead.close()
    # Signing on was an entry: the page asks again, and then both are the same.
    fours = re.compile(r"^([0-9a-f]{4} ){15}[0-9a-f]{4}$")
    expect(page.locator(".how-kept code")).to_have_text(fours)
    assert head["seq"] > 1
    assert len(head["hash"]) == 64
    assert faults(waiting) == []
