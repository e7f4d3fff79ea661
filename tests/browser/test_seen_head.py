"""An older record put back in the place of the newer one: the pages that saw more say so."""

from __future__ import annotations

import shutil
from collections.abc import Iterator
from contextlib import closing
from pathlib import Path

import pytest
from playwright.sync_api import Browser, Locator, Page, expect

from _running_server import Server, fresh_token, make_day, post, running, sign_on_paper
from tests.browser.test_second_copy import signed_on

pytestmark = pytest.mark.browser

SOON_MS = 30_000
GONE = "are gone from this record"


@pytest.fixture
def laptop(tmp_path: Path) -> Iterator[Server]:
    (tmp_path / "day").mkdir()
    with running(make_day(tmp_path / "day")) as server:
        server.open_polls()
        yield server


def strip_of(page: Page) -> Locator:
    return page.get_by_role("region", name="How things stand")


def sign(server: Server, line_id: str) -> None:
    with closing(server.station("RM", "Table 9")) as table:
        assert sign_on_paper(table, line_id, fresh_token()).status_code == 200


@pytest.mark.parametrize("signed_again", [5, 0])
def test_a_record_put_back_with_everything_beside_it_is_noticed_and_settled_by_the_lead(
    browser: Browser, laptop: Server, tmp_path: Path, signed_again: int
) -> None:
    table = signed_on(browser, laptop, "RM", "Table 1")
    lead = signed_on(browser, laptop, "LO", "Lead's desk")
    strips = [strip_of(page) for page in (table, lead)]
    laptop.kill()
    shutil.copytree(tmp_path / "day", tmp_path / "older")
    laptop.start()
    sign(laptop, laptop.day.open_lines[0])
    for strip in strips:
        expect(strip).to_contain_text("1 line signed.", timeout=SOON_MS)
        expect(strip).not_to_contain_text(GONE)
    laptop.kill()
    shutil.rmtree(tmp_path / "day")
    shutil.copytree(tmp_path / "older", tmp_path / "day")
    laptop.start()
    # Five signatures make the log grow past what was seen: its number alone would tell nothing.
    for line_id in laptop.day.open_lines[1 : 1 + signed_again]:
        sign(laptop, line_id)
    for strip in strips:
        expect(strip).to_contain_text(GONE, timeout=SOON_MS)
        expect(strip).to_contain_text("Call the lead worker")
    table.reload()
    expect(strips[0]).to_contain_text(GONE, timeout=SOON_MS)
    with closing(laptop.station("LO", "Lead's desk")) as desk:
        opened = desk.get("/api/irregularities").json()["irregularities"]
        codes = [one["code"] for one in opened]
        assert codes.count("record-is-older") == len(codes) > 0
        for one in opened:
            path = f"/api/irregularities/{one['seq']}/settle"
            post(desk, path, {"how": "the registrar says to go on"}).raise_for_status()
    for strip in strips:
        expect(strip).to_contain_text("The polls are open", timeout=SOON_MS)
        expect(strip).not_to_contain_text(GONE)
    for page in (table, lead):
        page.context.close()
