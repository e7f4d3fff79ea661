"""Every screen of the table under axe-core, in light and dark; narrow, and at twice its size.

axe-core, by Deque Systems, tests what a program can of WCAG 2.0, 2.1 and 2.2, levels A and AA
(https://github.com/dequelabs/axe-core, doc/rule-descriptions.md).
"""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from axe_playwright_python.base import AXE_SCRIPT
from playwright.sync_api import expect

from _running_server import Server
from tests.browser.conftest import Table, Tables
from tests.browser.test_paper_hours import on_paper, open_hours

pytestmark = pytest.mark.browser

TAGS = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22a", "wcag22aa"]
RUN = f"() => axe.run({json.dumps({'runOnly': TAGS, 'resultTypes': ['violations']})})"
PHONE, TWICE_THE_SIZE = (320, 700), (683, 384)
PLAIN, PLAIN_NAME = "marchb p", "Marchbanks, Penelope Ruth"
TWELVE = {
    person["key"]: person
    for person in json.loads(
        (Path(__file__).parent.parent / "samples" / "twelve_people.json").read_text("utf-8")
    )
}

State = Callable[[Table], None]


def opened(key: str) -> State:
    def state(table: Table) -> None:
        table.open_first(TWELVE[key]["typed"], TWELVE[key]["name"])

    return state


def plain(table: Table) -> None:
    table.open_first(PLAIN, PLAIN_NAME)


def lines(table: Table) -> None:
    table.find("fairweather")
    table.press("ArrowDown")


def nothing_fits(table: Table) -> None:
    table.keys("zzzzqqqq")
    expect(table.page.get_by_role("heading", name="No line fits.")).to_be_visible()


def uncovered_and_read(table: Table) -> None:
    plain(table)
    table.sign_on_paper()
    plain(table)
    table.press("Alt+b")
    table.page.locator("summary").focus()
    table.press("Enter")


def wrong_birth_date(table: Table) -> None:
    opened("father-and-son")(table)
    table.say_birth_date("3/9/1948")
    expect(table.page.locator(".look-alikes")).to_be_visible()


def unreadable_birth_date(table: Table) -> None:
    opened("father-and-son")(table)
    table.keys("soon", "Enter")
    expect(table.page.locator("#problem")).to_be_visible()


def twins(table: Table) -> None:
    opened("twins")(table)
    table.keys("4/16/2001", "Enter")
    expect(table.page.locator(".step .name")).to_have_count(2)


def short_signature(table: Table) -> None:
    plain(table)
    table.page.locator("signature-pad").click()
    table.press_button("Record signature")
    expect(table.page.locator(".short")).to_be_visible()


def helper_form(table: Table) -> None:
    plain(table)
    table.press_button("Needs a helper in the booth")
    expect(table.page.locator("#helper-name")).to_be_focused()
    table.keys("Enter", "Enter", "Enter", "Enter")
    expect(table.page.locator("#helper-name-problem")).to_contain_text("name")


def witness_form(table: Table) -> None:
    plain(table)
    table.press_button("The voter cannot sign")
    expect(table.page.locator("#witness-mark-0")).to_be_focused()
    table.keys("Space", "Enter", "Enter")
    expect(table.page.locator("#witness-name-problem")).to_contain_text("witnesses")


def marked(table: Table) -> None:
    plain(table)
    table.press_button("The voter cannot sign")
    expect(table.page.locator("#witness-mark-0")).to_be_focused()
    table.keys("ArrowDown", "Enter", "Wilma Gant", "Enter")
    table.wait_out_the_guard()
    table.press("Enter")
    expect(table.page.locator(".confirmation")).to_be_visible()


def signed(table: Table) -> None:
    plain(table)
    table.sign_on_paper()


def way(table: Table) -> None:
    table.get_lost()


def what_can_be_done(table: Table) -> None:
    table.get_lost_to_the_registrar("Does not authorize anything")


def affidavit_form(table: Table) -> None:
    table.get_lost_to_the_registrar("Authorizes a correction affidavit")
    table.choose("correction affidavit")
    expect(table.page.locator("form input").first).to_be_visible()


def provisional_form(table: Table) -> None:
    opened("voted-by-mail")(table)
    table.press_option("A provisional ballot")
    expect(table.page.locator(".form, .way form, .ask").first).to_be_visible()


def irregularity(table: Table) -> None:
    table.press_button("Write up")
    expect(table.page.get_by_role("dialog")).to_be_visible()


def day(table: Table) -> None:
    table.press_button("Day")
    expect(table.page.locator("#dialog-title, .ask, .day").first).to_be_visible()


def lists(table: Table) -> None:
    table.press_button("Lists")
    expect(table.page.locator(".late .ask")).to_be_focused()


def call(table: Table) -> None:
    table.go_to_lists("call")


def to_paper(table: Table) -> None:
    open_hours(table)
    expect(table.page.locator("#hours-reason")).to_be_focused()
    table.press("Enter")
    table.press_button("The table is on paper")
    expect(table.page.locator("#hours-reason-problem")).to_contain_text("A reason is needed")


def catching_up(table: Table) -> None:
    keying = on_paper(table, table.server)
    table.keys("1", "Enter")
    keying.look_up("fairweather sr", "")
    keying.key()
    keying.choose("The paper does not show it")
    table.press("Enter")
    keying.look_up("fairweather jr", None)
    keying.key()
    expect(keying.ask).to_contain_text("looks like this one")


def server_gone(table: Table) -> None:
    plain(table)
    table.server.kill()
    expect(table.page.locator(".strip.alarm")).to_be_visible()


WORKER: dict[str, State] = {
    "empty": lambda _: None,
    "lines": lines,
    "no line fits": nothing_fits,
    "sign": plain,
    "stop, shown": uncovered_and_read,
    "voted by mail": opened("voted-by-mail"),
    "lists contradict": opened("lists-contradict"),
    "address confirmation": opened("address-confirmation"),
    "assistance": opened("assistance"),
    "birth date asked": opened("father-and-son"),
    "birth date unreadable": unreadable_birth_date,
    "wrong birth date": wrong_birth_date,
    "twins": twins,
    "very short": short_signature,
    "helper": helper_form,
    "witness": witness_form,
    "marked": marked,
    "signed": signed,
    "way": way,
    "what can be done": what_can_be_done,
    "affidavit form": affidavit_form,
    "provisional form": provisional_form,
    "irregularity": irregularity,
    "lists": lists,
    "catching up": catching_up,
    "server gone": server_gone,
}


def stations(table: Table) -> None:
    table.press("Alt+n")
    # The oldest need takes the focus once the list has come.
    expect(table.page.locator(".needs-list button").first).to_be_focused()
    table.press_button("Stations and sign-ons")
    expect(table.page.get_by_role("heading", name="Further stations")).to_be_visible()


LEAD: dict[str, State] = {
    "day": day,
    "lists": lists,
    "call": call,
    "to paper": to_paper,
    "stations": stations,
}


def violations(table: Table) -> list[str]:
    """What axe found: rule, place and why, one text each."""
    table.page.evaluate(AXE_SCRIPT)
    found: list[dict[str, Any]] = table.page.evaluate(RUN)["violations"]
    return [
        f"{rule['id']}: {node['html'][:120]}: {node['failureSummary'][:300]}"
        for rule in found
        for node in rule["nodes"]
    ]


def faults(table: Table) -> list[str]:
    """In light and dark, and what scrolls sideways when it is narrow or twice its size."""
    told = []
    for scheme in ("light", "dark"):
        # Without motion, or half a colour is measured while the page turns dark.
        table.page.emulate_media(color_scheme=scheme, reduced_motion="reduce")  # type: ignore[arg-type]
        told += [f"{scheme}: {each}" for each in violations(table)]
    for width, height in (PHONE, TWICE_THE_SIZE):
        table.page.set_viewport_size({"width": width, "height": height})
        if not table.has_no_sideways_scrolling():
            told.append(f"scrolls sideways at {width} by {height}")
    return told


@pytest.mark.parametrize("state", WORKER)
def test_a_screen_of_the_table_breaks_no_rule_and_scrolls_only_downwards(
    table: Table, state: str
) -> None:
    WORKER[state](table)
    assert faults(table) == []


@pytest.mark.parametrize("state", LEAD)
def test_a_screen_of_the_lead_breaks_no_rule_and_scrolls_only_downwards(
    lead: Table, state: str
) -> None:
    LEAD[state](lead)
    assert faults(lead) == []


def test_the_sign_on_breaks_no_rule_empty_or_with_a_problem(tables: Tables, server: Server) -> None:
    table = tables()
    table.page.goto(server.address)
    expect(table.page.locator("#initials")).to_be_visible()
    assert faults(table) == []
    table.page.locator("#initials").focus()
    table.press("Enter")
    expect(table.page.locator("#problem")).to_be_visible()
    assert faults(table) == []


def test_the_covered_page_and_its_warning_break_no_rule(tables: Tables, server: Server) -> None:
    table = tables()
    table.page.clock.install()
    table.sign_on()
    table.page.clock.run_for("04:31")
    expect(table.page.locator(".idle-warning")).to_be_visible()
    # axe waits with the page's own clock.
    table.page.clock.resume()
    assert faults(table) == []
    table.page.clock.fast_forward("00:31")
    expect(table.page.get_by_role("heading", name="Covered")).to_be_visible()
    assert faults(table) == []
    table.page.get_by_role("button", name="Somebody else").focus()
    table.press("Enter")
    expect(table.page.locator("#initials")).to_be_focused()
    assert faults(table) == []


def test_axe_does_find_a_fault(table: Table) -> None:
    table.page.locator("#who-is-there").evaluate("node => node.labels[0].remove()")
    assert any(each.startswith("label:") for each in violations(table))


def test_in_forced_colours_and_with_reduced_motion_focus_and_verdict_are_drawn(
    table: Table,
) -> None:
    table.page.emulate_media(forced_colors="active", reduced_motion="reduce")
    lines(table)
    chosen = table.page.locator('[aria-selected="true"]')
    other = table.rows.nth(1)
    outline = (
        "node => { const s = getComputedStyle(node); return s.outlineStyle + s.outlineWidth; }"
    )
    assert chosen.evaluate(outline) != other.evaluate(outline)
    expect(table.box).to_be_focused()
    assert table.box.evaluate("node => getComputedStyle(node).outlineStyle") != "none"
    table.press("Enter")
    expect(table.verdict).to_be_visible()
    border = table.page.locator("#verdict span").evaluate(
        "node => { const s = getComputedStyle(node); return s.borderBottomWidth; }"
    )
    assert float(border.removesuffix("px")) >= 3
    moving = table.page.evaluate(
        "() => document.getAnimations().length + [...document.querySelectorAll('*')].filter("
        "(node) => getComputedStyle(node).transitionDuration !== '0s').length"
    )
    assert moving == 0
