"""A voter who cannot sign makes a mark, or says that they cannot, and a witness signs beside it."""

from __future__ import annotations

import json
import sqlite3
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st
from starlette.testclient import TestClient

from app.desk.witness import is_name_of
from app.records.store import verify_database
from app.rules.policy import Policy
from tests.api.conftest import Precinct
from tests.making import line

CROSS = [[[100, 100, 0], [900, 900, 80]], [[900, 100, 300], [100, 900, 380]]]
SIGNED = [[[10, 10, 0], [20, 30, 40], [40, 10, 90]]]
WITNESS: dict[str, Any] = {"name": "Wilhelmina Ash", "how": "drawn", "strokes": SIGNED}
ON_PAPER = {"name": "Wilhelmina Ash", "how": "paper"}


@pytest.fixture
def table(precinct: Precinct) -> TestClient:
    return precinct.station("RM")


def mark(precinct: Precinct, table: TestClient, who: str = "plain", **changed: Any) -> Any:
    """The answer to a cross drawn on the page, with a witness; `changed` may take fields out."""
    body = {"how": "mark", "mark": "drawn", "strokes": CROSS, "witness": WITNESS, **changed}
    return precinct.sign(table, who, **{k: v for k, v in body.items() if v is not None})


def history(precinct: Precinct, table: TestClient, who: str = "plain") -> list[dict[str, Any]]:
    entries: list[dict[str, Any]] = precinct.sheet(table, who)["history"]
    return entries


def holds(precinct: Precinct) -> bool:
    found = verify_database(precinct.url)
    assert found.holds, found.fault
    return True


def stands_nothing(precinct: Precinct, table: TestClient, who: str = "plain") -> bool:
    sheet = precinct.sheet(table, who)
    return sheet["state"]["signature"] is None and sheet["history"] == []


@pytest.mark.parametrize(
    "given_",
    [
        {},
        {"mark": "paper", "strokes": None},
        {"mark": "none", "strokes": None},
        {"witness": ON_PAPER},
        {"mark": "paper", "strokes": None, "witness": ON_PAPER},
    ],
)
def test_a_mark_with_a_witness_is_the_voters_signature(
    precinct: Precinct, table: TestClient, given_: dict[str, Any]
) -> None:
    asked = {"mark": "drawn", "witness": WITNESS, **given_}
    answer = mark(precinct, table, **given_)
    assert answer.status_code == 200, answer.json()
    assert answer.json()["kind"] == "signature.recorded"
    sheet = precinct.sheet(table, "plain")
    assert (sheet["state"]["standing"], sheet["verdict"]["outcome"]) == ("signed", "stop")
    (entry,) = sheet["history"]
    body = entry["body"]
    assert (body["how"], body["mark"]) == ("mark", asked["mark"])
    assert (body["witness_how"], body["witness_name"]) == (asked["witness"]["how"], WITNESS["name"])
    assert (body["strokes_sha256"] is not None) is (asked["mark"] == "drawn")
    assert holds(precinct)


def test_the_witness_is_not_named_in_the_log(precinct: Precinct, table: TestClient) -> None:
    mark(precinct, table)
    text = json.dumps(table.get("/api/log?limit=1000").json())
    assert "Wilhelmina" not in text
    assert "details_sha256" in text


def test_a_worker_may_be_the_witness(precinct: Precinct, table: TestClient) -> None:
    witness = {"name": "Worker TB", "how": "paper"}
    assert mark(precinct, table, witness=witness).status_code == 200


def test_the_same_key_again_gives_the_same_answer_and_one_entry(
    precinct: Precinct, table: TestClient
) -> None:
    token = precinct.token()
    first = mark(precinct, table, token=token)
    assert mark(precinct, table, token=token).json() == first.json()
    assert len(history(precinct, table)) == 1
    for changed in (
        {"witness": {**WITNESS, "name": "Somebody Else"}},
        {"witness": ON_PAPER},
        {"witness": {**WITNESS, "strokes": CROSS}},
        {"mark": "none", "strokes": None},
    ):
        assert mark(precinct, table, token=token, **changed).json()["code"] == "token-reused"
    assert holds(precinct)


@pytest.mark.parametrize("witness", [None, {"name": "", "how": "paper"}, {**ON_PAPER, "name": " "}])
def test_without_a_witness_nothing_is_recorded_and_it_is_said_what_is_missing(
    precinct: Precinct, table: TestClient, witness: Any
) -> None:
    answer = mark(precinct, table, witness=witness)
    assert (answer.status_code, answer.json()["code"]) == (422, "witness-missing")
    assert "Write the name" in answer.json()["what_to_do"]
    assert stands_nothing(precinct, table)
    assert holds(precinct)


@pytest.mark.parametrize(
    "name",
    ["Odette Quillfeather", "quillfeather, odette", "ODÉTTE QUILLFEATHER", "OdetteQuillfeather"],
)
def test_nobody_is_their_own_witness(precinct: Precinct, table: TestClient, name: str) -> None:
    answer = mark(precinct, table, witness={**ON_PAPER, "name": name})
    assert (answer.status_code, answer.json()["code"]) == (409, "witness-is-voter")
    assert stands_nothing(precinct, table)


def test_a_father_may_witness_for_the_son_of_his_name(
    precinct: Precinct, table: TestClient
) -> None:
    evidence = {"birth_date": "6/30/1981"}

    def witnessed_by(name: str) -> Any:
        return mark(
            precinct, table, "junior", witness={**ON_PAPER, "name": name}, evidence=evidence
        )

    for own in ("Simon Yarrow", "Simon Yarrow Jr", "Simon Yarrow, Junior"):
        assert witnessed_by(own).json()["code"] == "witness-is-voter"
    assert witnessed_by("Simon Yarrow Sr").status_code == 200


@pytest.mark.parametrize(
    "changed",
    [
        {"mark": None, "strokes": None},
        {"mark": "cross", "strokes": None},
        {"mark": "drawn", "strokes": None},
        {"mark": "none"},
        {"mark": "paper"},
        {"how": "drawn", "mark": None},
        {"how": "drawn", "witness": None},
        {"how": "paper", "mark": None, "strokes": None},
        {"witness": {"name": "Wilhelmina Ash"}},
        {"witness": {**WITNESS, "how": "mark"}},
        {"witness": {**WITNESS, "strokes": None}},
        {"witness": {**ON_PAPER, "strokes": SIGNED}},
        {"witness": {**ON_PAPER, "name": "x" * 81}},
        {"witness": {**ON_PAPER, "name": "a\u0000b"}},
        {"witness": {**ON_PAPER, "initials": "WA"}},
        {"strokes": [[[1, 1, n] for n in range(2_000)]],
         "witness": {**WITNESS, "strokes": [[[1, 1, n] for n in range(1_500)]]}},
    ],
)  # fmt: skip
def test_what_does_not_belong_together_is_refused_whole(
    precinct: Precinct, table: TestClient, changed: dict[str, Any]
) -> None:
    answer = mark(precinct, table, **changed)
    assert (answer.status_code, answer.json()["code"]) == (422, "bad-request")
    assert stands_nothing(precinct, table)


def test_a_mark_opens_no_line_that_a_signature_would_not(
    precinct: Precinct, table: TestClient
) -> None:
    assert mark(precinct, table, "mail").json()["code"] == "voted-by-mail"
    assert mark(precinct, table, "helper").json()["code"] == "step-missing"
    mark(precinct, table)
    assert mark(precinct, table).json()["code"] == "already-signed"


def test_the_option_is_listed_where_the_line_says_sign(
    precinct: Precinct, table: TestClient
) -> None:
    options = precinct.sheet(table, "plain")["verdict"]["options"]
    assert [option["code"] for option in options] == ["mark-and-witness"]


class TestSwitchedOff:
    @pytest.fixture
    def policy(self) -> Policy:
        return Policy(mark_and_witness="off")

    def test_a_place_that_does_not_know_it_says_so(
        self, precinct: Precinct, table: TestClient
    ) -> None:
        assert precinct.sheet(table, "plain")["verdict"]["options"] == []
        problem = mark(precinct, table).json()
        assert (problem["code"], problem["setting"]) == ("not-provided-for", "mark_and_witness")
        assert stands_nothing(precinct, table)


def test_a_mark_moved_to_the_right_line_takes_its_witness_along(
    precinct: Precinct, table: TestClient
) -> None:
    lead = precinct.station("LO", "Lead's desk")
    mark(precinct, table)

    def move(to: str) -> Any:
        path = f"/api/lines/{precinct.ids['plain']}/signature/move"
        body = {"reason": "Wrong line.", "to_line_id": precinct.ids[to]}
        return precinct.post(lead, path, body)

    answer = move("spare 0")
    assert answer.status_code == 200, answer.json()
    (moved,) = history(precinct, table, "spare 0")
    body = moved["body"]
    assert (body["how"], body["mark"], body["witness_name"]) == ("mark", "drawn", WITNESS["name"])
    (signed, _withdrawn) = history(precinct, table)
    assert body["strokes_sha256"] == signed["body"]["strokes_sha256"]
    assert body["details_sha256"] != signed["body"]["details_sha256"]
    assert holds(precinct)


def test_a_mark_is_not_moved_to_the_witnesss_own_line(
    precinct: Precinct, table: TestClient
) -> None:
    lead = precinct.station("LO", "Lead's desk")
    mark(precinct, table, witness={**ON_PAPER, "name": "Ivo Sparemana"})
    path = f"/api/lines/{precinct.ids['plain']}/signature/move"
    body = {"reason": "Wrong line.", "to_line_id": precinct.ids["spare 0"]}
    assert precinct.post(lead, path, body).json()["code"] == "witness-is-voter"
    assert precinct.sheet(table, "plain")["state"]["signature"] is not None


def test_a_plain_signature_says_nothing_of_a_witness(precinct: Precinct, table: TestClient) -> None:
    precinct.sign(table, "plain")
    body = history(precinct, table)[0]["body"]
    assert (body["mark"], body["witness_how"], body["details_sha256"]) == (None, None, None)
    assert "witness_name" not in body


def test_whoever_changes_the_witnesss_name_is_found_by_verify(
    precinct: Precinct, table: TestClient
) -> None:
    seq = mark(precinct, table).json()["seq"]
    assert holds(precinct)
    with plain(precinct) as record:
        record.execute("UPDATE personal SET details = replace(details, 'Wilhelmina', 'Ferdinand')")
    found = verify_database(precinct.url)
    assert found.fault == f"the details of entry {seq} is not what it speaks of"


def plain(precinct: Precinct) -> sqlite3.Connection:
    return sqlite3.connect(Path(precinct.url.removeprefix("sqlite:///")))


@pytest.mark.parametrize(
    ("name", "is_theirs"),
    [
        ("Mary Ann de la Cruz", True),
        ("dela Cruz Mary", True),
        ("Mary A. de la Cruz", True),
        ("Mary B de la Cruz", False),
        ("Mary", False),
        ("Cruz", False),
        ("Mary Ann de la Cruz II", False),
        ("Maria de la Cruz", False),
        ("", False),
        ("欧阳", False),
    ],
)
def test_a_name_is_the_lines_own_however_it_is_written(name: str, is_theirs: bool) -> None:
    voter = line(first_name="Mary", middle_name="Ann", last_name="de la Cruz")
    assert is_name_of(name, voter) is is_theirs


@given(st.text(max_size=80))
def test_whatever_is_written_as_a_name_is_compared_and_breaks_nothing(name: str) -> None:
    assert is_name_of(name, line()) in (True, False)
