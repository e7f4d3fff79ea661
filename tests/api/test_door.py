"""Who gets in, from where, with what; and the one shape of every problem."""

from __future__ import annotations

import json
from typing import Any

import pytest
from fastapi import FastAPI
from fastapi.routing import APIRoute
from starlette.testclient import TestClient

from app.api.access import ACCESS, ANYBODY
from app.api.problems import MEDIA_TYPE, PROBLEMS, problem
from app.rules import faults
from app.rules.verdict import OPTIONS_AFTER
from tests.api.conftest import HOST, Precinct


def api_routes(app: FastAPI) -> set[tuple[str, str]]:
    from starlette.routing import Route

    found: set[tuple[str, str]] = set()
    for route in _all_routes(app.routes):
        if isinstance(route, APIRoute | Route) and route.path.startswith("/api"):
            found |= {(method, route.path) for method in (route.methods or ()) if method != "HEAD"}
    return found


def _all_routes(routes: Any) -> Any:
    """Routes, also those inside routers that the app keeps whole."""
    for route in routes:
        yield route
        inner = getattr(route, "original_router", None) or getattr(route, "router", None)
        if inner is not None:
            yield from _all_routes(inner.routes)


def test_every_route_is_in_the_table_of_who_may_call_it(precinct: Precinct) -> None:
    assert api_routes(precinct.app) == set(ACCESS)


def call(precinct: Precinct, client: TestClient, method: str, path: str) -> Any:
    path = path.replace("{line_id}", precinct.ids["plain"])
    if method == "GET":
        return client.get(path)
    return precinct.post(client, path)


@pytest.mark.parametrize(("method", "path"), sorted(ACCESS))
def test_no_route_but_the_open_ones_answers_without_a_sign_on(
    precinct: Precinct, method: str, path: str
) -> None:
    answer = call(precinct, precinct.client(), method, path)
    if ACCESS[method, path] is ANYBODY:
        assert answer.status_code != 401
    else:
        assert (answer.status_code, answer.json()["code"]) == (401, "not-signed-on")


@pytest.mark.parametrize(
    ("method", "path", "initials"),
    [
        (method, path, initials)
        for (method, path), roles in sorted(ACCESS.items())
        for initials, role in (("RM", "worker"), ("LO", "lead"), ("GS", "registrar"))
        if roles and role not in roles
    ],
)
def test_a_role_that_may_not_call_a_route_is_refused(
    precinct: Precinct, method: str, path: str, initials: str
) -> None:
    answer = call(precinct, precinct.station(initials), method, path)
    assert (answer.status_code, answer.json()["code"]) == (403, "not-allowed")


def test_nothing_personal_is_answered_without_a_sign_on(precinct: Precinct) -> None:
    day = precinct.client().get("/api/day").json()
    assert day["counts"] is None
    assert day["worker"] is None
    assert "Quillfeather" not in json.dumps(day)


@pytest.mark.parametrize("host", ["evil.example", "127.0.0.1:9999", "127.0.0.1", "", "localhost"])
def test_another_host_name_is_refused(precinct: Precinct, host: str) -> None:
    answer = precinct.client().get("/api/day", headers={"Host": host})
    assert (answer.status_code, answer.json()["code"]) == (421, "wrong-host")


@pytest.mark.parametrize(
    "headers",
    [
        {"Origin": "null"},
        {"Origin": "http://evil.example"},
        {"Origin": f"https://{HOST}"},
        {"Origin": "http://127.0.0.1:9999"},
        {"Sec-Fetch-Site": "cross-site"},
        {"Sec-Fetch-Site": "same-site"},
    ],
)
def test_a_write_from_another_page_is_refused(precinct: Precinct, headers: dict[str, str]) -> None:
    lead = precinct.station("LO")
    answer = lead.post(
        "/api/day/cut-off", json={}, headers={"Idempotency-Key": "a" * 16, **headers}
    )
    assert (answer.status_code, answer.json()["code"]) == (403, "wrong-origin")
    assert lead.get("/api/day").json()["phase"] == "open"


@pytest.mark.parametrize("content_type", ["text/plain", "application/x-www-form-urlencoded", ""])
def test_a_write_that_is_not_json_is_refused(precinct: Precinct, content_type: str) -> None:
    answer = precinct.station("LO").post(
        "/api/day/cut-off",
        content="{}",
        headers={"Idempotency-Key": "a" * 16, "Content-Type": content_type},
    )
    assert (answer.status_code, answer.json()["code"]) == (415, "not-json")


def test_a_body_over_the_cap_is_refused_before_it_is_read(precinct: Precinct) -> None:
    table = precinct.station("RM")
    headers = {"Content-Type": "application/json"}
    stated = table.post("/api/find", content=b" " * 70_000, headers=headers)
    streamed = table.post("/api/find", content=(b" " * 1_000 for _ in range(70)), headers=headers)
    for answer in (stated, streamed):
        assert (answer.status_code, answer.json()["code"]) == (413, "too-large")


@pytest.mark.parametrize(
    "token", ["", "short", "x" * 65, "has a space in it...", "ümlaut-token-16ch"]
)
def test_a_write_without_a_proper_key_is_refused(precinct: Precinct, token: str) -> None:
    lead = precinct.station("LO")
    headers = {"Idempotency-Key": token.encode()} if token else {}
    answer = lead.post("/api/day/cut-off", json={}, headers=headers)
    assert (answer.status_code, answer.json()["code"]) == (400, "token-missing")
    assert lead.get("/api/day").json()["phase"] == "open"


def test_every_answer_carries_the_headers_that_keep_the_page_shut(precinct: Precinct) -> None:
    table = precinct.station("RM")
    for answer in (table.get("/"), table.get("/api/day"), table.get("/api/nowhere")):
        policy = answer.headers["content-security-policy"]
        assert "default-src 'none'" in policy
        assert "unsafe" not in policy
        assert answer.headers["x-content-type-options"] == "nosniff"
        assert answer.headers["referrer-policy"] == "no-referrer"
        assert "server" not in answer.headers
    assert table.get("/api/day").headers["cache-control"] == "no-store"


def test_the_cookie_cannot_be_read_by_scripts_or_sent_from_elsewhere(precinct: Precinct) -> None:
    client = precinct.client()
    body = {"initials": "RM", "pin": "240713", "station": "Table 1"}
    cookie = precinct.post(client, "/api/sign-on", body).headers["set-cookie"]
    assert "HttpOnly" in cookie
    assert "SameSite=strict" in cookie
    assert "Domain" not in cookie


def is_problem(answer: Any, code: str) -> None:
    body = json.loads(answer.body)
    assert answer.media_type == MEDIA_TYPE
    assert body["code"] == code
    assert body["status"] == answer.status_code
    assert body["type"] == f"urn:tablebook:problem:{code}"
    assert all(body[name] for name in ("title", "detail", "what_to_do"))


@pytest.mark.parametrize("code", sorted(PROBLEMS))
def test_every_problem_has_the_one_shape(code: str) -> None:
    is_problem(problem(code, {"status": 200, "code": "forged", "fact": 1}), code)


def test_every_fault_and_every_refusal_of_the_rules_has_a_problem() -> None:
    of_faults = {fault.code for fault in faults.TablebookFault.__subclasses__()}
    assert of_faults <= set(PROBLEMS)
    assert set(OPTIONS_AFTER) <= set(PROBLEMS)


@pytest.mark.parametrize(
    ("path", "status", "code"),
    [
        ("/api/nowhere", 404, "not-found"),
        ("/api/lines/no-such-line", 404, "not-found"),
        ("/api/find", 404, "not-found"),
        ("/api/log?after=-1", 422, "bad-request"),
        ("/api/log?after=x", 422, "bad-request"),
        ("/api/../pyproject.toml", 404, "not-found"),
    ],
)
def test_a_wrong_address_is_a_problem_too(
    precinct: Precinct, path: str, status: int, code: str
) -> None:
    answer = precinct.station("RM").get(path)
    assert (answer.status_code, answer.json()["code"]) == (status, code)
    assert answer.headers["content-type"] == MEDIA_TYPE


def test_a_mishap_inside_is_said_without_its_insides(
    precinct: Precinct, monkeypatch: pytest.MonkeyPatch
) -> None:
    def mishap(*_: object) -> None:
        raise RuntimeError("the inside of the program")

    table = precinct.station("RM")
    monkeypatch.setattr("app.api.routes_lines.find", mishap)
    answer = precinct.post(table, "/api/find", {"text": "quill"})
    assert (answer.status_code, answer.json()["code"]) == (500, "unexpected")
    assert "inside of the program" not in answer.text


@pytest.mark.parametrize(
    "path", ["/docs", "/redoc", "/openapi.json", "/../app/cli.py", "/%2e%2e/x"]
)
def test_no_description_of_the_routes_and_no_file_outside_the_page_is_served(
    precinct: Precinct, path: str
) -> None:
    assert precinct.client().get(path).status_code == 404
