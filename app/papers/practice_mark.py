"""PRACTICE across every page that a practice day prints, in large grey letters under the words.

Under them, so that nothing is hidden and barcodes are read; a printer without colours has it too.
"""

from __future__ import annotations

import math

from fpdf import FPDF

from app.papers.face import Face, as_printed
from app.papers.lettering import FONT_NAME, in_print
from app.papers.words import Language
from app.rules.setting import Setting

MARK: dict[Language, str] = {"en": "PRACTICE", "es": "PRÁCTICA"}
# Said as well in the head of the page, where somebody reads who does not look.
SENTENCE: dict[Language, str] = {
    "en": "PRACTICE: nothing on this page counts",
    "es": "PRÁCTICA: nada en esta página cuenta",
}

# White is 1: as dark as can be without standing in the way of what is written over it.
_GREY = 0.84
# How much of the diagonal the letters take.
_SHARE = 0.8
# The height of capital letters as a share of their size (729 of 1,000 in the font).
_CAPITAL = 0.729


def mark_of(setting: Setting, language: Language) -> str:
    """What stands across each page; blank on a real day."""
    return MARK[language] if setting.is_practice else ""


def drawn_across(face: Face, mark: str, width: float, height: float) -> bytes:
    """The mark from the lower left to the upper right corner, as operators of a PDF."""
    text = as_printed(mark)
    size, angle = _fitting(face.width(text, 1), width, height)
    long, cos, sin = face.width(text, size), math.cos(angle), math.sin(angle)
    x = width / 2 - long / 2 * cos + size * _CAPITAL / 2 * sin
    y = height / 2 - long / 2 * sin - size * _CAPITAL / 2 * cos
    matrix = b"%.4f %.4f %.4f %.4f %.2f %.2f" % (cos, sin, -sin, cos, x, y)
    shown = b"BT/F %.1f Tf %b Tm %b Tj ET" % (size, matrix, face.encoded(text))
    return b"q %g g %b Q\n" % (_GREY, shown)


class MarkedPdf(FPDF):
    """A paper of fpdf2 whose pages have the mark where it is one of a practice day."""

    mark = ""

    def header(self) -> None:
        """Called by fpdf2 at the beginning of every page."""
        if self.mark:
            draw_across(self, self.mark)


def draw_across(pdf: FPDF, mark: str) -> None:
    """The same on a page of fpdf2, whose place and colours are as before afterwards."""
    text, before = in_print(mark), (pdf.font_size_pt, pdf.text_color, pdf.x, pdf.y)
    pdf.set_font(FONT_NAME, size=1000)
    size, angle = _fitting(pdf.get_string_width(text) / 1000, pdf.w, pdf.h)
    pdf.set_font(FONT_NAME, size=size)
    long = pdf.get_string_width(text)
    middle = (pdf.w / 2, pdf.h / 2)
    grey = round(255 * _GREY)
    with pdf.local_context(text_color=grey), pdf.rotation(math.degrees(angle), *middle):
        pdf.text(middle[0] - long / 2, middle[1] + size * _CAPITAL / 2, text)
    pdf.set_font(FONT_NAME, size=before[0])
    pdf.text_color = before[1]
    pdf.set_xy(before[2], before[3])


def _fitting(wide: float, width: float, height: float) -> tuple[float, float]:
    """Size and angle; `wide` is the width of the mark at size 1."""
    return math.hypot(width, height) * _SHARE / wide, math.atan2(height, width)
