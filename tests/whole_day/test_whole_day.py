"""A whole day over HTTP comes out; with one error in it, the error is named and stands in the way.

The counters come from who really voted, which the record never sees.
"""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

from app.desk.bundle_reading import check_bundle
from tests.whole_day.day import Until, going_on, work_until_close, worked_until_paper
from tests.whole_day.tables import Day
from tests.whole_day.variants import VARIANTS, Variant

FIRST_NAMED = 3


@pytest.fixture(scope="module")
def until_paper(tmp_path_factory: pytest.TempPathFactory) -> Until:
    """The part of the day that is the same in most of them, worked once."""
    return worked_until_paper(tmp_path_factory.mktemp("morning"))


def test_a_day_with_all_that_happens_comes_out_and_is_handed_over(
    until_paper: Until, tmp_path: Path
) -> None:
    with going_on(until_paper, tmp_path) as day:
        work_until_close(day)
        found = day.reconciliation()
        counts = (found["terms"]["signatures"], found["terms"]["left"], found["difference"])
        assert counts == (900, 1, 0)
        assert found["terms"]["machines"] == len(day.truth.votes) == 899
        assert (found["causes"], found["missing"], found["balances"]) == ([], [], True)
        assert found["provisional"] == {"recorded": 2, "withdrawn": 0, "apart": 2}
        assert [one["difference"] for one in found["marks"]] == [0, 0, 0]
        assert [one["difference"] for one in found["by_button"]] == [0, 0, 0]
        assert day.doubted == []
        day.done("/api/day/close")
        _taken_away(day, tmp_path / "taken.zip")
        day.place.must_verify()


def _taken_away(day: Day, path: Path) -> None:
    made = day.done("/api/day/hand-over")
    path.write_bytes(day.lead.get("/api/exports/bundle.zip").content)
    checked = check_bundle(path)
    assert checked.fault is None
    assert (checked.head.seq, checked.head.hash) == (made["last_seq"], made["last_hash"])


@pytest.mark.parametrize("variant", VARIANTS, ids=lambda variant: variant.name)
def test_one_error_is_named_among_the_first_and_the_day_wants_a_reason(
    variant: Variant, request: pytest.FixtureRequest, tmp_path: Path
) -> None:
    with going_on(_until_paper(variant, request), tmp_path) as day:
        points_at = variant.plant(day)
        work_until_close(day)
        found = day.reconciliation()
        assert day.doubted == [*variant.doubted]
        named = [cause["code"] for cause in found["causes"]]
        assert variant.cause in named[:FIRST_NAMED]
        cause = found["causes"][named.index(variant.cause)]
        assert set(points_at) <= {*cause["lines"], *cause["serials"]}
        if "likely" in cause["facts"]:
            true = day.truth.public(cause["serials"][0], day.clock.at)
            assert cause["facts"]["likely"] == true
        _closes_with_a_reason_alone(day, variant)


def _until_paper(variant: Variant, request: pytest.FixtureRequest) -> Until:
    if variant.before_anybody is None:
        until: Until = request.getfixturevalue("until_paper")
        return until
    folder = request.getfixturevalue("tmp_path_factory").mktemp("morning")
    return worked_until_paper(folder, variant.before_anybody)


def _closes_with_a_reason_alone(day: Day, variant: Variant) -> None:
    refused = day.place.post(day.lead, "/api/day/close")
    assert (refused.status_code, refused.json().get("code")) == (409, "does-not-balance")
    assert variant.cause in [cause["code"] for cause in refused.json()["causes"]]
    day.done("/api/day/close", {"reason": "nobody could say why"})
    last: dict[str, Any] = day.lead.get("/api/irregularities").json()["irregularities"][-1]
    assert last["code"] == "closed-with-difference"
