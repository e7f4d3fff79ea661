"""Supplemental pages keyed from paper: who is added, who was there already, what waits."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest
from starlette.testclient import TestClient

from app.records.store import verify_database
from tests.api.conftest import Precinct
from tests.api.listing import kinds
from tests.api.pages import as_printed, begin, key_row, keyed


@pytest.fixture
def lead(precinct: Precinct) -> TestClient:
    return precinct.station("LO", "Lead's desk")


@pytest.fixture
def table(precinct: Precinct) -> TestClient:
    return precinct.station("RM")


def holds(precinct: Precinct) -> bool:
    found = verify_database(precinct.url)
    assert found.holds, found.fault
    return True


def undo(precinct: Precinct, client: TestClient, list_id: str, number: int) -> Any:
    path = f"/api/late-lists/{list_id}/rows/{number}/undo"
    return precinct.post(client, path, {"reason": "keyed wrongly"})


def settle(precinct: Precinct, client: TestClient, list_id: str, number: int, **how: Any) -> Any:
    return precinct.post(client, f"/api/late-lists/{list_id}/rows/{number}/settle", how)


def find(precinct: Precinct, client: TestClient, text: str) -> list[Any]:
    return list(precinct.post(client, "/api/find", {"text": text}).json()["matches"])


def sign(precinct: Precinct, client: TestClient, line_id: str, **more: Any) -> Any:
    return precinct.post(client, f"/api/lines/{line_id}/signature", {"how": "paper", **more})


def test_a_person_on_the_page_gets_a_line_that_is_found_and_signed_at_once(
    precinct: Precinct, lead: TestClient, table: TestClient
) -> None:
    list_id = begin(precinct, lead, 1)
    answer = keyed(precinct, table, list_id, assistance=True, party="Teal")
    row = answer["row"]
    assert (row["effect"], row["row_number"], answer["count"]) == ("add", 1, 1)
    assert answer["receipt"]["kind"] == "late_list.row_keyed"
    assert row["person"]["name"] == "Nettlefold, Ambrose"
    assert row["person"]["part"] == "supplemental"
    (match,) = find(precinct, table, "nettlefold 3/4/1987")
    assert match["line_id"] == row["line_id"]
    sheet = table.get(f"/api/lines/{match['line_id']}").json()
    assert sheet["line"]["party"] == "Teal"
    assert sheet["line"]["ballot_button"] == 2
    assert "assistance" in [step["code"] for step in answer["verdict"]["steps"]]
    helped = precinct.post(table, f"/api/lines/{match['line_id']}/assistance", {"wanted": False})
    assert helped.status_code == 200, helped.json()
    assert sign(precinct, table, match["line_id"]).status_code == 200
    finished = precinct.post(table, f"/api/late-lists/{list_id}/finish", {}).json()
    assert finished["list"]["status"] == "finished"
    assert finished["list"]["tally"]["applied"] == 1
    assert holds(precinct)


def test_the_same_key_again_gives_the_same_answer_and_another_row_is_refused(
    precinct: Precinct, lead: TestClient, table: TestClient
) -> None:
    list_id, other = begin(precinct, lead, 2), begin(precinct, lead, 2)
    token = precinct.token()
    first = key_row(precinct, table, list_id, token).json()
    seqs = kinds(lead)
    assert key_row(precinct, table, list_id, token).json() == first
    for changed in ({"city": "Ternwick"}, {"twice": True}, {"birth_date": "3/5/1987"}):
        answer = key_row(precinct, table, list_id, token, **changed)
        assert answer.json()["code"] == "token-reused"
    assert key_row(precinct, table, other, token).json()["code"] == "token-reused"
    assert kinds(lead) == seqs


@pytest.mark.parametrize(
    "changed",
    [
        {},
        {"voter_number": ""},
        {"last_name": "QUILLFEATHER"},
        {"voter_number": "", "first_name": "odette"},
        {"middle_name": "M"},
    ],
)
def test_who_is_on_the_register_already_gets_no_second_line(
    precinct: Precinct, lead: TestClient, table: TestClient, changed: dict[str, Any]
) -> None:
    list_id = begin(precinct, lead, 1)
    before = kinds(lead)
    answer = keyed(precinct, table, list_id, **as_printed("plain", **changed))
    assert (answer["row"]["effect"], answer["count"]) == ("already", 1)
    assert answer["row"]["line_id"] == precinct.ids["plain"]
    assert answer["row"]["person"]["name"] == "Quillfeather, Odette"
    assert kinds(lead) == [*before, "late_list.row_keyed"]
    assert len(find(precinct, table, "quillfeather odette 5/17/1980")) == 1
    assert holds(precinct)


def test_a_number_of_somebody_else_waits_for_the_lead_and_can_only_be_left_off(
    precinct: Precinct, lead: TestClient, table: TestClient
) -> None:
    list_id = begin(precinct, lead, 2)
    answer = keyed(precinct, table, list_id, voter_number="100000001")
    row = answer["row"]
    assert (row["effect"], row["contradiction"]["code"]) == ("settle", "number-taken")
    assert (row["line_id"], row["may_add"]) == (precinct.ids["plain"], False)
    assert all("Nettlefold" not in each["name"] for each in find(precinct, table, "nettlefold"))
    assert lead.get("/api/day").json()["counts"]["late_rows_open"] == 1
    page = lead.get(f"/api/late-lists/{list_id}?only=open").json()
    assert (page["rows_count"], page["list"]["tally"]["open"]) == (1, 1)
    assert settle(precinct, table, list_id, 1, refuse="no").json()["code"] == "not-allowed"
    assert settle(precinct, lead, list_id, 1, add=True).json()["code"] == "row-cannot-be-added"
    done = settle(precinct, lead, list_id, 1, refuse="the registrar has another number").json()
    assert done["row"]["decision"]["how"] == "refuse"
    assert done["row"]["contradiction"]["code"] == "number-taken"
    assert done["tally"]["settled"] == 1
    again = settle(precinct, lead, list_id, 1, refuse="the same")
    assert again.json()["code"] == "nothing-to-settle"
    assert lead.get("/api/day").json()["counts"]["late_rows_open"] == 0
    shown = lead.get(f"/api/late-lists/{list_id}").json()["list"]
    assert (shown["count"], shown["not_found"], shown["taken_back"]) == (1, 0, 0)
    assert holds(precinct)


def test_a_namesake_born_on_the_same_day_with_another_number_is_added_when_the_lead_says_so(
    precinct: Precinct, lead: TestClient, table: TestClient
) -> None:
    list_id = begin(precinct, lead, 1)
    row = keyed(precinct, table, list_id, **as_printed("plain", voter_number="200000009"))["row"]
    assert (row["effect"], row["contradiction"]["code"]) == ("settle", "on-a-line-already")
    assert row["may_add"]
    path = f"/api/late-lists/{list_id}/rows/1/settle"
    token = precinct.token()
    done = precinct.post(lead, path, {"add": True}, token).json()
    assert precinct.post(lead, path, {"add": True}, token).json() == done
    assert [each["kind"] for each in done["receipts"]] == ["late_list.row_settled", "line.added"]
    assert done["row"]["line_id"] not in (None, precinct.ids["plain"])
    both = find(precinct, table, "quillfeather odette 5/17/1980")
    assert {match["line_id"] for match in both} == {precinct.ids["plain"], done["row"]["line_id"]}
    assert all(match["look_alikes"] == 1 for match in both)
    assert holds(precinct)


def test_the_lead_says_that_it_is_the_person_on_the_line(
    precinct: Precinct, lead: TestClient, table: TestClient
) -> None:
    list_id = begin(precinct, lead, 1)
    keyed(precinct, table, list_id, **as_printed("plain", voter_number="200000009"))
    unknown = settle(precinct, lead, list_id, 1, line_id="no-such-line")
    assert unknown.json()["code"] == "not-found"
    done = settle(precinct, lead, list_id, 1, line_id=precinct.ids["plain"]).json()
    assert done["row"]["line_id"] == precinct.ids["plain"]
    assert done["row"]["decision"]["how"] == "line"
    assert kinds(lead)[-1] == "late_list.row_settled"
    assert holds(precinct)


def test_a_line_that_was_removed_is_for_the_lead(
    precinct: Precinct, lead: TestClient, table: TestClient
) -> None:
    removals = begin(precinct, lead, 1, "removals")
    body = {"line_id": precinct.ids["plain"]}
    precinct.post(table, f"/api/late-lists/{removals}/keyed", body)
    list_id = begin(precinct, lead, 1)
    row = keyed(precinct, table, list_id, **as_printed("plain"))["row"]
    assert (row["effect"], row["contradiction"]["code"]) == ("settle", "removed-already")
    assert holds(precinct)


def test_a_row_keyed_twice_is_asked_about(
    precinct: Precinct, lead: TestClient, table: TestClient
) -> None:
    list_id = begin(precinct, lead, 4)
    other = precinct.station("TB", "Table 2")
    keyed(precinct, table, list_id)
    again = key_row(precinct, other, list_id).json()
    assert (again["code"], again["row_number"], again["initials"]) == ("keyed-already", 1, "RM")
    same_person = key_row(precinct, other, list_id, city="Ternwick").json()
    assert same_person["code"] == "keyed-already"
    twice = keyed(precinct, other, list_id, twice=True)
    assert (twice["row"]["effect"], twice["count"]) == ("already", 2)
    keyed(precinct, table, list_id, voter_number="100000001")
    waiting = key_row(precinct, other, list_id, voter_number="100000001").json()
    assert (waiting["code"], waiting["row_number"]) == ("keyed-already", 3)
    assert holds(precinct)


def test_a_row_keyed_wrongly_is_taken_back_and_keyed_right_as_if_it_had_never_been(
    precinct: Precinct, lead: TestClient, table: TestClient
) -> None:
    list_id = begin(precinct, lead, 1)
    wrong = keyed(precinct, table, list_id, birth_date="3/4/1978")["row"]
    path = f"/api/late-lists/{list_id}/rows/1/undo"
    token = precinct.token()
    taken = precinct.post(table, path, {"reason": "year misread"}, token).json()
    assert precinct.post(table, path, {"reason": "year misread"}, token).json() == taken
    assert (taken["count"], taken["row"]["decision"]["how"]) == (0, "undone")
    assert find(precinct, table, "200000001") == []
    assert sign(precinct, table, wrong["line_id"]).json()["code"] == "removed"
    right = keyed(precinct, table, list_id)
    assert (right["row"]["effect"], right["count"]) == ("add", 1)
    (match,) = find(precinct, table, "200000001")
    assert (match["line_id"], match["look_alikes"]) == (right["row"]["line_id"], 0)
    assert sign(precinct, table, match["line_id"]).status_code == 200
    shown = lead.get(f"/api/late-lists/{list_id}").json()["list"]
    assert (shown["count"], shown["taken_back"], shown["tally"]["rows"]) == (1, 1, 2)
    again = undo(precinct, table, list_id, 1)
    assert again.json()["code"] == "nothing-to-withdraw"
    assert holds(precinct)


def test_a_line_taken_back_is_not_found_after_a_restart_either(
    precinct: Precinct, lead: TestClient, table: TestClient
) -> None:
    from app.desk import finding
    from app.desk.roster import open_roster

    list_id = begin(precinct, lead, 1)
    keyed(precinct, table, list_id)
    undo(precinct, table, list_id, 1)
    with open_roster(precinct.url) as roster:
        assert finding.find(roster, "200000001", 8).hits == ()


def test_a_line_that_has_been_signed_cannot_be_taken_back(
    precinct: Precinct, lead: TestClient, table: TestClient
) -> None:
    list_id = begin(precinct, lead, 1)
    line_id = keyed(precinct, table, list_id)["row"]["line_id"]
    assert sign(precinct, table, line_id).status_code == 200
    before = kinds(lead)
    refused = undo(precinct, table, list_id, 1)
    answer = refused.json()
    assert (refused.status_code, answer["code"]) == (409, "line-in-use")
    assert (answer["standing"], answer["initials"]) == ("signed", "RM")
    assert answer["local_time"]
    assert kinds(lead) == before
    withdrawal = {"reason": "wrong line", "why": "wrong_line"}
    precinct.post(lead, f"/api/lines/{line_id}/signature/withdraw", withdrawal)
    assert undo(precinct, table, list_id, 1).status_code == 200
    assert holds(precinct)


def test_a_line_that_another_list_marked_cannot_be_taken_back(
    precinct: Precinct, lead: TestClient, table: TestClient
) -> None:
    list_id, mail = begin(precinct, lead, 1), begin(precinct, lead, 1, "mail_voted")
    line_id = keyed(precinct, table, list_id)["row"]["line_id"]
    precinct.post(table, f"/api/late-lists/{mail}/keyed", {"line_id": line_id})
    answer = undo(precinct, table, list_id, 1).json()
    assert (answer["code"], answer["standing"]) == ("line-in-use", "marked")
    assert holds(precinct)


def test_a_line_on_which_another_row_found_its_person_is_taken_back_last(
    precinct: Precinct, lead: TestClient, table: TestClient
) -> None:
    first, second = begin(precinct, lead, 1), begin(precinct, lead, 1)
    line_id = keyed(precinct, table, first)["row"]["line_id"]
    assert keyed(precinct, table, second)["row"]["line_id"] == line_id
    answer = undo(precinct, table, first, 1).json()
    assert (answer["code"], answer["standing"]) == ("line-in-use", "listed")
    assert undo(precinct, table, second, 1).status_code == 200
    assert undo(precinct, table, first, 1).status_code == 200
    assert holds(precinct)


def test_rows_that_changed_nothing_are_taken_back_too(
    precinct: Precinct, lead: TestClient, table: TestClient
) -> None:
    list_id = begin(precinct, lead, 3)
    keyed(precinct, table, list_id, **as_printed("plain"))
    keyed(precinct, table, list_id, voter_number="100000002")
    keyed(precinct, table, list_id, **as_printed("card", voter_number="200000006"))
    added = settle(precinct, lead, list_id, 3, add=True).json()["row"]["line_id"]
    for number in (1, 2, 3):
        assert undo(precinct, table, list_id, number).status_code == 200
    answer = settle(precinct, lead, list_id, 2, refuse="late")
    assert answer.json()["code"] == "nothing-to-settle"
    assert sign(precinct, table, added).json()["code"] == "removed"
    assert lead.get(f"/api/late-lists/{list_id}").json()["list"]["count"] == 0
    assert holds(precinct)


def test_a_row_that_cannot_be_added_is_counted_and_named(
    precinct: Precinct, lead: TestClient, table: TestClient
) -> None:
    list_id = begin(precinct, lead, 1)
    path = f"/api/late-lists/{list_id}/not-found"
    answer = precinct.post(table, path, {"name": "Nettlefold, no birth date"}).json()
    assert (answer["count"], answer["not_found"]) == (1, 1)
    assert precinct.post(table, f"/api/late-lists/{list_id}/finish", {}).status_code == 200
    assert holds(precinct)


def test_finishing_asks_for_the_printed_total_or_the_leads_reason(
    precinct: Precinct, lead: TestClient, table: TestClient
) -> None:
    list_id = begin(precinct, lead, 2)
    keyed(precinct, table, list_id)
    path = f"/api/late-lists/{list_id}/finish"
    assert precinct.post(table, path, {}).json()["code"] == "totals-differ"
    assert precinct.post(table, path, {"reason": "torn"}).json()["code"] == "not-allowed"
    assert precinct.post(lead, path, {"reason": "the page is torn"}).status_code == 200
    assert key_row(precinct, table, list_id, voter_number="7").json()["code"] == "list-finished"
    assert undo(precinct, table, list_id, 1).json()["code"] == "list-finished"
    assert holds(precinct)


def test_a_row_that_waits_is_settled_after_the_list_is_finished_too(
    precinct: Precinct, lead: TestClient, table: TestClient
) -> None:
    list_id = begin(precinct, lead, 1)
    keyed(precinct, table, list_id, voter_number="100000001")
    assert precinct.post(table, f"/api/late-lists/{list_id}/finish", {}).status_code == 200
    assert settle(precinct, lead, list_id, 1, refuse="left off").status_code == 200
    assert holds(precinct)


def test_a_secret_address_is_neither_needed_nor_kept(
    precinct: Precinct, lead: TestClient, table: TestClient
) -> None:
    list_id = begin(precinct, lead, 1)
    answer = keyed(precinct, table, list_id, address_protected=True, street_address="9 Hidden Row")
    person = answer["row"]["person"]
    assert (person["address"], person["address_protected"]) == ("", True)
    record = Path(precinct.url.removeprefix("sqlite:///"))
    files = record.parent.glob(f"{record.name}*")
    assert all(b"Hidden Row" not in path.read_bytes() for path in files)


def test_the_log_names_nobody(precinct: Precinct, lead: TestClient, table: TestClient) -> None:
    list_id = begin(precinct, lead, 2)
    keyed(precinct, table, list_id)
    keyed(precinct, table, list_id, **as_printed("card"))
    text = lead.get("/api/log?limit=1000").text
    for word in ("Nettlefold", "200000001", "1987", "Ropewalk", "Vantongeren"):
        assert word not in text


LONG = "x" * 81


@pytest.mark.parametrize(
    ("column", "value", "code"),
    [
        ("voter_number", "12 34", "voter-number-shape"),
        ("voter_number", "№7", "voter-number-shape"),
        ("last_name", "", "cell-blank"),
        ("last_name", " ", "cell-blank"),
        ("last_name", "123", "name-unlikely"),
        ("last_name", "Pell\u202e", "direction-character"),
        ("last_name", "Pe\u200bll", "invisible-character"),
        ("first_name", "--", "name-unlikely"),
        ("first_name", "Am\ufffdrose", "lost-character"),
        ("middle_name", "7", "name-unlikely"),
        ("middle_name", "MuÃ±oz", "garbled-text"),
        ("suffix", "J\u200br", "invisible-character"),
        ("birth_date", "3/4/2028", "birth-date-in-future"),
        ("birth_date", "2/30/1987", "birth-date-impossible"),
        ("birth_date", "", "cell-blank"),
        ("street_address", "", "cell-blank"),
        ("street_address", "8 Ropewalk\u2066 Lane", "direction-character"),
        ("city", "Tern\u0430haven", "mixed-alphabets"),
        ("postal_code", "0\u200b1", "invisible-character"),
        ("party", "Te\u202eal", "direction-character"),
        ("ballot_button", None, "button-missing"),
        ("ballot_button", 9, "unknown-button"),
    ],
)
def test_a_field_that_is_wrong_is_named_and_nothing_is_kept(
    precinct: Precinct,
    lead: TestClient,
    table: TestClient,
    column: str,
    value: Any,
    code: str,
) -> None:
    list_id = begin(precinct, lead, 1)
    answer = key_row(precinct, table, list_id, **{column: value})
    assert (answer.status_code, answer.json()["code"]) == (422, "bad-request")
    (fault,) = answer.json()["faults"]
    assert (fault["column"], fault["code"]) == (column, code)
    assert fault["what"].endswith(".")
    assert fault["what_to_do"]
    assert "2028" not in answer.text
    assert kinds(lead) == ["late_list.started"]
    assert keyed(precinct, table, list_id)["count"] == 1


@pytest.mark.parametrize(
    ("changed", "code"),
    [
        ({"birth_date": "the fourth"}, "birth-date-unreadable"),
        ({"birth_date": "x" * 41}, "bad-request"),
        ({"last_name": LONG}, "bad-request"),
        ({"last_name": "Ne\x00ttle"}, "bad-request"),
        ({"first_name": LONG}, "bad-request"),
        ({"middle_name": LONG}, "bad-request"),
        ({"suffix": "x" * 21}, "bad-request"),
        ({"voter_number": "1" * 33}, "bad-request"),
        ({"street_address": "x" * 121}, "bad-request"),
        ({"city": LONG}, "bad-request"),
        ({"postal_code": "x" * 21}, "bad-request"),
        ({"party": LONG}, "bad-request"),
        ({"ballot_button": -1}, "bad-request"),
        ({"ballot_button": "two"}, "bad-request"),
        ({"assistance": "perhaps"}, "bad-request"),
        ({"address_confirmation": 3}, "bad-request"),
        ({"mothers_maiden_name": "Pell"}, "bad-request"),
    ],
)
def test_what_cannot_be_read_at_all_is_refused_as_everywhere(
    precinct: Precinct, lead: TestClient, table: TestClient, changed: dict[str, Any], code: str
) -> None:
    list_id = begin(precinct, lead, 1)
    answer = key_row(precinct, table, list_id, **changed)
    assert (answer.status_code, answer.json()["code"]) == (422, code)
    assert kinds(lead) == ["late_list.started"]


def test_every_field_that_is_wrong_is_named_at_once(
    precinct: Precinct, lead: TestClient, table: TestClient
) -> None:
    list_id = begin(precinct, lead, 1)
    wrong = {"last_name": "", "birth_date": "when?", "street_address": "", "ballot_button": None}
    faults = key_row(precinct, table, list_id, **wrong).json()["faults"]
    assert {fault["column"] for fault in faults} == set(wrong)


def test_rows_of_one_kind_of_list_are_not_keyed_on_another(
    precinct: Precinct, lead: TestClient, table: TestClient
) -> None:
    page, mail = begin(precinct, lead, 1), begin(precinct, lead, 1, "mail_voted")
    body = {"line_id": precinct.ids["plain"]}
    as_line = precinct.post(table, f"/api/late-lists/{page}/keyed", body).json()
    as_person = key_row(precinct, table, mail).json()
    assert [as_line["field"], as_person["field"]] == ["kind", "kind"]
    assert [as_line["code"], as_person["code"]] == ["bad-request", "bad-request"]
    assert key_row(precinct, table, "no-such-list").json()["code"] == "not-found"
    assert settle(precinct, lead, mail, 1, refuse="x").json()["code"] == "nothing-to-settle"
    missing = settle(precinct, lead, page, 1, refuse="x")
    assert missing.json()["code"] == "not-found"
    assert kinds(lead) == ["late_list.started", "late_list.started"]


def test_a_page_is_keyed_by_who_is_signed_on_at_the_table(
    precinct: Precinct, lead: TestClient
) -> None:
    list_id = begin(precinct, lead, 1)
    assert key_row(precinct, precinct.client(), list_id).status_code == 401
    registrar = precinct.station("GS", "Registrar")
    assert key_row(precinct, registrar, list_id).json()["code"] == "not-allowed"
