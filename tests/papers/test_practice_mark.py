"""What tells a practice paper from a real one, on every page, however it is written."""

from __future__ import annotations

import io
from collections.abc import Callable
from dataclasses import replace
from typing import Any

import pypdf
import pytest

from app.papers.affidavit_form import write_affidavit_form
from app.papers.ballot_button import ballot_button_slip
from app.papers.made import Form
from app.papers.practice_mark import MARK, SENTENCE
from app.papers.practice_score import SCORE_WORDS, ScoreRow, WorkerScore, write_scores
from app.papers.register_pages import RegisterForm
from app.papers.slips import direction_slip
from app.papers.words import Language
from app.rules.setting import Setting
from tests.making import setting
from tests.papers.reading import PERSON, pages_of, text_of
from tests.papers.register_making import MADE, a_row
from tests.papers.register_making import register as register_of
from tests.papers.scanning import barcodes_of, pictures_of

PRACTICE = replace(setting(), is_practice=True)
REAL = setting()
ROWS = [ScoreRow(1, "Nothing special", "right"), ScoreRow(2, "Twins", "wrong", 1, ("A reason.",))]


def written(writer: Callable[..., None], *facts: Any) -> bytes:
    data = io.BytesIO()
    writer(data.write, *facts)
    return data.getvalue()


def register(place: Setting, language: Language) -> bytes:
    rows = [a_row(number) for number in range(1, 40)]
    return register_of(rows, RegisterForm("letter", language), of=place)


def form(place: Setting, language: Language) -> bytes:
    return written(write_affidavit_form, place, MADE, Form("a4", language))


def button(place: Setting, language: Language) -> bytes:
    return ballot_button_slip(place, place.ballots[0], Form("letter", language))


def slip(place: Setting, language: Language) -> bytes:
    return direction_slip(place, PERSON, language)


PAPERS = [register, form, button, slip]


@pytest.mark.parametrize("language", ["en", "es"])
@pytest.mark.parametrize("paper", PAPERS)
def test_every_page_of_a_practice_paper_has_the_mark_and_no_real_one_has(
    paper: Callable[[Setting, Language], bytes], language: Language
) -> None:
    marked = pages_of(paper(PRACTICE, language))
    # Papers of the day say it in their head as well.
    least = 2 if paper in (register, form) else 1
    assert all(page.count(MARK[language]) >= least for page in marked)
    real = pages_of(paper(REAL, language))
    assert [page for page in real if MARK[language] in page] == []


def test_papers_of_the_day_say_it_in_a_sentence_too() -> None:
    assert SENTENCE["en"] in text_of(form(PRACTICE, "en"))
    assert SENTENCE["es"] in text_of(form(PRACTICE, "es"))


def test_the_mark_is_large_and_grey_and_under_the_words() -> None:
    """A third of the page's width at least is covered, in no darker grey than leaves words dark."""
    marked, real = (next(pictures_of(form(place, "en"), 72)) for place in (PRACTICE, REAL))
    grey = ((marked >= 205) & (marked <= 225)).sum()
    assert grey > marked.size / 40
    assert ((real >= 205) & (real <= 225)).sum() < grey / 5


def test_barcodes_are_read_over_the_mark() -> None:
    # The sentence in the head takes a line, so the pages are not parted alike.
    read = [one.text for page in barcodes_of(register(PRACTICE, "en")) for one in page]
    assert sorted(read) == [a_row(number).voter_number for number in range(1, 40)]


def test_the_score_names_what_to_talk_about_and_is_marked() -> None:
    worker = WorkerScore("Practice Worker A", "PA", tuple(ROWS))
    for language in ("en", "es"):
        how: Form = Form("letter", language)  # type: ignore[arg-type]
        text = text_of(written(write_scores, PRACTICE, MADE, [worker], how))
        for said in ("Practice Worker A (PA)", "Twins", "A reason.", MARK[language]):  # type: ignore[index]
            assert said in text
    assert list(SCORE_WORDS["en"]) == list(SCORE_WORDS["es"])


def test_a_score_of_nobody_says_so() -> None:
    nobody = written(write_scores, PRACTICE, MADE, [], Form())
    assert SCORE_WORDS["en"]["nobody"] in text_of(nobody)
    assert len(pypdf.PdfReader(io.BytesIO(nobody)).pages) == 1
