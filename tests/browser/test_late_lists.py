"""A list arrives as a file: looked at first, settled row by row, applied in one confirmation."""

from __future__ import annotations

from typing import Any

import pytest
from playwright.sync_api import expect

from _running_server import Server, fresh_token, post, sign_on_paper
from app.records.store import verify_database
from tests.browser.conftest import Table, Tables, entries, line_id_of
from tests.browser.test_paper_list import plain_people

pytestmark = pytest.mark.browser

HEADER = "voter_number,last_name,first_name,birth_date"
NOBODY = "888888888,Pell,Odette,1980-02-03"
FIRST = "voted by mail"


def row(person: dict[str, str], **other: str) -> str:
    values = {**person, **other}
    return ",".join(values[name] for name in HEADER.split(","))


def bring(lead: Table, *rows: str, name: str = "late-mail.csv") -> None:
    """From the table to the screen that says what the list would do."""
    lead.go_to_lists("A list as a file")
    choose_file(lead, *rows, name=name)


def choose_file(lead: Table, *rows: str, name: str = "late-mail.csv") -> None:
    expect(lead.page.locator("#bring-kind-0")).to_be_focused()
    lead.keys("Space", "Enter")
    expect(lead.page.locator("#bring-file")).to_be_focused()
    content = "\n".join((HEADER, *rows, "")).encode()
    file: Any = {"name": name, "mimeType": "text/csv", "buffer": content}
    lead.page.locator("#bring-file").set_input_files(file)
    lead.press_button("Look at what it would do")


def tally(lead: Table) -> dict[str, int]:
    """The sum as it stands on the screen."""
    parts = lead.page.locator(".sum > div")
    return {
        str(part.get_attribute("class")).split()[0]: int(part.locator("dd").inner_text())
        for part in parts.all()
    }


def expect_asked(lead: Table, words: str) -> None:
    expect(lead.page.locator(".late .ask")).to_contain_text(words)


def test_rows_that_need_a_person_come_first_and_the_rest_in_one_confirmation(
    lead: Table, server: Server
) -> None:
    people = plain_people(6)
    bring(
        lead,
        *(row(person) for person in people[:4]),
        row(people[4], voter_number="999999999"),
        row(people[5], last_name="Otherwise"),
        NOBODY,
    )
    expect_asked(lead, "3 rows need you first.")
    before = tally(lead)
    assert before == {"applied": 4, "already": 0, "settled": 0, "refused": 0, "open": 3, "rows": 7}
    assert entries(server, "mark.recorded") == []
    # The first: number unknown, name and birth date agree. Both stand side by side.
    lead.press("1")
    lead.wait_out_the_guard()
    lead.press("Enter")
    expect_asked(lead, "Row 6: which line is meant?")
    expect(lead.page.locator(".facing").first).to_contain_text("999999999")
    expect(lead.page.locator(".facing").first).to_contain_text(people[4]["voter_number"])
    lead.choose("This line is meant")
    expect_asked(lead, "Row 7: which line is meant?")
    lead.choose("Another line")
    expect(lead.page.locator("#sought")).to_be_focused()
    lead.keys(people[5]["voter_number"])
    expect(lead.page.locator(".answers button")).to_have_count(1)
    lead.choose(people[5]["last_name"])
    expect_asked(lead, "Row 8: which line is meant?")
    lead.choose("Leave this row off")
    lead.press("Enter")
    expect(lead.page.locator("#late-reason-problem")).not_to_be_empty()
    lead.keys("not on any line here", "Enter")
    expect_asked(lead, "Every row is clear.")
    after = tally(lead)
    assert after == {**before, "settled": 3, "open": 0}
    written = lead.page.locator(".written")
    expect(written).to_contain_text("4 marks “voted by mail” will be made.")
    expect(written).to_contain_text("3 rows are done as a person decided.")
    lead.press_button("Apply the list")
    expect_asked(lead, "Applied. Nothing is left to do.")
    assert len(entries(server, "mark.recorded")) == 6
    assert verify_database(server.day.url).holds


def test_a_list_too_long_for_what_is_left_on_the_disk_says_what_to_do_and_can_be_sent_again(
    lead: Table, server: Server
) -> None:
    told = {"code": "disk-nearly-full", "megabytes": 400, "most_rows": 1000}

    def scarce(route: Any) -> None:
        if route.request.method == "POST":
            route.fulfill(status=507, json=told, content_type="application/problem+json")
        else:
            route.fallback()

    lead.page.route("**/api/late-lists", scarce)
    bring(lead, row(plain_people(1)[0]))
    problem = lead.page.locator("#problem")
    expect(problem).to_be_focused()
    expect(problem).to_contain_text("400 megabytes are left, too few for so long a list")
    expect(problem).to_contain_text("lists of 1,000 rows at most")
    lead.page.unroute("**/api/late-lists")
    lead.press_button("Look at what it would do")
    expect(lead.page.locator(".late .ask")).to_contain_text("Every row is clear.")
    assert entries(server, "mark.recorded") == []


def test_the_same_list_again_changes_nothing_and_says_so_calmly(
    lead: Table, server: Server
) -> None:
    rows = [row(person) for person in plain_people(3)]
    bring(lead, *rows)
    lead.press_button("Apply the list")
    expect_asked(lead, "Applied.")
    lead.keys("Escape", "Escape")
    expect(lead.box).to_be_focused()
    bring(lead, *rows)
    calm = lead.page.locator(".calm")
    expect(calm).to_be_focused()
    expect(calm).to_contain_text("This very list was applied already: late-mail.csv")
    expect(calm).to_contain_text("Nothing was changed")
    assert len(entries(server, "mark.recorded")) == 3


def test_a_corrected_list_shows_the_difference_and_who_is_no_longer_listed(
    lead: Table, server: Server
) -> None:
    people = plain_people(5)
    bring(lead, *(row(person) for person in people[:4]))
    lead.press_button("Apply the list")
    expect_asked(lead, "Applied.")
    lead.keys("Escape", "Escape")
    bring(lead, *(row(person) for person in people[1:]))
    expect(lead.page.locator(".late")).to_contain_text(
        "Against late-mail.csv: 1 new, 0 changed, 3 the same, 1 no longer listed."
    )
    lead.press_button("Apply the list")
    expect_asked(lead, "Applied. 1 thing still needs you.")
    expect(lead.page.locator(".late")).to_contain_text("1 person is no longer listed")
    lead.press_button("Take back what the earlier list did")
    expect(lead.page.locator("#late-reason")).to_be_focused()
    lead.keys("the office withdrew the row", "Enter")
    expect_asked(lead, "Applied. Nothing is left to do.")
    assert len(entries(server, "mark.withdrawn")) == 1


def test_a_contradiction_stands_with_both_facts_and_opens_an_irregularity(
    lead: Table, server: Server
) -> None:
    (person,) = plain_people(1)
    client = server.station("RM", "Table 1")
    line_id = line_id_of(server, person["voter_number"])
    assert sign_on_paper(client, line_id, fresh_token()).status_code == 200
    client.close()
    bring(lead, row(person))
    contradicting = lead.page.locator(".contradictions")
    expect(contradicting).to_contain_text("1 row contradicts what stands on a line")
    expect(contradicting.locator(".facing")).to_contain_text("Signed at")
    expect(contradicting.locator(".facing")).to_contain_text(FIRST)
    expect(lead.page.locator(".written")).to_contain_text("an irregularity is opened")
    lead.press_button("Apply the list")
    expect(lead.page.get_by_role("button", name="1 irregularity was opened")).to_be_visible()
    expect(lead.page.locator(".badge")).to_have_text("1 waits")
    lead.press_button("1 irregularity was opened")
    expect_asked(lead, "1 irregularity is open.")


def test_a_file_that_is_no_list_is_refused_with_every_place_and_nothing_is_kept(
    lead: Table, server: Server
) -> None:
    lead.go_to_lists("A list as a file")
    expect(lead.page.locator("#bring-kind-0")).to_be_focused()
    lead.press_button("Look at what it would do")
    expect(lead.page.locator("#bring-kind-problem")).to_contain_text("Choose what the list says")
    lead.keys("Space")
    file: Any = {"name": "notes.csv", "mimeType": "text/csv", "buffer": b"dear colleague,\nhello\n"}
    lead.page.locator("#bring-file").set_input_files(file)
    lead.press_button("Look at what it would do")
    expect(lead.page.locator(".late .problem")).to_contain_text("cannot be read as a list")
    expect(lead.page.locator(".late .problem")).to_be_focused()
    client = server.station("LO", "Table 9")
    assert client.get("/api/late-lists").json()["lists"] == []
    client.close()


def test_a_list_left_open_waits_in_the_badge_and_is_laid_aside_with_one_press(
    lead: Table, server: Server
) -> None:
    bring(lead, NOBODY)
    expect_asked(lead, "1 row needs you first.")
    expect(lead.page.locator(".badge")).to_have_text("1 waits")
    lead.press_button("Lay this list aside")
    lead.press("Enter")
    expect_asked(lead, "What has come in?")
    expect(lead.page.locator(".badge")).to_have_count(0)


@pytest.mark.parametrize("language", ["English", "Español"])
def test_every_screen_of_a_list_fits_a_narrow_window(
    tables: Tables, server: Server, language: str
) -> None:
    server.open_polls()
    lead = tables(viewport={"width": 320, "height": 700})
    lead.sign_on("LO", "Lead's desk")
    people = plain_people(2)
    bring(lead, row(people[0]), NOBODY)
    expect_asked(lead, "1 row needs you first.")
    lead.press_button(language)
    expect(lead.page.locator("html")).to_have_attribute("lang", language[:2].lower())
    assert lead.has_no_sideways_scrolling()
    lead.page.locator(".late .answers button").first.focus()
    lead.wait_out_the_guard()
    lead.press("Enter")
    expect(lead.page.locator(".facing")).to_be_visible()
    assert lead.has_no_sideways_scrolling()


def test_two_leads_see_the_same_list_move_on(tables: Tables, server: Server) -> None:
    """What one of them settles goes from the other's screen without a key."""
    server.open_polls()
    lead = tables()
    lead.sign_on("LO", "Lead's desk")
    bring(lead, NOBODY)
    expect_asked(lead, "1 row needs you first.")
    client = server.station("LO", "Table 9")
    (listed,) = client.get("/api/late-lists").json()["lists"]
    post(client, f"/api/late-lists/{listed['list_id']}/apply", {}).raise_for_status()
    client.close()
    expect_asked(lead, "Applied. 1 thing still needs you.")
