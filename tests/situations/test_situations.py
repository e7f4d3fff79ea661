"""Every situation of the TOML files, lived through over HTTP; and what the files promise."""

from __future__ import annotations

import tomllib
from collections import Counter
from pathlib import Path
from typing import Any

import pytest

from app.records.store import verify_database
from app.rules.late_list import ListKind
from app.rules.options import OPTIONS_AFTER
from app.rules.phone_change import ChangeCode
from tests.situations.acts import ACTS, do
from tests.situations.place import place_of

FOLDER = Path(__file__).parent
AT_THE_TABLE = tomllib.loads((FOLDER / "situations.toml").read_text(encoding="utf-8"))
LATE = tomllib.loads((FOLDER / "late_situations.toml").read_text(encoding="utf-8"))["situation"]
SITUATIONS: list[dict[str, Any]] = [*AT_THE_TABLE["situation"], *LATE]
CATEGORIES = AT_THE_TABLE["categories"]

KEYS = {
    "id", "told", "about", "reading", "law", "federal", "policy", "buttons", "lines", "day", "do",
    "records", "prints",
}  # fmt: skip
EXPECTED = {
    "gives", "because", "steps", "may", "otherwise", "asks", "flags", "shows", "finds", "hides",
}  # fmt: skip
SAID = {
    "witness",
    "act", "by", "on", "to", "who", "typed", "evidence", "reason", "why", "writes", "says", "way",
    "person", "for", "turn",
    # of late lists and calls
    "kind", "name", "rows", "row", "means", "refuse", "add", "withdraw", "total", "twice",
    "what", "argument", "reads", "code", "counter", "authorised", "leaves",
}  # fmt: skip


@pytest.mark.parametrize("situation", SITUATIONS, ids=[one["id"] for one in SITUATIONS])
def test_the_table_does_what_the_situation_says(situation: dict[str, Any], tmp_path: Path) -> None:
    with place_of(situation, tmp_path) as place:
        for turn in situation.get("day", ["open"]):
            status, answer = do(place, {"act": turn})
            assert status == 200, answer
        before = len(place.kinds())
        printed: list[str] = []
        for step in situation["do"]:
            kinds = place.kinds()
            status, answer = do(place, step)
            compare(step, status, answer)
            printed += answer.get("papers", []) if status == 200 else []
            if status != 200:
                traces = place.kinds()[len(kinds) :]
                assert traces == step.get("leaves", []), "a refusal left a trace"
        assert place.kinds()[before:] == situation["records"]
        assert printed == situation.get("prints", [])
    assert verify_database(place.url).holds


def compare(step: dict[str, Any], status: int, answer: dict[str, Any]) -> None:
    """Everything the step expects, exactly; what it does not name is not looked at."""
    verdict = answer.get("verdict") or answer
    if "gives" in step:
        is_judged = status == 200 and bool(answer.get("verdict"))
        given = verdict["outcome"] if is_judged else answer.get("code", "done")
        assert given == step["gives"], answer
    for name, found in (
        ("because", verdict.get("reasons")),
        ("steps", verdict.get("steps")),
        ("may", verdict.get("options")),
        ("otherwise", verdict.get("if_not_done")),
        ("flags", answer.get("flags")),
    ):
        if name in step:
            codes = [one if isinstance(one, str) else one["code"] for one in found or []]
            assert codes == step[name], (name, answer)
    if "asks" in step:
        assert answer["asked"] == step["asks"]
    if "finds" in step:
        assert answer["found"][: len(step["finds"]) or None] == step["finds"]
    for path, value in step.get("shows", {}).items():
        found = at(answer, path)
        # TOML has no word for nothing: false stands for it.
        assert (False if found is None else found) == value, (path, answer)
    for words in step.get("hides", []):
        assert words not in str(answer)


def at(answer: Any, path: str) -> Any:
    """The value at `a.0.b` of an answer."""
    for part in path.split("."):
        answer = answer[int(part)] if isinstance(answer, list) else answer[part]
    return answer


def test_there_are_at_least_sixty_situations_and_each_is_told_once() -> None:
    assert len(SITUATIONS) >= 60
    assert max(Counter(one["id"] for one in SITUATIONS).values()) == 1
    assert max(Counter(one["told"] for one in SITUATIONS).values()) == 1


def test_every_situation_is_written_in_known_words() -> None:
    for one in SITUATIONS:
        assert set(one) <= KEYS, one["id"]
        assert one["told"].endswith("."), one["id"]
        assert any(EXPECTED & set(step) for step in one["do"]), one["id"]
        for step in one["do"]:
            assert step["act"] in ACTS, one["id"]
            assert set(step) <= SAID | EXPECTED, (one["id"], set(step) - SAID - EXPECTED)


def test_our_reading_of_the_27_scenarios_has_each_once_and_all_seven_categories() -> None:
    read = [one for one in SITUATIONS if "reading" in one]
    assert sorted(one["reading"] for one in read) == list(range(1, 28))
    assert {one["about"] for one in read} == set(CATEGORIES)
    assert len(CATEGORIES) == 7


@pytest.mark.parametrize("code", sorted(OPTIONS_AFTER))
def test_every_reason_of_the_rules_is_met_in_some_situation(code: str) -> None:
    assert any(code in step.get("because", []) for one in SITUATIONS for step in one["do"])


def test_every_step_option_and_paper_is_met_in_some_situation() -> None:
    steps = {code for one in SITUATIONS for step in one["do"] for code in step.get("steps", [])}
    assert steps == {
        "in-line-at-cut-off", "tell-apart", "affirm-address", "ask-moved", "identification",
        "address-confirmation", "assistance",
    }  # fmt: skip
    options = {code for one in SITUATIONS for step in one["do"] for code in step.get("may", [])}
    assert options >= {code for codes in OPTIONS_AFTER.values() for code in codes}
    assert options >= {"direct-elsewhere", "registration-form", "write-down-why"}
    papers = {paper for one in SITUATIONS for paper in one.get("prints", [])}
    assert papers == {
        "direction-slip", "provisional-slip", "registration-form", "correction-affidavit",
    }  # fmt: skip


CONTRADICTIONS = (
    "signed-already", "marked-otherwise", "marked-twice", "marked-already", "removed-already",
    "provisional-given", "on-a-line-already", "number-taken",
)  # fmt: skip


@pytest.mark.parametrize("code", CONTRADICTIONS)
def test_every_contradiction_of_a_late_list_is_met_in_some_situation(code: str) -> None:
    shown = [step.get("shows", {}) for one in LATE for step in one["do"]]
    assert any(path.endswith(".code") and said[path] == code for said in shown for path in said)


@pytest.mark.parametrize(("act", "key", "codes"), [
    ("phone", "what", ChangeCode),
    ("bring list", "kind", ListKind),
])  # fmt: skip
def test_every_change_by_telephone_and_every_kind_of_list_is_met(
    act: str, key: str, codes: type[ChangeCode | ListKind]
) -> None:
    steps = [step for one in LATE for step in one["do"]]
    met = {
        step[key].replace(" ", "_")
        for step in steps
        if step["act"].replace("and apply ", "") == act
    }
    assert met == set(codes)


def test_where_a_federal_statute_decides_it_is_named_as_such() -> None:
    named = [one["law"] for one in SITUATIONS if "law" in one]
    assert len(named) >= 20
    assert all("U.S.C." in law for law in named)
