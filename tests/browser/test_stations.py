"""Another device joins over TLS, works, is taken out; a locked PIN; a page that was asleep."""

from __future__ import annotations

import shutil
import socket
from collections.abc import Callable, Iterator
from contextlib import ExitStack
from pathlib import Path

import pytest
from playwright.sync_api import Browser, Page, Route, expect

from _running_server import PINS, Day, Server, post
from app.records import queries
from app.records.clock import SystemClock
from app.records.store import open_store, verify_database
from app.trust.certificates import Identity, fingerprint, in_fours
from tests.browser.conftest import Table, entries
from tests.browser.test_axe import faults, stations

pytestmark = pytest.mark.browser

PLAIN, PLAIN_NAME = "marchb p", "Marchbanks, Penelope Ruth"
Devices = Callable[..., Table]


def free_port() -> int:
    with socket.socket() as one:
        one.bind(("127.0.0.1", 0))
        port: int = one.getsockname()[1]
        return port


@pytest.fixture
def afar() -> str:
    """Where stations come in. Its own address cannot be had everywhere; its own port can."""
    return f"127.0.0.1:{free_port()}"


@pytest.fixture
def server(sample_day: Path, tmp_path: Path, afar: str) -> Iterator[Server]:
    shutil.copy(sample_day, tmp_path / "day.db")
    day = Day(f"sqlite:///{(tmp_path / 'day.db').as_posix()}", ())
    server = Server(day, options=("--stations", afar))
    server.start()
    yield server
    server.kill()


@pytest.fixture
def devices(browser: Browser, server: Server, afar: str) -> Iterator[Devices]:
    """Browsers on other devices, in which a person has compared the certificate and trusts it."""
    made: list[Table] = []
    with ExitStack() as contexts:

        def device(*, viewport: tuple[int, int] = (1366, 768), scheme: str = "light") -> Table:
            width, height = viewport
            context = browser.new_context(
                ignore_https_errors=True,
                locale="en-US",
                color_scheme=scheme,  # type: ignore[arg-type]
                viewport={"width": width, "height": height},
            )
            contexts.callback(context.close)
            page = context.new_page()
            table = Table(page, server, [], [])
            page.on("pageerror", lambda error: table.complaints.append(str(error)))
            page.on("console", lambda message: note_violation(table, message.text))
            page.goto(f"https://{afar}/")
            made.append(table)
            return table

        yield device
        assert [table.complaints for table in made] == [[]] * len(made)


def note_violation(table: Table, text: str) -> None:
    if "Content Security Policy" in text:
        table.complaints.append(text)


def new_code(lead: Table) -> str:
    lead.press_button("New code")
    shown = lead.page.locator(".code strong")
    expect(shown).to_be_visible()
    return shown.inner_text()


def join(device: Table, code: str, name: str) -> None:
    expect(device.page.locator("#code")).to_be_focused()
    device.keys(code.lower(), "Tab", name, "Enter")


def sign_on(device: Table, initials: str = "RM") -> None:
    expect(device.page.locator("#initials")).to_be_visible()
    device.page.locator("#initials").focus()
    device.keys(initials, "Tab", PINS[initials], "Enter")
    expect(device.box).to_be_focused()


def joined(lead: Table, device: Table, name: str = "Table 2") -> None:
    join(device, new_code(lead), name)
    sign_on(device)


def certificate_of(server: Server) -> str:
    with open_store(server.day.url, SystemClock()) as store:
        text = store.read(lambda connection: queries.about_text(connection, "identity"))
    assert text
    return in_fours(fingerprint(Identity.from_text(text).certificate))


def test_another_device_joins_signs_a_voter_and_is_taken_out_again(
    lead: Table, devices: Devices, server: Server
) -> None:
    device = devices()
    expect(device.page.get_by_role("heading")).to_have_text("Let this browser in as a station")
    assert "Tern" not in device.page.content()
    stations(lead)
    expect(lead.page.locator(".fingerprint")).to_have_text(certificate_of(server))
    joined(lead, device)
    expect(lead.page.locator(".code strong")).to_have_count(0)
    expect(lead.page.locator(".stations")).to_contain_text("Table 2")
    device.open_first(PLAIN, PLAIN_NAME)
    device.sign_on_paper()
    (signed,) = entries(server, "signature.recorded")
    assert signed["station"] == "Table 2"
    lead.press_button("Take out: Table 2")
    expect(lead.page.locator(".asking")).to_contain_text("Take out Table 2?")
    lead.press_button("Take it out")
    expect(lead.page.locator(".stations")).to_contain_text("Taken out")
    expect(device.page.locator("#code")).to_be_visible(timeout=10_000)
    assert "Marchbanks" not in device.page.content()
    server.kill()
    assert verify_database(server.day.url).holds


def test_whoever_heard_no_answer_and_takes_another_name_joins_with_the_next_code(
    lead: Table, devices: Devices
) -> None:
    device = devices()
    stations(lead)

    def lose_the_answer(route: Route) -> None:
        route.fetch()
        route.abort()

    device.page.route("**/api/join", lose_the_answer, times=1)
    code = new_code(lead)
    join(device, code, "Table 2")
    problem = device.page.locator("#problem")
    expect(problem).to_contain_text("cannot be reached")
    device.page.locator("#station").fill("Table 3")
    device.keys("Enter")
    expect(problem).to_contain_text("This code lets nobody in")
    lead.press_button("New code")
    expect(lead.page.locator(".code strong")).not_to_have_text(code)
    device.page.locator("#code").fill(lead.page.locator(".code strong").inner_text())
    device.keys("Enter")
    sign_on(device)


def test_a_wrong_code_and_a_taken_name_are_told_and_nothing_typed_is_lost(
    lead: Table, devices: Devices
) -> None:
    device = devices()
    expect(device.page.locator("#code")).to_be_focused()
    device.press("Enter")
    expect(device.page.locator("#problem")).to_have_text("The code is missing.")
    device.keys("34679ACD", "Tab", "Table 2", "Enter")
    expect(device.page.locator("#problem")).to_contain_text("This code lets nobody in")
    expect(device.page.locator("#station")).to_have_value("Table 2")
    device.page.get_by_role("button", name="Español").click()
    expect(device.page.locator("#problem")).to_contain_text("no admite a nadie")
    stations(lead)
    device.page.locator("#code").fill(new_code(lead))
    device.press("Enter")
    expect(device.page.locator("#initials")).to_be_visible()


def test_what_was_refused_waits_for_the_lead_until_they_have_looked_at_it(
    lead: Table, devices: Devices
) -> None:
    device = devices()
    device.keys("34679ACD", "Tab", "Table 2", "Enter")
    expect(device.page.locator("#problem")).to_be_visible()
    expect(lead.page.locator(".needs")).to_be_visible()
    lead.press("Alt+n")
    need = lead.page.locator(".need", has_text="refused at the door")
    expect(need).to_contain_text("127.0.0.1")
    need.focus()
    lead.press("Enter")
    expect(lead.page.locator(".stations")).to_contain_text("A code that lets nobody in was typed")
    lead.press_button("I have looked at this")
    expect(lead.page.get_by_role("heading", name="Refused at the door")).to_have_count(0)
    lead.press("Escape")
    expect(lead.page.get_by_role("heading", name="What needs me now")).to_be_visible()
    expect(lead.page.locator(".need", has_text="refused")).to_have_count(0)


def lock_rosa(server: Server) -> None:
    """With the waits of a guesser who has all the time there is: five, and the record says ten."""
    import httpx

    wrong = {"initials": "RM", "pin": "000000", "station": "T"}
    with httpx.Client(base_url=server.address) as client:
        for _ in range(5):
            assert post(client, "/api/sign-on", wrong).status_code == 401


def test_the_lead_lets_a_worker_try_again_with_their_own_pin(
    lead: Table, server: Server, devices: Devices
) -> None:
    lock_rosa(server)
    stations(lead)
    expect(lead.page.locator(".stations")).to_contain_text("5 wrong PINs")
    lead.press_button("Let them try again: RM")
    field = lead.page.locator("#asking")
    expect(field).to_be_focused()
    lead.keys("999999", "Enter")
    expect(lead.page.locator("#problem")).to_contain_text("do not belong together")
    expect(field).to_be_focused()
    lead.keys(PINS["LO"], "Enter")
    expect(lead.page.locator(".stations")).to_contain_text("Nobody has typed a wrong PIN")
    device = devices()
    joined(lead, device)
    (entry,) = entries(server, "worker.unlocked")
    assert entry["body"] == {"unlocked": "RM"}


def test_the_lead_ends_a_sign_on_and_the_page_there_shows_nobody(
    lead: Table, devices: Devices
) -> None:
    device = devices()
    stations(lead)
    joined(lead, device)
    device.open_first(PLAIN, PLAIN_NAME)
    lead.press_button("End: RM")
    lead.press("Escape")
    expect(lead.page.locator(".asking")).to_have_count(0)
    lead.press_button("End: RM")
    lead.press_button("End it")
    expect(device.page.locator("#initials")).to_be_visible(timeout=10_000)
    assert "Marchbanks" not in device.page.content()


def asks(page: Page, path: str) -> int:
    """The status that the page's own session gets."""
    script = "(path) => fetch(path).then((answer) => answer.status)"
    return int(page.evaluate(script, path))


def test_what_a_covered_page_hides_the_server_does_not_answer_either(
    lead: Table, devices: Devices
) -> None:
    device = devices()
    device.page.clock.install()
    stations(lead)
    joined(lead, device)
    device.open_first(PLAIN, PLAIN_NAME)
    line = "/api/log"
    assert asks(device.page, line) == 200
    with device.page.expect_response("**/api/cover"):
        device.page.clock.run_for("05:01")
    expect(device.page.get_by_role("heading", name="Covered")).to_be_visible()
    assert asks(device.page, line) == 423
    device.page.reload()
    expect(device.page.locator("#pin")).to_be_focused()
    device.keys(PINS["RM"], "Enter")
    expect(device.box).to_be_visible()
    assert asks(device.page, line) == 200


def test_joining_and_the_screen_of_stations_break_no_rule_of_axe(
    lead: Table, server: Server, devices: Devices
) -> None:
    device = devices()
    expect(device.page.locator("#code")).to_be_focused()
    assert faults(device) == []
    device.keys("34679ACD", "Tab", "Table 2", "Enter")
    expect(device.page.locator("#problem")).to_be_visible()
    assert faults(device) == []
    lock_rosa(server)
    stations(lead)
    expect(lead.page.get_by_role("heading", name="Refused at the door")).to_be_visible()
    new_code(lead)
    assert faults(lead) == []
    lead.press_button("Let them try again: RM")
    expect(lead.page.locator("#asking")).to_be_focused()
    assert faults(lead) == []
