"""What is printed on a line besides the name: protected address, inactive, first time by mail."""

from __future__ import annotations

import csv

import pytest
from playwright.sync_api import expect

from _running_server import SAMPLE, Server
from tests.browser.conftest import Table, entries

pytestmark = pytest.mark.browser

PROTECTED, PROTECTED_NAME = "hyde const", "Hyde, Constance Ivy"


def printed_street(last_name: str, first_name: str) -> str:
    with (SAMPLE / "register.csv").open(encoding="utf-8", newline="") as register:
        for row in csv.DictReader(register):
            if (row["last_name"], row["first_name"]) == (last_name, first_name):
                assert row["address_protected"] == "Y"
                return row["street_address"]
    raise AssertionError("no such person in the sample")


def test_a_protected_address_is_said_to_be_protected_and_stands_nowhere_on_the_page(
    table: Table,
) -> None:
    street = printed_street("Hyde", "Constance")
    table.find(PROTECTED)
    expect(table.rows.first).to_contain_text("address protected")
    table.open_first(PROTECTED, PROTECTED_NAME)
    expect(table.page.locator(".picked")).to_contain_text("address protected")
    expect(table.page.locator("#next")).to_contain_text("do not ask for it aloud")
    assert street not in table.page.content()
    table.press_button("An official says: may not vote")
    expect(table.page.locator("#form-note")).to_be_focused()
    expect(table.page.locator("#form-street_address")).to_have_count(0)
    assert street not in table.page.content()
    table.press("Escape")
    table.press_button("Signed on paper")
    expect(table.page.locator(".confirmation")).to_contain_text(PROTECTED_NAME)
    assert street not in table.page.content()


def test_an_address_is_not_taken_where_the_person_says_it_is_protected(
    table: Table, server: Server
) -> None:
    table.get_lost_to_the_registrar("Nobody answers")
    table.choose("A provisional ballot")
    table.keys("Ambrose Quixote", "Enter", "Space")
    expect(table.page.locator("#form-street_address")).to_have_count(0)
    table.keys("Enter", "Space", "Enter", "P-9", "Enter")
    table.choose("Signed on paper: record it")
    expect(table.page.locator(".confirmation")).to_contain_text("P-9")
    assert len(entries(server, "provisional.recorded")) == 1


def test_an_inactive_voter_affirms_the_address_and_signs(table: Table, server: Server) -> None:
    table.open_first("chalmere k", "Chalmere, Kenneth R")
    expect(table.page.locator(".picked")).to_contain_text("inactive: affirms the address")
    expect(table.page.locator(".step .large-fact")).to_contain_text("80 Bellbuoy Drive")
    table.answer("Yes, and it is affirmed on paper", "ArrowDown")
    expect(table.verdict).to_have_text("Sign")
    table.wait_out_the_guard()
    table.sign_on_paper()
    (entry,) = entries(server, "signature.recorded")
    assert entry["body"]["address_affirmed"] is True


def test_an_inactive_voter_who_moved_inside_the_county_affirms_the_new_address(
    table: Table, server: Server
) -> None:
    table.open_first("chalmere k", "Chalmere, Kenneth R")
    table.answer("No, does not live there now", "ArrowDown", "ArrowDown")
    expect(table.question).to_contain_text("Have you moved")
    table.answer("Moved, but inside this county", "ArrowDown", "ArrowDown")
    expect(table.question).to_contain_text("Where do you live now?")
    table.answer("The new address is affirmed on paper", "ArrowDown")
    expect(table.verdict).to_have_text("Sign")
    table.wait_out_the_guard()
    table.sign_on_paper()
    (entry,) = entries(server, "signature.recorded")
    assert entry["body"]["moved"] == "within"


def test_any_voter_may_say_that_they_have_moved_and_out_of_the_county_the_registrar_decides(
    table: Table,
) -> None:
    table.open_first("marchb p", "Marchbanks, Penelope Ruth")
    table.press_button("Has moved")
    expect(table.verdict).to_have_text("First…")
    table.answer("Moved out of this county", "ArrowUp", "ArrowUp")
    expect(table.verdict).to_have_text("Call the registrar")
    expect(table.page.locator(".refusal")).to_contain_text("registration form")
    table.press_option("Ask the question again")
    expect(table.verdict).to_have_text("Sign")


def test_a_first_time_voter_by_mail_is_asked_for_a_document_and_an_affirmation_does_not_do(
    table: Table,
) -> None:
    table.open_first("desai kiran", "Desai, Kiran")
    expect(table.page.locator(".picked")).to_contain_text("votes for the first time")
    expect(table.page.locator(".kinds")).to_contain_text("A current card with a photograph")
    expect(table.page.get_by_role("button", name="affirmation paper")).to_have_count(0)
    table.answer("Not shown", "ArrowDown", "ArrowDown")
    expect(table.verdict).to_have_text("Do not sign")
    expect(table.page.locator(".refusal .answers")).to_contain_text("A provisional ballot")
    table.press_option("Ask the question again")
    table.answer("Shown", "ArrowDown")
    expect(table.verdict).to_have_text("Sign")
