"""What needs the lead now: each kind comes, goes when it is settled, and says no secret."""

from __future__ import annotations

import datetime
import json
import re
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from sqlalchemy import event
from starlette.testclient import TestClient

from app.desk.attention import SOURCES
from app.rules.attention import (
    Item,
    Need,
    contradicting_since,
    oldest_first,
)
from app.rules.policy import Policy
from tests.api.conftest import PEOPLE, Precinct
from tests.api.listing import apply, bring, bring_and_apply, row_of
from tests.api.test_paper_lists import key, start
from tests.api.test_phone_ins import call, code
from tests.api.whole_day import PACKAGED, SERIALS, VOTERS, WholeDay, place

T0 = datetime.datetime(2027, 3, 2, 12, tzinfo=datetime.UTC)


@pytest.fixture
def lead(precinct: Precinct) -> TestClient:
    return precinct.station("LO", "Lead's desk")


def items(lead: TestClient) -> list[dict[str, Any]]:
    answer = lead.get("/api/attention")
    assert answer.status_code == 200, answer.text
    body = answer.json()
    assert body["count"] == len(body["items"])
    found: list[dict[str, Any]] = body["items"]
    assert [item["since"] for item in found] == sorted(item["since"] for item in found)
    assert len({item["key"] for item in found}) == len(found)
    return found


def of(lead: TestClient, kind: str) -> list[dict[str, Any]]:
    return [item for item in items(lead) if item["kind"] == kind]


def kinds(lead: TestClient) -> list[str]:
    """Without the line that the package itself brings with two marks."""
    printed = "Umberfield"
    return [item["kind"] for item in items(lead) if printed not in json.dumps(item)]


@pytest.mark.parametrize("initials", ["RM", "GS", None])
def test_it_is_the_leads_alone(precinct: Precinct, initials: str | None) -> None:
    client = precinct.station(initials) if initials else precinct.client()
    expected = {"RM": "not-allowed", "GS": "not-allowed", None: "not-signed-on"}[initials]
    for path in ("/api/attention", "/api/turnout", "/api/papers/posted-count.pdf"):
        assert client.get(path).json()["code"] == expected


def test_every_kind_has_its_source_and_is_documented() -> None:
    assert set(SOURCES) == set(Need)
    text = (Path(__file__).parents[2] / "DEVELOPERS.md").read_text(encoding="utf-8")
    assert all(f"`{need.value}`" in text for need in Need)


def test_a_line_printed_with_two_marks_needs_a_call_since_it_was_loaded(
    precinct: Precinct, lead: TestClient
) -> None:
    (item,) = items(lead)
    assert (item["kind"], item["line_id"]) == ("line-contradicts", precinct.ids["both"])
    assert item["facts"] == {
        "name": "Umberfield, Prudence",
        "codes": ["voted-early", "voted-by-mail"],
        "office": "Tern County Registrar of Voters",
        "phone": "555-0142",
    }
    assert item["irregularity_seq"] is None
    loaded = lead.get("/api/log?limit=1").json()["entries"][0]
    assert (item["since"], item["local_time"]) == (loaded["at"], loaded["local_time"])


def test_a_signed_line_that_the_mail_list_names_is_one_item_until_the_lists_agree(
    precinct: Precinct, lead: TestClient
) -> None:
    precinct.sign(precinct.station("RM"), "plain")
    assert kinds(lead) == []
    bring_and_apply(precinct, lead, row_of("plain"))
    item = of(lead, "line-contradicts")[-1]
    assert item["line_id"] == precinct.ids["plain"]
    assert item["facts"]["codes"] == ["already-signed", "voted-by-mail"]
    seq = item["irregularity_seq"]
    assert kinds(lead) == ["line-contradicts"]
    call(precinct, lead, "plain", "withdraw_mark", "voted_by_mail")
    (left,) = of(lead, "irregularity-open")
    assert (left["irregularity_seq"], left["line_id"]) == (seq, precinct.ids["plain"])
    assert left["facts"]["code"] == "signed-already"
    precinct.post(lead, f"/api/irregularities/{seq}/settle", {"how": "A mistake of the list."})
    assert kinds(lead) == []


def test_a_contradiction_that_was_only_written_off_is_still_there(
    precinct: Precinct, lead: TestClient
) -> None:
    precinct.sign(lead, "plain")
    call(precinct, lead, "plain", "mark_by_mail")
    item = of(lead, "line-contradicts")[-1]
    seq = item["irregularity_seq"]
    precinct.post(lead, f"/api/irregularities/{seq}/settle", {"how": "Asked them to wait."})
    still = of(lead, "line-contradicts")[-1]
    assert (still["key"], still["since"]) == (item["key"], item["since"])
    assert still["irregularity_seq"] is None


def test_no_line_that_says_call_because_its_lists_contradict_is_passed_over(
    precinct: Precinct, lead: TestClient
) -> None:
    """Compared with the sheet of every line, after every way a line can come to it."""
    for who in ("plain", "second ballot", "spare 1", "spare 2"):
        precinct.sign(lead, who)
    bring_and_apply(precinct, lead, row_of("plain"), row_of("early"), row_of("spare 3"))
    bring_and_apply(precinct, lead, row_of("spare 3"), name="other.csv")
    bring_and_apply(
        precinct, lead, row_of("second ballot"), row_of("mail"), kind="removals", name="r.csv"
    )
    call(precinct, lead, "spare 1", "mark_early")
    call(precinct, lead, "spare 2", "remove")
    call(precinct, lead, "spare 4", "remove")
    call(precinct, lead, "spare 4", "mark_by_mail")
    list_id = start(precinct, lead, 3)
    key(precinct, lead, list_id, "spare 4")
    slow = {
        line_id
        for name, line_id in precinct.ids.items()
        if any(r["code"] == "lists-contradict" for r in sheet_reasons(precinct, lead, name))
    }
    assert len(slow) >= 7
    assert {item["line_id"] for item in of(lead, "line-contradicts")} == slow


def sheet_reasons(precinct: Precinct, lead: TestClient, who: str) -> list[dict[str, Any]]:
    reasons: list[dict[str, Any]] = precinct.sheet(lead, who)["verdict"]["reasons"]
    return reasons


def test_an_irregularity_comes_without_what_somebody_wrote(
    precinct: Precinct, lead: TestClient
) -> None:
    table = precinct.station("RM", "Table 2")
    body = {"irregularity": "voter", "what": "Born 5/17/1980, shouted", "told": "", "done": ""}
    precinct.post(table, "/api/irregularities", {**body, "line_id": precinct.ids["plain"]})
    precinct.post(table, "/api/irregularities", {**body, "irregularity": "seal", "line_id": None})
    voter, seal = of(lead, "irregularity-open")
    assert voter["facts"] == {
        "irregularity": "voter",
        "code": "",
        "name": "Quillfeather, Odette",
        "initials": "RM",
        "station": "Table 2",
    }
    assert (seal["line_id"], seal["facts"]["name"]) == (None, "")
    assert "shouted" not in json.dumps(items(lead))


def test_a_late_list_waits_as_a_draft_and_then_with_its_unsettled_rows(
    precinct: Precinct, lead: TestClient
) -> None:
    rows = row_of("plain"), row_of("second ballot", last_name="Somebody")
    list_id = bring(precinct, lead, *rows).json()["list"]["list_id"]
    (draft,) = of(lead, "late-list-draft")
    assert draft["list_id"] == list_id
    assert draft["facts"] == {"list": "mail-1400.csv", "list_kind": "mail_voted", "initials": "LO"}
    applied = apply(precinct, lead, list_id).json()["applied"]
    (rest,) = items(lead)[-1:]
    assert (rest["kind"], rest["list_id"]) == ("late-rows-open", list_id)
    assert rest["since"] == applied["at"]
    assert (rest["facts"]["rows"], rest["facts"]["gone"]) == (1, 0)
    precinct.post(lead, f"/api/late-lists/{list_id}/rows/3/settle", {"refuse": "Not here."})
    assert kinds(lead) == []


def test_lines_that_a_corrected_list_lacks_wait_too(precinct: Precinct, lead: TestClient) -> None:
    bring_and_apply(precinct, lead, row_of("plain"), row_of("second ballot"))
    answer = bring_and_apply(precinct, lead, row_of("plain"))
    (item,) = of(lead, "late-rows-open")
    assert (item["facts"]["rows"], item["facts"]["gone"]) == (0, 1)
    list_id, line_id = answer["list"]["list_id"], precinct.ids["second ballot"]
    keep = {"withdraw": False, "reason": "They voted."}
    precinct.post(lead, f"/api/late-lists/{list_id}/gone/{line_id}/settle", keep)
    assert kinds(lead) == []


def test_a_list_on_paper_waits_until_it_is_finished(precinct: Precinct, lead: TestClient) -> None:
    list_id = start(precinct, lead, 2)
    for who in ("plain", "second ballot", "card"):
        key(precinct, lead, list_id, who)
    undo = {"reason": "The wrong envelope."}
    precinct.post(lead, f"/api/late-lists/{list_id}/rows/3/undo", undo)
    (item,) = of(lead, "paper-list-open")
    facts = item["facts"]
    assert (facts["count"], facts["printed_total"], facts["list"]) == (2, 2, "Envelope 3")
    precinct.post(lead, f"/api/late-lists/{list_id}/finish")
    assert kinds(lead) == []


def test_a_dropped_draft_needs_nobody(precinct: Precinct, lead: TestClient) -> None:
    list_id = bring(precinct, lead, row_of("plain")).json()["list"]["list_id"]
    precinct.post(lead, f"/api/late-lists/{list_id}/drop", {"reason": "Twice."})
    assert kinds(lead) == []


def test_locked_codes_wait_until_the_office_was_called_back(
    precinct: Precinct, lead: TestClient
) -> None:
    for n in range(5):
        wrong = code("mail", "mark_early", counter=n + 1)
        call(precinct, lead, "plain", "mark_early", code=wrong)
        assert bool(of(lead, "codes-locked")) is (n == 4)
    (item,) = of(lead, "codes-locked")
    assert item["facts"]["phone"] == "555-0142"
    unlock = {"number_called_back": "555-0142", "reason": "It was the clerk."}
    precinct.post(lead, "/api/phone-ins/unlock", unlock)
    assert of(lead, "codes-locked") == []


class TestHelpers:
    @pytest.fixture
    def policy(self) -> Policy:
        return Policy(helper_limit=1)

    def test_a_helper_over_the_limit_is_told_since_the_voter_too_many(
        self, precinct: Precinct, lead: TestClient
    ) -> None:
        def helped(who: str, name: str = "Barnaby Thrale", *, wanted: bool = True) -> Any:
            help_ = {
                "wanted": wanted,
                "helper_name": name,
                "reason": "Blind",
                "how": "paper",
                "helper_is": "other",
                "statement_of_support": True,
            }
            body = help_ if wanted else {"wanted": False}
            answer = precinct.post(lead, f"/api/lines/{precinct.ids[who]}/assistance", body)
            assert answer.status_code == 200, answer.text
            return answer.json()

        helped("spare 0")
        helped("spare 0")
        assert of(lead, "helper-over-limit") == []
        too_many = helped("spare 1", "barnaby  thrale")
        helped("spare 2")
        (item,) = of(lead, "helper-over-limit")
        assert item["facts"] == {"helper": "Barnaby Thrale", "helped": 3, "limit": 1}
        assert item["since"] == too_many["at"]
        helped("spare 1", wanted=False)
        helped("spare 2", "Somebody Else")
        assert of(lead, "helper-over-limit") == []


def test_without_a_limit_nobody_helps_too_many(precinct: Precinct, lead: TestClient) -> None:
    assert Policy().helper_limit == 0
    assert of(lead, "helper-over-limit") == []


def test_more_that_waits_costs_no_more_statements(precinct: Precinct, lead: TestClient) -> None:
    statements: list[str] = []
    engine = precinct.app.state.roster.store._reading
    event.listen(
        engine, "before_cursor_execute", lambda _c, _u, text, *_rest: statements.append(text)
    )

    def counted() -> int:
        statements.clear()
        lead.get("/api/attention")
        return len(statements)

    def write_up(who: str) -> None:
        body = {"irregularity": "voter", "what": "Left in anger", "line_id": precinct.ids[who]}
        precinct.post(lead, "/api/irregularities", body)

    def contradict(who: str) -> None:
        precinct.sign(lead, who)
        call(precinct, lead, who, "mark_by_mail")

    bring(precinct, lead, row_of("plain"))
    bring_and_apply(precinct, lead, "1,Nobody,Nemo,1980-01-01", name="rest.csv")
    start(precinct, lead, 3)
    contradict("spare 0")
    write_up("plain")
    counted()  # the print is read once only
    before = counted()
    for who in PEOPLE:
        write_up(who)
        bring(precinct, lead, row_of(who), name=f"{who}.csv")
    for n in range(1, 6):
        contradict(f"spare {n}")
        bring_and_apply(precinct, lead, f"7{n},Nobody,Nemo,1980-01-01", name=f"rest-{n}.csv")
        start(precinct, lead, 3)
    found = [item["kind"] for item in items(lead)]
    assert found.count("line-contradicts") == 7
    assert found.count("late-rows-open") == 6
    assert found.count("paper-list-open") == 6
    assert len(found) > 40
    assert counted() == before


def test_the_answer_holds_no_birth_date_and_no_mothers_name(
    precinct: Precinct, lead: TestClient
) -> None:
    precinct.sign(lead, "plain")
    bring_and_apply(precinct, lead, row_of("plain"), row_of("card", birth_date="1981-01-01"))
    text = json.dumps(items(lead))
    assert "Quillfeather" in text
    # Identifiers are random: now and then one has the digits of a year.
    said = re.sub(r'"since": "[^"]*"|[0-9a-f]{16,}', "", text)
    assert not re.search(r"(19|20)\d\d", said)
    assert "maiden" not in text


@pytest.fixture
def here(tmp_path: Path) -> Iterator[WholeDay]:
    with place(tmp_path) as whole:
        yield whole


def test_machines_that_are_off_are_told_until_they_are_read_again(here: WholeDay) -> None:
    lead = here.station("LO", "Lead's desk")
    here.open(lead)
    assert of(lead, "readings-off") == []
    here.read(lead, SERIALS[0], "during", 1, PACKAGED[SERIALS[0]] + 1)
    assert of(lead, "readings-off") == []
    last = here.read(lead, SERIALS[1], "during", 1, PACKAGED[SERIALS[1]] + 1).json()
    (item,) = of(lead, "readings-off")
    assert item["facts"] == {"difference": 2, "machines": 2, "signed": 0}
    assert item["key"] == f"readings-off:{last['seq']}"
    here.sign(lead, VOTERS[0])
    here.sign(lead, VOTERS[1])
    for serial in SERIALS:
        here.read(lead, serial, "during", 1, PACKAGED[serial] + 1)
    assert of(lead, "readings-off") == []


def test_items_come_oldest_first_whatever_their_kind() -> None:
    hour = datetime.timedelta(hours=1)
    later = Item(Need.LINE_CONTRADICTS, T0 + hour, "b")
    sooner = Item(Need.STATION_QUIET, T0, "Table 1")
    same = Item(Need.CODES_LOCKED, T0, "7")
    assert oldest_first([later, sooner, same]) == [same, sooner, later]


def test_a_line_contradicts_itself_since_the_second_of_its_facts_came() -> None:
    hour = datetime.timedelta(hours=1)
    assert contradicting_since([None, None], T0) == T0
    assert contradicting_since([T0 + 3 * hour, None, T0 + hour], T0) == T0 + hour
    assert contradicting_since([T0 + hour, T0 + 2 * hour], T0) == T0 + 2 * hour
