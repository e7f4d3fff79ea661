"""The page's pure logic in Chromium: the same tests that Node runs, where there is no Node too."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest
from playwright.sync_api import Browser, Route

pytestmark = pytest.mark.browser

PROJECT = Path(__file__).resolve().parents[2]
TESTS = PROJECT / "tests" / "frontend"
# These read files of the project, which a page cannot.
NEEDS_FILES = "node:fs"
FILES = [
    file.name
    for file in sorted(TESTS.glob("*.test.mjs"))
    if NEEDS_FILES not in file.read_text(encoding="utf-8")
]
ORIGIN = "http://logic.invalid"
PAGE = """<!doctype html>
<script type="importmap">
{"imports": {
  "node:test": "/tests/frontend/in_chromium/node_test.js",
  "node:assert/strict": "/tests/frontend/in_chromium/node_assert.js"
}}
</script>"""
RUN = """async (file) => {
  await import(`/tests/frontend/${file}`);
  const { runKept } = await import('node:test');
  return runKept();
}"""
TYPES = {".js": "text/javascript", ".mjs": "text/javascript", ".json": "application/json"}


def run_in(browser: Browser, file: str) -> dict[str, Any]:
    """How many tests the file has, and those that failed; every request is answered from here."""

    def answer(route: Route) -> None:
        path = route.request.url.removeprefix(ORIGIN)
        if path == "/":
            route.fulfill(content_type="text/html", body=PAGE)
            return
        found = PROJECT / path.removeprefix("/")
        route.fulfill(content_type=TYPES[found.suffix], body=found.read_text(encoding="utf-8"))

    page = browser.new_page()
    try:
        page.route("**/*", answer)
        page.goto(f"{ORIGIN}/")
        told: dict[str, Any] = page.evaluate(RUN, file)
        return told
    finally:
        page.close()


@pytest.mark.parametrize("file", FILES)
def test_the_logic_of_the_page_holds_in_a_browser(browser: Browser, file: str) -> None:
    told = run_in(browser, file)
    assert told["failed"] == []
    assert told["count"] > 0


def test_what_stands_in_for_node_fails_a_test_that_must_fail(browser: Browser) -> None:
    told = run_in(browser, "in_chromium/must_fail.mjs")
    names = [failed.split(":")[0] for failed in told["failed"]]
    assert (told["count"], names) == (8, [f"wrong {number}" for number in range(1, 8)])


def test_nearly_every_file_of_the_logic_is_among_them() -> None:
    left_out = {file.name for file in TESTS.glob("*.test.mjs")} - set(FILES)
    assert len(left_out) <= 3
    assert len(FILES) > 20
