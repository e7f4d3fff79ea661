"""The table goes to paper and catches up, from the keyboard alone; the lead settles and counts."""

from __future__ import annotations

from typing import Any

import pytest
from playwright.sync_api import Locator, expect

from _running_server import Server, fresh_token, post, sign_on_paper
from app.records.store import verify_database
from tests.browser.conftest import Table, Tables, entries, line_id_of
from tests.browser.test_paper_list import plain_people

pytestmark = pytest.mark.browser

SIGNED = "Marchbanks, Penelope Ruth"
ON_NO_LIST = "Zzyzx Quuxley"


class CatchingUp:
    """The next row of a page, as somebody keys it who does not look up from the paper."""

    def __init__(self, table: Table) -> None:
        self.table = table
        self.page = table.page

    @property
    def box(self) -> Locator:
        return self.page.locator("#hours-box")

    @property
    def shown(self) -> Locator:
        return self.page.locator(".keyed .done-name")

    @property
    def ask(self) -> Locator:
        return self.page.locator(".paper-hours .ask").first

    @property
    def count(self) -> Locator:
        return self.page.locator(".count strong")

    @property
    def newest(self) -> Locator:
        return self.page.locator(".rows li").first

    def place(self, name: str) -> str:
        return self.page.locator(f"#hours-{name}").input_value()

    def look_up(self, text: str, time: str | None) -> None:
        """The time, Enter, who it is, Enter; `time` None: the box has the focus already."""
        if time is not None:
            expect(self.page.locator("#hours-time")).to_be_focused()
            self.table.keys(*([time] if time else []), "Enter")
        expect(self.box).to_be_focused()
        self.table.keys(text)
        # The Enter of a person comes later than that of a scanner.
        self.page.wait_for_timeout(60)
        self.table.press("Enter")

    def key(self) -> None:
        """What is shown is read before the second Enter."""
        self.table.wait_out_the_guard()
        self.table.press("Enter")

    def row(self, text: str, time: str | None, count: str) -> None:
        self.look_up(text, time)
        expect(self.shown).to_be_visible()
        self.key()
        expect(self.count).to_have_text(count)

    def choose(self, words: str) -> None:
        """The number of an answer, then Enter."""
        answer = self.page.locator(".paper-hours .answers button", has_text=words)
        expect(answer).to_be_visible()
        self.table.wait_out_the_guard()
        self.table.press(answer.locator(".digit").inner_text())
        expect(answer).to_be_focused()
        self.table.wait_out_the_guard()
        self.table.press("Enter")


def open_hours(table: Table) -> CatchingUp:
    table.press_button("Day")
    table.press_button("Hours on paper")
    expect(table.page.get_by_role("heading", level=2)).to_contain_text("aper")
    return CatchingUp(table)


def begun(server: Server, **more: Any) -> None:
    """The lead says over HTTP that the table is on paper since the polls opened."""
    client = server.station("LO", "Lead's desk")
    post(client, "/api/paper/begin", {"reason": "the laptop had to be restarted", **more})
    client.close()


def now(server: Server) -> str:
    client = server.station("LO", "Table 9")
    told = str(client.get("/api/paper").json()["now"])
    client.close()
    return told


def signed_at_a_table(server: Server, typed: str = "marchb p") -> None:
    client = server.station("RM", "Table 2")
    assert sign_on_paper(client, line_id_of(server, typed), fresh_token()).status_code == 200
    client.close()


def on_paper(table: Table, server: Server) -> CatchingUp:
    """A worker at the screen where an open hour is keyed, on its first field."""
    begun(server)
    keying = open_hours(table)
    expect(table.page.locator("#hours-page")).to_be_focused()
    return keying


def test_a_lead_goes_to_paper_and_three_rows_a_duplicate_and_somebody_on_no_line_are_caught_up(
    lead: Table, server: Server
) -> None:
    signed_at_a_table(server)
    keying = open_hours(lead)
    page = lead.page
    expect(page.locator("#hours-reason")).to_be_focused()
    with page.context.expect_page() as printed:
        lead.press_button("Print the register as it stands now")
    assert "/api/papers/register-now.pdf?language=en" in printed.value.url
    page.bring_to_front()
    page.locator("#hours-reason").focus()
    lead.keys("the laptop must be restarted", "Enter", "Enter", "Enter", "2", "Enter")
    expect(keying.ask).to_contain_text("The table is on paper since")
    keying.choose("The computer works again")
    expect(page.locator("#hours-page")).to_be_focused()
    time = now(server)
    lead.keys("3", "Enter")
    for number, person in enumerate(plain_people(3), start=1):
        assert (keying.place("page"), keying.place("order")) == ("3", str(number))
        plural = "row" if number == 1 else "rows"
        keying.row(person["voter_number"], time, f"{number} {plural} keyed")
        expect(keying.newest).to_contain_text(person["last_name"])
    # Signed at another table meanwhile: told before Enter, and in large words behind it.
    keying.look_up("marchb p", time)
    expect(page.locator(".keyed .problem")).to_contain_text("Signed at")
    keying.key()
    expect(keying.ask).to_have_text("The voter signed on paper, and the line is signed already.")
    expect(page.locator(".facing")).to_contain_text("page 3, signature 4")
    expect(page.locator(".phone")).to_contain_text("555")
    expect(page.get_by_role("button", name="Read: the next row")).to_be_focused()
    lead.wait_out_the_guard()
    lead.press("Enter")
    # On no line: written down, and settled by the lead.
    keying.look_up(ON_NO_LIST, time)
    expect(keying.ask).to_contain_text("No line fits")
    lead.press("1")
    expect(page.locator("#hours-name")).to_have_value(ON_NO_LIST)
    lead.keys("Enter", "Enter")
    expect(keying.count).to_have_text("5 rows keyed")
    lead.press_button("Every page is keyed: count")
    expect(page.locator("#hours-counted")).to_be_focused()
    expect(page.locator(".by-page tbody")).to_have_text("35")
    lead.keys("5", "Enter")
    expect(keying.ask).to_contain_text("not every one is settled")
    lead.press_button(f"Settle: {ON_NO_LIST}")
    expect(page.locator(".settles")).to_contain_text(f"Row 5 waits: {ON_NO_LIST}")
    last = plain_people(4)[3]
    keying.look_up(last["voter_number"], None)
    expect(keying.shown).to_contain_text(last["last_name"])
    keying.key()
    expect(page.locator(".settles")).to_have_count(0)
    expect(keying.newest).to_contain_text(last["last_name"])
    lead.press_button("Every page is keyed: count")
    lead.keys("5", "Enter")
    expect(keying.ask).to_have_text("Caught up: 5 rows.")
    expect(page.locator(".paper-hours")).to_contain_text("1 of them was signed already")
    caught = [each["body"]["caught_up"] for each in entries(server, "signature.recorded")]
    assert [(each["page"], each["order"]) for each in caught if each] == [
        (3, 1),
        (3, 2),
        (3, 3),
        (3, 5),
    ]
    (ended,) = entries(server, "paper.caught_up")
    assert (ended["body"]["lines"], ended["body"]["counted"], ended["body"]["waiting"]) == (5, 5, 0)
    assert verify_database(server.day.url).holds


def test_the_paper_is_asked_only_for_the_steps_of_that_line(table: Table, server: Server) -> None:
    keying = on_paper(table, server)
    table.keys("1", "Enter")
    keying.look_up("fairweather jr", "")
    expect(keying.shown).to_have_text("Fairweather Jr, Barnaby Amos")
    keying.key()
    expect(keying.ask).to_contain_text("Another line looks like this one")
    expect(table.page.locator(".kinds")).to_contain_text("Fairweather")
    assert entries(server, "paper.row_keyed") == []
    keying.choose("Yes: number and birth date")
    expect(keying.count).to_have_text("1 row keyed")
    # The row before had no time: this one begins in the box.
    keying.look_up("fairweather sr", None)
    keying.key()
    expect(keying.ask).to_contain_text("Another line looks like this one")
    keying.choose("The paper does not show it")
    expect(table.page.locator("#hours-why")).to_be_focused()
    table.press("Enter")
    expect(keying.count).to_have_text("2 rows keyed")
    told_apart = [each["body"]["told_apart"] for each in entries(server, "signature.recorded")]
    assert told_apart == [True, None]
    (written,) = entries(server, "irregularity.recorded")
    assert written["body"]["code"] == "steps-not-on-paper"


def test_a_line_keyed_twice_is_asked_about_and_a_row_is_taken_back(
    table: Table, server: Server
) -> None:
    keying = on_paper(table, server)
    table.keys("1", "Enter")
    (person,) = plain_people(1)
    keying.row(person["voter_number"], "", "1 row keyed")
    keying.look_up(person["voter_number"], None)
    keying.key()
    expect(keying.ask).to_contain_text("was keyed already, as row 1")
    keying.choose("Keyed already: look again")
    expect(keying.box).to_be_focused()
    table.press("Alt+u")
    expect(table.page.locator("#hours-reason")).to_be_focused()
    table.press("Enter")
    expect(keying.count).to_have_text("0 rows keyed")
    expect(keying.newest).to_contain_text("Taken back: keyed by mistake")
    expect(keying.box).to_be_focused()
    (undone,) = entries(server, "paper.row_undone")
    assert undone["body"]["reason"] == "keyed by mistake"
    assert len(entries(server, "signature.withdrawn")) == 1


def test_a_time_at_which_nobody_can_have_signed_is_told_beside_it_and_nothing_typed_is_lost(
    table: Table, server: Server
) -> None:
    keying = on_paper(table, server)
    table.keys("1", "Enter", "25:10", "Enter")
    expect(table.page.locator("#hours-time-problem")).to_contain_text("As 14:20, or blank")
    table.press("ControlOrMeta+A")
    (person,) = plain_people(1)
    keying.look_up(person["voter_number"], "00:01")
    expect(keying.shown).to_be_visible()
    keying.key()
    expect(table.page.locator("#hours-time")).to_be_focused()
    expect(table.page.locator("#hours-time-problem")).to_contain_text("Nobody can have signed")
    expect(keying.shown).to_contain_text(person["last_name"])
    table.keys(now(server), "Enter")
    expect(keying.box).to_be_focused()
    keying.key()
    expect(keying.count).to_have_text("1 row keyed")


def test_a_card_scanned_where_the_time_belongs_is_looked_up_and_keys_nobody(
    table: Table, server: Server
) -> None:
    keying = on_paper(table, server)
    table.keys("1", "Enter")
    (person,) = plain_people(1)
    expect(table.page.locator("#hours-time")).to_be_focused()
    table.page.keyboard.type(person["voter_number"], delay=0)
    table.press("Enter")
    expect(keying.shown).to_contain_text(person["last_name"])
    assert (keying.place("time"), entries(server, "paper.row_keyed")) == ("", [])


def test_a_worker_who_counts_otherwise_calls_the_lead_who_finishes_with_the_reason(
    tables: Tables, server: Server
) -> None:
    server.open_polls()
    begun(server)
    worker, lead = tables(), tables()
    worker.sign_on()
    keying = open_hours(worker)
    worker.press_button("Every page is keyed: count")
    worker.keys("2", "Enter")
    expect(keying.ask).to_have_text("Counted on paper: 2. Keyed in: 0.")
    expect(worker.page.locator(".paper-hours")).to_contain_text("call the lead worker")
    expect(worker.page.locator("#hours-reason")).to_have_count(0)
    lead.sign_on("LO", "Lead's desk")
    lead.press("Alt+n")
    lead.page.get_by_role("button", name="Hours on paper").focus()
    lead.press("Enter")
    of_lead = CatchingUp(lead)
    lead.press_button("Every page is keyed: count")
    lead.keys("2", "Enter")
    expect(lead.page.locator("#hours-reason")).to_be_focused()
    lead.keys("Enter")
    expect(lead.page.locator("#hours-reason-problem")).to_contain_text("A reason is needed")
    lead.keys("one page is torn", "Enter")
    expect(of_lead.ask).to_have_text("Caught up: 0 rows.")
    # Whoever was keying is told that there is nothing to key any more.
    expect(keying.ask).to_have_text("The table is not on paper.")


def test_a_row_may_stay_without_a_line_and_paper_that_is_newer_is_read_again_first(
    lead: Table, server: Server
) -> None:
    keying = open_hours(lead)
    lead.keys("another laptop", "Enter", "Enter", "Enter", "9000", "Enter")
    expect(keying.ask).to_contain_text("The printed page shows entry 9000")
    keying.choose("The page is right")
    expect(keying.ask).to_contain_text("The table is on paper since")
    keying.choose("The computer works again")
    expect(lead.page.locator("#hours-page")).to_be_focused()
    lead.keys("1", "Enter")
    keying.look_up(ON_NO_LIST, "")
    expect(keying.ask).to_contain_text("No line fits")
    lead.press("1")
    lead.keys("Enter", "Enter")
    expect(keying.newest).to_contain_text("Waits for the lead")
    lead.press_button(f"Settle: {ON_NO_LIST}")
    lead.press_button("On no line: say why")
    expect(lead.page.locator("#hours-why")).to_be_focused()
    lead.keys("Enter")
    expect(lead.page.locator("#hours-why-problem")).to_contain_text("A reason is needed")
    lead.keys("sent on to 4-08", "Enter")
    expect(keying.newest).to_contain_text("On no line: sent on to 4-08")
    codes = [each["body"]["code"] for each in entries(server, "irregularity.recorded")]
    assert codes == ["paper-newer", "paper-on-no-line"]
    assert verify_database(server.day.url).holds


@pytest.mark.parametrize("width", [1366, 820, 320])
def test_no_screen_of_the_hours_scrolls_sideways(
    tables: Tables, server: Server, width: int
) -> None:
    server.open_polls()
    lead = tables(viewport={"width": width, "height": 700})
    lead.sign_on("LO", "Lead's desk")
    keying = open_hours(lead)
    expect(lead.page.locator("#hours-reason")).to_be_focused()
    assert lead.has_no_sideways_scrolling()
    lead.keys("power cut", "Enter", "Enter", "Enter", "Enter")
    keying.choose("The computer works again")
    expect(lead.page.locator("#hours-page")).to_be_focused()
    lead.keys("1", "Enter")
    keying.look_up("fairweather", "")
    expect(keying.ask).to_contain_text("lines fit")
    assert lead.has_no_sideways_scrolling()
    lead.press("2")
    expect(keying.shown).to_be_visible()
    assert lead.has_no_sideways_scrolling()
