"""A person whom no line fits: one question after the other, and every ending, by keyboard alone."""

from __future__ import annotations

import pytest
from playwright.sync_api import expect

from _running_server import Server
from tests.browser.conftest import Table, Tables, entries

pytestmark = pytest.mark.browser

TO_ELSEWHERE = (
    ("letter by letter", "Still not found"),
    ("supplemental pages", "not on those pages"),
    ("Are you registered", "Yes to both"),
)


def to_the_lists_of_the_others(table: Table, name: str) -> None:
    """Lost, and looking for `name` in the list of the other precincts."""
    table.get_lost()
    table.walk(*TO_ELSEWHERE)
    expect(table.page.locator("#elsewhere-text")).to_be_focused()
    table.press("ControlOrMeta+A")
    table.keys(name)


def test_the_name_spelled_out_brings_the_line_and_enter_opens_it(table: Table) -> None:
    table.get_lost()
    table.press("ControlOrMeta+A")
    table.keys("marchbanks penelope")
    table.choose("Marchbanks, Penelope Ruth")
    expect(table.page.locator("#sheet-name")).to_have_text("Marchbanks, Penelope Ruth")
    expect(table.verdict).to_have_text("Sign")
    assert table.signed_count() == 0


def test_lines_that_fit_may_all_be_somebody_else(table: Table) -> None:
    table.find("marchb p")
    table.press("Tab")
    expect(table.page.get_by_role("button", name="None of these is the person")).to_be_focused()
    table.press("Enter")
    expect(table.asked).to_contain_text("letter by letter")


def test_somebody_on_a_page_of_the_table_is_typed_by_number(table: Table) -> None:
    table.get_lost()
    table.walk(TO_ELSEWHERE[0], ("supplemental pages", "type the voter number"))
    expect(table.box).to_be_focused()


def test_a_person_of_another_precinct_is_told_where_to_go_and_it_is_written_down(
    table: Table, server: Server
) -> None:
    to_the_lists_of_the_others(table, "clark laura")
    expect(table.page.locator(".way")).to_contain_text("Ask for the year of birth")
    table.choose("Clark, Laura, born 1967")
    expect(table.asked).to_contain_text("Will they go there?")
    expect(table.page.locator(".large-fact")).to_contain_text("Upper Tern Grange, hall")
    table.choose("Yes, goes there")
    table.walk(("What can be done now", "Send the person to their polling place"))
    expect(table.page.locator("#written")).to_contain_text(
        "This will be written down: Clark, Laura was sent to Upper Tern Grange, hall"
    )
    assert entries(server, "person.directed") == []
    table.choose("write it down")
    done = table.page.locator(".confirmation")
    expect(done).to_contain_text("Upper Tern Grange, hall")
    expect(table.box).to_be_focused()
    (entry,) = entries(server, "person.directed")
    assert entry["body"]["way"] == "elsewhere"


def test_a_place_that_the_registrar_names_is_typed_and_written_down(
    table: Table, server: Server
) -> None:
    table.get_lost()
    table.walk(
        *TO_ELSEWHERE,
        ("another polling place", "registered nowhere else"),
        ("Call the registrar", "Names another polling place"),
    )
    expect(table.page.locator("#way-precinct")).to_be_focused()
    table.keys("2-01", "Tab", "Fishmarket Hall", "Tab", "1 Quay")
    table.choose("Yes, goes there")
    table.walk(("What can be done now", "Send the person"))
    expect(table.page.locator("#written")).to_contain_text("Fishmarket Hall, precinct 2-01")
    table.choose("write it down")
    expect(table.page.locator(".confirmation")).to_contain_text("Fishmarket Hall")
    (entry,) = entries(server, "person.directed")
    assert entry["body"]["place"]["precinct"] == "2-01"


def test_the_slip_opens_in_a_window_of_its_own_and_where_there_is_none_the_table_says_so(
    table: Table,
) -> None:
    to_the_lists_of_the_others(table, "clark laura")
    table.choose("Clark, Laura, born 1967")
    table.walk(("Will they go", "Yes"), ("What can be done", "Send"), ("Send", "write it down"))
    expect(table.page.locator(".confirmation")).to_be_visible()
    papers = "**/api/papers/slip-*"
    table.page.context.route(papers, lambda route: route.fulfill(status=404, json={}))
    table.press("Tab")
    expect(table.page.get_by_role("button", name="in English")).to_be_focused()
    table.press("Enter")
    expect(table.page.locator(".strip")).to_contain_text("The slip cannot be printed here")
    table.page.context.unroute(papers)
    asked: list[str] = []

    def answer(route: object) -> None:
        asked.append(route.request.url)  # type: ignore[attr-defined]
        route.fulfill(status=200, content_type="text/plain", body="slip")  # type: ignore[attr-defined]

    table.page.context.route(papers, answer)
    with table.page.context.expect_page() as opened:
        table.keys("Tab", "Enter")
    assert opened.value != table.page
    assert all(url.endswith("?language=es") for url in asked)


def test_a_person_who_is_not_registered_gets_a_form(table: Table, server: Server) -> None:
    table.get_lost()
    table.walk(*TO_ELSEWHERE[:2], ("Are you registered", "not registered"))
    table.walk(("What can be done now", "registration form"))
    expect(table.page.locator("#written")).to_contain_text("was given a registration form")
    table.page.locator("#way-name").focus()
    table.keys("Ambrose Quixote", "Enter")
    expect(table.page.locator("#written")).to_contain_text("Ambrose Quixote was given")
    expect(table.page.get_by_role("button", name="Form handed over")).to_be_focused()
    table.wait_out_the_guard()
    table.press("Enter")
    expect(table.page.locator(".confirmation")).to_contain_text("registration form")
    (entry,) = entries(server, "person.directed")
    assert entry["body"]["way"] == "registration_form"


def test_whoever_leaves_was_offered_a_provisional_ballot_and_the_reason_is_written_down(
    table: Table, server: Server
) -> None:
    table.get_lost_to_the_registrar("Nobody answers")
    table.choose("The person leaves without a ballot")
    table.walk(("First offer a provisional ballot", "offered and declined"))
    expect(table.page.locator("#way-reason")).to_be_focused()
    table.keys("Enter", "Enter")
    expect(table.page.locator("#way-reason")).to_be_focused()
    expect(table.page.locator("#way-reason-problem")).to_contain_text("Ask why")
    table.keys("no time to wait", "Enter", "Enter")
    expect(table.page.locator("#written")).to_contain_text("because: no time to wait")
    table.wait_out_the_guard()
    table.press("Enter")
    expect(table.page.locator(".confirmation")).to_contain_text("The reason is in the record")
    (entry,) = entries(server, "person.directed")
    assert (entry["body"]["way"], entry["body"]["provisional_declined"]) == ("left", True)


def test_the_registrars_number_stands_in_large_type_and_another_word_may_be_written_in(
    table: Table, server: Server
) -> None:
    table.get_lost_to_the_registrar("Nobody answers")
    table.choose("Call Tern County Registrar")
    expect(table.page.locator(".large-fact .phone")).to_have_text("555-0142")
    expect(table.page.locator(".way")).to_contain_text("Nothing is written down by this.")
    table.choose("The registrar has said something")
    table.walk(("What does the registrar say?", "Authorizes a correction affidavit"))
    expect(table.page.locator(".answers button").first).to_contain_text("has authorized it")
    assert entries(server, "person.directed") == []


def test_the_lead_is_called_to_the_table_and_nothing_is_written_down(table: Table) -> None:
    table.get_lost_to_the_registrar("Nobody answers")
    table.choose("Ask the lead worker")
    expect(table.asked).to_contain_text("Call the lead worker to this table")
    table.choose("Back to what can be done")
    expect(table.asked).to_contain_text("What can be done now")


def test_before_opening_the_person_is_asked_to_wait(tables: Tables) -> None:
    table = tables()
    table.sign_on()
    table.keys("qqqq zzzz")
    expect(table.page.get_by_role("heading", name="No line fits.")).to_be_visible()
    table.wait_out_the_guard()
    table.press("Enter")
    table.walk(("What can be done now", "Wait until the polls open"))
    expect(table.asked).to_contain_text("the polls open at 07:00")


def test_escape_takes_one_step_back_and_leaving_with_something_typed_is_asked_about(
    table: Table, server: Server
) -> None:
    table.get_lost()
    table.walk(*TO_ELSEWHERE[:2], ("Are you registered", "not registered"))
    table.walk(("What can be done now", "write down why"))
    table.keys("changed her mind", "Escape")
    expect(table.asked).to_contain_text("What can be done now")
    for question in ("Are you registered", "supplemental pages", "letter by letter"):
        table.press("Escape")
        expect(table.asked).to_contain_text(question)
    table.press("Escape")
    expect(table.asked).to_contain_text("Leave? Nothing has been recorded")
    table.choose("go on where I was")
    table.walk(*TO_ELSEWHERE[:2], ("Are you registered", "not registered"))
    table.walk(("What can be done now", "write down why"))
    expect(table.page.locator("#way-reason")).to_have_value("changed her mind")
    assert entries(server, "person.directed") == []


def test_a_scan_on_the_way_records_nothing_and_answers_nothing(table: Table) -> None:
    table.get_lost()
    table.walk(*TO_ELSEWHERE[:2])
    expect(table.asked).to_be_focused()
    table.page.keyboard.type("212121212")
    table.press("Enter")
    table.wait_out_the_guard()
    expect(table.asked).to_contain_text("Are you registered")


def test_the_lead_sees_who_was_sent_where(lead: Table) -> None:
    to_the_lists_of_the_others(lead, "clark laura")
    lead.choose("Clark, Laura, born 1967")
    lead.walk(("Will they go", "Yes"), ("What can be done", "Send"), ("Send", "write it down"))
    expect(lead.box).to_be_focused()
    lead.go_to_lists("Who was sent where")
    expect(lead.page.locator("#lists-title")).to_be_focused()
    lists = lead.page.locator(".lists")
    expect(lists).to_contain_text("1 person sent elsewhere or left")
    expect(lists).to_contain_text("Clark, Laura")
    expect(lists).to_contain_text("Upper Tern Grange, hall")
    lead.keys("Escape", "Escape")
    expect(lead.box).to_be_focused()


def test_a_table_worker_keys_lists_in_and_sees_no_other(table: Table) -> None:
    table.press_button("Lists")
    expect(table.page.locator(".late .ask")).to_have_text(
        "No list on paper waits. The lead worker begins one."
    )
    expect(table.page.locator(".late .answers button")).to_have_count(1)


def test_in_a_narrow_window_nothing_needs_sideways_scrolling(
    tables: Tables, server: Server
) -> None:
    server.open_polls()
    table = tables(viewport={"width": 320, "height": 700})
    table.sign_on()
    table.get_lost()
    assert table.has_no_sideways_scrolling()
    for question, answer in TO_ELSEWHERE:
        table.walk((question, answer))
        expect(table.asked).not_to_contain_text(question)
        assert table.has_no_sideways_scrolling(), question
