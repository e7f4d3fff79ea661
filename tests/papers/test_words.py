"""Both languages say the same things, and dates and times are written as people write them."""

from __future__ import annotations

import inspect
import re
from datetime import date, time

import pytest

from app.papers import page, slips
from app.papers.words import WORDS, written_date, written_time


def test_both_languages_have_the_same_keys_and_fill_in_the_same() -> None:
    assert WORDS["en"].keys() == WORDS["es"].keys()
    for key, text in WORDS["en"].items():
        other = WORDS["es"][key]
        assert set(re.findall(r"\{\w+\}", text)) == set(re.findall(r"\{\w+\}", other)), key
        assert text
        assert other


def test_every_sentence_is_on_some_slip() -> None:
    said = "".join(map(inspect.getsource, (page, slips)))
    assert [key for key in WORDS["en"] if f'"{key}"' not in said] == []


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
