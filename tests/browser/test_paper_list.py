"""A list on paper is keyed in from the keyboard alone: 30 names, and three traps among them."""

from __future__ import annotations

import csv
from typing import Any

import pytest
from playwright.sync_api import Locator, expect

from _running_server import SAMPLE, Server, fresh_token, post, sign_on_paper
from app.records.store import verify_database
from tests.browser.conftest import Table, Tables, entries, line_id_of

pytestmark = pytest.mark.browser

NAMESAKES = "Fairweather"
SIGNED = "Marchbanks, Penelope Ruth"
ON_NO_LIST = "Zzyzx Quuxley"


def plain_people(count: int) -> list[dict[str, str]]:
    """People on no other list and without a look-alike's name, in the order of the register."""
    with (SAMPLE / "register.csv").open(encoding="utf-8") as file:
        rows = list(csv.DictReader(file))
    listed: set[str] = set()
    for name in ("mail-voted.csv", "early-voted.csv"):
        with (SAMPLE / name).open(encoding="utf-8") as file:
            listed |= {row["voter_number"] for row in csv.DictReader(file)}
    apart = (NAMESAKES, "Marchbanks")
    return [
        row
        for row in rows
        if not row["mark"] and row["voter_number"] not in listed and row["last_name"] not in apart
    ][:count]


class Keying:
    """The one box of a list on paper, as a clerk works it."""

    def __init__(self, table: Table) -> None:
        self.table = table

    @property
    def box(self) -> Locator:
        return self.table.page.locator("#keying-box")

    @property
    def shown(self) -> Locator:
        return self.table.page.locator(".keyed .done-name")

    @property
    def last(self) -> Locator:
        return self.table.page.locator(".keyed .last")

    @property
    def count(self) -> Locator:
        return self.table.page.locator(".count strong")

    def look_up(self, text: str) -> None:
        expect(self.box).to_be_focused()
        self.table.keys(text)
        # The Enter of a person comes later than that of a scanner.
        self.table.page.wait_for_timeout(60)
        self.table.press("Enter")

    def mark(self) -> None:
        """What is shown is read before the second Enter."""
        self.table.wait_out_the_guard()
        self.table.press("Enter")

    def row(self, text: str, name: str, count: str) -> None:
        self.look_up(text)
        expect(self.shown).to_have_text(name)
        self.mark()
        expect(self.count).to_have_text(count)
        expect(self.box).to_have_value("")


def begin(lead: Table, total: int) -> Keying:
    """The lead begins the list that the envelope holds."""
    lead.go_to_lists("A list on paper")
    expect(lead.page.locator("#start-kind-0")).to_be_focused()
    lead.keys("Space", "Enter", "Mail voters, second list", "Enter", str(total), "Enter")
    keying = Keying(lead)
    expect(keying.box).to_be_focused()
    expect(keying.count).to_have_text(f"0 of {total}")
    return keying


def begun(server: Server, total: int) -> str:
    client = server.station("LO", "Lead's desk")
    body = {"form": "paper", "kind": "mail_voted", "name": "Second list", "printed_total": total}
    list_id = str(post(client, "/api/late-lists", body).json()["list"]["list_id"])
    client.close()
    return list_id


def keyed_by_a_worker(table: Table, server: Server, total: int) -> Keying:
    begun(server, total)
    table.go_to_lists("Key in: Second list")
    keying = Keying(table)
    expect(keying.box).to_be_focused()
    return keying


def marks(server: Server) -> list[dict[str, Any]]:
    return [entry for entry in entries(server, "mark.recorded") if entry["body"]["list_seq"]]


def test_thirty_names_with_three_traps_are_keyed_in_from_the_keyboard(
    tables: Tables, server: Server
) -> None:
    server.open_polls()
    client = server.station("RM", "Table 1")
    assert sign_on_paper(client, line_id_of(server, "marchb p"), fresh_token()).status_code == 200
    client.close()
    lead = tables()
    lead.sign_on("LO", "Lead's desk")
    keying = begin(lead, 30)
    people = plain_people(27)
    for number, person in enumerate(people, start=1):
        name = f"{person['last_name']}"
        keying.look_up(person["voter_number"])
        expect(keying.shown).to_contain_text(name)
        expect(lead.page.locator(".born")).to_have_text(f"born {person['birth_date'][:4]}")
        keying.mark()
        expect(keying.count).to_have_text(f"{number} of 30")
    # A namesake: two lines fit, and Enter chooses neither.
    keying.look_up("fairweather barnaby")
    expect(lead.page.locator(".keyed .ask")).to_contain_text("2 lines fit")
    lead.wait_out_the_guard()
    lead.press("Enter")
    expect(lead.page.locator(".keyed")).to_contain_text("Enter chooses none: press a digit")
    expect(keying.count).to_have_text("27 of 30")
    son = lead.page.locator(".keyed .answers button", has_text="Fairweather Jr")
    lead.press(son.locator(".digit").inner_text())
    expect(keying.shown).to_have_text("Fairweather Jr, Barnaby Amos")
    expect(lead.page.locator(".born")).to_have_text("born 1983")
    keying.mark()
    expect(keying.count).to_have_text("28 of 30")
    # Somebody who has signed: said before Enter, and both facts after it.
    keying.look_up("marchb p")
    expect(keying.shown).to_have_text(SIGNED)
    expect(lead.page.locator(".keyed .problem")).to_contain_text("Signed at")
    keying.mark()
    expect(keying.last.locator(".facing")).to_contain_text("Signed at")
    expect(keying.last.locator(".facing")).to_contain_text("voted by mail")
    # Somebody on no list: written down, and counted.
    keying.look_up(ON_NO_LIST)
    expect(lead.page.locator(".keyed .ask")).to_contain_text("No line fits")
    lead.press("1")
    expect(lead.page.locator(".keyed .verdict")).to_have_text("On no line")
    keying.mark()
    expect(keying.count).to_have_text("30 of 30")
    expect(lead.page.locator(".count")).to_contain_text("1 of them on no line")
    lead.press_button("The paper is done")
    expect(lead.page.locator("dialog")).to_contain_text("The count is the printed total")
    lead.press_button("Finish the list")
    expect(lead.page.locator(".late .ask")).to_have_text("Finished: 30 of 30.")
    assert len(marks(server)) == 29
    assert [e["body"]["code"] for e in entries(server, "irregularity.recorded")] == [
        "signed-already"
    ]
    expect(lead.page.locator(".badge")).to_have_text("1 waits")
    assert verify_database(server.day.url).holds


def test_a_scan_looks_up_and_marks_nobody(table: Table, server: Server) -> None:
    keying = keyed_by_a_worker(table, server, 3)
    first, second = plain_people(2)
    table.page.keyboard.type(first["voter_number"])
    table.press("Enter")
    expect(keying.shown).to_contain_text(first["last_name"])
    # The next card is scanned without the Enter between: the first one is told as not marked.
    table.page.keyboard.type(second["voter_number"])
    table.press("Enter")
    expect(keying.shown).to_contain_text(second["first_name"])
    expect(table.page.locator(".keyed .problem")).to_contain_text(
        f"Not marked: {first['last_name']}"
    )
    assert marks(server) == []
    keying.mark()
    expect(keying.count).to_have_text("1 of 3")
    (mark,) = marks(server)
    assert mark["line_id"] == line_id_of(server, second["voter_number"])


def test_a_scan_over_several_lines_chooses_none_of_them(table: Table, server: Server) -> None:
    """Its first digit would choose; the rest of the burst shows that it was a scan."""
    keying = keyed_by_a_worker(table, server, 3)
    keying.look_up("fairweather")
    expect(table.page.locator(".keyed .ask")).to_contain_text("2 lines fit")
    table.page.evaluate("() => new Promise((done) => setTimeout(done, 100))")
    table.page.keyboard.type("177701234", delay=0)
    expect(keying.box).to_have_value("177701234")
    assert marks(server) == []


def test_a_name_keyed_twice_is_asked_about_and_an_undone_row_no_longer_counts(
    table: Table, server: Server
) -> None:
    keying = keyed_by_a_worker(table, server, 3)
    (person,) = plain_people(1)
    keying.look_up(person["voter_number"])
    keying.mark()
    expect(keying.count).to_have_text("1 of 3")
    keying.look_up(person["voter_number"])
    keying.mark()
    expect(table.page.locator(".keyed .ask")).to_contain_text("was keyed already, as row 1")
    expect(keying.count).to_have_text("1 of 3")
    table.press("Escape")
    expect(keying.box).to_be_focused()
    table.press("Alt+u")
    expect(table.page.locator("#dialog-text")).to_be_focused()
    table.press("Enter")
    expect(table.page.locator(".keyed")).to_contain_text("Taken back:")
    expect(keying.count).to_have_text("0 of 3")
    expect(keying.box).to_be_focused()
    (undone,) = entries(server, "late_list.row_undone")
    assert undone["body"]["reason"] == "keyed by mistake"
    assert len(entries(server, "mark.withdrawn")) == 1


def test_a_short_list_is_finished_by_the_lead_alone_and_with_the_reason(
    tables: Tables, server: Server
) -> None:
    server.open_polls()
    worker, lead = tables(), tables()
    worker.sign_on()
    keying = keyed_by_a_worker(worker, server, 3)
    worker.press_button("The paper is done")
    expect(worker.page.locator("dialog")).to_contain_text("call the lead worker")
    expect(worker.page.get_by_role("button", name="Finish the list")).to_have_count(0)
    worker.press("Escape")
    expect(keying.box).to_be_focused()
    lead.sign_on("LO", "Lead's desk")
    lead.go_to_lists("Key in: Second list")
    lead.press_button("The paper is done")
    expect(lead.page.locator("#dialog-text")).to_be_focused()
    lead.press("Enter")
    expect(lead.page.locator("#dialog-text-problem")).to_contain_text("A reason is needed")
    lead.keys("the second page is missing", "Enter")
    expect(lead.page.locator(".late .ask")).to_have_text("Finished: 0 of 3.")
    expect(lead.page.locator(".late")).to_contain_text("Because: the second page is missing")


@pytest.mark.parametrize("width", [1366, 320])
def test_the_box_and_what_is_shown_need_no_sideways_scrolling(
    tables: Tables, server: Server, width: int
) -> None:
    server.open_polls()
    table = tables(viewport={"width": width, "height": 700})
    table.sign_on()
    keying = keyed_by_a_worker(table, server, 3)
    assert table.has_no_sideways_scrolling()
    keying.look_up("fairweather")
    expect(table.page.locator(".keyed .ask")).to_contain_text("2 lines fit")
    assert table.has_no_sideways_scrolling()
    table.press("2")
    expect(keying.shown).to_be_visible()
    assert table.has_no_sideways_scrolling()
