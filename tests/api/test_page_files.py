"""How the page's own files are sent: lean, each with its type, and once."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from fastapi.testclient import TestClient

from app.server import build_app, frontend_folder
from tests.api.conftest import HOST

FRONTEND = frontend_folder()
SCRIPTS = sorted(file.relative_to(FRONTEND).as_posix() for file in FRONTEND.rglob("*.js"))
STYLES = sorted(file.relative_to(FRONTEND).as_posix() for file in FRONTEND.rglob("*.css"))
# What a worker could read, or what a rule looks for: none of it may be changed on the way.
LITERALS = re.compile(r"'(?:[^'\\\n]|\\.)*'|`(?:[^`\\]|\\.)*`")


def written(path: str) -> str:
    return (FRONTEND / path).read_text(encoding="utf-8")


def without_comments(script: str) -> str:
    return re.sub(r"/\*.*?\*/|^\s*//[^\n]*$", "", script, flags=re.DOTALL | re.MULTILINE)


@pytest.fixture(scope="module")
def sent() -> TestClient:
    """The files alone need no day: no route of the record is asked."""
    return TestClient(build_app("sqlite:///unused.db", {HOST}), base_url=f"http://{HOST}")


@pytest.mark.parametrize("path", SCRIPTS)
def test_a_script_is_sent_without_its_comments_and_with_every_text_in_it(
    sent: TestClient, path: str
) -> None:
    answer = sent.get(f"/{path}")
    assert answer.headers["content-type"].partition(";")[0] == "text/javascript"
    assert len(answer.text) < len(written(path))
    assert LITERALS.findall(answer.text) == LITERALS.findall(without_comments(written(path)))


@pytest.mark.parametrize("path", STYLES)
def test_a_stylesheet_is_sent_without_its_comments_and_with_every_rule(
    sent: TestClient, path: str
) -> None:
    answer = sent.get(f"/{path}")
    assert answer.headers["content-type"].partition(";")[0] == "text/css"
    assert "/*" not in answer.text
    assert answer.text.count("{") == written(path).count("{")


def test_a_file_that_the_browser_has_already_is_not_sent_again(sent: TestClient) -> None:
    tag = sent.get("/controller.js").headers["etag"]
    again = sent.get("/controller.js", headers={"If-None-Match": tag})
    assert (again.status_code, again.content, again.headers["etag"]) == (304, b"", tag)
    assert sent.get("/controller.js", headers={"If-None-Match": '"old"'}).status_code == 200
    assert sent.head("/controller.js").content == b""


def test_as_written_every_file_is_sent_as_it_stands() -> None:
    app = build_app("sqlite:///unused.db", {HOST}, as_written=True)
    client = TestClient(app, base_url=f"http://{HOST}")
    for path in (*SCRIPTS[:5], *STYLES, "index.html"):
        assert client.get(f"/{path}").text == written(path)


def test_the_folder_of_the_page_is_the_one_that_is_worked_on() -> None:
    assert Path(__file__).parents[2] / "frontend" == FRONTEND
