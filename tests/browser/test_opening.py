"""The opening: checks ticked by keyboard, counters and seals read, the polls opened."""

from __future__ import annotations

import time

import pytest
from playwright.sync_api import Locator, expect

from _running_server import Server, post
from tests.browser.conftest import Table, Tables, entries

pytestmark = pytest.mark.browser

# Of the sample: 18 checks of the opening, 17 of them required.
CHECKS, REQUIRED = 18, 17
FIRST = "Every worker has taken the oath"
WALK = "Walk the room"
TWO_MINUTES = 120.0


def go_to_work(table: Table, name: str) -> None:
    """Day, and there the screen named, as Tab and Enter do."""
    table.press_button("Day")
    expect(table.page.get_by_role("heading", name="The day")).to_be_focused()
    table.press_button(name)


def go_to_the_opening(table: Table) -> None:
    go_to_work(table, "Checks of the opening")
    expect(check(table, FIRST)).to_be_focused()


def go_to_screen(table: Table, name: str) -> None:
    """From one screen of the day's work to another."""
    table.page.locator(".screens").get_by_role("button", name=name, exact=True).focus()
    table.wait_out_the_guard()
    table.press("Enter")
    expect(table.page.get_by_role("heading", name=name, level=2, exact=True)).to_be_visible()


def check(table: Table, words: str) -> Locator:
    return table.page.locator(".checks .check", has_text=words)


def tick(table: Table, key: str = "Enter") -> None:
    """Press the focused check, and wait until the next one has the focus."""
    before = table.page.locator(".checks .right").count()
    table.wait_out_the_guard()
    table.press(key)
    expect(table.page.locator(".checks .right")).to_have_count(before + 1)


@pytest.fixture
def opening(tables: Tables) -> Table:
    """A lead at the checks of the opening; nothing is checked yet."""
    made = tables()
    made.sign_on("LO", "Lead's desk")
    go_to_the_opening(made)
    return made


def test_every_check_is_ticked_by_keyboard_in_under_two_minutes_and_the_polls_open(
    opening: Table, server: Server
) -> None:
    started = time.perf_counter()
    expect(opening.page.locator(".tally")).to_contain_text(f"0 of {CHECKS} are right.")
    for place in range(CHECKS):
        tick(opening, "Space" if place % 2 else "Enter")
    expect(opening.page.locator(".tally")).to_have_text(f"{CHECKS} of {CHECKS} are right.")
    button = opening.page.get_by_role("button", name="Open the polls", exact=True)
    expect(button).to_be_focused()
    opening.wait_out_the_guard()
    opening.press("Enter")
    expect(opening.page.get_by_role("heading", name="Open the polls")).to_be_focused()
    opening.press_button("Yes: Open the polls")
    expect(opening.box).to_be_focused()
    expect(opening.page.locator(".strip")).to_contain_text("The polls are open until 20:00")
    assert time.perf_counter() - started < TWO_MINUTES
    ticked = entries(server, "checklist.ticked")
    assert len({entry["body"]["code"] for entry in ticked}) == len(ticked) == CHECKS
    assert entries(server, "irregularity.recorded") == []


def test_who_ticked_a_check_and_when_stands_beside_it(opening: Table) -> None:
    tick(opening)
    expect(check(opening, FIRST)).to_contain_text("LO")
    expect(check(opening, FIRST)).to_contain_text("Lead's desk")
    expect(check(opening, FIRST).locator(".stamp")).to_contain_text("Right")
    expect(check(opening, WALK)).to_be_focused()


def test_pressing_a_check_that_is_right_goes_on_and_writes_nothing(
    opening: Table, server: Server
) -> None:
    tick(opening)
    opening.press("ArrowUp")
    expect(check(opening, FIRST)).to_be_focused()
    opening.wait_out_the_guard()
    opening.press("Enter")
    expect(check(opening, WALK)).to_be_focused()
    assert len(entries(server, "checklist.ticked")) == 1


def test_a_scan_over_the_checklist_ticks_nothing(opening: Table, server: Server) -> None:
    opening.page.keyboard.type("0047112")
    opening.press("Enter")
    opening.wait_out_the_guard()
    expect(opening.page.locator(".checks .right")).to_have_count(0)
    assert entries(server, "checklist.ticked") == []


def test_the_polls_open_with_one_check_missing_once_the_reason_is_written(
    opening: Table, server: Server
) -> None:
    opening.press("ArrowDown")
    for _ in range(CHECKS - 1):
        tick(opening)
    expect(check(opening, FIRST)).to_be_focused()
    expect(opening.page.locator(".tally")).to_contain_text("1 required check is missing.")
    opening.press_button("Open the polls all the same")
    dialog = opening.page.get_by_role("dialog")
    expect(dialog).to_contain_text(FIRST)
    opening.press("Tab")
    expect(opening.page.locator("#dialog-text")).to_be_focused()
    # Without the reason nothing happens, and the field stays where it was.
    opening.press("Enter")
    expect(dialog.get_by_role("alert")).to_contain_text("Not every required check is made")
    assert entries(server, "day.opened") == []
    opening.page.locator("#dialog-text").focus()
    opening.keys("the oath sheet comes with the second car", "Enter")
    expect(opening.box).to_be_focused()
    (written,) = entries(server, "irregularity.recorded")
    assert written["body"]["code"] == "opened-before-ready"
    assert len(entries(server, "day.opened")) == 1


def test_a_check_that_is_not_right_is_written_up_and_the_page_says_whom_to_call(
    opening: Table, server: Server
) -> None:
    opening.press("ArrowDown")
    opening.press("ArrowRight")
    expect(opening.page.get_by_role("button", name=f"Not right: {WALK}")).to_be_focused()
    opening.wait_out_the_guard()
    opening.press("Enter")
    note = opening.page.locator("#check-note")
    expect(note).to_be_focused()
    opening.press("Enter")
    expect(opening.page.locator("#check-note-problem")).to_contain_text("not said what happened")
    assert entries(server, "checklist.ticked") == []
    opening.keys("a door is locked from inside", "Enter")
    expect(opening.page.locator(".work .phone")).to_have_text("555-0142")
    expect(opening.page.locator(".work .ask")).to_contain_text("Tern County Registrar of Voters")
    opening.wait_out_the_guard()
    opening.press("Enter")
    expect(check(opening, WALK)).to_contain_text("Not right")
    expect(check(opening, WALK)).to_contain_text("a door is locked from inside")
    expect(opening.page.locator(".tally")).to_contain_text("1 is not right.")
    (written,) = entries(server, "irregularity.recorded")
    assert written["body"]["code"] == "check-failed"
    # It is put right, and ticked.
    check(opening, WALK).focus()
    tick(opening)
    expect(opening.page.locator(".tally")).not_to_contain_text("not right.")
    # The irregularity stays open until the lead settles it, and says what was found.
    opening.press("Escape")
    expect(opening.box).to_be_focused()
    opening.go_to_lists("Irregularities: 1 open")
    expect(opening.page.locator(".late article")).to_contain_text(
        "A check was not right. Written down: a door is locked from inside"
    )


def test_escape_gives_up_saying_what_is_wrong_and_then_leaves(opening: Table) -> None:
    opening.press("ArrowRight")
    opening.wait_out_the_guard()
    opening.press("Enter")
    expect(opening.page.locator("#check-note")).to_be_focused()
    opening.press("Escape")
    expect(check(opening, FIRST)).to_be_focused()
    opening.press("Escape")
    expect(opening.box).to_be_focused()


def test_two_tables_see_each_tick_as_it_is_made(tables: Tables, server: Server) -> None:
    lead, worker = tables(), tables()
    lead.sign_on("LO", "Lead's desk")
    worker.sign_on("RM", "Table 1")
    for table in (lead, worker):
        go_to_the_opening(table)
    tick(worker)
    expect(check(lead, FIRST).locator(".stamp")).to_contain_text("Table 1")
    # Whoever sees it ticked goes on to the next by themselves.
    expect(check(lead, FIRST)).to_be_focused()
    lead.press("ArrowDown")
    tick(lead)
    expect(worker.page.locator(".tally")).to_contain_text(f"2 of {CHECKS}")
    # A worker ticks, and the lead opens.
    expect(worker.page.locator(".work")).to_contain_text("the lead worker opens the polls")
    expect(worker.page.get_by_role("button", name="Open the polls")).to_have_count(0)


def read_zero_report(table: Table, *counters: str) -> None:
    """Four ticks with the space bar, then public, protective, protective on the screen."""
    expect(table.page.locator("#work-time_right")).to_be_focused()
    for _ in range(4):
        table.keys("Space", "Enter")
    for counter in counters:
        table.keys(counter, "Enter")


def test_a_counter_that_cannot_be_right_is_doubted_in_large_words_and_read_again(
    opening: Table, server: Server
) -> None:
    go_to_screen(opening, "Machines")
    expect(opening.page.locator(".work .ask")).to_be_focused()
    opening.press_button("TM-0417: read at the opening")
    read_zero_report(opening, "3", "18233", "18233")
    asked = opening.page.locator(".work .ask")
    expect(asked).to_contain_text("The public counter says 3. Before the polls open it must be 0.")
    expect(asked).to_be_focused()
    assert entries(server, "machine.counted") == []
    opening.choose("Read it again")
    expect(opening.page.locator("#work-public")).to_be_focused()
    expect(opening.page.locator("#work-public")).to_have_value("")
    expect(opening.page.locator("#work-time_right")).to_be_checked()
    opening.keys("0", "Enter", "18,233", "Enter", "18233", "Enter")
    expect(opening.page.get_by_role("button", name="TM-0418: read at the opening")).to_be_focused()
    (read,) = entries(server, "machine.counted")
    assert (read["body"]["public"], read["body"]["protective"]) == (0, 18_233)
    assert entries(server, "irregularity.recorded") == []


def test_a_counter_that_is_what_it_says_is_recorded_with_the_reason_and_a_call(
    opening: Table, server: Server
) -> None:
    go_to_screen(opening, "Machines")
    opening.press_button("TM-0417: read at the opening")
    read_zero_report(opening, "0", "18235", "18235")
    expect(opening.page.locator(".work .ask")).to_contain_text("The protective counter says 18235")
    opening.choose("It is what it says")
    expect(opening.page.locator("#work-reason")).to_be_focused()
    opening.press("Enter")
    expect(opening.page.locator("#work-reason-problem")).to_contain_text("A reason is needed")
    opening.keys("read twice, by both workers", "Enter")
    expect(opening.page.locator(".work .phone")).to_have_text("555-0142")
    (written,) = entries(server, "irregularity.recorded")
    assert written["body"]["machine"] == "TM-0417"
    (read,) = entries(server, "machine.counted")
    assert read["body"]["reason"] == "read twice, by both workers"


def test_a_counter_that_is_no_number_is_told_beside_its_field(opening: Table) -> None:
    go_to_screen(opening, "Machines")
    opening.press_button("TM-0417: read at the opening")
    read_zero_report(opening, "o", "18233", "18233")
    expect(opening.page.locator("#work-public-problem")).to_contain_text("digits only")
    expect(opening.page.locator("#work-public")).to_be_focused()


def write_seal(table: Table, number: str) -> None:
    """The number, then Enter past the question about the sheet: it agrees."""
    expect(table.page.locator("#work-of-0")).to_be_visible()
    table.page.locator("#work-number").focus()
    table.keys(number, "Enter", "Enter")


def test_a_seal_seen_twice_is_told_at_once_and_recorded_only_with_the_reason(
    opening: Table, server: Server
) -> None:
    go_to_screen(opening, "Seals")
    opening.press_button("Write down a seal")
    expect(opening.page.locator("#work-of-0")).to_be_focused()
    write_seal(opening, "K-4471")
    expect(opening.page.locator("#work-number")).to_have_value("")
    # The same number again, on the supplemental pages.
    opening.page.locator("#work-of-0").focus()
    opening.press("ArrowDown")
    write_seal(opening, "K 4471")
    asked = opening.page.locator(".work .ask")
    expect(asked).to_contain_text("Seal K 4471 was written down before")
    expect(asked).to_contain_text("Register")
    assert len(entries(server, "seal.recorded")) == 1
    opening.choose("It is what it says")
    opening.keys("two tags of one number, both seen", "Enter")
    expect(opening.page.locator(".work .phone")).to_be_visible()
    assert len(entries(server, "seal.recorded")) == 2
    (written,) = entries(server, "irregularity.recorded")
    assert written["body"]["code"] == "seal-seen-elsewhere"


def test_nothing_scrolls_sideways_in_a_narrow_window(tables: Tables, server: Server) -> None:
    lead = tables(viewport={"width": 320, "height": 700})
    lead.sign_on("LO", "Lead's desk")
    go_to_the_opening(lead)
    assert lead.has_no_sideways_scrolling()
    for screen in ("Machines", "Seals", "Checks of the close", "Balance and close", "Papers"):
        go_to_screen(lead, screen)
        if screen == "Balance and close":
            # Its answer takes the focus, and is what must not be too wide.
            expect(lead.page.locator(".balance-sum")).to_be_visible()
        assert lead.has_no_sideways_scrolling(), screen


def test_an_irregularity_about_a_machine_is_written_in_few_keys(
    lead: Table, server: Server
) -> None:
    """From anywhere: Alt+I, the kind by arrows, which machine, what happened, Enter."""
    lead.press("Alt+i")
    expect(lead.page.locator("#dialog-why-0")).to_be_focused()
    lead.keys("ArrowDown", "ArrowDown")
    lead.press("Tab")
    expect(lead.page.locator("#dialog-machine")).to_be_focused()
    lead.keys("TM-0418", "Tab", "the paper jammed twice", "Enter")
    expect(lead.page.locator(".strip")).to_contain_text("The irregularity is written down")
    (written,) = entries(server, "irregularity.recorded")
    assert (written["body"]["irregularity"], written["body"]["machine"]) == ("machine", "TM-0418")


@pytest.mark.parametrize("kind", ["electioneering", "emergency", "place"])
def test_the_kinds_of_the_place_can_be_written_up(lead: Table, server: Server, kind: str) -> None:
    lead.press("Alt+i")
    words = {
        "electioneering": "Electioneering",
        "emergency": "An emergency",
        "place": "The polling place",
    }
    lead.page.get_by_role("radio", name=words[kind]).focus()
    lead.press("Space")
    lead.press("Tab")
    lead.keys("somebody saw it", "Enter")
    expect(lead.page.locator(".strip")).to_contain_text("The irregularity is written down")
    (written,) = entries(server, "irregularity.recorded")
    assert written["body"]["irregularity"] == kind


def test_a_check_ticked_over_http_does_not_move_the_focus(opening: Table, server: Server) -> None:
    other = server.station("RM", "Table 2")
    post(other, "/api/checklists/opening", {"code": "oath-taken", "passed": True})
    other.close()
    expect(check(opening, FIRST).locator(".stamp")).to_contain_text("Table 2")
    expect(check(opening, FIRST)).to_be_focused()
