"""The README's twelve people, by keyboard alone, in a real browser over the real sample."""

from __future__ import annotations

import json
import re
from pathlib import Path
from typing import Any

import pytest
from playwright.sync_api import expect

from tests.browser.conftest import Table

pytestmark = pytest.mark.browser

TWELVE = {
    person["key"]: person
    for person in json.loads(
        (Path(__file__).parent.parent / "samples" / "twelve_people.json").read_text("utf-8")
    )
}

OUTCOMES = {
    "sign": "Sign",
    "first": "First…",
    "stop": "Do not sign",
    "call": "Call the registrar",
}


def opened(table: Table, key: str) -> Any:
    person = TWELVE[key]
    table.open_first(person["typed"], person["name"])
    expect(table.verdict).to_have_text(OUTCOMES[person["outcome"]])
    return person


def handed_over(table: Table, person: Any) -> None:
    """What the worker reads when handing over the ballot."""
    confirmation = table.page.locator(".confirmation")
    expect(confirmation).to_contain_text(person["name"])
    expect(confirmation).to_contain_text(str(person["ballot_button"]))


def signs(table: Table, person: Any) -> None:
    """On paper, once the verdict has been there long enough to be read."""
    table.wait_out_the_guard()
    table.sign_on_paper()
    handed_over(table, person)


@pytest.mark.parametrize(
    "key",
    [key for key, person in TWELVE.items() if person["outcome"] == "sign"],
)
def test_a_person_without_steps_signs_with_two_enters(table: Table, key: str) -> None:
    person = opened(table, key)
    table.sign_on_paper()
    handed_over(table, person)


@pytest.mark.parametrize(
    ("key", "said"),
    [
        ("voted-by-mail", "Only the registrar can lift the mark"),
        ("voted-early", "Only the registrar can lift the mark"),
        ("lists-contradict", "voted early"),
    ],
)
def test_a_person_who_may_not_sign_is_told_why_and_what_they_may_still_do(
    table: Table, key: str, said: str
) -> None:
    opened(table, key)
    sheet = table.page.locator(".sheet")
    expect(sheet).to_contain_text(said)
    expect(sheet).to_contain_text("What this person may still do")
    expect(sheet).to_contain_text("555-0142")
    expect(sheet).to_contain_text("A provisional ballot: offer it.")
    expect(sheet).to_contain_text("Local law and the registrar decide")
    expect(table.page.get_by_role("button", name="Signed on paper")).to_have_count(0)
    table.press("Escape")
    expect(table.box).to_be_focused()


def test_the_card_is_recorded_and_then_she_signs(table: Table) -> None:
    person = opened(table, "address-confirmation")
    # One Enter that nobody meant completes no card.
    table.press("Enter")
    expect(table.verdict).to_have_text("First…")
    table.answer("Card completed", "Tab")
    expect(table.verdict).to_have_text("Sign")
    signs(table, person)


def test_the_helper_is_named_and_then_she_signs(table: Table) -> None:
    person = opened(table, "assistance")
    table.answer("Yes, a helper", "ArrowDown", "ArrowDown")
    expect(table.page.locator("#helper-name")).to_be_focused()
    table.keys("Ottilie Crane", "Enter")
    # Asked each time: an employer or union agent may not help.
    expect(table.page.get_by_role("radio", name="No, somebody else")).to_be_focused()
    table.keys("Space", "Enter")
    expect(table.page.get_by_role("button", name="Helper signed on paper")).to_be_focused()
    table.wait_out_the_guard()
    table.press("Enter")
    expect(table.verdict).to_have_text("Sign")
    signs(table, person)


def test_the_son_is_told_from_his_father_by_the_birth_date(table: Table) -> None:
    person = opened(table, "father-and-son")
    assert person["birth_date"][:4] not in table.page.locator(".sheet").inner_text()
    table.say_birth_date("3/9/1948")
    expect(table.verdict).to_have_text("Do not sign")
    expect(table.page.locator(".look-alikes")).to_contain_text("Fairweather Sr")
    table.press("Escape")
    opened(table, "father-and-son")
    table.keys("1/29/83", "Enter")
    expect(table.verdict).to_have_text("Sign")
    signs(table, person)


def test_a_twin_is_asked_for_more_than_the_birth_date(table: Table) -> None:
    person = opened(table, "twins")
    table.keys("4/16/2001", "Enter")
    expect(table.question).to_contain_text("Which first name did the voter spell?")
    expect(table.page.get_by_role("button", name="Signed on paper")).to_have_count(0)
    names = table.page.locator(".step .name")
    expect(names).to_have_text([re.compile("^Marian"), re.compile("^Miriam")])
    table.answer("Miriam", "Tab", "Tab")
    expect(table.verdict).to_have_text("Sign")
    signs(table, person)


def test_the_other_twins_first_name_opens_the_other_twins_line(table: Table) -> None:
    person = opened(table, "twins")
    table.keys("4/16/2001", "Enter")
    table.answer("Marian", "ArrowDown")
    expect(table.page.locator("#sheet-name")).to_contain_text("Marian")
    expect(table.page.locator("#sheet-name")).not_to_have_text(person["name"])
    expect(table.page.locator("#birth-date")).to_be_focused()
    assert table.signed_count() == 0


def test_all_twelve_are_covered_here() -> None:
    assert len(TWELVE) == 12
    covered = {
        *(key for key, person in TWELVE.items() if person["outcome"] == "sign"),
        "voted-by-mail",
        "voted-early",
        "lists-contradict",
        "address-confirmation",
        "assistance",
        "father-and-son",
        "twins",
    }
    assert covered == set(TWELVE)
