"""The checks of a place, or those that are shipped; what a failed one is about."""

from __future__ import annotations

import pytest

from app.intake.election import _CHECKLIST_CODE
from app.rules.checklists import SHIPPED, about, is_shipped, items_of, readiness
from app.rules.setting import ChecklistItem
from tests.making import setting


def test_a_package_without_checks_gets_those_that_are_shipped() -> None:
    bare = setting(checklist=())
    for stage in ("opening", "closing"):
        assert is_shipped(bare, stage)
        assert len(items_of(bare, stage)) > 8


def test_a_package_with_checks_of_one_stage_keeps_the_shipped_ones_of_the_other() -> None:
    own = setting(checklist=(ChecklistItem("opening", "one", "One."),))
    assert [item.code for item in items_of(own, "opening")] == ["one"]
    assert is_shipped(own, "closing")
    assert not is_shipped(own, "opening")


def test_shipped_checks_are_such_as_a_package_could_have() -> None:
    keys = [(item.stage, item.code) for item in SHIPPED]
    assert len(set(keys)) == len(keys)
    for item in SHIPPED:
        assert _CHECKLIST_CODE.fullmatch(item.code)
        assert 10 < len(item.sentence) < 90


@pytest.mark.parametrize(
    ("code", "subject"),
    [
        ("zero-report", "machine"),
        ("machines-powered", "machine"),
        ("seals-read", "seal"),
        ("machines-sealed", "seal"),
        ("ballots-compared", "ballot"),
        ("safety-walk", "place"),
        ("ways-in", "place"),
        ("oath-taken", "other"),
    ],
)
def test_what_a_check_is_about_is_told_by_its_name(code: str, subject: str) -> None:
    assert about(code) == subject


def test_only_required_checks_are_missing_and_a_failed_one_is_not_made() -> None:
    items = (
        ChecklistItem("opening", "a", "A."),
        ChecklistItem("opening", "b", "B."),
        ChecklistItem("opening", "c", "C.", required=False),
    )
    assert readiness(items, {}).missing == ("a", "b")
    found = readiness(items, {"a": True, "b": False, "c": False})
    assert (found.missing, found.failed, found.is_ready) == ((), ("b",), False)
    assert readiness(items, {"a": True, "b": True}).is_ready
