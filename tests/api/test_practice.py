"""A practice day behind the real API: every exercise done as it should be, and not as it should.

Beside it stands a real record, of which not one byte may change.
"""

from __future__ import annotations

import hashlib
import io
import itertools
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

import pypdf
import pytest
from starlette.testclient import TestClient

from app.api.access import ACCESS, PRACTICE_COOKIE
from app.desk.bundle_reading import check_bundle
from app.desk.practising import WORKERS, PracticeDay, make_practice_day
from app.desk.wiping import may_wipe
from app.intake.package import Package
from app.records.clock import SystemClock
from app.records.store import verify_database
from app.rules.faults import StorageRefused
from app.rules.practice import SETS, number_of
from app.rules.practice_exercises import EXERCISES
from app.rules.setting import Setting
from app.server import build_app
from tests.api.conftest import Precinct, load
from tests.making import setting

HOST = "127.0.0.1:8417"
PINS = {one.initials: one.pin for one in WORKERS}


def make(folder: Path, place: Setting | None = None, *, is_open: bool = True) -> PracticeDay:
    package = Package(place or setting(), (), {})
    real = f"sqlite:///{(folder / 'day.db').as_posix()}"
    practice = folder / "practice"
    practice.mkdir(exist_ok=True)
    return make_practice_day(package, practice, real, SystemClock(), is_open=is_open)


@dataclass
class Practice:
    """The practice server, with its people by role; `place` is the worker's set of them."""

    day: PracticeDay
    client: TestClient
    place: int = 0
    tokens: Iterator[int] = field(default_factory=itertools.count)

    def post(self, path: str, body: object = None) -> Any:
        headers = {"Idempotency-Key": f"practice-token-{next(self.tokens):06}"}
        return self.client.post(path, json=body or {}, headers=headers)

    def done(self, path: str, body: object = None) -> Any:
        answer = self.post(path, body)
        assert answer.status_code == 200, answer.text
        return answer.json()

    def sign_on(self, initials: str = "PA", station: str = "Table 1") -> None:
        self.done("/api/sign-on", {"initials": initials, "pin": PINS[initials], "station": station})

    def line(self, role: str) -> str:
        number = number_of(self.place, role)
        (match,) = self.done("/api/find", {"text": number})["matches"]
        assert match["voter_number"] == number
        return str(match["line_id"])

    def sign(self, role: str, **evidence: Any) -> Any:
        body = {"how": "paper", "evidence": evidence}
        return self.done(f"/api/lines/{self.line(role)}/signature", body)

    def give_provisional(self, role: str | None, reason: str, **more: Any) -> Any:
        line_id = self.line(role) if role else None
        envelope = f"PR-{next(self.tokens)}"
        body = {"how": "paper", "line_id": line_id, "reason": reason, "name": "Umbrella Practice"}
        body |= {"envelope": envelope, "affirmed": True, "ballot_button": 1}
        body |= {"street_address": "19 Practice Lane", **more}
        return self.done("/api/provisional-ballots", body)

    def leave(self, role: str | None, **more: Any) -> Any:
        line_id = self.line(role) if role else None
        body = {"way": "left", "line_id": line_id, "reason": "went home", **more}
        return self.done("/api/people-directed", {"provisional_declined": True, **body})

    def born(self, role: str) -> str:
        return str(self.client.get(f"/api/lines/{self.line(role)}").json()["line"]["birth_date"])


@pytest.fixture
def practice(tmp_path: Path) -> Iterator[Practice]:
    day = make(tmp_path)
    app = build_app(day.url, {HOST}, is_practice=True)
    with TestClient(app, base_url=f"http://{HOST}", raise_server_exceptions=False) as client:
        practised = Practice(day, client)
        practised.sign_on()
        yield practised


def card(here: Practice) -> None:
    here.done(f"/api/lines/{here.line('card')}/address-confirmation")
    here.sign("card")


def helper(here: Practice) -> None:
    body = {"wanted": True, "helper_name": "Thistle Helper", "how": "paper", "helper_is": "other"}
    here.done(f"/api/lines/{here.line('helper')}/assistance", body)
    here.sign("helper")


def elsewhere(here: Practice) -> None:
    (found,) = here.done("/api/elsewhere/find", {"text": "anvil practice"})["people"]
    body = {"way": "elsewhere", "elsewhere_id": found["elsewhere_id"], "name": "Anvil Practice"}
    here.done("/api/people-directed", body)


def nobody(here: Practice) -> None:
    said = {"spelled_otherwise": "not_found", "supplemental": "not_found", "says_eligible": "yes"}
    said |= {"elsewhere": "no", "registrar": "not_reached"}
    here.give_provisional(None, "not-on-a-list", situation=said)


# How each person is served rightly, over HTTP.
RIGHTLY: Mapping[str, Callable[[Practice], object]] = {
    "plain": lambda here: here.sign("plain"),
    "number": lambda here: here.sign("number"),
    "sound": lambda here: here.sign("sound"),
    "alike": lambda here: here.sign("alike", birth_date=here.born("alike")),
    "twin": lambda here: here.sign("twin", birth_date=here.born("twin")),
    "card": card,
    "helper": helper,
    "inactive": lambda here: here.sign("inactive", address_affirmed=True),
    "mailed": lambda here: here.give_provisional("mailed", "voted-by-mail"),
    "early": lambda here: here.leave("early"),
    "contradiction": lambda here: here.give_provisional("contradiction", "lists-contradict"),
    "supplemental": lambda here: here.sign("supplemental"),
    "signed": lambda here: here.give_provisional("signed", "already-signed"),
    "date": lambda here: here.leave("date", evidence={"birth_date": "7/19/1985"}),
    "elsewhere": elsewhere,
    "nobody": nobody,
}


def test_every_exercise_can_be_done_rightly_and_is_then_right(practice: Practice) -> None:
    for number, exercise in enumerate(EXERCISES, 1):
        now = practice.done("/api/practice/begin")["now"]
        assert (now["code"], now["number"]) == (exercise.code, number)
        RIGHTLY[exercise.code](practice)
        last = practice.done("/api/practice/end")["last"]
        assert (last["code"], last["result"], last["faults"]) == (exercise.code, "right", [])
    answer = practice.client.get("/api/practice").json()
    assert answer["now"] is None
    assert answer["scores"] == [
        {"initials": "PA", "right": len(EXERCISES), "mended": 0, "wrong": 0, "wrong_actions": 0}
    ]
    assert verify_database(practice.day.url).holds


def test_whoever_does_nothing_for_anybody_has_done_nothing_right(practice: Practice) -> None:
    for _ in EXERCISES:
        practice.done("/api/practice/begin")
        last = practice.done("/api/practice/end")["last"]
        assert last["result"] == "wrong"
        assert all(fault["en"] and fault["es"] for fault in last["faults"])
    assert practice.client.get("/api/practice").json()["scores"][0]["right"] == 0


def test_a_namesake_s_line_is_a_wrong_line_and_a_lead_can_put_it_right(practice: Practice) -> None:
    for code in ("plain", "number", "sound"):
        practice.done("/api/practice/begin")
        RIGHTLY[code](practice)
        practice.done("/api/practice/end")
    practice.done("/api/practice/begin")
    practice.sign("alike-other", birth_date=practice.born("alike-other"))
    wrong, right = practice.line("alike-other"), practice.line("alike")
    born = practice.born("alike")
    practice.sign_on("PL", "Lead's desk")
    body = {"to_line_id": right, "reason": "the other Kettle", "evidence": {"birth_date": born}}
    practice.done(f"/api/lines/{wrong}/signature/move", body)
    practice.sign_on()
    last = practice.done("/api/practice/end")["last"]
    assert (last["result"], last["wrong_actions"]) == ("mended", 1)
    assert "another" in last["faults"][0]["en"] or "else" in last["faults"][0]["en"]


def test_what_they_say_is_told_in_both_languages_with_everything_filled_in(
    practice: Practice,
) -> None:
    said = []
    for _ in EXERCISES:
        said.append(practice.done("/api/practice/begin")["now"]["says"])
        practice.done("/api/practice/end")
    assert all("{" not in text for each in said for text in each.values())
    assert "January 30, 1899" in said[2]["en"]
    assert "30 de enero de 1899" in said[2]["es"]


def test_beginning_twice_keeps_the_person_and_ending_twice_judges_once(practice: Practice) -> None:
    first = practice.done("/api/practice/begin")["now"]
    assert practice.done("/api/practice/begin")["now"] == first
    practice.done("/api/practice/end")
    assert len(practice.done("/api/practice/end")["done"]) == 1


def test_two_workers_have_people_of_their_own(practice: Practice) -> None:
    practice.done("/api/practice/begin")
    practice.sign_on("PB", "Table 2")
    theirs = practice.done("/api/practice/begin")["now"]["says"]["en"]
    assert "Quill Ensayo" in theirs
    practice.place = 1
    practice.sign("plain")
    assert practice.done("/api/practice/end")["last"]["result"] == "right"
    practice.sign_on("PA")
    assert practice.done("/api/practice/end")["last"]["result"] == "wrong"


def test_a_new_round_has_other_people_until_there_are_none_left(practice: Practice) -> None:
    practice.client.get("/api/practice")
    for _ in range(SETS - 1):
        assert practice.done("/api/practice/again")["done"] == []
    refused = practice.post("/api/practice/again")
    assert refused.status_code == 404
    assert "start another practice day" in refused.text


def test_the_first_answer_says_that_it_is_practice(practice: Practice, precinct: Precinct) -> None:
    practice.client.cookies.clear()
    day = practice.client.get("/api/day").json()
    assert day["practice"] is True
    assert day["is_election_date"] is True
    assert precinct.client().get("/api/day").json()["practice"] is False


def test_on_a_real_record_there_is_nothing_to_practise(precinct: Precinct) -> None:
    table = precinct.station("RM")
    routes = [key for key in ACCESS if "practice" in key[1]]
    assert len(routes) == 5
    for method, path in routes:
        answer = table.get(path) if method == "GET" else precinct.post(table, path)
        assert answer.status_code == 404, path


def test_who_is_signed_on_to_practise_is_nobody_at_the_real_table(
    practice: Practice, precinct: Precinct
) -> None:
    secret = practice.client.cookies[PRACTICE_COOKIE]
    stranger = precinct.client()
    for name in (PRACTICE_COOKIE, "tablebook_sign_on"):
        stranger.cookies.set(name, secret)
    assert stranger.get("/api/log").status_code == 401
    real = precinct.station("RM")
    practice.client.cookies.set("tablebook_sign_on", real.cookies["tablebook_sign_on"])
    practice.client.cookies.delete(PRACTICE_COOKIE)
    assert practice.client.get("/api/log").status_code == 401


def test_nothing_of_a_whole_practice_round_reaches_a_real_record(tmp_path: Path) -> None:
    url = f"sqlite:///{(tmp_path / 'day.db').as_posix()}"
    load(url)
    before = contents(tmp_path)
    day = make(tmp_path)
    app = build_app(day.url, {HOST}, is_practice=True)
    with TestClient(app, base_url=f"http://{HOST}") as client:
        practised = Practice(day, client)
        practised.sign_on()
        for exercise in EXERCISES:
            practised.done("/api/practice/begin")
            RIGHTLY[exercise.code](practised)
            practised.done("/api/practice/end")
    assert contents(tmp_path) == before
    assert day.path.parent == tmp_path / "practice"


def contents(folder: Path) -> dict[str, str]:
    """The digest of every file in the folder itself."""
    files = [path for path in folder.iterdir() if path.is_file()]
    return {path.name: hashlib.sha256(path.read_bytes()).hexdigest() for path in files}


def test_a_practice_server_refuses_a_real_record_and_a_real_server_a_practice_one(
    tmp_path: Path,
) -> None:
    url = f"sqlite:///{(tmp_path / 'day.db').as_posix()}"
    load(url)
    day = make(tmp_path)
    for database, is_practice in ((url, True), (day.url, False)):
        app = build_app(database, {HOST}, is_practice=is_practice)
        with pytest.raises(StorageRefused), TestClient(app):
            pass


def test_every_paper_of_a_practice_day_says_so_on_every_page(practice: Practice) -> None:
    nobody(practice)
    seq = practice.client.get("/api/day").json()["head"]["seq"]
    practice.sign_on("PL", "Lead's desk")
    papers = [path for _, path in ACCESS if path.endswith(".pdf") and "list_id" not in path]
    assert len(papers) > 12
    for language, mark in (("en", "PRACTICE"), ("es", "PRÁCTICA")):
        for path in papers:
            filled = path.replace("{seq}", str(seq)).replace("{button}", "1")
            answer = practice.client.get(filled, params={"language": language})
            assert answer.status_code == 200, (path, answer.text)
            for page in pypdf.PdfReader(io.BytesIO(answer.content)).pages:
                assert mark in page.extract_text(), path


def test_exports_are_named_practice_and_say_so(practice: Practice) -> None:
    practice.sign("plain")
    practice.sign_on("PL", "Lead's desk")
    for name in ("participation.csv", "register.csv", "events.json", "day-log.jsonl"):
        answer = practice.client.get(f"/api/exports/{name}")
        assert f'filename="practice-{name}"' in answer.headers["content-disposition"]
        assert "practice" in answer.text.lower()


def test_a_practice_bundle_says_so_and_wipes_nothing(practice: Practice, tmp_path: Path) -> None:
    practice.sign("plain")
    practice.sign_on("PL", "Lead's desk")
    practice.done("/api/day/cut-off")
    for code in practice.client.get("/api/checklists/closing").json()["missing"]:
        practice.done("/api/checklists/closing", {"code": code, "passed": True})
    practice.done("/api/day/close", {"reason": "Practice, no machine was read."})
    made = practice.done("/api/day/hand-over")
    assert made["name"] == "practice-hand-over-4-07-2027-03-02.zip"
    bundle = practice.day.path.parent / made["name"]
    found = check_bundle(bundle)
    assert found.holds, found.fault
    assert found.setting is not None
    assert found.setting.is_practice
    assert b"PRACTICE: nothing in this bundle counts" in bundle.read_bytes()
    url = f"sqlite:///{(tmp_path / 'day.db').as_posix()}"
    load(url)
    before = contents(tmp_path)
    for database in (url, practice.day.url):
        with pytest.raises(StorageRefused, match="practice day") as refused:
            may_wipe(database, bundle, SystemClock())
        assert "nothing was removed" in str(refused.value.facts["why"])
    assert contents(tmp_path) == before
