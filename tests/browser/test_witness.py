"""A voter who cannot sign: a mark, or none, and a witness beside it, by keyboard alone."""

from __future__ import annotations

import pytest
from playwright.sync_api import expect

from _running_server import Server
from tests.browser.conftest import Table, entries

pytestmark = pytest.mark.browser

PLAIN, PLAIN_NAME = "marchb p", "Marchbanks, Penelope Ruth"


def cannot_sign(table: Table) -> None:
    table.open_first(PLAIN, PLAIN_NAME)
    table.press_button("The voter cannot sign")
    expect(table.page.get_by_role("radio", name="Drawn here")).to_be_focused()


def record(table: Table) -> None:
    expect(table.page.get_by_role("button", name="Witness signed on paper")).to_be_focused()
    table.wait_out_the_guard()
    table.press("Enter")


def test_a_mark_on_paper_is_recorded_with_its_witness_by_keyboard_alone(
    table: Table, server: Server
) -> None:
    cannot_sign(table)
    expect(table.verdict).to_have_text("Sign")
    table.keys("ArrowDown")
    expect(table.page.get_by_role("radio", name="Made on paper")).to_be_checked()
    table.keys("Enter", "Wilma Gant", "Enter")
    record(table)
    done = table.page.locator(".confirmation")
    expect(done).to_contain_text(PLAIN_NAME)
    expect(done).to_contain_text("as signed by mark, witness Wilma Gant")
    (entry,) = entries(server, "signature.recorded")
    body = entry["body"]
    assert (body["how"], body["mark"], body["witness_how"]) == ("mark", "paper", "paper")
    table.open_first(PLAIN, PLAIN_NAME)
    table.page.locator("summary").focus()
    table.press("Enter")
    expect(table.page.locator("details")).to_contain_text("signed by mark, witness Wilma Gant")


def test_what_is_missing_and_the_voters_own_name_are_told_beside_the_field(
    table: Table, server: Server
) -> None:
    cannot_sign(table)
    table.keys("Space", "Enter", "Enter")
    expect(table.page.locator("#witness-mark-problem")).to_contain_text("Nothing is drawn")
    expect(table.page.locator("#witness-name-problem")).to_contain_text("who witnesses it")
    table.page.get_by_role("radio", name="no mark").focus()
    table.keys("Space", "Enter", "Penelope Ruth Marchbanks", "Enter")
    record(table)
    problem = table.page.locator("#witness-name-problem")
    expect(problem).to_contain_text("the voter’s own name")
    expect(table.page.locator("#witness-name")).to_be_focused()
    expect(table.page.locator(".sheet .problem")).to_have_count(0)
    assert entries(server, "signature.recorded") == []
    table.press("ControlOrMeta+A")
    table.keys("Wilma Gant")
    expect(problem).to_have_text("")
    table.keys("Enter")
    record(table)
    expect(table.page.locator(".confirmation")).to_contain_text("can make no mark, witness Wilma")


def test_mark_and_witness_may_both_be_drawn_and_a_dot_is_a_mark(
    table: Table, server: Server
) -> None:
    cannot_sign(table)
    table.press("Space")
    pads = table.page.locator("signature-pad")
    expect(pads).to_have_count(2)
    mouse = table.page.mouse
    for place in (0, 1):
        pads.nth(place).scroll_into_view_if_needed()
        box = pads.nth(place).bounding_box()
        assert box is not None
        mouse.move(box["x"] + 30, box["y"] + 20)
        mouse.down()
        if place == 1:
            mouse.move(box["x"] + 130, box["y"] + 50, steps=12)
        mouse.up()
    table.page.locator("#witness-name").focus()
    table.keys("Wilma Gant", "Enter")
    button = table.page.get_by_role("button", name="Record mark and witness")
    expect(button).to_be_focused()
    table.wait_out_the_guard()
    table.press("Enter")
    expect(table.page.locator(".confirmation")).to_contain_text("witness Wilma Gant")
    (entry,) = entries(server, "signature.recorded")
    assert (entry["body"]["mark"], entry["body"]["witness_how"]) == ("drawn", "drawn")


def test_the_voter_may_sign_after_all(table: Table, server: Server) -> None:
    cannot_sign(table)
    table.press_button("The voter signs after all")
    table.wait_out_the_guard()
    table.sign_on_paper()
    (entry,) = entries(server, "signature.recorded")
    assert entry["body"]["how"] == "paper"
