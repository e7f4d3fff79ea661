"""Both languages say the same things, and dates and times are written as people write them."""

from __future__ import annotations

import inspect
import re
from datetime import date, time
from typing import get_args

import pytest

from app.papers import list_proof, page, slips
from app.papers.list_proof import Keyed
from app.papers.words import WORDS, written_date, written_time
from app.rules import late_list
from app.rules.late_list import ListKind
from app.rules.late_sentences import LATE_SENTENCES

CONTRADICTIONS = {
    "signed-already",
    "marked-otherwise",
    "marked-twice",
    "marked-already",
    "removed-already",
    "provisional-given",
    "on-a-line-already",
    "number-taken",
}


def test_both_languages_have_the_same_keys_and_fill_in_the_same() -> None:
    assert WORDS["en"].keys() == WORDS["es"].keys()
    for key, text in WORDS["en"].items():
        other = WORDS["es"][key]
        assert set(re.findall(r"\{\w+\}", text)) == set(re.findall(r"\{\w+\}", other)), key
        assert text
        assert other


# Sentences whose key ends in a code: one for every code there is, and no other.
MARKED = ("mail_voted", "early_voted")
FAMILIES = {
    "proof.against.": set(CONTRADICTIONS),
    "proof.part.": {"already", "not_found", "left_off", "waits", "undone"}
    | {f"did.{kind.value}" for kind in ListKind},
    "proof.did.": {*get_args(Keyed), "already.supplemental", "not_found.supplemental"} - {"mark"}
    | {f"mark.{kind}" for kind in MARKED},
}


def test_every_sentence_is_on_some_paper() -> None:
    said = "".join(map(inspect.getsource, (page, slips, list_proof)))
    named = [key for key in WORDS["en"] if not key.startswith(tuple(FAMILIES))]
    assert [key for key in named if f'"{key}"' not in said] == []


@pytest.mark.parametrize("family", sorted(FAMILIES))
def test_every_code_has_its_sentence_and_no_sentence_is_left_over(family: str) -> None:
    assert f'f"{family}' in inspect.getsource(list_proof)
    told = {key.removeprefix(family) for key in WORDS["en"] if key.startswith(family)}
    assert told == FAMILIES[family]


def test_every_contradiction_that_the_rules_know_is_among_them() -> None:
    assert LATE_SENTENCES.keys() >= CONTRADICTIONS
    source = inspect.getsource(late_list)
    assert [code for code in CONTRADICTIONS if f'"{code}"' not in source] == []


@pytest.mark.parametrize(
    ("day", "english", "spanish"),
    [
        (date(2027, 3, 2), "Tuesday, March 2, 2027", "martes 2 de marzo de 2027"),
        (date(2028, 11, 7), "Tuesday, November 7, 2028", "martes 7 de noviembre de 2028"),
        (date(2027, 8, 1), "Sunday, August 1, 2027", "domingo 1 de agosto de 2027"),
    ],
)
def test_dates_are_written_out(day: date, english: str, spanish: str) -> None:
    assert written_date(day, "en") == english
    assert written_date(day, "es") == spanish


@pytest.mark.parametrize(
    ("moment", "english", "spanish"),
    [
        (time(7), "7:00\u00a0a.m.", "7:00\u00a0a.\u00a0m."),
        (time(20, 30), "8:30\u00a0p.m.", "8:30\u00a0p.\u00a0m."),
        (time(12), "12:00\u00a0p.m.", "12:00\u00a0p.\u00a0m."),
        (time(0, 5), "12:05\u00a0a.m.", "12:05\u00a0a.\u00a0m."),
    ],
)
def test_times_are_written_on_a_clock_of_twelve_hours(
    moment: time, english: str, spanish: str
) -> None:
    assert written_time(moment, "en") == english
    assert written_time(moment, "es") == spanish
