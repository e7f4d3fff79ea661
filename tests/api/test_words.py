"""The page's words in parts, and what is compressed on its way to the browser."""

from __future__ import annotations

import asyncio
import gzip
import json
from pathlib import Path
from typing import Any

import pytest
from sqlalchemy import Connection
from starlette.testclient import TestClient

from app.api.words import PARTS_FILE, WordsInParts
from app.records import queries
from app.records.entry import Entry
from app.server import frontend_folder
from tests.api.conftest import Precinct
from tests.api.live_page import happens, listening

FOLDER = frontend_folder() / "words"
WORDS = WordsInParts(FOLDER)
TABLE = json.loads((FOLDER / PARTS_FILE).read_text(encoding="utf-8"))


def whole(language: str) -> dict[str, Any]:
    found: dict[str, Any] = json.loads((FOLDER / f"{language}.json").read_text(encoding="utf-8"))
    return found


@pytest.fixture
def browser(before_opening: Precinct) -> TestClient:
    """Nobody is signed on."""
    return before_opening.client()


@pytest.mark.parametrize("language", WORDS.languages)
def test_every_section_is_in_exactly_one_part(language: str, browser: TestClient) -> None:
    served: list[str] = []
    together: dict[str, Any] = {}
    for part in WORDS.parts:
        sections = browser.get(f"/words/{language}/{part}.json").json()
        served += sections
        together |= sections
    assert sorted(served) == sorted(whole(language))
    assert together == whole(language)


def test_the_table_of_parts_names_no_section_twice_and_none_that_is_not_there() -> None:
    named = [section for sections in TABLE["parts"].values() for section in sections]
    assert len(named) == len(set(named))
    assert set(named) - set(whole("en")) == set()
    assert TABLE["first"] not in TABLE["parts"]
    assert all(WORDS.sections("en")[part] for part in WORDS.parts)


def test_there_are_the_languages_that_there_are_files_of() -> None:
    assert {"en", "es"} <= set(WORDS.languages)
    assert "parts" not in WORDS.languages


def test_a_new_language_is_one_file(tmp_path: Path) -> None:
    for file in FOLDER.glob("*.json"):
        (tmp_path / file.name).write_bytes(file.read_bytes())
    (tmp_path / "pt.json").write_text('{"head": {"title": "Livro"}, "call": {"a": "b"}}')
    words = WordsInParts(tmp_path)
    assert json.loads(words.part("pt", TABLE["first"]).content) == {"head": {"title": "Livro"}}
    assert json.loads(words.part("pt", "lead").content) == {"call": {"a": "b"}}
    assert json.loads(words.part("pt", "way").content) == {}


def test_a_section_that_no_part_names_comes_with_the_first(tmp_path: Path) -> None:
    (tmp_path / "parts.json").write_text('{"first": "table", "parts": {"more": ["b"]}}')
    (tmp_path / "en.json").write_text('{"a": {}, "b": {}, "c": {}}')
    assert WordsInParts(tmp_path).sections("en") == {"table": ["a", "c"], "more": ["b"]}


def test_a_part_is_json_with_a_tag_that_changes_with_the_words(
    browser: TestClient, tmp_path: Path
) -> None:
    answer = browser.get("/words/en/table.json")
    assert answer.headers["content-type"] == "application/json"
    assert answer.headers["cache-control"] == "no-cache"
    assert answer.headers["x-content-type-options"] == "nosniff"
    tags = {browser.get(f"/words/{one}/table.json").headers["etag"] for one in ("en", "es", "en")}
    assert len(tags) == 2
    for file in FOLDER.glob("*.json"):
        (tmp_path / file.name).write_bytes(file.read_bytes())
    (tmp_path / "en.json").write_text(json.dumps({**whole("en"), "head": {}}))
    changed = WordsInParts(tmp_path).part("en", "table").etag
    assert changed not in tags


def test_what_the_browser_has_is_not_sent_again(browser: TestClient) -> None:
    etag = browser.get("/words/en/table.json").headers["etag"]
    for named in (etag, f"W/{etag}", f'"other", {etag}', "*"):
        again = browser.get("/words/en/table.json", headers={"If-None-Match": named})
        assert (again.status_code, again.content) == (304, b"")
        assert again.headers["etag"] == etag
    other = browser.get("/words/en/table.json", headers={"If-None-Match": '"other"'})
    assert other.status_code == 200


def test_a_part_can_be_asked_about_without_being_fetched(browser: TestClient) -> None:
    answer = browser.head("/words/en/table.json")
    assert (answer.status_code, answer.content) == (200, b"")


@pytest.mark.parametrize(
    "path",
    [
        "/words/en/nothing.json",
        "/words/xx/table.json",
        "/words/EN/table.json",
        "/words/parts/table.json",
        "/words/en/table",
        "/words/en/.json",
        "/words/../words/en/table.json/x",
        "/words/%2e%2e/table.json",
        "/words/..%2fwords%2fen/table.json",
        "/words/%2e%2e%2f%2e%2e%2fetc/passwd.json",
        "/words/en/..%2f..%2f..%2fREADME.md",
        "/words/en%00/table.json",
        "/words/en/table%00.json",
        "/words/en\\..\\/table.json",
    ],
)
def test_an_unknown_language_or_part_and_every_way_out_is_not_found(
    browser: TestClient, path: str
) -> None:
    answer = browser.get(path)
    assert answer.status_code == 404
    assert answer.json()["code"] == "not-found"
    assert answer.headers["content-type"] == "application/problem+json"


def test_words_are_not_written(browser: TestClient) -> None:
    answer = browser.post("/words/en/table.json", json={})
    assert answer.json()["code"] == "method-not-allowed"


def test_the_first_part_is_smaller_than_the_whole(browser: TestClient) -> None:
    for language in WORDS.languages:
        first = browser.get(f"/words/{language}/table.json").content
        assert len(first) < 0.75 * (FOLDER / f"{language}.json").stat().st_size


def encoding(client: TestClient, path: str, accept: str = "gzip", **headers: str) -> str | None:
    asked = {"Accept-Encoding": accept, **headers}
    with client.stream("GET", path, headers=asked) as answer:
        assert answer.status_code in (200, 206), path
        found: str | None = answer.headers.get("content-encoding")
        return found


@pytest.mark.parametrize(
    "path",
    ["/", "/index.html", "/controller.js", "/styles/page.css", "/words/en.json",
     "/words/en/table.json"],
)  # fmt: skip
def test_the_page_is_compressed_for_a_browser_that_can_read_it(
    browser: TestClient, path: str
) -> None:
    assert encoding(browser, path) == "gzip"
    assert encoding(browser, path, accept="identity") is None
    with browser.stream("GET", path, headers={"Accept-Encoding": "gzip"}) as packed:
        raw = b"".join(packed.iter_raw())
        assert packed.headers["vary"].lower() == "accept-encoding"
        kind = packed.headers["content-type"]
    plain = browser.get(path, headers={"Accept-Encoding": "identity"})
    assert plain.headers["content-type"] == kind
    assert gzip.decompress(raw) == plain.content
    assert len(raw) < len(plain.content)


def test_a_piece_of_a_file_is_not_compressed(browser: TestClient) -> None:
    assert encoding(browser, "/controller.js", Range="bytes=0-2000") is None


def test_no_answer_with_people_in_it_is_compressed(precinct: Precinct) -> None:
    lead = precinct.station("LO", "Lead's desk")
    for path in (
        "/api/day",
        "/api/log?limit=1000",
        f"/api/lines/{precinct.ids['plain']}",
        "/api/attention",
        "/api/turnout",
        "/api/papers/posted-count.pdf",
    ):
        assert encoding(lead, path) is None
    found = lead.post(
        "/api/find", json={"text": "quillfeather"}, headers={"Accept-Encoding": "gzip"}
    )
    assert "content-encoding" not in found.headers


def test_what_is_recorded_reaches_a_live_page_at_once(precinct: Precinct) -> None:
    """Asking for gzip: the message is there before the stream ends."""
    table = precinct.station("RM")
    entry = precinct.app.state.roster.store.read(newest)

    async def scenario() -> list[dict[str, Any]]:
        async with listening(precinct, table) as sent:
            precinct.app.state.live.announce([entry])
            assert await happens(lambda: b"worker.signed_on" in body_of(sent))
            return sent

    start, *_ = asyncio.run(scenario())
    headers = dict(start["headers"])
    assert headers[b"content-type"].startswith(b"text/event-stream")
    assert b"content-encoding" not in headers


def body_of(sent: list[dict[str, Any]]) -> bytes:
    return b"".join(message.get("body", b"") for message in sent)


def newest(connection: Connection) -> Entry:
    return queries.entry(connection, queries.head(connection).seq)
