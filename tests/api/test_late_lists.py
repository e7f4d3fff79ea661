"""Late lists from files: looked at first, applied once and whole, settled row by row."""

from __future__ import annotations

import shutil
from typing import Any

import pytest
from starlette.testclient import TestClient

from app.records.store import verify_database
from tests.api.conftest import Precinct
from tests.api.listing import apply, bring, bring_and_apply, kinds, outcome, row_of

ZERO = {"applied": 0, "already": 0, "settled": 0, "refused": 0, "open": 0}


@pytest.fixture
def lead(precinct: Precinct) -> TestClient:
    return precinct.station("LO", "Lead's desk")


def tally(rows: int, **counts: int) -> dict[str, int]:
    return {"rows": rows, **ZERO, **counts}


def holds(precinct: Precinct) -> bool:
    found = verify_database(precinct.url)
    assert found.holds, found.fault
    return True


def settle(precinct: Precinct, lead: TestClient, list_id: str, row: int, **body: Any) -> Any:
    return precinct.post(lead, f"/api/late-lists/{list_id}/rows/{row}/settle", body)


def test_a_list_that_is_only_looked_at_changes_nothing(
    precinct: Precinct, lead: TestClient
) -> None:
    answer = bring(
        precinct, lead, row_of("plain"), row_of("mail"), "999999999,Nobody,Nemo,1980-01-01"
    )
    body = answer.json()
    assert body["list"]["status"] == "draft"
    assert body["list"]["tally"] == tally(3, applied=1, already=1, open=1)
    plain, mail, nobody = body["rows"]
    assert (plain["agreement"], plain["effect"]) == ("number_and_person", "mark")
    assert plain["person"]["name"] == "Quillfeather, Odette"
    assert mail["effect"] == "already"
    assert (nobody["agreement"], nobody["effect"]) == ("none", "settle")
    assert nobody["reasons"][0]["code"] == "number-unknown"
    assert body["columns"]["voter_number"] == "Voter number"
    assert outcome(precinct, lead, "plain") == "sign"
    assert kinds(lead) == []
    assert holds(precinct)


def test_a_list_is_applied_once_and_says_calmly_that_it_was(
    precinct: Precinct, lead: TestClient
) -> None:
    rows = row_of("plain"), row_of("second ballot")
    list_id = bring(precinct, lead, *rows).json()["list"]["list_id"]
    token = precinct.token()
    first = apply(precinct, lead, list_id, token).json()
    assert first["tally"] == tally(2, applied=2)
    assert apply(precinct, lead, list_id, token).json() == first
    assert kinds(lead) == ["late_list.applied", "mark.recorded", "mark.recorded"]
    assert outcome(precinct, lead, "plain") == "stop"
    sheet = precinct.sheet(lead, "plain")
    (mark,) = sheet["state"]["marks"]
    assert (mark["source"], mark["initials"]) == ("mail-1400.csv", "LO")
    for again in (apply(precinct, lead, list_id), bring(precinct, lead, *rows, name="copy.csv")):
        assert again.status_code == 409
        problem = again.json()
        assert problem["code"] == "list-applied-already"
        assert problem["initials"] == "LO"
        assert problem["local_time"]
        assert "nothing was changed" in problem["detail"]
    assert len(kinds(lead)) == 3
    assert holds(precinct)


def test_the_same_draft_sent_again_is_the_same_draft(precinct: Precinct, lead: TestClient) -> None:
    first = bring(precinct, lead, row_of("plain")).json()
    again = bring(precinct, lead, row_of("plain")).json()
    assert again["again"] is True
    assert again["list"]["list_id"] == first["list"]["list_id"]
    assert len(lead.get("/api/late-lists").json()["lists"]) == 1


def test_a_row_that_disagrees_waits_for_a_person_and_the_others_do_not_wait(
    precinct: Precinct, lead: TestClient
) -> None:
    other_date = row_of("second ballot", birth_date="1981-05-17")
    done = bring_and_apply(precinct, lead, row_of("plain"), other_date)
    assert done["tally"] == tally(2, applied=1, open=1)
    assert outcome(precinct, lead, "plain") == "stop"
    assert outcome(precinct, lead, "second ballot") == "sign"
    assert lead.get("/api/day").json()["counts"]["late_rows_open"] == 1
    list_id = done["list"]["list_id"]
    token = precinct.token()
    path = f"/api/late-lists/{list_id}/rows/3/settle"
    body = {"line_id": precinct.ids["second ballot"]}
    settled = precinct.post(lead, path, body, token).json()
    assert precinct.post(lead, path, body, token).json() == settled
    assert [one["kind"] for one in settled["receipts"]] == [
        "late_list.row_settled",
        "mark.recorded",
    ]
    assert settled["tally"] == tally(2, applied=1, settled=1)
    assert settled["row"]["decision"]["initials"] == "LO"
    assert outcome(precinct, lead, "second ballot") == "stop"
    assert settle(precinct, lead, list_id, 3, refuse="again").json()["code"] == "nothing-to-settle"
    assert lead.get("/api/day").json()["counts"]["late_rows_open"] == 0
    (shown,) = lead.get("/api/late-lists").json()["lists"]
    assert shown["tally"] == settled["tally"]
    assert holds(precinct)


def test_rows_can_be_settled_before_the_list_is_applied_and_opened_again(
    precinct: Precinct, lead: TestClient
) -> None:
    brought = bring(
        precinct, lead, row_of("plain", voter_number=""), "999999999,Nobody,Nemo,1980-01-01"
    ).json()
    list_id = brought["list"]["list_id"]
    assert brought["list"]["tally"] == tally(2, open=2)
    chosen = settle(precinct, lead, list_id, 2, line_id=precinct.ids["plain"]).json()
    assert (chosen["row"]["effect"], chosen["receipts"]) == ("mark", [])
    left = settle(precinct, lead, list_id, 3, refuse="no such voter here").json()
    assert left["tally"] == tally(2, settled=2)
    reopened = settle(precinct, lead, list_id, 3, reopen=True).json()
    assert reopened["tally"] == tally(2, settled=1, open=1)
    settle(precinct, lead, list_id, 3, refuse="no such voter here")
    assert kinds(lead) == []
    done = apply(precinct, lead, list_id).json()
    assert done["tally"] == tally(2, settled=2)
    assert kinds(lead) == [
        "late_list.applied",
        "late_list.row_settled",
        "mark.recorded",
        "late_list.row_settled",
    ]
    assert outcome(precinct, lead, "plain") == "stop"
    assert holds(precinct)


def test_who_signed_and_is_on_the_mail_list_is_a_call_and_the_lead_sees_both_facts(
    precinct: Precinct, lead: TestClient
) -> None:
    precinct.sign(precinct.station("RM"), "plain")
    brought = bring(precinct, lead, row_of("plain")).json()
    (row,) = brought["rows"]
    assert row["contradiction"]["code"] == "signed-already"
    assert row["contradiction"]["on_line"]["station"] == "Table 1"
    done = apply(precinct, lead, brought["list"]["list_id"]).json()
    assert done["irregularities"] == 1
    sheet = precinct.sheet(lead, "plain")
    assert sheet["verdict"]["outcome"] == "call"
    assert sheet["state"]["signature"] is not None
    assert len(sheet["state"]["marks"]) == 1
    found = lead.get("/api/irregularities").json()
    assert found["open"] == 1
    (one,) = found["irregularities"]
    assert one["code"] == "signed-already"
    assert one["person"]["name"] == "Quillfeather, Odette"
    assert one["list"] == {
        "list_id": done["list"]["list_id"],
        "name": "mail-1400.csv",
        "row_number": 2,
    }
    assert one["facts"]["on_line"]["initials"] == "RM"
    assert one["facts"]["on_list"]["source"] == "mail-1400.csv"
    path = f"/api/irregularities/{one['seq']}/settle"
    assert precinct.post(lead, path, {"how": "the registrar was called"}).status_code == 200
    assert precinct.post(lead, path, {"how": "again"}).json()["code"] == "nothing-to-settle"
    settled = lead.get("/api/irregularities").json()
    assert settled["open"] == 0
    assert settled["irregularities"][0]["settled"]["how"] == "the registrar was called"
    assert holds(precinct)


def test_early_on_the_line_and_by_mail_on_the_list_is_a_call(
    precinct: Precinct, lead: TestClient
) -> None:
    done = bring_and_apply(precinct, lead, row_of("early"))
    assert done["irregularities"] == 1
    assert outcome(precinct, lead, "early") == "call"
    assert holds(precinct)


def test_marked_by_two_lists_that_do_not_know_of_each_other_is_a_call(
    precinct: Precinct, lead: TestClient
) -> None:
    bring_and_apply(precinct, lead, row_of("plain"), name="mail-1000.csv")
    other = bring(precinct, lead, row_of("plain"), row_of("card"), name="other-office.csv").json()
    assert other["resembles"] == {
        "list_id": other["resembles"]["list_id"],
        "name": "mail-1000.csv",
        "shared": 1,
    }
    apply(precinct, lead, other["list"]["list_id"])
    sheet = precinct.sheet(lead, "plain")
    assert sheet["verdict"]["outcome"] == "call"
    (reason, *_) = sheet["verdict"]["reasons"]
    assert reason["code"] == "lists-contradict"
    assert "mail-1000.csv" in reason["sentence"]
    assert "other-office.csv" in reason["sentence"]
    assert holds(precinct)


def test_a_removal_of_somebody_who_signed_is_a_call(precinct: Precinct, lead: TestClient) -> None:
    precinct.sign(precinct.station("RM"), "plain")
    done = bring_and_apply(
        precinct, lead, row_of("plain"), row_of("card"), kind="removals", name="removed.csv"
    )
    assert done["irregularities"] == 1
    assert outcome(precinct, lead, "plain") == "call"
    assert outcome(precinct, lead, "card") == "stop"
    assert holds(precinct)


def test_a_corrected_list_shows_what_is_new_changed_and_gone_and_withdraws_nothing_by_itself(
    precinct: Precinct, lead: TestClient
) -> None:
    first = bring_and_apply(precinct, lead, row_of("plain"), row_of("card"), row_of("helper"))
    changed = row_of("card", first_name="Milos")
    brought = bring(precinct, lead, row_of("plain"), changed, row_of("second ballot")).json()
    assert brought["list"]["corrects"]["list_id"] == first["list"]["list_id"]
    assert brought["difference"] == {"new": 1, "changed": 1, "same": 1, "gone": 1}
    assert [row["change"] for row in brought["rows"]] == ["same", "changed", "new"]
    (gone,) = brought["gone"]
    assert gone["line_id"] == precinct.ids["helper"]
    done = apply(precinct, lead, brought["list"]["list_id"]).json()
    assert done["irregularities"] == 0
    assert outcome(precinct, lead, "helper") == "stop"
    path = f"/api/late-lists/{done['list']['list_id']}/gone/{gone['line_id']}/settle"
    token = precinct.token()
    body = {"withdraw": True, "reason": "left off by the office on purpose"}
    answer = precinct.post(lead, path, body, token).json()
    assert precinct.post(lead, path, body, token).json() == answer
    assert [one["kind"] for one in answer["receipts"]] == [
        "late_list.row_settled",
        "mark.withdrawn",
    ]
    assert outcome(precinct, lead, "helper") == "first"
    assert precinct.post(lead, path, body).json()["code"] == "nothing-to-settle"
    assert holds(precinct)


def test_a_supplemental_list_adds_lines_that_are_found_and_sign(
    precinct: Precinct, lead: TestClient
) -> None:
    heading = "Voter number,Last name,First name,Birth date,Street address,Ballot button"
    new = "200000001,Nettlefold,Ambrose,1974-11-02,8 Ropewalk Lane,2"
    namesake = "200000002,Quillfeather,Odette,1991-01-09,9 Ropewalk Lane,1"
    there = row_of("card") + ",4 Ropewalk Lane,1"
    brought = bring(
        precinct, lead, new, namesake, there, kind="supplemental", heading=heading
    ).json()
    assert [row["effect"] for row in brought["rows"]] == ["add", "add", "settle"]
    done = apply(precinct, lead, brought["list"]["list_id"]).json()
    assert done["tally"] == tally(3, applied=2, open=1)
    found = precinct.post(lead, "/api/find", {"text": "nettlefold"}).json()
    (match, *_) = found["matches"]
    assert (match["part"], match["outcome"]) == ("supplemental", "sign")
    line_id = match["line_id"]
    signed = precinct.post(lead, f"/api/lines/{line_id}/signature", {"how": "paper"})
    assert signed.status_code == 200
    assert precinct.sheet(lead, "plain")["look_alikes"][0]["voter_number"] == "200000002"
    again = bring(
        precinct, lead, new, kind="supplemental", name="once more.csv", heading=heading
    ).json()
    assert again["list"]["tally"] == tally(1, already=1)
    assert holds(precinct)


def test_what_the_registrar_took_off_by_telephone_is_not_put_back_by_a_list_in_silence(
    precinct: Precinct, lead: TestClient
) -> None:
    from tests.api.test_phone_ins import call

    assert call(precinct, lead, "mail", "withdraw_mark", "voted_by_mail").status_code == 200
    brought = bring(precinct, lead, row_of("mail")).json()
    (row,) = brought["rows"]
    assert row["effect"] == "settle"
    assert [reason["code"] for reason in row["reasons"]] == ["mark-withdrawn"]


def test_a_file_that_is_no_list_is_refused_with_what_to_do_and_nothing_is_kept(
    precinct: Precinct, lead: TestClient
) -> None:
    answer = bring(precinct, lead, "x", heading="no headings here at all")
    assert answer.status_code == 422
    problem = answer.json()
    assert problem["code"] == "list-unreadable"
    assert problem["faults"][0]["what_to_do"]
    assert lead.get("/api/late-lists").json()["lists"] == []


def test_rows_that_cannot_be_read_are_shown_and_wait_for_a_person(
    precinct: Precinct, lead: TestClient
) -> None:
    impossible = row_of("plain", birth_date="2001-02-29")
    formula = row_of("card", last_name="=A1")
    twice = row_of("second ballot"), row_of("second ballot")
    body = bring(precinct, lead, impossible, formula, *twice).json()
    assert body["list"]["tally"] == tally(4, applied=1, already=1, open=2)
    first, second, _, fourth = body["rows"]
    assert first["faults"][0]["code"] == "birth-date-impossible"
    assert first["person"]["name"] == "Quillfeather, Odette"
    assert second["faults"][0]["code"] == "formula-cell"
    assert all(reason["sentence"] for row in body["rows"] for reason in row["reasons"])
    assert fourth["reasons"][-1]["code"] == "listed-twice"


def test_a_list_of_another_name_that_says_which_it_corrects_finds_its_marks_there(
    precinct: Precinct, lead: TestClient
) -> None:
    first = bring_and_apply(precinct, lead, row_of("plain"), name="mail-1000.csv")["list"]
    rows = row_of("plain"), row_of("card")
    body = bring(precinct, lead, *rows, corrects=first["list_id"]).json()
    assert body["list"]["tally"] == tally(2, applied=1, already=1)
    assert body["list"]["corrects"] == {"list_id": first["list_id"], "name": "mail-1000.csv"}
    other_kind = bring(precinct, lead, *rows, kind="early_voted", corrects=first["list_id"])
    assert other_kind.json()["code"] == "bad-request"


def test_what_a_corrected_list_lacks_can_be_kept(precinct: Precinct, lead: TestClient) -> None:
    for kind, undoing in (("removals", "line.restored"), ("early_voted", "mark.withdrawn")):
        name = f"{kind}.csv"
        bring_and_apply(
            precinct, lead, row_of("spare 0"), row_of("spare 1"), row_of("spare 2"),
            kind=kind, name=name,
        )  # fmt: skip
        done = bring_and_apply(precinct, lead, row_of("spare 0"), kind=kind, name=name)
        path = f"/api/late-lists/{done['list']['list_id']}/gone/{{}}/settle"
        for who, withdraw, expected in (
            ("spare 1", False, ["late_list.row_settled"]),
            ("spare 2", True, ["late_list.row_settled", undoing]),
        ):
            body = {"withdraw": withdraw, "reason": "as the office says"}
            answer = precinct.post(lead, path.format(precinct.ids[who]), body).json()
            assert [one["kind"] for one in answer["receipts"]] == expected
            assert answer["gone"]["decision"]["withdraw"] is withdraw
    assert lead.get("/api/day").json()["counts"]["late_rows_open"] == 0
    assert holds(precinct)


def test_a_supplemental_row_of_somebody_else_with_the_same_birthday_is_added_when_a_person_says_so(
    precinct: Precinct, lead: TestClient
) -> None:
    heading = "Voter number,Last name,First name,Birth date,Street address,Ballot button"
    same = "200000009,Quillfeather,Odette,1980-05-17,8 Ropewalk Lane,1"
    brought = bring(precinct, lead, same, kind="supplemental", heading=heading).json()
    (row,) = brought["rows"]
    assert (row["effect"], row["may_add"]) == ("settle", True)
    assert row["contradiction"]["code"] == "on-a-line-already"
    list_id = brought["list"]["list_id"]
    apply(precinct, lead, list_id)
    settled = settle(precinct, lead, list_id, 2, add=True).json()
    assert [one["kind"] for one in settled["receipts"]] == ["late_list.row_settled", "line.added"]
    (added,) = (one["line_id"] for one in settled["receipts"] if one["kind"] == "line.added")
    assert lead.get(f"/api/lines/{added}").json()["verdict"]["outcome"] == "first"
    assert precinct.sheet(lead, "plain")["verdict"]["outcome"] == "first"
    assert holds(precinct)


def test_a_list_that_is_put_aside_can_be_brought_again(
    precinct: Precinct, lead: TestClient
) -> None:
    list_id = bring(precinct, lead, row_of("plain")).json()["list"]["list_id"]
    dropped = precinct.post(lead, f"/api/late-lists/{list_id}/drop", {"reason": "wrong stick"})
    assert dropped.json()["list"]["status"] == "dropped"
    assert apply(precinct, lead, list_id).json()["code"] == "list-dropped"
    again = bring(precinct, lead, row_of("plain")).json()
    assert again["list"]["list_id"] != list_id
    assert again["list"]["status"] == "draft"


def test_pages_of_a_list_hold_what_was_asked_for(precinct: Precinct, lead: TestClient) -> None:
    rows = [row_of(f"spare {n}") for n in range(10)]
    list_id = bring(precinct, lead, *rows, row_of("mail")).json()["list"]["list_id"]
    page = lead.get(f"/api/late-lists/{list_id}?from=8&count=2").json()
    assert [row["row_number"] for row in page["rows"]] == [10, 11]
    assert page["rows_count"] == 11
    already = lead.get(f"/api/late-lists/{list_id}?only=already").json()
    assert [row["row_number"] for row in already["rows"]] == [12]
    assert lead.get(f"/api/late-lists/{list_id}?only=strange").status_code == 422
    assert lead.get(f"/api/late-lists/{list_id}?count=201").status_code == 422


def test_a_large_list_passes_the_door_and_nothing_else_as_large_does(
    precinct: Precinct, lead: TestClient
) -> None:
    rows = [f"{300000000 + n},Stranger,Ulla,1980-01-01" for n in range(3_000)]
    answer = bring(precinct, lead, *rows)
    assert answer.status_code == 200
    assert answer.json()["list"]["tally"] == tally(3_000, open=3_000)
    too_much = {"kind": "mail_voted", "name": "x.csv", "content_base64": "A" * 2_000_001}
    assert precinct.post(lead, "/api/late-lists", too_much).status_code == 413
    elsewhere = {"text": "x" * 70_000}
    assert precinct.post(lead, "/api/find", elsewhere).status_code == 413


@pytest.mark.parametrize(
    ("changed", "code"),
    [
        ({"kind": "rumours"}, "bad-request"),
        ({"name": " "}, "bad-request"),
        ({"name": "x" * 81}, "bad-request"),
        ({"name": "a\nb.csv"}, "bad-request"),
        ({"content_base64": "not base64!"}, "bad-request"),
        ({"content_base64": "não="}, "bad-request"),
        ({"content_base64": None}, "bad-request"),
        ({"content_base64": ""}, "list-unreadable"),
        ({"corrects": "no-such-list"}, "bad-request"),
        ({"printed_total": 3}, "bad-request"),
        ({"form": "paper"}, "bad-request"),
        ({"form": "paper", "content_base64": None}, "bad-request"),
        ({"form": "paper", "content_base64": None, "printed_total": 0}, "bad-request"),
        ({"form": "rumour"}, "bad-request"),
        ({"surprise": 1}, "bad-request"),
    ],
)  # fmt: skip
def test_a_bad_list_is_refused_and_nothing_is_kept(
    precinct: Precinct, lead: TestClient, changed: dict[str, Any], code: str
) -> None:
    from tests.api.listing import file_of

    good = {"kind": "mail_voted", "name": "m.csv", "content_base64": file_of(row_of("plain"))}
    body = {name: value for name, value in {**good, **changed}.items() if value is not None}
    answer = precinct.post(lead, "/api/late-lists", body)
    assert answer.json()["code"] == code
    assert answer.json()["what_to_do"]
    assert lead.get("/api/late-lists").json()["lists"] == []
    assert kinds(lead) == []


@pytest.mark.parametrize(
    ("path", "body", "code"),
    [
        ("/rows/2/settle", {}, "bad-request"),
        ("/rows/2/settle", {"refuse": " "}, "bad-request"),
        ("/rows/2/settle", {"refuse": "x", "add": True}, "bad-request"),
        ("/rows/2/settle", {"refuse": "x"}, "nothing-to-settle"),
        ("/rows/2/settle", {"reopen": True}, "nothing-to-settle"),
        ("/rows/3/settle", {"add": True}, "row-cannot-be-added"),
        ("/rows/3/settle", {"line_id": "no-such-line"}, "not-found"),
        ("/rows/99/settle", {"refuse": "x"}, "not-found"),
        ("/rows/0/settle", {"refuse": "x"}, "bad-request"),
        ("/gone/no-such-line/settle", {"withdraw": True, "reason": "x"}, "not-found"),
        ("/gone/no-such-line/settle", {"withdraw": True, "reason": ""}, "bad-request"),
        ("/apply", {"surprise": 1}, "bad-request"),
        ("/drop", {"reason": "x" * 501}, "bad-request"),
        ("/keyed", {"line_id": "x"}, "nothing-to-record"),
        ("/not-found", {"name": "x"}, "nothing-to-record"),
        ("/finish", {}, "nothing-to-record"),
    ],
)
def test_a_bad_step_is_refused_and_leaves_no_trace(
    precinct: Precinct, lead: TestClient, path: str, body: dict[str, Any], code: str
) -> None:
    rows = row_of("plain"), "999999999,Nobody,Nemo,1980-01-01"
    before = bring(precinct, lead, *rows).json()["list"]
    answer = precinct.post(lead, f"/api/late-lists/{before['list_id']}{path}", body)
    assert answer.json()["code"] == code
    assert kinds(lead) == []
    (after,) = lead.get("/api/late-lists").json()["lists"]
    assert after == before
    unknown = precinct.post(lead, f"/api/late-lists/no-such-list{path}", body)
    assert unknown.json()["code"] in ("not-found", "bad-request")


def test_a_worker_reads_lists_and_neither_brings_nor_applies_one(
    precinct: Precinct, lead: TestClient
) -> None:
    list_id = bring(precinct, lead, row_of("plain")).json()["list"]["list_id"]
    table = precinct.station("RM")
    assert table.get(f"/api/late-lists/{list_id}").status_code == 200
    assert bring(precinct, table, row_of("plain")).status_code == 403
    assert apply(precinct, table, list_id).status_code == 403


def test_a_key_that_was_used_for_another_list_is_refused(
    precinct: Precinct, lead: TestClient
) -> None:
    token = precinct.token()
    assert bring(precinct, lead, row_of("plain"), token=token).status_code == 200
    other = bring(precinct, lead, row_of("card"), token=token)
    assert (other.status_code, other.json()["code"]) == (422, "token-reused")
    paper = {"form": "paper", "kind": "mail_voted", "name": "Envelope", "printed_total": 3}
    answer = precinct.post(lead, "/api/late-lists", paper, token)
    assert answer.json()["code"] == "token-reused"
    assert len(lead.get("/api/late-lists").json()["lists"]) == 1


def test_a_long_list_is_no_fault_of_the_lead_where_the_disk_is_nearly_full(
    precinct: Precinct, lead: TestClient, monkeypatch: pytest.MonkeyPatch
) -> None:
    usage = type(shutil.disk_usage("."))(0, 0, 400_000)
    monkeypatch.setattr(shutil, "disk_usage", lambda _: usage)
    refused = bring(precinct, lead, row_of("plain"), row_of("mail"))
    assert (refused.status_code, refused.json()["code"]) == (507, "disk-nearly-full")
    assert (refused.json()["megabytes"], refused.json()["most_rows"]) == (0, 1)
    assert lead.get("/api/late-lists").json()["lists"] == []
    bring_and_apply(precinct, lead, row_of("plain"))
    assert precinct.sign(lead, "second ballot").status_code == 200
    assert holds(precinct)
