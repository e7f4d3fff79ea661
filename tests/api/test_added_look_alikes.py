"""Lines that supplemental lists add, and whom each of them can be mistaken for."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from starlette.testclient import TestClient

from app.desk.late_entries import new_lines_of
from app.desk.late_judging import Prepared
from app.desk.namesakes import places_of_look_alikes_before
from app.intake.late_lines import printed_line
from app.intake.late_rows import LateRow
from app.matching.look_alikes import find_look_alikes
from app.records.clock import SystemClock
from app.records.late_lists import KeptList
from app.records.store import open_store, verify_database
from app.rules.late_agreement import Agreement
from app.rules.late_list import Effect, Listed, ListKind, Proposal
from tests.api.conftest import PEOPLE, Precinct
from tests.api.listing import bring_and_apply, row_of

HEADING = "Voter number,Last name,First name,Birth date,Street address,Ballot button"
FATHER = "200000001,Nettlefold,Ambrose,1951-01-09,8 Ropewalk Lane,1"
SON = "200000002,Nettlefold,Ambrose,1981-03-04,8 Ropewalk Lane,1"
NAMESAKE = "200000003,Quillfeather,Odette,1991-01-09,9 Ropewalk Lane,1"
COUSIN = "200000004,Nettlefold,Ambrose,1999-07-07,2 Mill Street,1"


@pytest.fixture
def lead(precinct: Precinct) -> TestClient:
    return precinct.station("LO", "Lead's desk")


def add(precinct: Precinct, lead: TestClient, name: str, *rows: str) -> None:
    done = bring_and_apply(precinct, lead, *rows, kind="supplemental", name=name, heading=HEADING)
    assert done["tally"]["applied"] == len(rows)


def alike(precinct: Precinct, lead: TestClient, number: str) -> set[str]:
    """The voter numbers that the line with this number is told apart from."""
    (match, *_) = precinct.post(lead, "/api/find", {"text": number}).json()["matches"]
    sheet = lead.get(f"/api/lines/{match['line_id']}").json()
    return {one["voter_number"] for one in sheet["look_alikes"]}


def test_father_and_son_of_one_list_a_namesake_and_a_cousin_of_the_next_are_told_apart(
    precinct: Precinct, lead: TestClient
) -> None:
    add(precinct, lead, "first.csv", FATHER, SON, NAMESAKE)
    assert alike(precinct, lead, "200000001") == {"200000002"}
    assert alike(precinct, lead, "200000002") == {"200000001"}
    assert alike(precinct, lead, "200000003") == {PEOPLE["plain"].voter_number}
    add(precinct, lead, "second.csv", COUSIN)
    assert alike(precinct, lead, "200000004") == {"200000001", "200000002"}
    assert alike(precinct, lead, "200000001") == {"200000002", "200000004"}
    assert verify_database(precinct.url).holds


def test_a_row_that_waited_for_the_lead_is_told_apart_from_those_added_before_it(
    precinct: Precinct, lead: TestClient
) -> None:
    waiting = row_of("plain", voter_number="200000009") + ",8 Ropewalk Lane,1"
    done = bring_and_apply(precinct, lead, NAMESAKE, waiting, kind="supplemental", heading=HEADING)
    assert done["tally"]["open"] == 1
    path = f"/api/late-lists/{done['list']['list_id']}/rows/3/settle"
    assert precinct.post(lead, path, {"add": True}).status_code == 200
    plain = PEOPLE["plain"].voter_number
    assert alike(precinct, lead, "200000009") == {"200000003", plain}
    assert alike(precinct, lead, "200000003") == {"200000009", plain}
    assert verify_database(precinct.url).holds


def _numbered(row: LateRow, number: int) -> LateRow:
    return replace(row, row_number=number, voter_number=f"20000{number:04}")


def _kept() -> KeptList:
    return KeptList(
        1, "list", "token", ListKind.SUPPLEMENTAL, "file", "x.csv", "draft", "", "LO", ""
    )


ROWS = st.builds(
    LateRow,
    row_number=st.just(0),
    voter_number=st.just("200000001"),
    last_name=st.sampled_from(["Baker", "Bakker", "Meyer", "Maier", "Joan"]),
    first_name=st.sampled_from(["William", "Bill", "Joan", "Joann", "Baker"]),
    birth_date=st.sampled_from([date(1980, 5, 17), date(1985, 5, 16), date(1990, 1, 1)]),
    details=st.sampled_from([{}, {"street_address": "4 Mill Street"}]),
)


@settings(
    max_examples=40, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture]
)
@given(st.lists(ROWS, min_size=2, max_size=7), st.data())
def test_whichever_rows_are_added_they_are_flagged_as_a_register_of_them_would_be(
    precinct: Precinct, rows: list[LateRow], data: st.DataObject
) -> None:
    numbered = tuple(_numbered(row, at) for at, row in enumerate(rows, start=2))
    added = data.draw(st.sets(st.sampled_from([row.row_number for row in numbered]), min_size=1))
    printed = [printed_line(row) for row in numbered]
    before = [tuple(place + 2 for place in one) for one in places_of_look_alikes_before(printed)]
    prepared = Prepared(
        _kept(), Listed(ListKind.SUPPLEMENTAL, "x.csv"), numbered, (), 0,
        alike_rows={row.row_number: one for row, one in zip(numbered, before, strict=True)},
    )  # fmt: skip
    proposals = [Proposal(number, Agreement.NONE, None, Effect.ADD) for number in sorted(added)]
    with open_store(precinct.url, SystemClock()) as store:
        new = store.read(lambda connection: new_lines_of(connection, prepared, proposals))
    lines = [one.line for one in new.values()]
    whole = find_look_alikes([line.printed for line in lines])
    for at, line in enumerate(lines):
        expected = [lines[other].line_id for other in whole.get(at, ()) if other < at]
        assert list(line.look_alikes) == expected
