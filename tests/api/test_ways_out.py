"""People who did not simply sign, over HTTP: what is kept, what is told, and once."""

from __future__ import annotations

import json
from concurrent.futures import ThreadPoolExecutor

import pytest

from app.desk.roster import open_roster
from app.records.store import verify_database
from app.rules.policy import Policy
from tests.api.conftest import Precinct
from tests.api.people_apart import AFFIDAVIT, LEFT, PROVISIONAL, head, refused


def test_neither_log_nor_stream_ever_holds_what_was_written_of_a_person(
    precinct: Precinct,
) -> None:
    table = precinct.station("RM")
    for path, body in (
        ("/api/correction-affidavits", AFFIDAVIT),
        ("/api/provisional-ballots", {**PROVISIONAL, "name": "Ida Peppercorn"}),
        ("/api/people-directed", {**LEFT, "name": "Hester Greywether"}),
    ):
        assert precinct.post(table, path, dict(body)).status_code == 200
    text = json.dumps(table.get("/api/log").json())
    for words in ("Nettlefold", "1974", "Ropewalk", "Peppercorn", "Greywether"):
        assert words not in text
    assert verify_database(precinct.url).holds


def test_an_added_line_is_found_at_once_and_after_a_restart(precinct: Precinct) -> None:
    table = precinct.station("RM")
    added = precinct.post(table, "/api/correction-affidavits", dict(AFFIDAVIT)).json()
    (match,) = precinct.post(table, "/api/find", {"text": "nettlefold"}).json()["matches"]
    assert (match["line_id"], match["part"]) == (added["line_id"], "affidavit")
    assert match["voter_number"] == ""
    with open_roster(precinct.url) as roster:
        assert roster.finder.find("nettlefold ambrose").matches[0].line_id == added["line_id"]


def test_an_affidavit_sent_twice_is_one_line_and_for_another_person_is_refused(
    precinct: Precinct,
) -> None:
    table, token = precinct.station("RM"), "the-same-affidavit-twice"
    first = precinct.post(table, "/api/correction-affidavits", dict(AFFIDAVIT), token)
    again = precinct.post(table, "/api/correction-affidavits", dict(AFFIDAVIT), token)
    assert (again.status_code, again.json()) == (200, first.json())
    other = {**AFFIDAVIT, "first_name": "Ida"}
    reused = precinct.post(table, "/api/correction-affidavits", other, token)
    assert reused.json()["code"] == "token-reused"
    assert table.get("/api/day").json()["counts"]["added"] == 1


def test_a_provisional_ballot_sent_twice_is_one_and_for_another_person_is_refused(
    precinct: Precinct,
) -> None:
    table, token = precinct.station("RM"), "the-same-envelope-twice"
    path = "/api/provisional-ballots"
    first = precinct.post(table, path, dict(PROVISIONAL), token)
    again = precinct.post(table, path, dict(PROVISIONAL), token)
    assert (again.status_code, again.json()) == (200, first.json())
    other = {**PROVISIONAL, "name": "Ida Peppercorn"}
    assert precinct.post(table, path, other, token).json()["code"] == "token-reused"
    assert table.get("/api/day").json()["counts"]["provisional"] == 1


def test_eight_stations_with_the_same_affidavit_add_one_line(precinct: Precinct) -> None:
    stations = [precinct.station("RM", f"Table {number}") for number in range(8)]
    path = "/api/correction-affidavits"
    with ThreadPoolExecutor(8) as pool:
        answers = list(pool.map(lambda one: precinct.post(one, path, dict(AFFIDAVIT)), stations))
    assert sorted(answer.status_code for answer in answers) == [200] + [409] * 7
    assert {a.json()["code"] for a in answers if a.status_code == 409} == {"already-on-a-line"}
    assert verify_database(precinct.url).holds


def test_two_namesakes_added_at_once_know_of_each_other(precinct: Precinct) -> None:
    """Neither was there when the other was compared with the register."""
    table, other = precinct.station("RM"), precinct.station("TB", "Table 2")
    papers = [dict(AFFIDAVIT), {**AFFIDAVIT, "birth_date": "3/3/1990"}]
    with ThreadPoolExecutor(2) as pool:
        answers = list(
            pool.map(
                lambda job: precinct.post(job[0], "/api/correction-affidavits", job[1]),
                zip((table, other), papers, strict=True),
            )
        )
    ids = [answer.json()["line_id"] for answer in answers]
    for mine, others in ((ids[0], ids[1]), (ids[1], ids[0])):
        sheet = table.get(f"/api/lines/{mine}").json()
        assert [alike["line_id"] for alike in sheet["look_alikes"]] == [others]
    assert verify_database(precinct.url).holds


def test_the_check_of_an_affidavit_records_nothing_and_points_at_the_line(
    precinct: Precinct,
) -> None:
    table = precinct.station("RM")
    before = head(precinct, table)
    words = {key: value for key, value in AFFIDAVIT.items() if key != "how"}
    path = "/api/correction-affidavits/check"
    free = precinct.post(table, path, words).json()
    assert (free["verdict"]["outcome"], free["already_on"]) == ("sign", None)
    same = {**words, "last_name": "Quillfeather", "first_name": "Odette"}
    taken = precinct.post(table, path, {**same, "birth_date": "5/17/1980"}).json()
    assert taken["already_on"]["line_id"] == precinct.ids["plain"]
    assert head(precinct, table) == before


def test_a_moved_signature_keeps_its_drawing_and_what_was_shown(precinct: Precinct) -> None:
    table, lead = precinct.station("RM"), precinct.station("LO", "Lead's desk")
    strokes = [[[100, 100, 0], [400, 300, 16]]]
    shown = {"identification": "shown"}
    precinct.sign(table, "plain", how="drawn", strokes=strokes, evidence=shown)
    path = f"/api/lines/{precinct.ids['plain']}/signature/move"
    body = {"to_line_id": precinct.ids["second ballot"], "reason": "wrong line"}
    moved = precinct.post(lead, path, body, "m" * 20)
    assert moved.status_code == 200
    assert precinct.post(lead, path, body, "m" * 20).json() == moved.json()
    answer = moved.json()
    assert [flag["facts"] for flag in answer["flags"]] == [{"was": 1, "is": 2}]
    assert answer["before"]["from"]["signature"]["initials"] == "RM"
    assert answer["after"]["to"]["signature"]["seq"] == answer["recorded"]["seq"]
    (entry,) = precinct.sheet(table, "second ballot")["history"]
    assert entry["body"]["how"] == "drawn"
    assert entry["body"]["identification"] == "shown"
    assert entry["body"]["moved_from"] == precinct.ids["plain"]
    (_, withdrawn) = precinct.sheet(table, "plain")["history"]
    assert withdrawn["body"]["moved_to"] == precinct.ids["second ballot"]
    assert withdrawn["body"]["why"] == "wrong_line"
    assert verify_database(precinct.url).holds


def test_a_signature_is_not_moved_onto_its_own_line(precinct: Precinct) -> None:
    table, lead = precinct.station("RM"), precinct.station("LO", "Lead's desk")
    precinct.sign(table, "plain")
    path = f"/api/lines/{precinct.ids['plain']}/signature/move"
    body = {"to_line_id": precinct.ids["plain"], "reason": "wrong line"}
    assert refused(precinct, lead, path, body) == (422, "bad-request")


def test_before_a_name_is_spelled_otherwise_the_table_is_shown_who_it_might_be(
    precinct: Precinct,
) -> None:
    table = precinct.station("RM")
    asked = {"situation": {}, "typed": "zzyx ironwood"}
    answer = precinct.post(table, "/api/ways-out", asked).json()
    assert answer["question"]["code"] == "spelled-otherwise"
    assert answer["caution"]
    seen = {match["line_id"] for match in answer["suggestions"]}
    found = precinct.post(table, "/api/find", {"text": "zzyx ironwood"}).json()["matches"]
    assert precinct.ids["second ballot"] in seen | {match["line_id"] for match in found}
    assert not seen & {match["line_id"] for match in found}


def test_a_precinct_without_the_list_of_others_says_so(precinct: Precinct) -> None:
    table = precinct.station("RM")
    answer = precinct.post(table, "/api/elsewhere/find", {"text": "marigold"}).json()
    assert (answer["has_list"], answer["people"]) == (False, [])
    assert table.get("/api/day").json()["has_elsewhere"] is False


def test_the_day_says_which_provisional_ballots_there_are_and_what_can_be_taken_back(
    precinct: Precinct,
) -> None:
    lead = precinct.station("LO", "Lead's desk")
    day = lead.get("/api/day").json()
    assert day["provisional"] == {"ordinary": True, "extended_hours": True}
    assert (day["may_withdraw"], day["extended"]) == (["day.opened"], None)
    order = {"reference": "Order 27-118", "until": "21:00"}
    extended = precinct.post(lead, "/api/day/extend-hours", order).json()
    day = lead.get("/api/day").json()
    assert day["may_withdraw"] == ["day.opened", "hours.extended"]
    assert day["extended"] == {
        **order,
        "seq": extended["seq"],
        "local_time": extended["local_time"],
        "end_is_marked": False,
    }


def test_the_address_of_a_protected_affidavit_is_not_even_kept(precinct: Precinct) -> None:
    table = precinct.station("RM")
    secret = {**AFFIDAVIT, "address_protected": True, "street_address": "31 Hidden Close"}
    line_id = precinct.post(table, "/api/correction-affidavits", secret).json()["line_id"]
    sheet = table.get(f"/api/lines/{line_id}").json()
    assert sheet["line"]["street_address"] == ""
    assert sheet["line"]["address_protected"] is True
    with open_roster(precinct.url) as roster:
        raw = roster.store.read(lambda c: c.exec_driver_sql("SELECT * FROM line").fetchall())
    assert "Hidden Close" not in str(raw)


class TestWhereAffidavitsAreNotKnown:
    @pytest.fixture
    def policy(self) -> Policy:
        return Policy(correction_affidavit=False, provisional="never")

    def test_neither_paper_is_taken(self, precinct: Precinct) -> None:
        table = precinct.station("RM")
        for path, body, setting in (
            ("/api/correction-affidavits", AFFIDAVIT, "correction_affidavit"),
            ("/api/provisional-ballots", PROVISIONAL, "provisional"),
        ):
            answer = precinct.post(table, path, dict(body))
            assert answer.status_code == 409
            assert (answer.json()["code"], answer.json()["setting"]) == (
                "not-provided-for",
                setting,
            )
