"""A morning at the table: keys, scans, other stations, a server that goes away, the lead."""

from __future__ import annotations

import re

import pytest
from playwright.sync_api import Route, expect

from _running_server import Server, fresh_token, sign_on_paper
from app.records.store import verify_database
from tests.browser.conftest import Table, Tables, entries, line_id_of

pytestmark = pytest.mark.browser

PLAIN, PLAIN_NAME = "marchb p", "Marchbanks, Penelope Ruth"


def test_before_opening_the_verdict_says_so_and_the_lead_opens_the_polls(
    tables: Tables, server: Server
) -> None:
    server.make_checks()
    worker, lead = tables(), tables()
    worker.sign_on()
    worker.open_first(PLAIN, PLAIN_NAME)
    expect(worker.verdict).to_have_text("Do not sign")
    expect(worker.page.locator(".sheet")).to_contain_text("not open")
    lead.sign_on("LO", "Lead's desk")
    lead.page.get_by_role("button", name="Day").focus()
    lead.press("Enter")
    for button in ("Open the polls", "Yes: Open the polls"):
        lead.page.get_by_role("button", name=button, exact=True).focus()
        lead.wait_out_the_guard()
        lead.press("Enter")
    # Nobody touches the worker's page: it hears of it.
    expect(worker.verdict).to_have_text("Sign")


def test_a_lead_without_the_checks_is_told_so_and_opens_with_a_reason(
    tables: Tables, server: Server
) -> None:
    lead = tables()
    lead.sign_on("LO", "Lead's desk")
    lead.page.get_by_role("button", name="Day").focus()
    lead.press("Enter")
    yes = lead.page.get_by_role("button", name="Yes: Open the polls", exact=True)
    lead.page.get_by_role("button", name="Open the polls", exact=True).focus()
    lead.press("Enter")
    yes.focus()
    lead.wait_out_the_guard()
    lead.press("Enter")
    expect(lead.page.locator("dialog")).to_contain_text("Not every required check is made")
    lead.page.get_by_label("Why it is done all the same").focus()
    lead.keys("Voters stand in the rain")
    yes.focus()
    lead.wait_out_the_guard()
    lead.press("Enter")
    expect(lead.page.locator("dialog")).to_be_hidden()
    day = lead.page.evaluate("async () => (await (await fetch('/api/day')).json()).phase")
    assert day == "open"


def test_a_line_signed_at_another_table_turns_while_it_is_open(
    table: Table, server: Server
) -> None:
    table.open_first(PLAIN, PLAIN_NAME)
    expect(table.verdict).to_have_text("Sign")
    other = server.station("RM", "Table 2")
    line_id = line_id_of(server, PLAIN)
    assert sign_on_paper(other, line_id, fresh_token()).status_code == 200
    other.close()
    expect(table.verdict).to_have_text("Do not sign")
    expect(table.page.locator(".sheet")).to_contain_text("Table 2 signed this line")


def test_a_signature_drawn_with_the_mouse_is_recorded_with_its_strokes(
    table: Table, server: Server
) -> None:
    table.open_first(PLAIN, PLAIN_NAME)
    table.draw()
    record = table.page.get_by_role("button", name="Record signature")
    expect(record).to_be_visible()
    table.wait_out_the_guard()
    record.focus()
    table.press("Enter")
    expect(table.page.locator(".confirmation")).to_be_visible()
    client = server.station("RM", "Table 9")
    entry = client.get(f"/api/lines/{line_id_of(server, PLAIN)}").json()["history"][-1]
    client.close()
    assert entry["body"]["how"] == "drawn"
    assert verify_database(server.day.url).holds


def test_a_scan_while_a_line_is_open_signs_nobody_and_opens_the_scanned_line(
    table: Table,
) -> None:
    """A scanner types a number in a burst and ends it with Enter, wherever the focus is."""
    table.open_first(PLAIN, PLAIN_NAME)
    table.page.keyboard.type("723042235")
    table.press("Enter")
    expect(table.page.locator("#sheet-name")).to_have_text("Postlethwaite, Hollis Edwin")
    assert table.signed_count() == 0


@pytest.mark.parametrize(
    "place",
    [
        '[data-focus="primary"]',
        "nav button:last-child",
        "#verdict",
        "body",
    ],
)
def test_the_next_voters_name_typed_over_an_open_line_goes_into_the_box_and_signs_nobody(
    table: Table, place: str
) -> None:
    table.open_first(PLAIN, PLAIN_NAME)
    table.page.locator(place).first.evaluate(
        "node => node === document.body ? document.activeElement.blur() : node.focus()"
    )
    table.keys("oquill")
    expect(table.box).to_be_focused()
    expect(table.box).to_have_value("oquill")
    expect(table.page.locator(".sheet")).to_have_count(0)
    table.wait_out_the_guard()
    table.press("Enter")
    expect(table.page.locator("#sheet-name")).to_have_text("O'Quill, Finnegan James")
    assert table.signed_count() == 0


def test_space_still_presses_the_button_that_has_the_focus(table: Table) -> None:
    table.open_first(PLAIN, PLAIN_NAME)
    table.press("Space")
    expect(table.page.locator(".confirmation")).to_contain_text(PLAIN_NAME)


def test_a_drawn_signature_that_is_typed_away_is_said_to_be_not_recorded(table: Table) -> None:
    table.open_first(PLAIN, PLAIN_NAME)
    table.draw()
    expect(table.page.get_by_role("button", name="Record signature")).to_be_visible()
    table.keys("oquill")
    expect(table.page.locator(".strip")).to_contain_text(f"Not recorded: {PLAIN_NAME}")
    assert table.signed_count() == 0


def test_after_escape_the_next_name_replaces_the_old_one(table: Table) -> None:
    table.open_first(PLAIN, PLAIN_NAME)
    table.press("Escape")
    expect(table.box).to_be_focused()
    expect(table.box).to_have_value(PLAIN)
    table.keys("oquill")
    expect(table.box).to_have_value("oquill")


def test_a_second_escape_empties_the_box(table: Table) -> None:
    table.open_first(PLAIN, PLAIN_NAME)
    table.keys("Escape", "Escape")
    expect(table.box).to_have_value("")


def test_where_several_lines_fit_equally_enter_opens_none_and_says_so(table: Table) -> None:
    table.find("fairweather")
    expect(table.page.locator('[aria-selected="true"]')).to_have_count(0)
    table.press("Enter")
    expect(table.page.locator(".below")).to_contain_text("choose one with the arrows")
    expect(table.page.locator("#said")).to_contain_text("choose one with the arrows")
    expect(table.page.locator(".sheet")).to_have_count(0)
    table.keys("ArrowDown", "Enter")
    expect(table.page.locator(".sheet")).to_be_visible()


@pytest.mark.parametrize("key", ["Alt+Digit3", "Alt+Numpad3"])
def test_alt_and_its_digit_open_a_line_from_the_box_and_from_any_button(
    table: Table, key: str
) -> None:
    table.find("smith")
    third = table.rows.nth(2)
    expect(third.locator(".digit")).to_have_text("3")
    expect(third).to_have_attribute("aria-keyshortcuts", "Alt+3")
    name = third.locator(".name").inner_text()
    table.page.get_by_role("button", name="Sign off").focus()
    table.press(key)
    expect(table.page.locator("#sheet-name")).to_have_text(name)
    # Over an open line it means nothing, and nothing is typed by it.
    table.press("Alt+Digit1")
    table.wait_out_the_guard()
    expect(table.page.locator("#sheet-name")).to_have_text(name)
    expect(table.box).to_have_value("smith")


def test_alt_and_a_digit_open_nothing_while_the_newest_answer_is_not_here(table: Table) -> None:
    table.find("smith")
    held: list[Route] = []

    def hold(route: Route) -> None:
        held.append(route)

    table.page.route("**/api/find", hold)
    with table.page.expect_request(lambda request: "smith j" in (request.post_data or "")):
        table.keys(" j")
    table.press("Alt+Digit1")
    expect(table.page.locator(".sheet")).to_have_count(0)
    expect(table.box).to_have_value("smith j")
    with table.page.expect_response("**/api/find"):
        held[-1].continue_()
    expect(table.rows.first.locator(".name")).to_contain_text("Smith, J")
    name = table.rows.first.locator(".name").inner_text()
    table.press("Alt+Digit1")
    expect(table.page.locator("#sheet-name")).to_have_text(name)


def test_a_dot_on_the_pad_is_asked_about_once_and_then_recorded(
    table: Table, server: Server
) -> None:
    table.open_first(PLAIN, PLAIN_NAME)
    table.page.locator("signature-pad").click()
    button = table.page.get_by_role("button", name="Record signature")
    expect(button).to_be_visible()
    button.focus()
    table.wait_out_the_guard()
    table.press("Enter")
    expect(table.page.locator(".short")).to_have_text("That is very short. Record it?")
    expect(table.page.locator("#said-urgently")).to_contain_text("very short")
    expect(button).to_be_focused()
    assert table.signed_count() == 0
    table.wait_out_the_guard()
    table.press("Enter")
    expect(table.page.locator(".confirmation")).to_contain_text(PLAIN_NAME)
    assert table.signed_count() == 1


def test_birth_date_and_maiden_name_are_nowhere_until_the_worker_asks(
    table: Table, server: Server
) -> None:
    """Rows, look-alikes, open line, confirmation: the queue can read the screen."""
    client = server.station("RM", "Table 9")
    line = client.get(f"/api/lines/{line_id_of(server, PLAIN)}").json()["line"]
    client.close()
    born, maiden = line["birth_date"], line["mothers_maiden_name"]
    assert born == "1979-10-23"
    assert maiden
    private = [born, "October 23", "Oct 23", "10/23/1979", "1979", maiden]
    shown = ""
    table.find("marchb")
    shown += table.page.content()
    table.open_first(PLAIN, PLAIN_NAME)
    shown += table.page.content()
    table.press("Alt+b")
    expect(table.page.locator(".private")).to_contain_text("October 23, 1979")
    expect(table.page.locator(".private")).to_contain_text(maiden)
    table.press("Alt+b")
    shown += table.page.content()
    table.wait_out_the_guard()
    table.sign_on_paper()
    shown += table.page.content()
    table.open_first(PLAIN, PLAIN_NAME)
    shown += table.page.content()
    assert [each for each in private if each in shown] == []


def test_a_scanned_voter_number_opens_its_line(table: Table) -> None:
    table.page.keyboard.type("931040611")
    table.press("Enter")
    expect(table.page.locator("#sheet-name")).to_have_text(PLAIN_NAME)


def test_when_the_server_goes_away_the_page_says_so_keeps_what_was_typed_and_recovers(
    table: Table, server: Server
) -> None:
    table.find("marchb")
    server.kill()
    expect(table.page.get_by_text("The server cannot be reached")).to_be_visible(timeout=2_000)
    table.keys(" p")
    expect(table.box).to_have_value("marchb p")
    server.start()
    expect(table.page.get_by_text("The server answers.")).to_be_visible(timeout=5_000)
    expect(table.box).to_have_value("marchb p")
    expect(table.rows.first.locator(".name")).to_have_text(PLAIN_NAME)


def test_a_half_made_signature_is_not_lost_while_the_server_is_away(
    table: Table, server: Server
) -> None:
    table.open_first(PLAIN, PLAIN_NAME)
    table.draw()
    server.kill()
    expect(table.page.get_by_text("The server cannot be reached")).to_be_visible(timeout=2_000)
    table.draw()
    expect(table.verdict).to_have_text("Sign")
    server.start()
    expect(table.page.get_by_text("The server answers.")).to_be_visible(timeout=5_000)
    button = table.page.get_by_role("button", name="Record signature")
    button.focus()
    table.wait_out_the_guard()
    table.press("Enter")
    expect(table.page.locator(".confirmation")).to_contain_text(PLAIN_NAME)
    client = server.station("RM", "Table 9")
    entry = client.get(f"/api/lines/{line_id_of(server, PLAIN)}").json()["history"][-1]
    client.close()
    assert entry["body"]["how"] == "drawn"


def test_a_signature_whose_answer_was_lost_is_shown_only_once_the_server_has_said_yes(
    table: Table, server: Server
) -> None:
    """The record was made, the cable was pulled before the answer: sent again, it counts once."""
    table.open_first(PLAIN, PLAIN_NAME)
    keys: list[str] = []

    def lose_the_answer(route: Route) -> None:
        keys.append(str(route.request.headers["idempotency-key"]))
        if len(keys) <= 2:
            assert route.fetch().ok
            route.abort()
        else:
            route.continue_()

    table.page.route("**/signature", lose_the_answer)
    table.press("Enter")
    expect(table.page.get_by_text(re.compile("is kept and will be sent")).first).to_be_visible()
    expect(table.page.locator(".confirmation")).to_have_count(0)
    expect(table.page.locator(".confirmation")).to_contain_text(PLAIN_NAME, timeout=8_000)
    assert len(keys) == 3
    assert len(set(keys)) == 1
    assert len(entries(server, "signature.recorded")) == 1


def test_a_signature_sent_into_a_dead_server_is_recorded_once_when_it_is_back(
    table: Table, server: Server
) -> None:
    table.open_first(PLAIN, PLAIN_NAME)
    server.kill()
    expect(table.page.get_by_text("The server cannot be reached")).to_be_visible(timeout=2_000)
    table.wait_out_the_guard()
    table.press("Enter")
    expect(table.page.get_by_text(re.compile("is kept and will be sent")).first).to_be_visible()
    expect(table.page.locator(".confirmation")).to_have_count(0)
    server.start()
    expect(table.page.locator(".confirmation")).to_contain_text(PLAIN_NAME, timeout=8_000)
    client = server.station("RM", "Table 9")
    history = client.get(f"/api/lines/{line_id_of(server, PLAIN)}").json()["history"]
    client.close()
    assert [entry["kind"] for entry in history] == ["signature.recorded"]
    assert verify_database(server.day.url).holds


def test_the_lead_withdraws_a_signature_by_keyboard_with_a_reason(
    tables: Tables, server: Server
) -> None:
    server.open_polls()
    lead = tables()
    lead.sign_on("LO", "Lead's desk")
    lead.open_first(PLAIN, PLAIN_NAME)
    lead.sign_on_paper()
    lead.open_first(PLAIN, PLAIN_NAME)
    lead.page.get_by_role("button", name="Withdraw the signature").focus()
    lead.press("Enter")
    # Without a why nothing is withdrawn.
    lead.page.get_by_role("button", name="Withdraw it").focus()
    lead.press("Enter")
    expect(lead.page.locator("#dialog-why-0")).to_be_focused()
    expect(lead.page.locator("dialog")).to_contain_text("A why is needed")
    lead.press("ArrowDown")
    expect(lead.page.get_by_role("radio", name="The signature is spoiled")).to_be_checked()
    expect(lead.page.locator("dialog .before-after")).to_contain_text("free to sign again")
    lead.keys("Tab", "smudged", "Enter")
    done = lead.page.locator(".confirmation")
    expect(done).to_contain_text("The signature was withdrawn")
    expect(done).to_contain_text(PLAIN_NAME)
    expect(done).to_contain_text("Write an irregularity")
    expect(lead.box).to_be_focused()
    expect(lead.page.get_by_role("button", name="Signed on paper")).to_have_count(0)


def test_nobody_found_is_said_with_what_to_do_next(table: Table) -> None:
    table.keys("zzzzqqqq")
    expect(table.page.get_by_role("heading", name="No line fits.")).to_be_visible()
    expect(table.page.locator(".nothing")).to_contain_text("Press Enter in the box")
    expect(table.page.locator(".nothing")).to_contain_text("Local law and the registrar decide")


def test_nothing_personal_is_kept_in_the_browser(table: Table) -> None:
    table.open_first(PLAIN, PLAIN_NAME)
    table.sign_on_paper()
    kept = table.page.evaluate(
        "() => JSON.stringify([{...localStorage}, {...sessionStorage}, document.cookie,"
        " location.href, document.title, history.length])"
    )
    for private in ("Marchbanks", "Penelope", "1979", "931040611"):
        assert private not in kept


def test_the_page_turns_spanish_at_once(table: Table) -> None:
    table.find(PLAIN)
    table.page.get_by_role("button", name="Español").focus()
    table.press("Enter")
    expect(table.page.locator("html")).to_have_attribute("lang", "es")
    expect(table.box).to_have_value(PLAIN)


def test_sign_off_while_a_record_is_on_its_way_says_on_the_screen_why_it_must_wait(
    table: Table, server: Server
) -> None:
    table.open_first(PLAIN, PLAIN_NAME)
    server.kill()
    table.press("Enter")
    expect(table.page.get_by_text(re.compile("is kept and will be sent")).first).to_be_visible()
    table.page.get_by_role("button", name="Sign off").focus()
    table.press("Enter")
    expect(table.page.locator(".strip")).to_contain_text("You cannot sign off yet")
    table.keys("march")
    row = table.rows.filter(has_text=PLAIN_NAME)
    expect(row).to_contain_text("Not recorded yet")
    server.start()
    expect(table.page.locator(".strip")).to_contain_text("Signed at", timeout=8_000)


def test_the_lead_is_told_the_time_and_that_today_is_not_the_day(
    tables: Tables, server: Server
) -> None:
    lead = tables()
    lead.sign_on("LO", "Lead's desk")
    lead.page.get_by_role("button", name="Day").focus()
    lead.press("Enter")
    lead.page.get_by_role("button", name="Open the polls").focus()
    lead.press("Enter")
    asked = lead.page.locator("dialog")
    now = lead.page.evaluate("async () => (await (await fetch('/api/day')).json()).local_time")
    expect(asked).to_contain_text(f"It is {now}"[:-1])  # the last minute may just have ended
    expect(asked).to_contain_text("That is not today")
    expect(asked).to_contain_text("only a lead worker can take it back")


def test_sign_on_says_what_is_missing_and_keeps_a_pin_out_of_the_station(
    tables: Tables, server: Server
) -> None:
    table = tables()
    table.page.goto(server.address)
    table.page.locator("#initials").focus()
    table.press("Enter")
    problem = table.page.locator("#problem")
    expect(problem).to_contain_text("The initials are missing.")
    table.keys("RM", "Enter")
    expect(problem).to_contain_text("The PIN is missing.")
    expect(table.page.locator("#pin")).to_be_focused()
    table.keys("240713", "Tab", "240713", "Enter")
    expect(problem).to_contain_text("looks like a PIN")
    expect(table.page.locator("#station")).to_have_value("")
    assert table.page.evaluate("() => localStorage.getItem('station')") is None


LAPTOP, TWICE_THE_SIZE, PHONE = (1366, 768), (683, 384), (320, 700)


def is_in_sight(table: Table, selector: str) -> bool:
    """Whether the whole of it lies in the window and nothing lies over its middle."""
    return bool(
        table.page.locator(selector).first.evaluate(
            """node => {
                const box = node.getBoundingClientRect();
                const over = document.elementFromPoint(
                    box.left + box.width / 2, box.top + box.height / 2);
                return box.top >= 0 && box.bottom <= innerHeight && node.contains(over);
            }"""
        )
    )


@pytest.mark.parametrize("size", [LAPTOP, TWICE_THE_SIZE, PHONE])
def test_name_verdict_and_ballot_stay_in_sight_while_signing_and_after(
    tables: Tables, server: Server, size: tuple[int, int]
) -> None:
    server.open_polls()
    table = tables(viewport={"width": size[0], "height": size[1]})
    table.sign_on()
    table.open_first(PLAIN, PLAIN_NAME)
    ballot, verdict = (
        (".ballot strong", "#verdict span")
        if size == LAPTOP
        else (
            ".brief strong",
            ".brief .outcome",
        )
    )
    for place in ("#sheet-name", verdict, ballot, '[data-focus="primary"]'):
        assert is_in_sight(table, place), place
    table.sign_on_paper()
    for place in (".done-name", ".ballot strong"):
        assert is_in_sight(table, place), place


@pytest.mark.parametrize("size", [TWICE_THE_SIZE, PHONE])
def test_a_question_is_in_sight_with_its_answers_and_a_refusal_with_its_reason(
    tables: Tables, server: Server, size: tuple[int, int]
) -> None:
    server.open_polls()
    table = tables(viewport={"width": size[0], "height": size[1]})
    table.sign_on()
    table.open_first("handyside", "Handyside, Augusta Lucille")
    expect(table.question).to_be_focused()
    for place in ("#sheet-name", "#next", ".step button:last-child"):
        assert is_in_sight(table, place), place
    table.press("Escape")
    table.open_first("postleth", "Postlethwaite, Hollis Edwin")
    for place in ("#sheet-name", "#verdict span", "#next"):
        assert is_in_sight(table, place), place


def test_after_the_arrows_have_gone_through_all_rows_the_page_stands_at_its_top(
    tables: Tables, server: Server
) -> None:
    server.open_polls()
    # Lower than a laptop's, so that the eighth row is only seen by scrolling.
    table = tables(viewport={"width": 1366, "height": 600})
    table.sign_on()
    table.find("ma")
    expect(table.rows).to_have_count(8)
    table.keys(*["ArrowDown"] * 8)
    expect(table.rows.nth(7)).to_have_attribute("aria-selected", "true")
    assert is_in_sight(table, '[aria-selected="true"]')
    assert table.page.evaluate("() => scrollY") > 0
    table.press("ArrowDown")
    expect(table.rows.first).to_have_attribute("aria-selected", "true")
    assert table.page.evaluate("() => scrollY") == 0
    table.keys("ArrowUp", "Enter")
    expect(table.verdict).to_be_visible()
    assert table.page.evaluate("() => scrollY") == 0


@pytest.mark.parametrize("width", [1366, 820, 320])
def test_the_page_needs_no_sideways_scrolling(tables: Tables, server: Server, width: int) -> None:
    server.open_polls()
    table = tables(viewport={"width": width, "height": 768})
    table.sign_on()
    table.open_first(PLAIN, PLAIN_NAME)
    overflow = table.page.evaluate(
        "() => document.documentElement.scrollWidth - document.documentElement.clientWidth"
    )
    assert overflow <= 0
