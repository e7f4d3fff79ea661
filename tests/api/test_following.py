"""The routes for the laptop that follows: a code that is good once, a secret, and giving way."""

from __future__ import annotations

import json
import shutil
import time
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest
from starlette.testclient import TestClient

from app.api.routes_copy import Following
from app.desk.standing_by import CERTIFICATE_LETTERS, Pairing, letters_of, parts_of
from app.records import changes, standby
from app.records.standby import Standby
from app.rules.faults import JoinCodeWrong
from app.rules.policy import Policy
from app.server import build_app
from tests.api.conftest import HOST, Precinct

NOTHING = {"no": 0, "head": "", "epoch": 0}


class Primary(Precinct):
    code: str = ""


@pytest.fixture
def primary(
    templates: Callable[[Policy], tuple[Path, Any]], tmp_path: Path
) -> Iterator[tuple[Precinct, str]]:
    """The precinct with its polls open, and the code with which a laptop may follow."""
    template, ids = templates(Policy())
    shutil.copy(template, tmp_path / "day.db")
    url = f"sqlite:///{tmp_path.as_posix()}/day.db"
    following = Following(Standby(), Pairing(b""))
    app = build_app(url, {HOST}, copy_to=[following.standby.of], following=following)
    with TestClient(app, base_url=f"http://{HOST}"):
        precinct = Precinct(url, app, ids)
        lead = precinct.station("LO", "Lead's desk")
        assert precinct.post(lead, "/api/day/open").status_code == 200
        yield precinct, parts_of(following.pairing.code)[1]


def join(precinct: Precinct, code: str) -> Any:
    return precinct.client().post("/api/copy/join", json={"code": code})


def follower(precinct: Precinct, code: str) -> TestClient:
    client = precinct.client()
    client.headers["Authorization"] = f"Bearer {join(precinct, code).json()['secret']}"
    return client


def test_a_code_lets_one_laptop_in_once(primary: tuple[Precinct, str]) -> None:
    precinct, code = primary
    assert join(precinct, code).status_code == 200
    again = join(precinct, code)
    assert (again.status_code, again.json()["code"]) == (403, "join-code-wrong")


def test_ten_guesses_use_the_code_up(primary: tuple[Precinct, str]) -> None:
    precinct, code = primary
    for _ in range(10):
        assert join(precinct, "34673467").json()["code"] == "join-code-wrong"
    assert join(precinct, code).json()["code"] == "join-code-wrong"


def test_a_code_that_is_an_hour_old_is_none_any_more(
    primary: tuple[Precinct, str], monkeypatch: pytest.MonkeyPatch
) -> None:
    precinct, code = primary
    pairing = precinct.app.state.following.pairing
    pairing._made -= 3601
    assert join(precinct, code).json()["code"] == "join-code-wrong"


@pytest.mark.parametrize(
    ("method", "path", "body"),
    [
        ("GET", "/api/copy/snapshot", None),
        ("POST", "/api/copy/changes", NOTHING),
        ("POST", "/api/copy/took-over", {"epoch": 5}),
    ],
)
@pytest.mark.parametrize("secret", ["", "Bearer ", "Bearer wrong", "wrong"])
def test_nobody_but_the_laptop_that_follows_reads_anything(
    primary: tuple[Precinct, str], method: str, path: str, body: Any, secret: str
) -> None:
    precinct, code = primary
    follower(precinct, code)
    lead = precinct.station("LO", "Lead's desk")
    for client in (precinct.client(), lead):
        answer = client.request(method, path, json=body, headers={"Authorization": secret})
        assert answer.json()["code"] == "not-joined"
        assert "Quillfeather" not in answer.text
    assert precinct.sign(lead, "plain").status_code == 200


def test_a_second_laptop_that_joins_ends_the_first_ones_secret(
    primary: tuple[Precinct, str],
) -> None:
    precinct, code = primary
    first = follower(precinct, code)
    assert first.get("/api/copy/snapshot").status_code == 200
    pairing = Pairing(b"")
    object.__setattr__(precinct.app.state.following, "pairing", pairing)
    second = follower(precinct, parts_of(pairing.code)[1])
    assert second.get("/api/copy/snapshot").status_code == 200
    assert first.get("/api/copy/snapshot").json()["code"] == "not-joined"


def test_the_lead_makes_a_fresh_code_and_the_one_before_is_none_any_more(
    primary: tuple[Precinct, str],
) -> None:
    precinct, code = primary
    lead = precinct.station("LO", "Lead's desk")
    assert lead.get("/api/day").json()["may_be_followed"] is True
    said = precinct.post(lead, "/api/copy/code").json()
    assert said["seconds"] == 3600
    command, fresh = said["command"].split(" --code ")
    assert command == "tablebook follow http://127.0.0.1:8407"
    assert join(precinct, code).json()["code"] == "join-code-wrong"
    assert join(precinct, parts_of(fresh)[1]).status_code == 200
    assert join(precinct, parts_of(fresh)[1]).json()["code"] == "join-code-wrong"


def test_a_fresh_code_is_good_after_the_first_was_guessed_at_or_grew_old(
    primary: tuple[Precinct, str],
) -> None:
    precinct, _ = primary
    lead = precinct.station("LO", "Lead's desk")
    for _ in range(10):
        assert join(precinct, "34673467").json()["code"] == "join-code-wrong"
    precinct.app.state.following.pairing._made -= 3601
    fresh = precinct.post(lead, "/api/copy/code").json()["command"].split(" --code ")[1]
    assert join(precinct, parts_of(fresh)[1]).status_code == 200


@pytest.mark.parametrize("initials", ["RM", "GS"])
def test_nobody_but_the_lead_makes_a_code(primary: tuple[Precinct, str], initials: str) -> None:
    precinct, code = primary
    refused = precinct.post(precinct.station(initials), "/api/copy/code")
    assert (refused.status_code, refused.json()["code"]) == (403, "not-allowed")
    assert join(precinct, code).status_code == 200, "the code that was shown is still good"


def test_where_nobody_may_follow_no_code_is_made(precinct: Precinct) -> None:
    lead = precinct.station("LO", "Lead's desk")
    refused = precinct.post(lead, "/api/copy/code")
    assert (refused.status_code, refused.json()["code"]) == (404, "not-found")
    assert lead.get("/api/day").json()["may_be_followed"] is False


def test_where_no_second_laptop_has_joined_nothing_is_missing_and_nobody_is_told(
    primary: tuple[Precinct, str],
) -> None:
    precinct, _ = primary
    lead = precinct.station("LO", "Lead's desk")
    assert precinct.sign(lead, "plain").status_code == 200
    (copy,) = lead.get("/api/day").json()["copies"]
    assert (copy["which"], copy["state"], copy["why"]) == ("standby", "waiting", None)
    kinds = {item["kind"] for item in lead.get("/api/attention").json()["items"]}
    assert "copy-failing" not in kinds
    assert "copy.failed" not in {one["kind"] for one in lead.get("/api/log").json()["entries"]}


def test_one_that_joined_and_never_asks_is_missing_and_the_lead_is_told(
    primary: tuple[Precinct, str], monkeypatch: pytest.MonkeyPatch
) -> None:
    precinct, code = primary
    monkeypatch.setattr(standby, "JOINING_SECONDS", 0.05)
    lead = precinct.station("LO", "Lead's desk")
    assert join(precinct, code).status_code == 200
    deadline = time.monotonic() + 20
    while (copy := lead.get("/api/day").json()["copies"][0])["state"] != "failing":
        assert time.monotonic() < deadline, copy
        time.sleep(0.02)
    assert copy["why"] == "gone"
    kinds = {item["kind"] for item in lead.get("/api/attention").json()["items"]}
    assert "copy-failing" in kinds


def test_one_that_holds_what_is_not_here_keeps_it_and_the_lead_is_told(
    primary: tuple[Precinct, str],
) -> None:
    precinct, code = primary
    client, lead = follower(precinct, code), precinct.station("LO", "Lead's desk")
    newer = {"no": 10_000, "head": "ab" * 32, "epoch": 0}
    deadline = time.monotonic() + 20
    while (said := client.post("/api/copy/changes", json=newer).json())["do"] != "keep":
        assert said["do"] == "wait", said
        assert time.monotonic() < deadline
    (copy,) = lead.get("/api/day").json()["copies"]
    assert (copy["state"], copy["why"]) == ("failing", "holds-more")
    (need,) = (
        item
        for item in lead.get("/api/attention").json()["items"]
        if item["kind"] == "copy-failing"
    )
    assert need["facts"]["why"] == "holds-more"
    # With nothing in its hands it is sent everything, as ever.
    until_fetch = time.monotonic() + 20
    while client.post("/api/copy/changes", json=NOTHING).json()["do"] != "fetch":
        assert time.monotonic() < until_fetch


def test_where_nobody_may_follow_there_is_nothing(precinct: Precinct) -> None:
    for method, path, body in (
        ("POST", "/api/copy/join", {"code": "x"}),
        ("GET", "/api/copy/snapshot", None),
        ("POST", "/api/copy/changes", NOTHING),
    ):
        answer = precinct.client().request(method, path, json=body)
        assert answer.json()["code"] == "not-found"


def test_it_is_sent_everything_and_then_asked_to_wait(primary: tuple[Precinct, str]) -> None:
    precinct, code = primary
    client = follower(precinct, code)
    lines = client.get("/api/copy/snapshot").text.splitlines()
    tables = {json.loads(line).get("table") for line in lines}
    assert {"day_log", "line", "line_state", "worker", "about"} <= tables
    assert "sign_on" not in tables
    assert json.loads(lines[-1])["whole"] > 0
    held = precinct.app.state.roster.store.read(changes.change_no)
    said = client.post("/api/copy/changes", json={**NOTHING, "no": held, "head": "x"}).json()
    assert said["do"] in ("wait", "fetch")


@pytest.mark.parametrize(
    "body",
    [{}, {**NOTHING, "no": -1}, {**NOTHING, "no": "x"}, {**NOTHING, "extra": 1}, [], "x"],
)
def test_what_cannot_be_read_is_said(primary: tuple[Precinct, str], body: Any) -> None:
    precinct, code = primary
    assert follower(precinct, code).post("/api/copy/changes", json=body).status_code == 422


def test_a_laptop_that_hears_that_another_took_over_records_nothing_more(
    primary: tuple[Precinct, str],
) -> None:
    precinct, code = primary
    table = precinct.station("RM")
    client = follower(precinct, code)
    assert client.post("/api/copy/took-over", json={"epoch": 0}).json() == {"gives_way": False}
    assert precinct.sign(table, "plain").status_code == 200
    assert client.post("/api/copy/took-over", json={"epoch": 1}).json() == {"gives_way": True}
    refused = precinct.sign(table, "second ballot")
    assert (refused.status_code, refused.json()["code"]) == (503, "newer-record-elsewhere")
    assert client.post("/api/copy/took-over", json={"epoch": 1}).json() == {"gives_way": True}
    assert precinct.client().get("/api/day").json()["refusal"] == "newer-record-elsewhere"
    with TestClient(build_app(precinct.url, {HOST}), base_url=f"http://{HOST}") as again:
        assert again.get("/api/day").json()["refusal"] == "newer-record-elsewhere"


def test_a_question_with_a_higher_epoch_tells_it_too(primary: tuple[Precinct, str]) -> None:
    precinct, code = primary
    table = precinct.station("RM")
    follower(precinct, code).post("/api/copy/changes", json={**NOTHING, "epoch": 3})
    assert precinct.sign(table, "plain").json()["code"] == "newer-record-elsewhere"


def test_a_code_stands_for_one_certificate_however_it_is_typed() -> None:
    pairing = Pairing(b"a certificate")
    of_certificate, once = parts_of(pairing.code.lower().replace(" ", "-"))
    assert of_certificate == letters_of(b"a certificate")
    assert letters_of(b"another") != of_certificate
    pairing.take(once)


@pytest.mark.parametrize("code", ["", "X", "0000 " * 6, "3467 " * 5, "3467 " * 7])
def test_what_is_no_code_is_refused(code: str) -> None:
    with pytest.raises(JoinCodeWrong):
        parts_of(code)
    assert CERTIFICATE_LETTERS == 16
