"""Calls of the registrar's office: read back first, proved by a code, one transaction."""

from __future__ import annotations

import json
from typing import Any

import pytest
from starlette.testclient import TestClient

from app.records.store import verify_database
from app.rules.phone_code import Binding, Change, ChangeCode, phone_code, read_secret
from app.rules.policy import Policy
from tests.api.conftest import PEOPLE, PHONE_SECRET, Precinct
from tests.api.listing import bring_and_apply, kinds, outcome, row_of
from tests.api.test_bad_twins import AFFIDAVIT

SECRET = read_secret(PHONE_SECRET)


@pytest.fixture
def lead(precinct: Precinct) -> TestClient:
    return precinct.station("LO", "Lead's desk")


def body_of(precinct: Precinct, who: str, what: str, argument: str = "") -> dict[str, Any]:
    printed = PEOPLE[who]
    return {
        "caller": "Clerk on duty",
        "office": "Registrar of Voters",
        "number_called_back": "555-0142",
        "asked": f"{printed.last_name} asks for her mail ballot",
        "line_id": precinct.ids[who],
        "change": {"what": what, "argument": argument},
        "read_back": {
            "voter_number": printed.voter_number,
            "name": f"{printed.first_name} {printed.last_name}",
            "birth_year": printed.birth_date.year,
        },
        "confirmed": True,
    }


def call(
    precinct: Precinct, lead: TestClient, who: str, what: str, argument: str = "", **more: Any
) -> Any:
    token = more.pop("token", None)
    body = {**body_of(precinct, who, what, argument), **more}
    return precinct.post(lead, "/api/phone-ins", body, token)


def code(who: str, what: str, argument: str = "", counter: int = 1) -> str:
    number = PEOPLE[who].voter_number
    change = Change(ChangeCode(what), argument)
    return phone_code(SECRET, Binding("tern-2027-03-02", "4-07", number, change), counter)


def holds(precinct: Precinct) -> bool:
    found = verify_database(precinct.url)
    assert found.holds, found.fault
    return True


def test_her_mail_ballot_never_came_the_mark_is_withdrawn_and_she_signs(
    precinct: Precinct, lead: TestClient
) -> None:
    assert outcome(precinct, lead, "mail") == "stop"
    token = precinct.token()
    answer = call(precinct, lead, "mail", "withdraw_mark", "voted_by_mail", token=token).json()
    assert answer["effect"] == "done"
    assert answer["before"] == {"marks": ["voted_by_mail"]}
    assert answer["after"] == {"marks": []}
    assert answer["verdict"]["outcome"] == "sign"
    again = call(precinct, lead, "mail", "withdraw_mark", "voted_by_mail", token=token).json()
    assert (again["phone_in"], again["change"]) == (answer["phone_in"], answer["change"])
    assert kinds(lead) == ["phone_in.recorded", "mark.withdrawn"]
    assert precinct.sign(lead, "mail").status_code == 200
    (past,) = lead.get("/api/phone-ins").json()["phone_ins"]
    assert (past["caller"], past["number_called_back"]) == ("Clerk on duty", "555-0142")
    assert past["asked"] == "Saltmarsh asks for her mail ballot"
    assert past["voter_number"] == PEOPLE["mail"].voter_number
    assert holds(precinct)


def test_the_log_holds_neither_what_was_asked_nor_a_detail(
    precinct: Precinct, lead: TestClient
) -> None:
    call(precinct, lead, "plain", "correct_detail", "last_name=Featherquill")
    text = json.dumps(lead.get("/api/log").json())
    for secret in ("Featherquill", "Quillfeather", "1980-05-17", PHONE_SECRET):
        assert secret not in text
    assert PHONE_SECRET not in json.dumps(lead.get("/api/day").json())


@pytest.mark.parametrize(
    ("what", "argument", "kind", "after"),
    [
        ("mark_by_mail", "", "mark.recorded", "stop"),
        ("mark_early", "", "mark.recorded", "stop"),
        ("remove", "", "line.removed", "stop"),
        ("set_button", "3", "line.corrected", "sign"),
        ("correct_detail", "first_name=Odile", "line.corrected", "sign"),
    ],
)
def test_each_change_is_the_call_and_its_own_entry_and_once_only(
    precinct: Precinct, lead: TestClient, what: str, argument: str, kind: str, after: str
) -> None:
    answer = call(precinct, lead, "plain", what, argument).json()
    assert (answer["effect"], answer["change"]["kind"]) == ("done", kind)
    assert outcome(precinct, lead, "plain") == after
    again = call(precinct, lead, "plain", what, argument)
    if what == "correct_detail":  # read back as it stands now
        assert again.json()["code"] == "read-back-differs"
    else:
        assert again.json()["effect"] == "already"
        assert again.json()["change"] is None
    assert holds(precinct)


def test_a_removed_line_is_put_back(precinct: Precinct, lead: TestClient) -> None:
    assert call(precinct, lead, "plain", "restore").json()["code"] == "nothing-to-withdraw"
    call(precinct, lead, "plain", "remove")
    assert outcome(precinct, lead, "plain") == "stop"
    answer = call(precinct, lead, "plain", "restore").json()
    assert answer["before"]["removed"]["initials"] == "LO"
    assert outcome(precinct, lead, "plain") == "sign"
    assert holds(precinct)


def test_a_corrected_name_is_found_and_the_printed_one_is_shown_with_it(
    precinct: Precinct, lead: TestClient
) -> None:
    call(precinct, lead, "plain", "correct_detail", "last_name=Yarrow")
    (match, *_) = precinct.post(lead, "/api/find", {"text": "yarrow odette"}).json()["matches"]
    assert match["line_id"] == precinct.ids["plain"]
    sheet = precinct.sheet(lead, "plain")
    assert sheet["line"]["last_name"] == "Yarrow"
    (correction,) = sheet["corrections"]
    assert (correction["detail"], correction["was"]) == ("last_name", "Quillfeather")
    assert (correction["now"], correction["initials"]) == ("Yarrow", "LO")
    assert holds(precinct)


def test_a_name_corrected_to_somebody_elses_must_be_told_apart_from_then_on(
    precinct: Precinct, lead: TestClient
) -> None:
    call(precinct, lead, "plain", "correct_detail", "last_name=Ironwood")
    call_two = body_of(precinct, "plain", "correct_detail", "first_name=Casper")
    call_two["read_back"]["name"] = "Odette Ironwood"
    assert precinct.post(lead, "/api/phone-ins", call_two).status_code == 200
    for who, other in (("plain", "second ballot"), ("second ballot", "plain")):
        sheet = precinct.sheet(lead, who)
        assert precinct.ids[other] in [one["line_id"] for one in sheet["look_alikes"]]
    assert holds(precinct)


def test_a_corrected_birth_date_is_the_one_that_is_asked(
    precinct: Precinct, lead: TestClient
) -> None:
    call(precinct, lead, "senior", "correct_detail", "birth_date=2/1/1950")
    old = precinct.sign(lead, "senior", evidence={"birth_date": "1/2/1950"})
    assert old.json()["code"] == "not-this-line"
    assert precinct.sign(lead, "senior", evidence={"birth_date": "2/1/1950"}).status_code == 200
    assert holds(precinct)


def test_a_call_that_contradicts_a_signature_opens_an_irregularity(
    precinct: Precinct, lead: TestClient
) -> None:
    precinct.sign(lead, "plain")
    answer = call(precinct, lead, "plain", "mark_by_mail").json()
    assert answer["irregularity"]["kind"] == "irregularity.recorded"
    assert answer["verdict"]["outcome"] == "call"
    assert lead.get("/api/day").json()["counts"]["irregularities_open"] == 1
    assert holds(precinct)


def test_a_list_that_says_the_same_as_the_call_says_nothing_new(
    precinct: Precinct, lead: TestClient
) -> None:
    call(precinct, lead, "plain", "mark_by_mail")
    done = bring_and_apply(precinct, lead, row_of("plain"), row_of("card"))
    assert (done["tally"]["already"], done["irregularities"]) == (1, 0)
    answer = call(precinct, lead, "card", "mark_by_mail").json()
    assert (answer["effect"], answer["irregularity"]) == ("already", None)


def test_an_affidavit_may_name_the_call_that_authorised_it_once(
    precinct: Precinct, lead: TestClient
) -> None:
    body = body_of(precinct, "plain", "authorise_affidavit", "Ambrose Nettlefold 1974")
    body |= {"line_id": None, "read_back": None}
    seq = precinct.post(lead, "/api/phone-ins", body).json()["phone_in"]["seq"]
    worker = precinct.station("RM", "Table 2")
    (open_one,) = worker.get("/api/authorisations").json()["authorisations"]
    assert (open_one["seq"], open_one["person"]) == (seq, "Ambrose Nettlefold 1974")
    assert (open_one["caller"], open_one["office"]) == ("Clerk on duty", "Registrar of Voters")
    for wrong in (seq - 1, 999):
        refused = precinct.post(
            lead, "/api/correction-affidavits", {**AFFIDAVIT, "authorisation_seq": wrong}
        )
        assert refused.json()["code"] == "bad-request"
    named = {**AFFIDAVIT, "authorisation_seq": seq}
    assert precinct.post(lead, "/api/correction-affidavits", named).status_code == 200
    other = {**named, "last_name": "Okonjo"}
    assert precinct.post(lead, "/api/correction-affidavits", other).json()["code"] == "bad-request"
    assert worker.get("/api/authorisations").json() == {"authorisations": []}
    assert holds(precinct)


def test_a_right_code_is_taken_once_and_for_this_voter_and_change_alone(
    precinct: Precinct, lead: TestClient
) -> None:
    right = code("plain", "remove")
    other_change = call(precinct, lead, "plain", "mark_by_mail", code=right).json()
    assert (other_change["code"], other_change["tries_left"]) == ("code-wrong", 4)
    other_voter = call(precinct, lead, "card", "remove", code=right).json()
    assert (other_voter["code"], other_voter["tries_left"]) == ("code-wrong", 3)
    assert outcome(precinct, lead, "plain") == "sign"
    answer = call(precinct, lead, "plain", "remove", code=f" {right.lower()} ").json()
    assert answer["code_used"] is True
    call(precinct, lead, "plain", "restore")
    again = call(precinct, lead, "plain", "remove", code=right)
    assert again.json()["code"] == "code-used-already"
    assert lead.get("/api/day").json()["phone_code"] == {
        "asked": "optional",
        "locked": False,
        "tries_left": 5,
    }
    assert holds(precinct)


def test_a_misheard_letter_is_no_try(precinct: Precinct, lead: TestClient) -> None:
    right = code("plain", "remove")
    heard = ("0" if right[0] != "0" else "1") + right[1:]
    assert call(precinct, lead, "plain", "remove", code=heard).json()["code"] == "code-misheard"
    assert call(precinct, lead, "plain", "remove", code="ABC").json()["code"] == "code-unreadable"
    assert kinds(lead) == []


def test_five_wrong_codes_lock_codes_until_the_lead_has_called_back(
    precinct: Precinct, lead: TestClient
) -> None:
    unlock = {"number_called_back": "555-0142", "reason": "spoke to the clerk"}
    nothing = precinct.post(lead, "/api/phone-ins/unlock", unlock)
    assert nothing.json()["code"] == "nothing-to-record"
    right = code("plain", "remove")
    token = precinct.token()
    for left in (4, 3, 2, 1, 0):
        wrong = code("plain", "remove", counter=50 + left)
        answer = call(precinct, lead, "plain", "remove", code=wrong, token=token)
        assert answer.json()["tries_left"] == left
        same = call(precinct, lead, "plain", "remove", code=wrong, token=token)
        assert same.json()["tries_left"] == left
        token = precinct.token()
    locked = call(precinct, lead, "plain", "remove", code=right)
    assert (locked.status_code, locked.json()["code"]) == (423, "code-locked")
    assert lead.get("/api/day").json()["phone_code"]["locked"] is True
    assert precinct.post(lead, "/api/phone-ins/unlock", unlock).status_code == 200
    assert call(precinct, lead, "plain", "remove", code=right).json()["code_used"] is True
    assert holds(precinct)


class TestWhereACodeIsRequired:
    @pytest.fixture
    def policy(self) -> Policy:
        return Policy(phone_code="required")

    def test_nothing_changes_without_one(self, precinct: Precinct, lead: TestClient) -> None:
        assert call(precinct, lead, "plain", "remove").json()["code"] == "code-missing"
        assert kinds(lead) == []
        right = code("plain", "remove")
        assert call(precinct, lead, "plain", "remove", code=right).status_code == 200


class TestWhereCodesAreOff:
    @pytest.fixture
    def policy(self) -> Policy:
        return Policy(phone_code="off")

    def test_a_code_is_refused_and_the_call_goes_without(
        self, precinct: Precinct, lead: TestClient
    ) -> None:
        right = code("plain", "remove")
        refused = call(precinct, lead, "plain", "remove", code=right)
        assert refused.json()["code"] == "not-provided-for"
        assert call(precinct, lead, "plain", "remove").status_code == 200


@pytest.mark.parametrize(
    ("changed", "problem"),
    [
        ({"confirmed": False}, "bad-request"),
        ({"confirmed": None}, "bad-request"),
        ({"read_back": None}, "bad-request"),
        ({"read_back": {"voter_number": "1", "name": "Odette Quillfeather", "birth_year": 1980}},
         "read-back-differs"),
        ({"read_back": {"voter_number": "100000001", "name": "Odette", "birth_year": 1980}},
         "read-back-differs"),
        ({"read_back": {"voter_number": "100000001", "name": "Odette Jane Quillfeather",
                        "birth_year": 1980}}, "read-back-differs"),
        ({"read_back": {"voter_number": "100000001", "name": "Odette Quillfeather",
                        "birth_year": 1981}}, "read-back-differs"),
        ({"line_id": None}, "bad-request"),
        ({"line_id": "no-such-line"}, "not-found"),
        ({"caller": " "}, "bad-request"),
        ({"office": ""}, "bad-request"),
        ({"number_called_back": ""}, "bad-request"),
        ({"asked": ""}, "bad-request"),
        ({"change": {"what": "pardon"}}, "bad-request"),
        ({"change": {"what": "remove", "argument": "x"}}, "bad-request"),
        ({"change": {"what": "set_button", "argument": "9"}}, "bad-request"),
        ({"change": {"what": "set_button", "argument": "x"}}, "bad-request"),
        ({"change": {"what": "correct_detail", "argument": "voter_number=7"}}, "bad-request"),
        ({"change": {"what": "correct_detail", "argument": "last_name="}}, "bad-request"),
        ({"change": {"what": "correct_detail", "argument": "last_name=" + "x" * 81}},
         "bad-request"),
        ({"change": {"what": "correct_detail", "argument": "birth_date=some day"}},
         "birth-date-unreadable"),
        ({"change": {"what": "withdraw_mark", "argument": "voted_by_mail"}},
         "nothing-to-withdraw"),
        ({"change": {"what": "authorise_affidavit", "argument": "Odette Pell 1980"}},
         "bad-request"),
        ({"code": ""}, "bad-request"),
        ({"code": "x" * 41}, "bad-request"),
        ({"surprise": 1}, "bad-request"),
    ],
)  # fmt: skip
def test_a_bad_call_changes_nothing(
    precinct: Precinct, lead: TestClient, changed: dict[str, Any], problem: str
) -> None:
    answer = precinct.post(
        lead, "/api/phone-ins", {**body_of(precinct, "plain", "remove"), **changed}
    )
    assert answer.json()["code"] == problem
    assert answer.json()["what_to_do"]
    assert kinds(lead) == []
    assert outcome(precinct, lead, "plain") == "sign"


def test_an_irregularity_is_written_up_without_a_name_in_the_log(
    precinct: Precinct, lead: TestClient
) -> None:
    table = precinct.station("RM")
    words = {"irregularity": "ballot", "what": "Ms Saltmarsh spoiled a ballot", "told": "the lead"}
    written = precinct.post(table, "/api/irregularities", words)
    assert written.status_code == 200
    assert "Saltmarsh" not in json.dumps(lead.get("/api/log").json())
    (one,) = lead.get("/api/irregularities").json()["irregularities"]
    assert (one["what"], one["told"], one["settled"]) == (words["what"], "the lead", None)
    assert holds(precinct)


@pytest.mark.parametrize(
    ("body", "problem"),
    [
        ({"irregularity": "contradiction", "what": "x"}, "bad-request"),
        ({"irregularity": "weather", "what": "x"}, "bad-request"),
        ({"irregularity": "other", "what": " "}, "bad-request"),
        ({"irregularity": "other", "what": "x", "line_id": "no-such-line"}, "not-found"),
        ({"irregularity": "other", "what": "x" * 501}, "bad-request"),
        ({"irregularity": "other", "what": "x", "surprise": 1}, "bad-request"),
    ],
)
def test_a_bad_irregularity_is_refused(
    precinct: Precinct, lead: TestClient, body: dict[str, Any], problem: str
) -> None:
    assert precinct.post(lead, "/api/irregularities", body).json()["code"] == problem
    assert kinds(lead) == []
    for path in ("/api/irregularities/1/settle", "/api/irregularities/999/settle"):
        assert precinct.post(lead, path, {"how": "x"}).json()["code"] == "not-found"


@pytest.mark.parametrize("changed", [{"caller": "Somebody"}, {"asked": "something else"}])
def test_a_key_that_was_used_for_another_call_is_refused(
    precinct: Precinct, lead: TestClient, changed: dict[str, Any]
) -> None:
    token = precinct.token()
    assert call(precinct, lead, "plain", "remove", token=token).status_code == 200
    other = call(precinct, lead, "plain", "remove", token=token, **changed)
    assert (other.status_code, other.json()["code"]) == (422, "token-reused")
    assert kinds(lead) == ["phone_in.recorded", "line.removed"]
