"""The close: the balance as a sum, its causes, and closing with or without a difference."""

from __future__ import annotations

from pathlib import Path
from typing import Any, Literal

import httpx
import pytest
from playwright.sync_api import expect

from _running_server import Server, fresh_token, post, sign_on_paper
from app.desk.bundle_reading import check_bundle
from tests.browser.conftest import Table, entries
from tests.browser.test_axe import violations
from tests.browser.test_opening import go_to_screen, go_to_work

pytestmark = pytest.mark.browser

PACKAGED = {"TM-0417": 18_233, "TM-0418": 17_960}


def sign(server: Server, count: int) -> list[dict[str, Any]]:
    """So many voters sign at Table 1; their lines as they were found."""
    client = server.station("RM", "Table 1")
    signed: list[dict[str, Any]] = []
    for letter in "abcdefghijklmnoprstvw":
        for match in post(client, "/api/find", {"text": letter, "limit": 8}).json()["matches"]:
            if len(signed) == count:
                break
            answer = sign_on_paper(client, match["line_id"], fresh_token())
            if match["outcome"] == "sign" and answer.is_success:
                signed.append(match)
    client.close()
    assert len(signed) == count
    return signed


def as_lead(server: Server, path: str, body: dict[str, Any]) -> httpx.Response:
    client = server.station("LO", "Table 9")
    answer = post(client, path, body)
    client.close()
    return answer.raise_for_status()


def read_at_the_close(server: Server, **publics: int) -> None:
    """By serial, with the protective counter moved alike."""
    for serial, public in publics.items():
        name = serial.replace("_", "-")
        body = {"at_moment": "close", "public": public, "protective": PACKAGED[name] + public}
        as_lead(server, f"/api/machines/{name}/readings", body)


def term(table: Table, name: str) -> Any:
    return table.page.locator(f".balance-sum .{name} dd")


def test_a_day_that_balances_is_closed_from_the_sum(lead: Table, server: Server) -> None:
    sign(server, 3)
    go_to_work(lead, "Balance and close")
    expect(lead.page.locator(".work .ask")).to_have_text("Something is still to be counted.")
    lead.press_button("Mark the end of the line")
    lead.press_button("Yes: Mark the end of the line")
    expect(lead.page.locator(".strip")).to_contain_text("The end of the line is marked")
    for serial, public in (("TM-0417", 2), ("TM-0418", 1)):
        lead.press_button(f"{serial}: read at the close")
        expect(lead.page.locator("#work-public")).to_be_focused()
        lead.keys(str(public), "Enter", str(PACKAGED[serial] + public), "Enter")
        expect(lead.page.locator("#work-public")).to_have_count(0)
        if lead.page.get_by_role("button", name="Read: go on").count():
            lead.press_button("Read: go on")
    expect(lead.page.locator(".work .ask")).to_have_text("It balances.")
    for name, told in (("printed", "3"), ("left", "−0"), ("expected", "=3"), ("machines", "3")):
        expect(term(lead, name)).to_have_text(told)
    expect(term(lead, "difference")).to_have_text("0")
    lead.press_button("Close the polls")
    lead.press_button("Yes: Close the polls")
    expect(lead.page.locator(".strip")).to_contain_text("The polls are closed.")
    (closed,) = entries(server, "day.closed")
    assert (closed["body"]["difference"], closed["body"]["reason"]) == (0, "")
    with lead.page.context.expect_page() as certificate:
        lead.press_button("Certificate of the close")
    assert "/api/papers/closing.pdf?language=en" in certificate.value.url


def test_a_voter_who_left_unrecorded_is_the_cause_shown_and_opened(
    lead: Table, server: Server
) -> None:
    first, *_ = sign(server, 3)
    note = {"irregularity": "voter", "what": "walked off after signing", "told": "", "done": ""}
    as_lead(server, "/api/irregularities", {**note, "line_id": first["line_id"]})
    as_lead(server, "/api/day/cut-off", {})
    read_at_the_close(server, TM_0417=1, TM_0418=1)
    go_to_work(lead, "Balance and close")
    expect(lead.page.locator(".work .ask")).to_have_text("The machines have 1 less than the table.")
    expect(term(lead, "difference")).to_have_text("−1")
    cause = lead.page.locator(".causes .answers button").first
    expect(cause).to_contain_text("Somebody signed and left without voting")
    lead.choose("Somebody signed and left without voting")
    lead.choose(first["name"])
    expect(lead.page.locator(".picked")).to_contain_text(first["name"])
    # What was found is written down where it belongs, and the day balances.
    lead.press_button("Left without voting")
    expect(lead.page.locator("#dialog-text")).to_be_focused()
    lead.keys("seen by both workers", "Enter")
    expect(lead.page.locator(".confirmation")).to_be_visible()
    go_to_work(lead, "Balance and close")
    expect(lead.page.locator(".work .ask")).to_have_text("It balances.")
    expect(term(lead, "left")).to_have_text("−1")


def test_closing_with_a_difference_needs_the_reason_in_writing(lead: Table, server: Server) -> None:
    sign(server, 2)
    as_lead(server, "/api/day/cut-off", {})
    read_at_the_close(server, TM_0417=1, TM_0418=0)
    go_to_work(lead, "Balance and close")
    lead.press_button("Close the polls all the same")
    dialog = lead.page.get_by_role("dialog")
    expect(dialog).to_contain_text("The machines have 1 less than the table.")
    lead.press("Tab")
    expect(lead.page.locator("#dialog-text")).to_be_focused()
    lead.press("Enter")
    expect(dialog.get_by_role("alert")).to_contain_text("The counts do not agree")
    assert entries(server, "day.closed") == []
    lead.page.locator("#dialog-text").focus()
    lead.keys("nobody can say who left", "Enter")
    expect(lead.page.locator(".strip")).to_contain_text("The polls are closed.")
    (closed,) = entries(server, "day.closed")
    assert (closed["body"]["difference"], closed["body"]["reason"]) == (
        -1,
        "nobody can say who left",
    )
    (written,) = entries(server, "irregularity.recorded")
    assert written["body"]["code"] == "closed-with-difference"


def test_a_machine_that_was_misread_is_named_and_looked_at(lead: Table, server: Server) -> None:
    sign(server, 2)
    as_lead(server, "/api/day/cut-off", {})
    read_at_the_close(server, TM_0418=0)
    doubtful = {"at_moment": "close", "public": 3, "protective": PACKAGED["TM-0417"] + 2}
    body = {**doubtful, "anyway": True, "reason": "as it was called out"}
    as_lead(server, "/api/machines/TM-0417/readings", body)
    go_to_work(lead, "Balance and close")
    expect(lead.page.locator(".work .ask")).to_have_text("The machines have 1 more than the table.")
    lead.choose("On TM-0417")
    lead.choose("Look at machine TM-0417")
    expect(lead.page.get_by_role("heading", name="Machines", level=2)).to_be_visible()
    lead.press_button("TM-0417: read at the close")
    expect(lead.page.locator("#work-public")).to_be_focused()
    lead.keys("2", "Enter", str(PACKAGED["TM-0417"] + 2), "Enter")
    expect(lead.page.locator(".work .ask")).to_contain_text("3 was written down here before")
    lead.choose("Replace it")
    lead.keys("read again by both", "Enter")
    expect(lead.page.locator("#work-reason")).to_have_count(0)
    go_to_screen(lead, "Balance and close")
    expect(lead.page.locator(".work .ask")).to_have_text("It balances.")


def test_the_machines_ahead_of_the_table_are_told_at_once_during_the_day(
    lead: Table, server: Server
) -> None:
    sign(server, 1)
    go_to_work(lead, "Machines and counters")
    for serial, public in (("TM-0417", 1), ("TM-0418", 1)):
        lead.press_button(f"{serial}: read now")
        expect(lead.page.locator("#work-public")).to_be_focused()
        lead.keys(str(public), "Enter", "Enter")
        expect(lead.page.locator("#work-public")).to_have_count(0)
    expect(lead.page.locator(".work .ask").first).to_contain_text("The machines say 2")
    lead.wait_out_the_guard()
    lead.press("Enter")
    expect(lead.page.locator(".work .problem")).to_contain_text("a difference of 1")


def test_a_worker_makes_the_checks_of_the_close_and_sees_no_balance(table: Table) -> None:
    go_to_work(table, "Checks of the close")
    expect(table.page.locator(".checks .check").first).to_be_focused()
    expect(table.page.locator(".screens")).not_to_contain_text("Balance")
    table.wait_out_the_guard()
    table.press("Enter")
    expect(table.page.locator(".tally")).to_contain_text("1 of 14")


def test_the_papers_of_the_day_open_in_a_window_of_their_own(lead: Table) -> None:
    go_to_work(lead, "Papers of the day")
    expect(lead.page.locator(".work .ask")).to_be_focused()
    with lead.page.context.expect_page() as opened:
        lead.press("ArrowDown")
        expect(lead.page.locator(".answers button").first).to_be_focused()
        lead.press_button("Irregularities")
    assert "/api/papers/irregularities.pdf?language=en" in opened.value.url


@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_no_screen_of_the_day_breaks_a_rule_of_axe(
    lead: Table, server: Server, scheme: Literal["light", "dark"]
) -> None:
    lead.page.emulate_media(color_scheme=scheme)
    sign(server, 2)
    read_at_the_close(server, TM_0417=1)
    go_to_work(lead, "Checks of the opening")
    # With them the focus comes, which the next screen must not lose to them.
    expect(lead.page.locator(".checks .check").first).to_be_visible()
    for screen in ("Machines", "Seals", "Checks of the close", "Papers", "Balance and close"):
        assert violations(lead) == []
        go_to_screen(lead, screen)
    assert violations(lead) == []
    lead.press_button("TM-0418: read at the close")
    lead.keys("x", "Enter", "Enter")
    expect(lead.page.locator("#work-public-problem")).to_contain_text("digits only")
    assert violations(lead) == []
    lead.press("ControlOrMeta+A")
    lead.keys("0", "Enter", "17999", "Enter")
    expect(lead.page.locator(".work .ask")).to_contain_text("Both should go up alike")
    assert violations(lead) == []


def test_the_closed_day_is_made_into_one_file_and_its_last_hash_is_shown(
    lead: Table, server: Server, tmp_path: Path
) -> None:
    sign(server, 2)
    go_to_work(lead, "Papers")
    expect(lead.page.get_by_role("button", name="Make the file")).to_have_count(0)
    as_lead(server, "/api/day/cut-off", {})
    as_lead(server, "/api/day/close", {"reason": "the machines were not read"})
    lead.press_button("Make the file")
    keep = lead.page.get_by_role("link", name="Keep the file on a stick")
    expect(keep).to_be_visible(timeout=30_000)
    with lead.page.expect_download() as kept:
        keep.focus()
        lead.press("Enter")
    assert kept.value.suggested_filename == "hand-over-4-07-2027-03-02.zip"
    kept.value.save_as(tmp_path / "bundle.zip")
    checked = check_bundle(tmp_path / "bundle.zip")
    assert checked.holds
    expect(lead.page.locator(".hand-over")).to_contain_text(checked.hash_in_fours)
