"""Why a line came up, as it is said to the worker."""

from __future__ import annotations

import pytest

from tests.matching.people import finder, ids

EVERYBODY = finder()

SAID = [
    ("smith", "smith", "last name as typed"),
    ("smi", "smith", "last name starts with smi"),
    ("ashwrth", "ashworth", "last name one letter off"),
    ("ashvorta", "ashworth", "last name two letters off"),
    ("snyder", "schneider", "last name sounds like snyder"),
    ("lopez", "garcia-lopez", "part of the last name as typed"),
    ("smith bill", "smith-william", "known as Bill"),
    ("smith bil", "smith-william", "known as Bill"),
    ("kirkbride james", "kirkbride", "first name printed as an initial"),
    ("smith john quincy", "smith-john", "middle name as typed"),
    ("baker peter sr", "baker-sr", "suffix as typed"),
    ("joan, smith", "smith", "first and last name swapped"),
    ("oneil 3/4/1987", "oneil", "birth date agrees"),
    ("smith 4/3/1987", "smith", "day and month swapped"),
    ("smith 3/5/1987", "smith", "one digit of the birth date differs"),
    ("smith 3/4/1978", "smith", "two digits of the birth date swapped"),
    ("smith 3/4/1988", "smith", "year off by one"),
    ("smith 1987", "smith", "born in 1987"),
    ("smith 3/4", "smith", "month and day of birth agree"),
    ("400100242", "smith", "voter number"),
    ("5002", "zhang", "voter number starts with 5002"),
    ("garcia villalobos", "garcia", "mother's maiden name"),
    ("41 wheelhouse", "wheelhouse", "street"),
    ("41 wheelhouse", "wheelhouse", "house number"),
]


@pytest.mark.parametrize(("text", "line_id", "words"), SAID)
def test_the_reason_is_said_in_plain_words(text: str, line_id: str, words: str) -> None:
    first = EVERYBODY.find(text).matches[0]
    assert first.line_id == line_id
    assert words in [why.words for why in first.why]


def test_reasons_stand_in_print_order_and_only_once() -> None:
    first = EVERYBODY.find("3/4/1987 joan smith").matches[0]
    assert [why.code for why in first.why] == ["last-same", "first-same", "birth-date"]


def test_the_usual_order_of_speech_is_not_called_swapped() -> None:
    found = EVERYBODY.find("joan smith")
    assert ids(found)[0] == "smith"
    assert "first-last-swapped" not in [why.code for why in found.matches[0].why]
