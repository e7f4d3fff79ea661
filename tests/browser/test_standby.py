"""A second laptop that follows, as a worker and the lead see it, and taking over on its page."""

from __future__ import annotations

import base64
from collections.abc import Callable, Iterator
from contextlib import ExitStack
from pathlib import Path

import pytest
from playwright.sync_api import Browser, Locator, Route, expect

from _running_server import PINS, Server, make_day, post
from _second_laptop import SecondLaptop, wait_until_in_step
from app.records import queries
from app.records.clock import SystemClock
from app.records.store import open_store, verify_database
from tests.browser.conftest import Table
from tests.browser.test_axe import faults
from tests.browser.test_late_lists import HEADER, NOBODY
from tests.browser.test_stations import note_violation

pytestmark = pytest.mark.browser

PLAIN, PLAIN_NAME = "marchb p", "Marchbanks, Penelope Ruth"
NEXT, NEXT_NAME = "hyde const", "Hyde, Constance Ivy"
OTHER, OTHER_NAME = "fairweather", "Fairweather Jr, Barnaby Amos"
# The laptop that follows asks every two seconds, tells the other one for two, and serves anew.
SOON_MS = 30_000
REASON = "it fell off the table"
Pages = Callable[..., Table]


class Pair:
    """Two laptops: the first with its polls open, the second following it, in step."""

    def __init__(self, folder: Path) -> None:
        for name in ("first", "second"):
            (folder / name).mkdir()
        self.first = Server(make_day(folder / "first"), options=("--standby",))
        self._said = folder / "said.txt"
        self.second = SecondLaptop(self.first, self._said, folder / "second")

    def start(self) -> None:
        self.first.said = self._said.open("ab")
        self.first.start()
        self.second.start()
        wait_until_in_step(self.first)
        self.first.open_polls()

    def kill(self) -> None:
        self.first.kill()
        self.second.kill()
        if self.first.said:
            self.first.said.close()

    @property
    def address(self) -> str:
        return f"http://127.0.0.1:{self.second.port}"

    def kinds_at_second(self) -> list[str]:
        with open_store(self.second.url, SystemClock()) as store:
            entries = store.read(lambda c: list(queries.entries_after(c, 0)))
        return [entry.kind for entry in entries]


@pytest.fixture
def pair(tmp_path: Path) -> Iterator[Pair]:
    pair = Pair(tmp_path)
    try:
        pair.start()
        yield pair
    finally:
        pair.kill()


@pytest.fixture
def pages(browser: Browser, pair: Pair) -> Iterator[Pages]:
    """Opens browsers on either laptop; none may complain of anything."""
    opened: list[Table] = []
    with ExitStack() as contexts:

        def page(
            initials: str = "", *, at: str | None = None, locale: str = "en-US", width: int = 1366
        ) -> Table:
            context = browser.new_context(locale=locale, viewport={"width": width, "height": 768})
            contexts.callback(context.close)
            table = Table(context.new_page(), pair.first, [], [])
            table.page.on("pageerror", lambda error: table.complaints.append(str(error)))
            table.page.on("console", lambda message: note_violation(table, message.text))
            table.page.goto(at or pair.address)
            expect(table.page.locator("#initials")).to_be_visible()
            if initials:
                sign_on(table, initials)
            opened.append(table)
            return table

        yield page
        assert [table.complaints for table in opened] == [[]] * len(opened)


def sign_on(table: Table, initials: str) -> None:
    table.page.locator("#initials").focus()
    table.keys(initials, "Tab", PINS[initials], "Tab")
    table.press("ControlOrMeta+A")
    table.keys("Table 1", "Enter")
    expect(table.box).to_be_focused(timeout=SOON_MS)


def strip(table: Table) -> Locator:
    return table.page.locator(".strip")


def open_now(lead: Table) -> None:
    """Where nothing is dead, the oldest need takes the focus once the list has come."""
    lead.press("Alt+n")
    expect(lead.page.locator(".needs-list button").first).to_be_focused()


def open_dialog(lead: Table) -> Locator:
    open_now(lead)
    lead.press_button("Take over")
    dialog = lead.page.get_by_role("dialog")
    expect(dialog.locator("#dialog-title")).to_be_focused()
    return dialog


def take_over(lead: Table, pin: str = PINS["LO"]) -> None:
    lead.page.locator("#dialog-text").fill(REASON)
    lead.page.locator("#dialog-pin").focus()
    lead.keys(pin, "Enter")


def took_over(table: Table) -> Locator:
    told = table.page.locator(".took-over")
    expect(told.get_by_role("heading")).to_have_text(
        "This laptop has the record now.", timeout=SOON_MS
    )
    return told


def test_a_worker_finds_and_reads_there_and_nothing_looks_as_if_it_was_signed(
    pair: Pair, pages: Pages
) -> None:
    asked = pages()
    expect(strip(asked)).to_contain_text("Nothing is recorded here: sign at the other.")
    expect(strip(asked)).to_contain_text("In step with it.")
    sign_on(asked, "RM")
    expect(strip(asked)).to_contain_text("Nothing is recorded here")
    tools = asked.page.get_by_role("navigation", name="This station").get_by_role("button")
    expect(tools).to_have_text(["English", "Español", "Sign off"])
    asked.find(PLAIN)
    expect(asked.rows.first.locator(".outcome")).to_have_text("Sign there")
    asked.open_first(PLAIN, PLAIN_NAME)
    expect(asked.page.locator("#next")).to_be_focused()
    expect(asked.page.locator("#next")).to_contain_text("This voter signs at the other laptop")
    expect(asked.verdict).to_have_text("Sign")
    sheet = asked.page.locator(".sheet")
    expect(sheet.get_by_role("button")).to_have_text(["Back to the lines (Escape)", "Show (Alt+B)"])
    expect(sheet.locator("signature-pad, .ballot")).to_have_count(0)
    for key in ("Enter", "Space", "Enter"):
        asked.press(key)
        asked.wait_out_the_guard()
    expect(asked.page.locator(".confirmation")).to_have_count(0)
    assert "signature.recorded" not in pair.kinds_at_second()
    assert asked.signed_count() == 0


def test_what_is_signed_at_the_first_laptop_stops_the_open_line_at_the_second(
    pair: Pair, pages: Pages
) -> None:
    reader = pages("RM")
    reader.open_first(PLAIN, PLAIN_NAME)
    first = pages("RM", at=pair.first.address)
    first.open_first(PLAIN, PLAIN_NAME)
    first.sign_on_paper()
    # Of the same name as the table there, and another table all the same.
    expect(reader.verdict).to_have_text("Do not sign", timeout=SOON_MS)
    expect(reader.page.locator("#next")).to_contain_text("Not here.")
    expect(reader.page.locator(".judgment .reasons")).to_contain_text("Table 1")
    reader.page.locator("summary").click()
    expect(reader.page.locator(".facts ol")).to_contain_text("signature recorded")


def test_where_no_line_fits_it_sends_to_the_other_laptop_and_begins_no_way(pages: Pages) -> None:
    reader = pages("RM")
    reader.keys("zzzzqqqq")
    nothing = reader.page.locator(".nothing")
    expect(nothing).to_contain_text("Go on at the other laptop")
    reader.wait_out_the_guard()
    reader.press("Enter")
    expect(nothing.get_by_role("button")).to_have_count(0)
    expect(reader.page.locator(".way")).to_have_count(0)
    reader.press("Alt+i")
    expect(reader.page.get_by_role("dialog")).to_have_count(0)


def test_the_lead_reads_lists_day_and_papers_there_and_is_offered_nothing_that_records(
    pages: Pages,
) -> None:
    lead = pages("LO")
    lead.press_button("Lists")
    expect(lead.page.locator(".late .answers button")).to_have_count(3)
    lead.choose("Irregularities")
    expect(lead.page.locator(".late .ask")).to_contain_text("No irregularity")
    expect(lead.page.locator(".late").get_by_role("button")).to_have_count(1)
    lead.press("Escape")
    lead.press("Escape")
    lead.press_button("Day")
    dialog = lead.page.get_by_role("dialog")
    expect(dialog.get_by_role("button")).to_have_text(
        ["Machines and counters", "Seals", "Balance and close", "Papers of the day", "Back"]
    )
    dialog.get_by_role("button", name="Machines").focus()
    lead.press("Enter")
    expect(lead.page.locator(".machine").first).to_be_visible()
    expect(lead.page.locator(".machine").get_by_role("button")).to_have_count(0)
    expect(strip(lead)).to_contain_text("Nothing is recorded here")


def made_at_the_first(server: Server) -> None:
    """A list that waits for the lead, and an irregularity."""
    lead = server.station("LO", "Lead's desk")
    content = base64.b64encode(f"{HEADER}\n{NOBODY}\n".encode()).decode()
    body = {"form": "file", "kind": "mail_voted", "name": "late.csv", "content_base64": content}
    post(lead, "/api/late-lists", body).raise_for_status()
    wrong = {"irregularity": "ballot", "what": "Ballot 12 was torn", "told": "", "done": ""}
    post(lead, "/api/irregularities", {**wrong, "line_id": None, "machine": ""}).raise_for_status()
    lead.close()


def test_a_list_that_waits_and_an_irregularity_are_read_there_and_settled_at_the_other(
    pair: Pair, pages: Pages
) -> None:
    made_at_the_first(pair.first)
    lead = pages("LO")
    expect(lead.page.locator(".badge")).to_be_visible(timeout=SOON_MS)
    lead.go_to_lists("Irregularities")
    late = lead.page.locator(".late")
    expect(late).to_contain_text("Ballot 12 was torn")
    expect(late.get_by_role("button")).to_have_text(["Back (Escape)"])
    lead.press("Escape")
    late.locator("button", has_text="late.csv").focus()
    lead.wait_out_the_guard()
    lead.press("Enter")
    expect(late.locator(".ask")).to_contain_text("1 row needs you first.")
    expect(late.locator(".reasons")).to_contain_text("Pell, Odette")
    expect(late.get_by_role("button")).to_have_text(["Back (Escape)", "Show all 1 row"])
    assert faults(lead) == []


def test_a_covered_page_says_so_too_and_the_same_pin_uncovers_it(pages: Pages) -> None:
    reader = pages()
    reader.page.clock.install()
    sign_on(reader, "RM")
    with reader.page.expect_response("**/api/cover"):
        reader.page.clock.run_for("05:01")
    expect(strip(reader)).to_contain_text("Nothing is recorded here")
    expect(reader.page.locator("#pin")).to_be_focused()
    reader.keys(PINS["RM"], "Enter")
    expect(reader.box).to_be_visible()


def test_the_first_laptop_dies_and_the_lead_takes_over_on_the_page(
    pair: Pair, pages: Pages
) -> None:
    first = pages("RM", at=pair.first.address)
    first.open_first(PLAIN, PLAIN_NAME)
    first.sign_on_paper()
    worker, nobody, lead = pages("RM"), pages(), pages("LO")
    worker.open_first(OTHER, OTHER_NAME)
    pair.first.kill()
    expect(strip(worker)).to_contain_text("OUT OF STEP since", timeout=SOON_MS)
    expect(strip(worker)).to_contain_text("use the paper register and tell the lead worker")
    expect(worker.page.locator(".judgment .problem")).to_contain_text("may have been signed")
    expect(strip(nobody)).to_contain_text("the lead worker signs on here and takes over")
    expect(strip(lead)).to_contain_text("Press Now (Alt+N), then Take over.")
    lead.press("Alt+n")
    expect(lead.page.locator(".standing")).to_contain_text("The other laptop does not answer")
    expect(lead.page.get_by_role("button", name="Take over")).to_be_focused()
    lead.press("Enter")
    dialog = lead.page.get_by_role("dialog")
    expect(dialog.locator("#dialog-title")).to_be_focused()
    expect(dialog.locator(".sure li")).to_have_count(3)
    expect(dialog).to_contain_text("its stick (the second copy)")
    expect(dialog).to_contain_text("tablebook recover --carbon")
    expect(dialog).not_to_contain_text("answers at this moment")
    lead.page.locator("#dialog-text").focus()
    lead.press("Enter")
    expect(dialog.locator("#dialog-text-problem")).to_contain_text("A reason is needed.")
    take_over(lead, "111111")
    expect(dialog.locator("#dialog-pin-problem")).to_contain_text("do not belong together")
    expect(lead.page.locator("#dialog-pin")).to_be_focused()
    expect(lead.page.locator("#dialog-pin")).to_have_value("")
    expect(lead.page.locator("#dialog-text")).to_have_value(REASON)
    assert "laptop.took_over" not in pair.kinds_at_second()
    lead.keys(PINS["LO"], "Enter")
    told = took_over(lead)
    expect(told).to_contain_text("could NOT be told")
    expect(told).to_contain_text("switch it off by hand")
    for other in (worker, nobody):
        expect(took_over(other)).to_contain_text("Everybody signs on again, here.")
        expect(other.page.locator("#problem")).to_have_count(0)
    assert "Fairweather" not in worker.page.content()
    sign_on(lead, "LO")
    expect(lead.page.locator(".took-over")).to_have_count(0)
    expect(strip(lead)).to_contain_text("The polls are open")
    lead.press("Alt+n")
    need = lead.page.locator(".need", has_text="has not been reached")
    expect(need).to_contain_text("switch it off by hand")
    sign_on(worker, "RM")
    worker.open_first(PLAIN, PLAIN_NAME)
    expect(worker.verdict).to_have_text("Do not sign")
    worker.press("Escape")
    expect(worker.box).to_be_focused()
    worker.open_first(NEXT, NEXT_NAME)
    worker.sign_on_paper()
    # The old one comes back, hears of it by itself, and the need goes.
    pair.first.start()
    expect(need).to_have_count(0, timeout=2 * SOON_MS)
    back = pages(at=pair.first.address)
    expect(strip(back)).to_contain_text("Another laptop has taken over")
    pair.kill()
    assert verify_database(pair.second.url).holds
    assert {"laptop.took_over", "laptop.gave_way"} <= set(pair.kinds_at_second())


def test_taken_over_while_the_first_one_answers_it_is_warned_of_and_the_first_one_gives_way(
    pair: Pair, pages: Pages
) -> None:
    first, lead = pages("RM", at=pair.first.address), pages("LO")
    dialog = open_dialog(lead)
    expect(dialog).to_contain_text("The other laptop answers at this moment.")
    expect(dialog).not_to_contain_text("its stick (the second copy)")
    take_over(lead)
    expect(took_over(lead)).to_contain_text("The other laptop was told")
    expect(strip(first)).to_contain_text("Another laptop has taken over", timeout=SOON_MS)
    sign_on(lead, "LO")
    lead.open_first(PLAIN, PLAIN_NAME)
    lead.sign_on_paper()
    pair.kill()
    assert verify_database(pair.second.url).holds


def holds_more(route: Route) -> None:
    day = route.fetch().json()
    apart = {"state": "apart", "since": "14:32", "why": "holds-more"}
    route.fulfill(json={**day, "standby": {**day["standby"], **apart}})


def test_where_it_holds_more_than_the_other_laptop_nobody_is_sent_there_to_sign(
    pages: Pages,
) -> None:
    nobody, reader, lead = pages(), pages("RM"), pages("LO")
    reader.open_first(PLAIN, PLAIN_NAME)
    for table, what in ((nobody, "Tell the"), (reader, "Tell the"), (lead, "Now (Alt+N) says")):
        table.page.route("**/api/day", holds_more)
        expect(strip(table)).to_contain_text("Nobody signs here or at", timeout=SOON_MS)
        expect(strip(table)).to_contain_text(what)
        expect(strip(table)).not_to_contain_text("sign at the other")
    expect(reader.page.locator("#next")).to_contain_text("and not at the other laptop")
    expect(reader.page.locator(".sheet")).not_to_contain_text("What the other laptop shows counts")
    open_now(lead)
    card = lead.page.locator(".standing")
    expect(card).to_contain_text("entries that the other one has lost")
    expect(card).to_contain_text("555-0142")
    expect(card).not_to_contain_text("Only where the other laptop is dead")
    lead.press_button("Take over")
    dialog = lead.page.get_by_role("dialog")
    expect(dialog).to_contain_text("Let nobody sign there.")
    expect(dialog.locator(".sure li").first).to_contain_text("The other laptop is not to go on")
    expect(dialog).not_to_contain_text("If it works, go on there")
    for table in (nobody, reader, lead):
        assert faults(table) == []
        table.page.unroute_all(behavior="ignoreErrors")


def test_a_lead_whose_pin_is_locked_there_is_told_how_to_take_over_without_it(pages: Pages) -> None:
    asked = pages()
    locked = {"code": "pin-locked", "title": "locked", "tries_left": 0}
    asked.page.route("**/api/sign-on", lambda route: route.fulfill(status=423, json=locked))
    asked.page.locator("#initials").focus()
    asked.keys("LO", "Tab", "111111", "Tab", "Table 1", "Enter")
    told = asked.page.locator(".sign-on > .problem")
    expect(told).to_contain_text("If that one is dead:")
    expect(told).to_contain_text("tablebook promote --reason")


def test_the_lead_of_the_first_laptop_shows_the_command_and_each_press_makes_another(
    pair: Pair, pages: Pages
) -> None:
    lead = pages("LO", at=pair.first.address)
    open_now(lead)
    lead.press_button("Stations and sign-ons")
    expect(lead.page.locator(".stations")).to_contain_text(
        "A second laptop follows this one, in step."
    )
    lead.press_button("Let a second laptop follow")
    command = lead.page.locator(".command code")
    expect(command).to_contain_text("tablebook follow http")
    expect(lead.page.locator(".command")).to_be_focused()
    expect(lead.page.locator(".command")).to_contain_text("Good for 60 minutes")
    before = command.inner_text()
    lead.press_button("Another code")
    expect(command).not_to_have_text(before)
    assert faults(lead) == []


def test_at_a_laptop_that_nobody_may_follow_no_command_is_offered(lead: Table) -> None:
    open_now(lead)
    lead.press_button("Stations and sign-ons")
    expect(lead.page.get_by_role("heading", name="Signed on now")).to_be_visible()
    expect(lead.page.get_by_role("heading", name="Second laptop")).to_have_count(0)


def test_its_screens_break_no_rule_of_axe_in_step_and_out_of_step(pair: Pair, pages: Pages) -> None:
    asked, reader, lead = pages(), pages("RM"), pages("LO")
    reader.open_first(PLAIN, PLAIN_NAME)
    open_dialog(lead)
    for table in (asked, reader, lead):
        assert faults(table) == []
    pair.first.kill()
    for table in (asked, reader, lead):
        expect(strip(table)).to_contain_text("OUT OF STEP", timeout=SOON_MS)
        assert faults(table) == []
    lead.press("Escape")
    expect(lead.page.locator(".standing")).to_be_visible()
    assert faults(lead) == []
    lead.press_button("Take over")
    take_over(lead)
    took_over(lead)
    assert faults(lead) == []


def test_in_spanish_it_says_the_same(pages: Pages) -> None:
    reader = pages("RM", locale="es-US")
    expect(strip(reader)).to_contain_text("Aquí no se anota nada: se firma en la otra.")
    expect(strip(reader)).to_contain_text("Al día con ella.")
    reader.open_first(PLAIN, PLAIN_NAME)
    expect(reader.page.locator("#next")).to_contain_text("firma en la otra computadora")
