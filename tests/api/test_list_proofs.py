"""The printed proof of a list on paper, as the lead prints it; it says what the log says."""

from __future__ import annotations

import datetime
import re
from typing import Any

import pytest
from starlette.testclient import TestClient

from tests.api.conftest import PEOPLE, Precinct
from tests.api.listing import bring_and_apply, row_of
from tests.api.pages import as_printed, begin, keyed
from tests.papers.reading import pages_of, text_of


@pytest.fixture
def lead(precinct: Precinct) -> TestClient:
    return precinct.station("LO", "Lead's desk")


@pytest.fixture
def table(precinct: Precinct) -> TestClient:
    return precinct.station("RM")


def proof(client: TestClient, list_id: str, language: str = "en") -> bytes:
    answer = client.get(f"/api/papers/list-{list_id}.pdf", params={"language": language})
    assert answer.status_code == 200, answer.text
    assert answer.headers["content-type"] == "application/pdf"
    assert answer.headers["cache-control"] == "no-store"
    return bytes(answer.content)


def key(precinct: Precinct, client: TestClient, list_id: str, who: str, **more: Any) -> None:
    body = {"line_id": precinct.ids[who], **more}
    answer = precinct.post(client, f"/api/late-lists/{list_id}/keyed", body)
    assert answer.status_code == 200, answer.json()


def undo(precinct: Precinct, client: TestClient, list_id: str, number: int, reason: str) -> None:
    path = f"/api/late-lists/{list_id}/rows/{number}/undo"
    assert precinct.post(client, path, {"reason": reason}).status_code == 200


def clock(local_time: str) -> str:
    """`14:05` as it is written on papers."""
    hour, minute = map(int, local_time.split(":"))
    return f"{hour % 12 or 12}:{minute:02} {'a' if hour < 12 else 'p'}.m."


EFFECTS = {"mark": "Voted by mail", "already": "Stood there already", "not_found": "On no line"}


def told_by_the_log(lead: TestClient, names: dict[str, str]) -> tuple[list[str], list[str]]:
    """The rows and the notes that a proof must have, from the entries alone."""
    entries = lead.get("/api/log?limit=1000").json()["entries"]
    rows, notes = [], []
    for entry in entries:
        body, by = entry["body"], entry["initials"]
        if entry["kind"] == "late_list.row_keyed":
            who = names.get(entry["line_id"], "Nemo")
            done = EFFECTS[body["effect"]]
            rows.append(f"{body['row_number']} {who} {done} {clock(entry['local_time'])} {by}")
        if entry["kind"] == "late_list.row_undone":
            when = clock(entry["local_time"])
            notes.append(f"TAKEN BACK at {when} by {by}, not counted. Reason: {body['reason']}")
        if entry["kind"] == "irregularity.recorded":
            notes.append("CONTRADICTION: ")
    return rows, notes


def test_what_is_on_it_is_what_the_log_says(
    precinct: Precinct, lead: TestClient, table: TestClient
) -> None:
    other = precinct.station("TB", "Table 2")
    list_id = begin(precinct, lead, 6, "mail_voted")
    precinct.sign(table, "plain")
    key(precinct, table, list_id, "second ballot")
    key(precinct, other, list_id, "mail")
    key(precinct, table, list_id, "plain")
    precinct.post(other, f"/api/late-lists/{list_id}/not-found", {"name": "Nemo"})
    key(precinct, table, list_id, "spare 3")
    undo(precinct, other, list_id, 5, "a namesake")
    key(precinct, other, list_id, "spare 4")
    precinct.post(lead, f"/api/late-lists/{list_id}/finish", {"reason": "page two is missing"})
    names = {
        precinct.ids[who]: f"{one.voter_number} {one.name_last_first}"
        for who, one in PEOPLE.items()
    }
    text = text_of(proof(lead, list_id))
    rows, notes = told_by_the_log(lead, names)
    assert len(rows) == 6
    places = [text.index(row) for row in rows]
    assert places == sorted(places)
    assert len(re.findall(r"\d+ (?:1000\d{5} \S+, \S+|Nemo) (?:Voted|Stood|On)", text)) == len(rows)
    assert [note for note in notes if note not in text] == []
    assert text.count("CONTRADICTION: ") == notes.count("CONTRADICTION: ") == 1
    assert "the line is signed, and the list says otherwise" in text
    assert "Why they differ page two is missing" in text
    assert "5. THE TWO NUMBERS DIFFER by 1." in text
    assert "Keyed by RM, TB" in text


def test_it_names_the_entries_it_rests_on_and_where_the_log_ended(
    precinct: Precinct, lead: TestClient, table: TestClient
) -> None:
    list_id = begin(precinct, lead, 1, "mail_voted")
    key(precinct, table, list_id, "plain")
    precinct.sign(table, "card")
    precinct.post(table, f"/api/late-lists/{list_id}/finish", {})
    precinct.sign(table, "second ballot")
    entries = lead.get("/api/log?limit=1000").json()
    mine = [entry["seq"] for entry in entries["entries"] if "late_list" in entry["kind"]]
    head = entries["head"]
    fours = " ".join(re.findall("....", head["hash"][:16]))
    text = text_of(proof(lead, list_id))
    assert f"entries {mine[0]} to {mine[-1]}." in text
    assert f"the log ended with entry {head['seq']}, whose hash begins {fours}." in text


def test_a_list_that_is_still_worked_prints_too_and_says_so(
    precinct: Precinct, lead: TestClient, table: TestClient
) -> None:
    list_id = begin(precinct, lead, 2, "mail_voted")
    empty = text_of(proof(lead, list_id))
    assert "NOT FINISHED" in empty
    assert "No row was keyed." in empty
    key(precinct, table, list_id, "plain")
    (page,) = pages_of(proof(lead, list_id, "es"))
    assert "NO TERMINADA" in page
    assert "Quillfeather, Odette Votó por correo" in page
    dropped = begin(precinct, lead, 2, "mail_voted")
    precinct.post(lead, f"/api/late-lists/{dropped}/drop", {})
    assert "It was put aside." in text_of(proof(lead, dropped))


def test_a_supplemental_page_prints_who_was_added_was_there_waits_and_was_taken_back(
    precinct: Precinct, lead: TestClient, table: TestClient
) -> None:
    list_id = begin(precinct, lead, 4)
    keyed(precinct, table, list_id, street_address="9 Hidden Row", address_protected=True)
    keyed(precinct, table, list_id, **as_printed("plain"))
    keyed(precinct, table, list_id, **as_printed("card", voter_number="200000006"))
    keyed(precinct, table, list_id, voter_number="100000002", first_name="Ada")
    keyed(precinct, table, list_id, voter_number="200000005", last_name="Wrongley")
    undo(precinct, table, list_id, 5, "wrong page")
    path = f"/api/late-lists/{list_id}/rows/3/settle"
    precinct.post(lead, path, {"add": True})
    precinct.post(table, f"/api/late-lists/{list_id}/finish", {})
    text = text_of(proof(lead, list_id))
    assert "1 200000001 Nettlefold, Ambrose Added" in text
    assert "2 100000001 Quillfeather, Odette Already registered" in text
    assert "somebody else, added to the register." in text
    assert "the voter number is somebody else's here." in text
    assert "NOT SETTLED: the lead has to decide." in text
    assert "Reason: wrong page" in text
    assert "5: 2 added, 1 stood there already, 1 NOT SETTLED, 1 taken back" in text
    assert "Rows keyed and counted 4. The two numbers agree." in text
    for secret in ("Hidden Row", "Ropewalk", "Ternhaven", "1987", "3/4/"):
        assert secret not in text


def test_neither_address_nor_birth_date_of_anybody_is_printed(
    precinct: Precinct, lead: TestClient, table: TestClient
) -> None:
    list_id = begin(precinct, lead, 1, "mail_voted")
    key(precinct, table, list_id, "plain")
    text = text_of(proof(lead, list_id))
    born = PEOPLE["plain"].birth_date
    assert isinstance(born, datetime.date)
    for secret in (PEOPLE["plain"].street_address, str(born), str(born.year)):
        assert secret not in text


def test_no_list_and_a_list_from_a_file_have_no_proof(precinct: Precinct, lead: TestClient) -> None:
    unknown = lead.get("/api/papers/list-no-such-list.pdf")
    assert (unknown.status_code, unknown.json()["code"]) == (404, "not-found")
    brought = bring_and_apply(precinct, lead, row_of("plain"))
    of_file = lead.get(f"/api/papers/list-{brought['list']['list_id']}.pdf")
    assert (of_file.status_code, of_file.json()["code"]) == (422, "bad-request")
    assert of_file.json()["field"] == "list_id"
    assert lead.get(f"/api/papers/list-{'x' * 65}.pdf").json()["code"] == "bad-request"


def test_the_lead_alone_prints_it(precinct: Precinct, lead: TestClient, table: TestClient) -> None:
    list_id = begin(precinct, lead, 1, "mail_voted")
    path = f"/api/papers/list-{list_id}.pdf"
    assert precinct.client().get(path).json()["code"] == "not-signed-on"
    assert table.get(path).json()["code"] == "not-allowed"
    assert precinct.station("GS", "Registrar").get(path).json()["code"] == "not-allowed"
    assert lead.get(path, params={"language": "tlh"}).json()["code"] == "bad-request"
    assert precinct.post(lead, path).json()["code"] == "method-not-allowed"
