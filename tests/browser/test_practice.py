"""A practice day in a real browser: marked wherever one looks, and exercises with a score."""

from __future__ import annotations

import json
import subprocess
import sys
import time
from collections.abc import Iterator
from pathlib import Path

import httpx
import pytest
from playwright.sync_api import Locator, Page, expect

import _running_server
from _running_server import PROJECT, SAMPLE, Day, Server
from app.desk.practising import WORKERS
from tests.browser.conftest import Table, Tables
from tests.browser.test_axe import faults, violations

pytestmark = pytest.mark.browser

BAND = "Practice: nothing here counts"
SPANISH_BAND = "Práctica: nada de aquí cuenta"
# A server that has not answered by then will not.
START_SECONDS = 60.0


class PracticeServer(Server):
    """`tablebook rehearse`, as it is typed."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        super().__init__(Day(f"sqlite:///{(folder / 'real.db').as_posix()}", ()))

    def start(self) -> float:
        """Start and wait for the first answer; the seconds that took."""
        started = time.perf_counter()
        rehearse = ["rehearse", str(SAMPLE), "--port", str(self.port)]
        where = ["--keep", str(self.folder / "kept"), "--paper", str(self.folder)]
        self._process = subprocess.Popen(
            [sys.executable, "-m", "app.cli", "--database", self.day.url, *rehearse, *where],
            cwd=PROJECT,
            stdout=subprocess.DEVNULL,
        )
        while True:
            try:
                httpx.get(f"{self.address}/api/day", timeout=1).raise_for_status()
                return time.perf_counter() - started
            except httpx.HTTPError as error:
                has_ended = self._process.poll() is not None
                if has_ended or time.perf_counter() - started > START_SECONDS:
                    raise RuntimeError("the practice server did not start") from error
                time.sleep(0.05)


@pytest.fixture
def server(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[PracticeServer]:
    """Instead of the real one; its workers and their PINs are its own."""
    for worker in WORKERS:
        monkeypatch.setitem(_running_server.PINS, worker.initials, worker.pin)
    server = PracticeServer(tmp_path)
    server.start()
    yield server
    server.kill()


@pytest.fixture
def table(tables: Tables) -> Table:
    """A worker who begins to practise, with the card beside the table."""
    made = tables()
    made.sign_on("PA")
    expect(card(made).get_by_role("button", name="Next person")).to_be_visible()
    return made


def card(table: Table) -> Locator:
    return table.page.locator(".practice-card")


def begin(table: Table) -> str:
    """The next person comes; what they say."""
    table.press("Alt+p")
    says = card(table).locator(".says")
    expect(says).to_be_visible()
    expect(table.box).to_be_focused()
    return says.inner_text()


def end(table: Table) -> Locator:
    """The person has left; the card's heading with how it went."""
    table.press("Alt+p")
    heading = card(table).locator(".practice-result h3")
    expect(heading).to_be_focused()
    return heading


def sign(table: Table, text: str, name: str) -> None:
    table.open_first(text, name)
    table.sign_on_paper()


def is_marked(page: Page, words: str = BAND) -> None:
    """By words on top, words along both edges, the title, and another paper."""
    expect(page.locator(".practice-band")).to_have_text(words)
    expect(page.locator(".practice-band")).to_be_visible()
    expect(page).to_have_title(f"{words} – Tablebook")
    page.wait_for_function("() => document.documentElement.hasAttribute('data-practice')")
    for edge in ("::before", "::after"):
        shown = f"() => getComputedStyle(document.body, '{edge}').content"
        assert words in page.evaluate(shown)
    paper = "() => getComputedStyle(document.documentElement).backgroundImage"
    assert "gradient" in page.evaluate(paper)


def test_every_screen_of_the_table_is_marked_in_words_from_the_sign_on_on(
    tables: Tables, server: PracticeServer
) -> None:
    table = tables()
    table.page.goto(server.address)
    is_marked(table.page)
    table.sign_on("PA")
    is_marked(table.page)
    table.open_first("quill practice", "Practice, Quill")
    is_marked(table.page)
    table.press("Escape")
    table.get_lost()
    is_marked(table.page)
    table.press("Escape")
    table.press("Alt+i")
    dialog = table.page.get_by_role("dialog")
    expect(dialog).to_be_visible()
    before = dialog.evaluate("node => getComputedStyle(node, '::before').content")
    assert BAND in before


def test_the_lead_s_screens_are_marked_and_so_is_the_page_in_spanish(tables: Tables) -> None:
    lead = tables()
    lead.sign_on("PL", "Lead's desk")
    lead.press("Alt+n")
    expect(lead.page.locator(".now")).to_be_visible()
    is_marked(lead.page)
    lead.press("Escape")
    lead.press_button("Español")
    is_marked(lead.page, SPANISH_BAND)


def test_a_covered_page_is_marked(tables: Tables) -> None:
    table = tables()
    table.page.clock.install()
    table.sign_on("PA")
    table.page.clock.fast_forward("04:31")
    table.page.clock.fast_forward("00:31")
    expect(table.page.get_by_role("heading", name="Covered")).to_be_visible()
    is_marked(table.page)
    expect(card(table)).to_have_count(0)


def test_the_voter_s_window_is_marked_in_both_languages(table: Table) -> None:
    table.open_first("quill practice", "Practice, Quill")
    with table.page.expect_popup() as popup:
        table.press_button("Turn the screen to the voter")
    window = popup.value
    expect(window.locator("h1")).to_have_text("Practice, Quill")
    band = window.locator(".practice-band")
    expect(band).to_contain_text(BAND)
    expect(band).to_contain_text(SPANISH_BAND)
    expect(window).to_have_title(f"{BAND} / {SPANISH_BAND}")
    table.press("Escape")
    expect(window.locator(".nobody")).to_be_visible()
    expect(band).to_contain_text(BAND)


def test_the_mark_stands_there_even_where_its_part_cannot_be_had(
    tables: Tables, server: PracticeServer
) -> None:
    table = tables()
    table.page.route("**/parts/practice.js", lambda route: route.abort())
    table.page.route("**/styles/practice.css", lambda route: route.abort())
    table.page.goto(server.address)
    expect(table.page.locator(".practice-band")).to_have_text(BAND)
    expect(table.page.locator(".practice-band")).to_be_visible()


def test_the_words_over_a_dialog_are_those_of_the_band() -> None:
    """The stylesheet has them, since no script may set a style."""
    styles = (PROJECT / "frontend" / "styles" / "practice.css").read_text(encoding="utf-8")
    for language in ("en", "es"):
        words = PROJECT / "frontend" / "words" / f"{language}.json"
        band = json.loads(words.read_text(encoding="utf-8"))["practice"]["band"]
        assert f'.dialog::before {{ content: "{band}"' in styles


def test_an_exercise_done_as_it_should_be_is_right(table: Table) -> None:
    assert "Quill Practice" in begin(table)
    sign(table, "quill practice", "Practice, Quill")
    expect(end(table)).to_have_text("That was right.")
    expect(card(table)).to_contain_text("1 right, 0 put right, 0 not right; 15 to come")


def test_a_person_who_leaves_with_nothing_was_not_served_rightly_and_the_score_says_so(
    table: Table,
) -> None:
    begin(table)
    expect(end(table)).to_have_text("That was not right yet.")
    expect(card(table)).to_contain_text("had a right to sign, and did not")
    expect(card(table)).to_contain_text("0 right, 0 put right, 1 not right; 15 to come")


def test_a_namesake_s_line_is_wrong_and_says_what_to_do_the_next_time(table: Table) -> None:
    for _ in range(3):
        begin(table)
        end(table)
    says = begin(table)
    assert "Kettle Practice" in says
    assert "June 12, 1897" in says
    table.find("kettle practice")
    table.press("ArrowDown")
    if "PRACTICE-0104" in (table.page.locator('[aria-selected="true"]').inner_text()):
        table.press("ArrowDown")
    table.press("Enter")
    table.say_birth_date("11/2/1899")
    table.wait_out_the_guard()
    table.sign_on_paper()
    expect(end(table)).to_have_text("That was not right yet.")
    expect(card(table)).to_contain_text("Somebody else's line was signed.")
    expect(card(table)).to_contain_text("1 record too many.")


def test_the_card_speaks_spanish(table: Table) -> None:
    table.press_button("Español")
    table.press("Alt+p")
    expect(card(table).locator(".says")).to_contain_text("Dice: «Quill Practice")


def test_a_round_goes_on_where_it_was_after_the_page_is_loaded_anew(table: Table) -> None:
    says = begin(table)
    table.page.reload()
    expect(card(table).locator(".says")).to_have_text(says)


@pytest.mark.parametrize("viewport", [(1366, 768), (820, 1180)])
def test_the_card_hides_nothing_and_breaks_no_rule(
    tables: Tables, viewport: tuple[int, int]
) -> None:
    table = tables(viewport={"width": viewport[0], "height": viewport[1]})
    table.sign_on("PB" if viewport[0] > 1000 else "PC")
    expect(card(table).get_by_role("button", name="Next person")).to_be_visible()
    table.press("Alt+p")
    expect(card(table).locator(".says")).to_be_visible()
    beside, main = card(table).bounding_box(), table.page.locator("main .box").bounding_box()
    assert beside is not None
    assert main is not None
    is_beside = main["x"] + main["width"] <= beside["x"]
    assert is_beside or beside["y"] + beside["height"] <= main["y"]
    assert faults(table) == []
    table.press("Alt+p")
    expect(card(table).locator(".practice-result h3")).to_be_focused()
    assert violations(table) == []


def test_the_sign_on_of_a_practice_day_breaks_no_rule(
    tables: Tables, server: PracticeServer
) -> None:
    table = tables()
    table.page.goto(server.address)
    is_marked(table.page)
    assert faults(table) == []


def test_who_practises_is_not_signed_off_from_the_real_table_of_the_same_browser(
    table: Table,
) -> None:
    names = {cookie["name"] for cookie in table.page.context.cookies()}
    assert names == {"tablebook_practice"}
