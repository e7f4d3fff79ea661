"""Names, birth dates and addresses read by themselves are those of the lines as they stand."""

from __future__ import annotations

from dataclasses import fields

import pytest
from starlette.testclient import TestClient

from app.records import queries
from app.records.clock import SystemClock
from app.records.named import Named, all_named_now
from app.records.store import open_store
from tests.api.conftest import Precinct
from tests.api.test_phone_ins import call


@pytest.mark.parametrize(
    "argument",
    ["last_name=Yarrow", "birth_date=2/1/1950", "street_address=9 Mill Street", "party=Gull"],
)
def test_a_line_read_by_its_name_alone_is_the_line_as_it_was_corrected(
    precinct: Precinct, argument: str
) -> None:
    lead: TestClient = precinct.station("LO", "Lead's desk")
    assert call(precinct, lead, "senior", "correct_detail", argument).status_code == 200
    with open_store(precinct.url, SystemClock()) as store:
        named = store.read(lambda connection: list(all_named_now(connection)))
        lines = store.read(lambda connection: list(queries.all_lines_now(connection)))
    assert {field.name for field in fields(lines[0].printed)} >= set(Named._fields[1:])
    assert named == [
        Named(line.line_id, *(getattr(line.printed, name) for name in Named._fields[1:]))
        for line in lines
    ]
