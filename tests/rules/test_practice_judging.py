"""When an exercise has ended right, and what is said where it has not."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from itertools import chain

import pytest

from app.rules import practice_judging
from app.rules.line import MarkKind
from app.rules.policy import Policy
from app.rules.practice import (
    LAST_NAMES,
    NUMBER,
    ROLE,
    birth_date_of,
    practice_elsewhere,
    practice_lines,
    practice_setting,
)
from app.rules.practice_exercises import EXERCISE, EXERCISES
from app.rules.practice_judging import SIGNED, Deed, Judged, judge
from app.rules.practice_words import PRACTICE_WORDS
from tests.making import setting

HERE = setting()


def deed(kind: str, role: str = "", **body: object) -> Deed:
    return Deed(kind, role, body, is_on_a_line=bool(role))


def judged(code: str, *deeds: Deed, **policy: object) -> Judged:
    place = setting(policy=replace(Policy(), **policy)) if policy else HERE  # type: ignore[arg-type]
    return judge(EXERCISE[code].ends, deeds, place)


@pytest.mark.parametrize(
    ("code", "deeds"),
    [
        ("plain", [deed(SIGNED, "plain")]),
        ("card", [deed("address.confirmed", "card"), deed(SIGNED, "card")]),
        ("helper", [deed("assistance.recorded", "helper", wanted=True), deed(SIGNED, "helper")]),
        ("mailed", [deed("provisional.recorded", "mailed")]),
        ("early", [deed("person.directed", "early", way="left")]),
        ("date", [deed("person.directed", "date-other", way="left")]),
        ("elsewhere", [deed("person.directed", way="elsewhere")]),
        ("nobody", [deed("provisional.recorded")]),
    ],
)
def test_the_right_end_is_right(code: str, deeds: list[Deed]) -> None:
    assert judged(code, *deeds) == Judged("right")


@pytest.mark.parametrize(
    ("code", "deeds", "fault"),
    [
        ("alike", [deed(SIGNED, "alike-other")], "signed-on-another-line"),
        ("mailed", [deed(SIGNED, "mailed")], "signed-who-must-not"),
        ("card", [deed(SIGNED, "card")], "missing-address-confirmed"),
        ("helper", [deed("assistance.recorded", "helper", wanted=False)], "recorded-otherwise"),
        ("plain", [], "missing-signature-recorded"),
        ("nobody", [deed("person.directed", way="left")], "needless-person-directed"),
        ("plain", [deed("provisional.recorded", "plain")], "needless-provisional-recorded"),
        ("early", [], "missing-person-directed"),
        ("nobody", [deed("provisional.recorded", "mailed")], "recorded-otherwise"),
    ],
)
def test_a_wrong_end_is_wrong_and_says_what_was(code: str, deeds: list[Deed], fault: str) -> None:
    found = judged(code, *deeds)
    assert found.result == "wrong"
    assert fault in found.faults
    assert found.wrong_actions == (0 if code == "card" else len(deeds))


def test_a_signature_on_the_wrong_line_that_was_moved_is_put_right() -> None:
    deeds = [
        deed(SIGNED, "alike-other"),
        deed("signature.withdrawn", "alike-other"),
        deed(SIGNED, "alike"),
    ]
    assert judged("alike", *deeds) == Judged("mended", 1, ("signed-on-another-line",))


def test_a_signature_on_the_wrong_line_that_stands_is_wrong_whatever_came_after() -> None:
    found = judged("alike", deed(SIGNED, "alike-other"), deed(SIGNED, "alike"))
    assert found == Judged("wrong", 1, ("signed-on-another-line",))


def test_writing_something_down_or_calling_the_registrar_is_never_wrong() -> None:
    deeds = [deed("irregularity.recorded"), deed(SIGNED, "plain"), deed("phone_in.recorded")]
    assert judged("plain", *deeds) == Judged("right")


def test_a_step_that_this_place_does_not_ask_for_is_neither_wanted_nor_wrong() -> None:
    sign = deed(SIGNED, "card")
    assert judged("card", sign, address_confirmation_first=False) == Judged("right")
    done = judged("card", deed("address.confirmed", "card"), sign, address_confirmation_first=False)
    assert done == Judged("right")


def test_where_there_are_no_provisional_ballots_the_reason_is_written_down() -> None:
    local = setting(federal=False)
    left = [deed("person.directed", "mailed", way="left")]
    assert judge(EXERCISE["mailed"].ends, left, local) == Judged("right")
    assert judged("mailed", *left).result == "wrong"


def test_there_are_enough_exercises_and_each_has_its_role_and_its_words_in_both_languages() -> None:
    assert 12 <= len(EXERCISES) <= 16
    english, spanish = PRACTICE_WORDS["en"], PRACTICE_WORDS["es"]
    assert list(english) == list(spanish)
    for exercise in EXERCISES:
        assert exercise.role in ROLE
        for part in ("title", "says", "why"):
            key = f"{exercise.code}.{part}"
            assert english[key] != spanish[key]
    said = {key for key in english if not key.startswith("fault.")}
    assert said == {f"{one.code}.{part}" for one in EXERCISES for part in ("title", "says", "why")}


def test_every_fault_that_can_be_found_has_kind_words() -> None:
    kinds = {one.kind for each in EXERCISES for end in each.ends for one in end.wanted}
    codes = {f"missing-{kind.replace('.', '-')}" for kind in kinds}
    codes |= {"signed-on-another-line", "signed-who-must-not", "recorded-otherwise", "needless"}
    codes |= practice_judging.NEEDLESS
    assert {f"fault.{code}" for code in codes} == {
        key for key in PRACTICE_WORDS["en"] if key.startswith("fault.")
    }


def test_nobody_in_a_practice_day_can_exist() -> None:
    place = practice_setting(HERE)
    for line in practice_lines(place):
        # The oldest person known lived to 122.
        assert place.election.date.year - line.birth_date.year > 122
        assert line.voter_number.startswith(NUMBER)
        assert line.last_name in LAST_NAMES
    assert {one.precinct for one in practice_elsewhere(place)} == {"PRACTICE"}


def test_every_kind_of_line_is_there() -> None:
    lines = practice_lines(practice_setting(HERE))
    numbers = [line.voter_number for line in lines]
    assert len(set(numbers)) == len(numbers)
    for note in ("address_confirmation", "assistance", "inactive"):
        assert sum(getattr(line, note) for line in lines) == len(LAST_NAMES)
    marks = [frozenset(mark.kind for mark in line.marks) for line in lines]
    assert {*chain.from_iterable(marks)} == set(MarkKind)
    assert marks.count(frozenset(MarkKind)) == len(LAST_NAMES)


def test_only_the_twins_of_a_set_have_one_birth_date() -> None:
    place = practice_setting(HERE)
    dates = {key: birth_date_of(place, key) for key in ROLE}
    twins = {key for key, born in dates.items() if list(dates.values()).count(born) > 1}
    assert twins == {"twin", "twin-other"}
    assert all(isinstance(born, date) for born in dates.values())


def test_the_practice_setting_differs_in_the_election_s_name_and_id_alone() -> None:
    practised = practice_setting(HERE)
    assert practised.is_practice
    assert "PRACTICE" in practised.election.name
    same = replace(practised, election=HERE.election, is_practice=False)
    assert same == HERE
