"""A real server over the sample, a real Chromium, and a worker who has only a keyboard."""

from __future__ import annotations

import re
import shutil
from collections.abc import Callable, Iterator
from contextlib import ExitStack
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import pytest
from playwright.sync_api import Browser, Locator, Page, Request, expect, sync_playwright

from _running_server import PINS, Day, Server, make_day, post

# The guard against scanners and bouncing keys lets nothing through within 300 ms.
GUARD_MS = 350

VIEWPORT = {"width": 1366, "height": 768}


@dataclass
class Table:
    """One browser at one station, worked by keyboard alone."""

    page: Page
    server: Server
    foreign: list[str]
    complaints: list[str]

    def sign_on(self, initials: str = "RM", station: str = "Table 1") -> None:
        """Tab from field to field, as a person without a mouse does."""
        self.page.goto(self.server.address)
        self.page.locator("#initials").focus()
        self.keys(initials, "Tab", PINS[initials], "Tab")
        self.press("ControlOrMeta+A")
        self.keys(station, "Enter")
        expect(self.box).to_be_focused()

    @property
    def box(self) -> Locator:
        return self.page.get_by_role("combobox")

    @property
    def rows(self) -> Locator:
        return self.page.get_by_role("option")

    @property
    def verdict(self) -> Locator:
        return self.page.locator("#verdict")

    def press(self, key: str) -> None:
        self.page.keyboard.press(key)

    def keys(self, *keys: str) -> None:
        """Type texts and press named keys, one after the other."""
        for key in keys:
            if key in ("Tab", "Enter", "Escape", "Space", "ArrowDown", "ArrowUp"):
                self.press(key)
            else:
                self.page.keyboard.type(key, delay=12)

    def find(self, text: str) -> None:
        """Type into the box and wait until the lines have come that the whole text finds.

        Each key brings lines of its own; an arrow pressed before the last ones have come
        chooses nothing.
        """
        expect(self.box).to_be_focused()
        self.press("ControlOrMeta+A")
        with self.page.expect_response(lambda answer: _asked(answer.request) == text):
            self.keys(text)
        expect(self.rows.first).to_be_visible()
        self.page.wait_for_function("() => !document.querySelector('[aria-busy=true]')")
        # The answer has come; one more frame and it is painted.
        self.page.evaluate(
            "() => new Promise((done) => requestAnimationFrame(() => setTimeout(done)))"
        )

    def open_first(self, text: str, name: str) -> None:
        """Find, check that `name` is the first line, open it."""
        self.find(text)
        expect(self.rows.first.locator(".name")).to_have_text(name)
        if self.rows.first.get_attribute("aria-selected") != "true":
            # Several lines fit equally: none is chosen for the worker.
            self.press("ArrowDown")
        self.press("Enter")
        expect(self.verdict).to_be_visible()
        self.wait_out_the_guard()

    @property
    def question(self) -> Locator:
        return self.page.locator("#next")

    def answer(self, name: str, *keys: str) -> None:
        """From the focused question with `keys` to the answer `name`, and press it."""
        expect(self.question).to_be_focused()
        for key in keys:
            self.press(key)
        begins = re.compile(f"^{re.escape(name)}")
        expect(self.page.get_by_role("button", name=begins)).to_be_focused()
        self.wait_out_the_guard()
        self.press("Enter")

    @property
    def asked(self) -> Locator:
        """The question or sentence of the way out, in large words."""
        return self.page.locator("#way-ask")

    def get_lost(self, text: str = "qqqq zzzz") -> None:
        """Type somebody whom no line fits, and go on from there with Enter."""
        expect(self.box).to_be_focused()
        self.press("ControlOrMeta+A")
        self.keys(text)
        expect(self.page.get_by_role("heading", name="No line fits.")).to_be_visible()
        self.wait_out_the_guard()
        self.press("Enter")
        expect(self.asked).to_contain_text("letter by letter")
        expect(self.page.locator("#way-typed")).to_be_focused()

    def choose(self, words: str) -> None:
        """Press the number of the answer that holds `words`, then Enter."""
        answer = self.page.locator(".answers button", has_text=words).first
        expect(answer).to_be_visible()
        if self.page.evaluate("() => document.activeElement.matches('input')"):
            self.press("ArrowDown")
        self.press(answer.locator(".digit").inner_text())
        expect(answer).to_be_focused()
        self.wait_out_the_guard()
        self.press("Enter")

    def walk(self, *answers: tuple[str, str]) -> None:
        """Choose each answer once its question stands there: (question, answer)."""
        for question, answer in answers:
            expect(self.asked).to_contain_text(question)
            self.choose(answer)

    def get_lost_to_the_registrar(self, says: str) -> None:
        """No line, no supplemental page, no other precinct; the registrar `says`."""
        self.get_lost()
        self.walk(
            ("letter by letter", "Still not found"),
            ("supplemental pages", "not on those pages"),
            ("Are you registered", "Yes to both"),
            ("another polling place", "registered nowhere else"),
            ("Call the registrar", says),
        )
        expect(self.asked).to_contain_text("What can be done now")

    def press_button(self, name: str) -> None:
        """Go to a button as Tab would, read, and press Enter."""
        button = self.page.get_by_role("button", name=name)
        button.focus()
        self.wait_out_the_guard()
        self.press("Enter")

    def go_to_lists(self, words: str) -> None:
        """From anywhere to lists, calls and irregularities, and there to the one named."""
        self.press_button("Lists")
        expect(self.page.locator(".late .ask")).to_be_focused()
        self.choose(words)

    def press_option(self, words: str) -> None:
        """With the arrows from a refusal to what the person may still do."""
        option = self.page.locator(".refusal .answers button", has_text=words).first
        expect(self.verdict).to_be_focused()
        for _ in range(9):
            self.press("ArrowDown")
            if option.evaluate("node => node === document.activeElement"):
                break
        expect(option).to_be_focused()
        self.wait_out_the_guard()
        self.press("Enter")

    def has_no_sideways_scrolling(self) -> bool:
        overflow = "document.documentElement.scrollWidth - document.documentElement.clientWidth"
        return int(self.page.evaluate(f"() => {overflow}")) <= 0

    def signed_count(self) -> int:
        client = self.server.station("RM", "Table 9")
        count = int(client.get("/api/day").json()["counts"]["signed"])
        client.close()
        return count

    def draw(self) -> None:
        """A scribble on the voter's pad."""
        pad = self.page.locator("signature-pad").bounding_box()
        assert pad is not None
        mouse = self.page.mouse
        mouse.move(pad["x"] + 30, pad["y"] + pad["height"] / 2)
        mouse.down()
        for step in range(1, 12):
            mouse.move(pad["x"] + 30 + 12 * step, pad["y"] + pad["height"] * (0.4 + step % 2 / 4))
        mouse.up()

    def wait_out_the_guard(self) -> None:
        """A person needs longer than this to read; the page counts on it."""
        self.page.wait_for_timeout(GUARD_MS)

    def say_birth_date(self, text: str) -> None:
        """What the voter says; typed this fast, an Enter right behind it would not count."""
        expect(self.page.locator("#birth-date")).to_be_focused()
        self.keys(text)
        self.wait_out_the_guard()
        self.press("Enter")

    def sign_on_paper(self) -> None:
        """The primary button has the focus: Enter."""
        expect(self.page.get_by_role("button", name="Signed on paper")).to_be_focused()
        self.press("Enter")
        expect(self.page.locator(".confirmation")).to_be_visible()
        expect(self.box).to_be_focused()


Tables = Callable[..., Table]


# Of this folder, not of the session: until it ends an event loop runs in the main thread, and
# whatever test comes later could not run one of its own.
@pytest.fixture(scope="package")
def browser(chromium: str) -> Iterator[Browser]:
    flags = ["--no-sandbox", "--disable-background-networking", "--no-first-run"]
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=chromium, args=flags)
        yield browser
        browser.close()


@pytest.fixture(scope="session")
def sample_day(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("sample-day")
    make_day(folder)
    return folder / "day.db"


@pytest.fixture
def server(sample_day: Path, tmp_path: Path) -> Iterator[Server]:
    """A server over its own copy of the loaded sample; the polls are not open yet."""
    shutil.copy(sample_day, tmp_path / "day.db")
    server = Server(Day(f"sqlite:///{(tmp_path / 'day.db').as_posix()}", ()))
    server.start()
    yield server
    server.kill()


@pytest.fixture
def tables(browser: Browser, server: Server) -> Iterator[Tables]:
    """Opens browsers; each must have asked nobody but the server, and complained of nothing."""
    opened: list[Table] = []
    with ExitStack() as contexts:

        def table(*, viewport: dict[str, int] | None = None) -> Table:
            context = browser.new_context(viewport=viewport or VIEWPORT, locale="en-US")  # type: ignore[arg-type]
            contexts.callback(context.close)
            page = context.new_page()
            made = Table(page, server, [], [])
            page.on("request", lambda request: _note_foreign(made, request.url))
            page.on("pageerror", lambda error: made.complaints.append(str(error)))
            page.on("console", lambda message: _note_violation(made, message.text))
            opened.append(made)
            return made

        yield table
        assert [table.foreign for table in opened] == [[]] * len(opened)
        assert [table.complaints for table in opened] == [[]] * len(opened)


@pytest.fixture
def table(tables: Tables, server: Server) -> Table:
    """A table worker signed on at Table 1, the polls open."""
    server.open_polls()
    made = tables()
    made.sign_on()
    return made


def _asked(request: Request) -> str | None:
    """What a request to find asks for, None for any other."""
    if not request.url.endswith("/api/find"):
        return None
    return str(request.post_data_json["text"])


def _note_foreign(table: Table, url: str) -> None:
    if not url.startswith((table.server.address, "data:", "blob:")):
        table.foreign.append(url)


def _note_violation(table: Table, text: str) -> None:
    if "Content Security Policy" in text:
        table.complaints.append(text)


@pytest.fixture
def lead(tables: Tables, server: Server) -> Table:
    """A lead worker signed on at their own desk, the polls open."""
    server.open_polls()
    made = tables()
    made.sign_on("LO", "Lead's desk")
    return made


def entries(server: Server, kind: str) -> list[dict[str, Any]]:
    """The entries of one kind in the day log, oldest first."""
    client = server.station("LO", "Table 9")
    log = client.get("/api/log", params={"after": 0, "limit": 1000}).json()
    client.close()
    return [entry for entry in log["entries"] if entry["kind"] == kind]


def line_id_of(server: Server, typed: str) -> str:
    """The first line that `typed` finds, asked over HTTP."""
    client = server.station("RM", "Table 9")
    answer = post(client, "/api/find", {"text": typed}).json()
    client.close()
    return str(answer["matches"][0]["line_id"])
