"""The slip for the machine attendant: which ballot button, and nothing else.

Whoever holds it beside the register must learn nothing: no name, number, entry, station or hour
stands on it, and two slips of the same button are the same bytes.
"""

from __future__ import annotations

from datetime import datetime

from fpdf import FPDF
from fpdf.enums import XPos, YPos

from app.papers.day_words import DAY_WORDS
from app.papers.lettering import FONT_FILE, FONT_NAME, in_print
from app.papers.made import Form
from app.papers.page import opening
from app.papers.practice_mark import MarkedPdf, mark_of
from app.papers.sheets import PAGES
from app.rules.setting import Ballot, Setting

_MARGIN = 28.0
# Points: a digit of 190 points is 49 mm high, and can be read across a room.
_NUMBER, _STYLE, _LEAD = 190.0, 30.0, 16.0
_LINE = 1.22


def ballot_button_slip(setting: Setting, ballot: Ballot, form: Form) -> bytes:
    """Half a page. The ballot must have a button."""
    words = DAY_WORDS[form.language]
    width, height = PAGES[form.size]
    pdf = MarkedPdf(unit="pt", format=(height / 2, width), orientation="portrait")
    pdf.mark = mark_of(setting, form.language)
    pdf.set_margin(_MARGIN)
    pdf.set_auto_page_break(False)
    pdf.add_font(FONT_NAME, fname=FONT_FILE)
    _say_nothing(pdf, opening(setting), words["slip.button"], form.language)
    pdf.add_page()
    pdf.set_y(height / 12)
    _write(pdf, words["slip.button"], _STYLE)
    _write(pdf, str(ballot.button), _fitting(pdf, str(ballot.button)))
    _write(pdf, words["slip.style"].format(style=ballot.style), _STYLE)
    pdf.ln(18)
    _write(pdf, words["slip.lead"], _LEAD)
    return bytes(pdf.output())


def _say_nothing(pdf: FPDF, at: datetime, title: str, language: str) -> None:
    """What a file says of itself: the hour at which the polls open, whenever it is made."""
    pdf.set_creation_date(at)
    pdf.set_lang(language)
    pdf.set_title(title)
    pdf.set_producer("Tablebook")


def _fitting(pdf: FPDF, digits: str) -> float:
    """The size at which the number is as wide as the page at most."""
    pdf.set_font(FONT_NAME, size=_NUMBER)
    return _NUMBER * min(1.0, (pdf.epw - 12) / pdf.get_string_width(digits))


def _write(pdf: FPDF, text: str, size: float) -> None:
    pdf.set_font(FONT_NAME, size=size)
    pdf.multi_cell(0, size * _LINE, in_print(text), align="C", new_x=XPos.LMARGIN, new_y=YPos.NEXT)
