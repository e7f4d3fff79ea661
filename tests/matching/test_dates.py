"""Reading a birth date from a text that is one date."""

from __future__ import annotations

from datetime import date

import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.matching.dates import read_birth_date, read_part
from app.rules.policy import DateOrder

MARCH_4 = date(1987, 3, 4)


def read(text: str, date_order: DateOrder = "month_first") -> date | None:
    return read_birth_date(text, date_order=date_order, election_year=2027)


@pytest.mark.parametrize(
    "text",
    [
        "3/4/1987",
        "03/04/1987",
        "03-04-87",
        "3.4.1987",
        "3 4 1987",
        "1987-03-04",
        "1987/3/4",
        "4 Mar 1987",
        "4 march 1987",
        "04MAR1987",
        "4-mar-87",
        "March 4 1987",
        "March 4, 1987",
        "mar 4th 1987",
        "Mar. 4, '87",
        "4 de marzo de 1987",
        "030487",
        "03041987",
        "19870304",
        "870304",
        "  3/4/1987\n",
        "3\uff0f4\uff0f1987",
        "3\u20134\u20131987",
    ],
)
def test_every_way_of_writing_the_fourth_of_march_is_read(text: str) -> None:
    assert read(text) == MARCH_4


def test_day_first_places_read_day_first() -> None:
    for text in ("4/3/1987", "04-03-87", "040387", "04031987"):
        assert read(text, "day_first") == MARCH_4
    assert read("1987-03-04", "day_first") == MARCH_4


def test_a_date_that_only_one_order_allows_is_read_that_way() -> None:
    assert read("25/3/1987") == date(1987, 3, 25)
    assert read("3/25/1987", "day_first") == date(1987, 3, 25)
    assert read("250387") == date(1987, 3, 25)


@pytest.mark.parametrize(
    ("text", "year"), [("3/4/11", 2011), ("3/4/12", 1912), ("3/4/00", 2000), ("3/4/99", 1999)]
)
def test_two_digits_of_a_year_make_nobody_younger_than_sixteen(text: str, year: int) -> None:
    assert read(text) == date(year, 3, 4)


@pytest.mark.parametrize(
    "text",
    [
        "",
        "smith",
        "1987",
        "3/4",
        "3/4/198",
        "2/30/1987",
        "29/2/1987",
        "13/34/1987",
        "0/4/1987",
        "1987-13-04",
        "3/4/2028",
        "3/4/1890",
        "3/4/1987 smith",
        "4 foo 1987",
        "4 ma 1987",
        "12345",
        "1234567",
        "03/04/19877",
    ],
)
def test_what_is_not_wholly_a_possible_birth_date_is_refused(text: str) -> None:
    assert read(text) is None


@given(
    st.dates(min_value=date(1900, 1, 1), max_value=date(2011, 12, 31)),
    st.sampled_from(["%m/%d/%Y", "%m-%d-%Y", "%Y-%m-%d", "%d %b %Y", "%B %d, %Y", "%m%d%Y"]),
)
def test_every_date_written_in_full_is_read_back(day: date, pattern: str) -> None:
    assert read(day.strftime(pattern)) == day


@given(
    st.dates(min_value=date(1912, 1, 1), max_value=date(2011, 12, 31)),
    st.sampled_from(["%d/%m/%y", "%d.%m.%Y", "%d%m%y"]),
)
def test_every_date_is_read_back_where_the_day_comes_first(day: date, pattern: str) -> None:
    assert read(day.strftime(pattern), "day_first") == day


@given(st.text(), st.sampled_from(["month_first", "day_first"]))
def test_no_text_makes_reading_a_date_fail(text: str, date_order: DateOrder) -> None:
    read(text, date_order)
    read_part(text, date_order=date_order)


@given(st.from_regex(r"[0-9/. -]{0,12}", fullmatch=True))
def test_no_text_of_digits_and_signs_makes_reading_a_date_fail(text: str) -> None:
    read(text)
    read_part(text, date_order="month_first")
