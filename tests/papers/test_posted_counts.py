"""The count on the door: what can be read at three metres, what it says, and what it is not."""

from __future__ import annotations

import datetime
import io
from datetime import UTC, timedelta
from zoneinfo import ZoneInfo

import pypdf
import pytest

from app.papers.posted_counts import WORDS, PostedCount, posted_count
from app.papers.words import Language
from app.rules.moment import DayState
from app.rules.turnout import Counts, hourly
from tests.making import act, setting
from tests.papers.reading import pages_of, setting_with, text_of

ZONE = ZoneInfo("America/New_York")
SEVEN = datetime.datetime(2027, 3, 2, 12, tzinfo=UTC)
LANGUAGES: tuple[Language, ...] = ("en", "es")
# A point is 0.353 mm, and a capital of the font 0.729 of its size.
MM_OF_POINT = 0.353 * 0.729


def count(as_of: datetime.datetime, **at_hour: int) -> PostedCount:
    """So many signatures at half past each hour, `h7=3`."""
    found = {
        SEVEN + timedelta(hours=int(name[1:]) - 7, minutes=30): Counts(ordinary=n, provisional=1)
        for name, n in at_hour.items()
    }
    return PostedCount(as_of, hourly(setting().election, DayState(opened=act()), ZONE, found))


FULL = count(SEVEN + timedelta(hours=13), **{f"h{hour}": 90 for hour in range(7, 20)})


def sizes_of(data: bytes) -> dict[str, float]:
    """The largest size, in points, in which each text stands."""
    sizes: dict[str, float] = {}

    def visit(text: str, _cm: object, matrix: list[float], _font: object, size: float) -> None:
        words = text.strip().replace("\u00a0", " ")
        if words:
            sizes[words] = max(sizes.get(words, 0), size * abs(matrix[3]))

    for page in pypdf.PdfReader(io.BytesIO(data)).pages:
        page.extract_text(visitor_text=visit)  # type: ignore[arg-type]
    return sizes


@pytest.mark.parametrize("language", LANGUAGES)
def test_a_whole_day_is_on_one_letter_page(language: Language) -> None:
    reader = pypdf.PdfReader(io.BytesIO(posted_count(setting(), FULL, language)))
    (page,) = reader.pages
    assert (float(page.mediabox.width), float(page.mediabox.height)) == (612, 792)
    text = page.extract_text()
    assert text.count("90") >= 13
    assert "1170" in text


@pytest.mark.parametrize("language", LANGUAGES)
def test_figure_precinct_and_time_can_be_read_at_three_metres(language: Language) -> None:
    """25 mm for the figure and 8 mm for the rest: common practice, no source."""
    sizes = sizes_of(posted_count(setting(), FULL, language))
    assert max(size for text, size in sizes.items() if text == "1170") * MM_OF_POINT >= 25
    for words in ("4-07", "8:00"):
        assert max(size for text, size in sizes.items() if words in text) * MM_OF_POINT >= 8
    assert min(sizes.values()) >= 10


def test_a_count_of_seven_digits_is_smaller_and_whole() -> None:
    sizes = sizes_of(posted_count(setting(), count(SEVEN + timedelta(hours=2), h7=1234567), "en"))
    assert max(size for text, size in sizes.items() if text == "1234567") >= 110


def test_hours_to_come_are_not_shown_as_hours_in_which_nobody_came() -> None:
    early = count(SEVEN + timedelta(hours=1, minutes=40), h7=3, h8=2)
    text = text_of(posted_count(setting(), early, "en"))
    assert "8:00 a.m. – 9:00 a.m., not over" in text
    assert "9:00 a.m. – 10:00 a.m." not in text


def test_what_another_date_says_has_a_row_of_its_own() -> None:
    found = {SEVEN - timedelta(days=1): Counts(ordinary=2), SEVEN: Counts(ordinary=1)}
    hours = hourly(setting().election, DayState(opened=act()), ZONE, found)
    drill = PostedCount(SEVEN + timedelta(minutes=5), hours)
    assert "On another date" in text_of(posted_count(setting(), drill, "en"))
    assert "On another date" not in text_of(posted_count(setting(), FULL, "en"))


def test_it_says_that_it_is_no_result_and_not_final_and_who_decides() -> None:
    english = text_of(posted_count(setting(), FULL, "en"))
    for words in ("not a result", "not say how anybody voted", "not final", "registrar decide"):
        assert words in english
    spanish = text_of(posted_count(setting(), FULL, "es"))
    for words in ("No es un resultado", "no es definitivo", "Deciden la ley local"):
        assert words in spanish
    assert "Besides these, provisional ballots: 13." in english


def test_a_caution_of_the_place_is_printed_in_either_language() -> None:
    own = setting_with(caution="Ask the clerk of Tern County.")
    for language in LANGUAGES:
        assert "Ask the clerk of Tern County." in text_of(posted_count(own, FULL, language))


def test_the_same_facts_give_the_same_bytes() -> None:
    assert posted_count(setting(), FULL, "en") == posted_count(setting(), FULL, "en")


def test_a_very_long_day_goes_on_to_a_second_page_and_loses_no_hour() -> None:
    found = {SEVEN - timedelta(hours=7) + timedelta(hours=n): Counts(1) for n in range(24)}
    hours = hourly(setting().election, DayState(opened=act()), ZONE, found)
    data = posted_count(setting(), PostedCount(SEVEN + timedelta(hours=18), hours), "en")
    assert len(pages_of(data)) == 2
    assert text_of(data).count(" – ") == 24


def test_both_languages_have_the_same_words_to_fill_in() -> None:
    assert set(WORDS["en"]) == set(WORDS["es"])
    for key, english in WORDS["en"].items():
        fields = {part.split("}")[0] for part in english.split("{")[1:]}
        assert fields == {part.split("}")[0] for part in WORDS["es"][key].split("{")[1:]}
