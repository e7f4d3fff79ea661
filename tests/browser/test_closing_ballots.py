"""The close where ballots on paper are counted, and where machines tell their ballots apart."""

from __future__ import annotations

import re
import shutil
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest
from playwright.sync_api import expect

from _running_server import SAMPLE, Server, make_day
from tests.browser.conftest import Table, entries
from tests.browser.test_axe import violations
from tests.browser.test_closing import PACKAGED, as_lead, sign, term
from tests.browser.test_opening import go_to_work

pytestmark = pytest.mark.browser

STOCK = 500


@pytest.fixture
def policy(request: pytest.FixtureRequest) -> str:
    """The line that the sample's policy has besides."""
    return str(request.param)


@pytest.fixture
def server(tmp_path: Path, policy: str) -> Iterator[Server]:
    """In place of the one over the sample as it is."""
    package = tmp_path / "package"
    shutil.copytree(SAMPLE, package)
    # Its manifest is of the sample as it is.
    (package / "MANIFEST.json").unlink()
    toml = package / "election.toml"
    text = toml.read_text(encoding="utf-8")
    toml.write_text(text.replace("[policy]\n", f"[policy]\n{policy}\n"), encoding="utf-8")
    server = Server(make_day(tmp_path, package))
    server.start()
    yield server
    server.kill()


def of(policy: str) -> Callable[[Callable[..., None]], Callable[..., None]]:
    return pytest.mark.parametrize("policy", [policy], indirect=True)


def count(lead: Table, what: str, number: int) -> None:
    """From what is still missing, whose button has the name alone."""
    lead.page.get_by_role("button", name=what, exact=True).focus()
    lead.wait_out_the_guard()
    lead.press("Enter")
    expect(lead.page.locator("#work-count")).to_be_focused()
    lead.keys(str(number), "Enter")
    expect(lead.page.locator("#work-count")).to_have_count(0)


@of('counted_by = "paper_ballots"')
def test_ballots_on_paper_are_counted_and_the_day_is_closed_from_their_sum(
    lead: Table, server: Server
) -> None:
    sign(server, 3)
    as_lead(server, "/api/day/cut-off", {})
    go_to_work(lead, "Balance and close")
    expect(lead.page.locator(".work .ask")).to_have_text("Something is still to be counted.")
    expect(lead.page.locator(".turns")).to_contain_text("count the ballots")
    expect(lead.page.locator(".turns")).not_to_contain_text("machine")
    count(lead, "Ballots received", STOCK)
    count(lead, "Spoiled ballots", 1)
    count(lead, "Ballots left over", STOCK - 5)
    expect(lead.page.locator(".work .ask")).to_have_text(
        "The ballots that went out are 1 more than the signatures."
    )
    expect(term(lead, "ballots")).to_have_text("4")
    assert violations(lead) == []
    # Counted again by both: it replaces the first count, with the reason.
    lead.press_button(f"Ballots left over: {STOCK - 5}")
    expect(lead.page.locator("#work-count")).to_be_focused()
    lead.keys(str(STOCK - 4), "Enter")
    expect(lead.page.locator(".work .ask")).to_contain_text("was written down here before")
    assert violations(lead) == []
    lead.choose("Replace it")
    lead.keys("counted again by both", "Enter")
    expect(lead.page.locator(".work .ask")).to_have_text("It balances.")
    expect(term(lead, "difference")).to_have_text("0")
    lead.press_button("Close the polls")
    lead.press_button("Yes: Close the polls")
    expect(lead.page.locator(".strip")).to_contain_text("The polls are closed.")
    (closed,) = entries(server, "day.closed")
    balance = closed["body"]["balance"]
    assert (balance["counted_by"], balance["counted"], balance["unused"]) == (
        "paper_ballots",
        3,
        STOCK - 4,
    )


@of("reconcile_ballots_by_button = true")
def test_machines_that_tell_their_ballots_apart_are_compared_button_by_button(
    lead: Table, server: Server
) -> None:
    buttons = [signature_button(server, each["line_id"]) for each in sign(server, 2)]
    as_lead(server, "/api/day/cut-off", {})
    go_to_work(lead, "Balance and close")
    # The sum is right, and two ballots changed places.
    given = [buttons.count(button) for button in (1, 2, 3)]
    wrong = [given[1], given[0], given[2]]
    assert wrong != given
    lead.press_button("TM-0417: read at the close")
    expect(lead.page.locator("#work-public")).to_be_focused()
    lead.keys("2", "Enter", str(PACKAGED["TM-0417"] + 2), "Enter", "9", "Enter", "9", "Enter")
    lead.keys("9", "Enter")
    expect(lead.page.locator(".work .ask")).to_have_text(
        "The counts of the ballots add up to 27, the public counter says 2."
    )
    lead.choose("Read it again")
    expect(lead.page.locator("#work-public")).to_be_focused()
    lead.keys("2", "Enter", str(PACKAGED["TM-0417"] + 2), "Enter")
    for number in wrong:
        lead.keys(str(number), "Enter")
    expect(lead.page.locator("#work-public")).to_have_count(0)
    lead.press_button("TM-0418: read at the close")
    expect(lead.page.locator("#work-public")).to_be_focused()
    lead.keys("0", "Enter", str(PACKAGED["TM-0418"]), "Enter", "0", "Enter", "0", "Enter")
    lead.keys("0", "Enter")
    expect(lead.page.locator(".work .ask")).to_have_text(
        "Machines and signatures agree, but something else does not."
    )
    table = lead.page.locator("table", has_text="Ballot by ballot")
    expect(table.locator("tbody tr")).to_have_count(3)
    expect(table).to_contain_text(re.compile(r"[+−]\d"))
    expect(lead.page.locator(".causes .answers button").first).to_contain_text("instead of")
    assert violations(lead) == []


def signature_button(server: Server, line_id: str) -> int:
    client = server.station("LO", "Table 9")
    button = int(client.get(f"/api/lines/{line_id}").json()["line"]["ballot_button"])
    client.close()
    return button
