"""A licence's stripe swiped into the one box: it finds its holder and is kept nowhere."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.api.conftest import PEOPLE, Precinct
from tests.matching.test_licence_stripe import BANK, HOLDER, swipe


def test_a_swipe_finds_its_holder_and_nothing_of_it_is_kept_or_said_back(
    precinct: Precinct,
) -> None:
    assert PEOPLE["plain"].birth_date == HOLDER.born
    table = precinct.station("RM")
    before = table.get("/api/log?limit=1000").json()
    answer = precinct.post(table, "/api/find", {"text": swipe(HOLDER)})
    body = answer.json()
    assert body["matches"][0]["line_id"] == precinct.ids["plain"]
    for secret in ("64235789", "3112", "636006", "%CT"):
        assert secret not in answer.text
    assert table.get("/api/log?limit=1000").json() == before
    kept = b"".join(
        file.read_bytes() for file in Path(precinct.url.removeprefix("sqlite:///")).parent.iterdir()
    )
    assert b"64235789" not in kept


@pytest.mark.parametrize("text", [BANK, swipe(HOLDER)[:40], swipe(HOLDER)[40:]])
def test_a_card_that_cannot_be_read_is_named_as_such_and_not_quoted(
    precinct: Precinct, text: str
) -> None:
    answer = precinct.post(precinct.station("RM"), "/api/find", {"text": text})
    body = answer.json()
    assert (body["matches"], body["ignored"]) == ([], ["licence"])
    assert "4000123412341234" not in answer.text
    assert "QUILL" not in answer.text


@pytest.mark.parametrize("text", ["V100000001", "100000001-A", "100000001"])
def test_a_voter_number_with_a_letter_put_to_it_finds_its_line_alone(
    precinct: Precinct, text: str
) -> None:
    body = precinct.post(precinct.station("RM"), "/api/find", {"text": text}).json()
    assert [match["line_id"] for match in body["matches"]] == [precinct.ids["plain"]]
    assert body["ignored"] == []
