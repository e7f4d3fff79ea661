"""Half a letter page in large type, filled from top to bottom.

Everything on it is text: it can be read aloud, searched and copied. What does not fit goes on
to a second page, so that nothing is ever cut off.
"""

from __future__ import annotations

from datetime import UTC, datetime
from zoneinfo import ZoneInfo

from fpdf.enums import XPos, YPos

from app.papers.lettering import FONT_FILE, FONT_NAME, in_print
from app.papers.practice_mark import MarkedPdf, mark_of
from app.papers.words import WORDS, Language
from app.rules.policy import Policy
from app.rules.setting import Setting

# Letter paper cut in two: 5.5 by 8.5 inches, in points.
PAGE = (396.0, 612.0)
MARGIN = 28.0
# A quarter of an inch: what printers leave white.
FOOT_MARGIN = 18.0

# Points. Held at arm's length without glasses, and by many voters past seventy: nothing that
# the voter needs is smaller than BODY (18 points is the usual "large print").
TITLE, FACT, BODY, LABEL, FOOT = 25.0, 19.0, 14.0, 11.0, 10.0

# A name of forty letters without a break is made smaller down to this, and only then broken.
SMALLEST_FACT = 11

_LINE = 1.22
_GREY = 90


class Slip:
    """One slip being filled; `to_bytes` ends it. The same calls give the same bytes."""

    def __init__(self, setting: Setting, language: Language, title: str) -> None:
        self._setting = setting
        self._language: Language = language
        self._pdf = pdf = MarkedPdf(unit="pt", format=PAGE)
        pdf.mark = mark_of(setting, language)
        pdf.set_margin(MARGIN)
        pdf.set_auto_page_break(True, margin=FOOT_MARGIN)
        pdf.add_font(FONT_NAME, fname=FONT_FILE)
        # The hour at which the polls open: a clock would tell who was sent away when.
        pdf.set_creation_date(opening(setting))
        pdf.set_lang(language)
        pdf.set_title(self.words(title))
        pdf.set_producer("Tablebook")
        pdf.add_page()
        self._write(self.words(title), TITLE)
        self.rule()

    def words(self, key: str, **filled_in: str) -> str:
        return WORDS[self._language][key].format(**filled_in)

    def sentence(self, key: str, **filled_in: str) -> None:
        """A sentence of the words table."""
        self._write(self.words(key, **filled_in), BODY)
        self.gap()

    def heading(self, key: str) -> None:
        self._write(self.words(key), FACT)

    def fact(self, label: str | None, value: str, size: float = FACT) -> None:
        """A value in large type, under a small label where there is one."""
        if label is not None:
            self._write(self.words(label), LABEL, grey=_GREY)
        self._write(value, self._fitting(in_print(value), size))
        self.gap()

    def registrar(self) -> None:
        """Whom to call, and the number."""
        self._write(self._setting.registrar.office, BODY)
        phone = self._setting.registrar.phone
        self._write(self.words("registrar.phone", phone=phone), FACT)
        self.gap()

    def gap(self, points: float = 6.0) -> None:
        self._pdf.ln(points)

    def rule(self) -> None:
        """A line across the page."""
        y = self._pdf.get_y() + 4
        self._pdf.set_line_width(1.2)
        self._pdf.line(MARGIN, y, PAGE[0] - MARGIN, y)
        self._pdf.set_y(y + 8)

    def end(self) -> None:
        """The caution, and which election and table this comes from."""
        self.rule()
        caution = self._setting.policy.caution
        if self._language != "en":
            # The package has its caution in one language; its own words stand beside ours.
            self._write(self.words("caution"), LABEL)
        if self._language == "en" or caution != Policy().caution:
            self._write(caution, LABEL)
        self.gap(4)
        footer = self.words(
            "footer",
            county=self._setting.precinct.county,
            precinct=self._setting.precinct.number,
            election=self._setting.election.name,
        )
        self._write(footer, FOOT, grey=_GREY)

    def to_bytes(self) -> bytes:
        return bytes(self._pdf.output())

    def _fitting(self, text: str, size: float) -> float:
        """The largest size at which no single word is wider than the page."""
        words = text.split()
        for points in range(round(size), SMALLEST_FACT, -1):
            self._pdf.set_font(FONT_NAME, size=points)
            # Less the small space that the page keeps at both sides of a cell.
            room = self._pdf.epw - 2 * self._pdf.c_margin
            if all(self._pdf.get_string_width(word) <= room for word in words):
                return points
        return SMALLEST_FACT

    def _write(self, text: str, size: float, grey: int = 0) -> None:
        self._pdf.set_font(FONT_NAME, size=size)
        self._pdf.set_text_color(grey)
        self._pdf.multi_cell(
            0, size * _LINE, in_print(text), align="L", new_x=XPos.LMARGIN, new_y=YPos.NEXT
        )


def opening(setting: Setting) -> datetime:
    election = setting.election
    local = datetime.combine(election.date, election.opens, ZoneInfo(election.time_zone))
    return local.astimezone(UTC)
