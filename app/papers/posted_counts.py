"""The count that is put on the door: how many have signed in, by the hour. Counts alone.

One letter page. The figure, the precinct and the time are large enough to be read at three
metres: about 8 mm of letter for each of them is the usual least, 25 mm for what should strike
the eye (rules of thumb for signs, from memory; common practice, no source).
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from types import MappingProxyType
from zoneinfo import ZoneInfo

from fpdf.enums import XPos, YPos

from app.papers.lettering import FONT_FILE, FONT_NAME, in_print
from app.papers.page import opening
from app.papers.practice_mark import MarkedPdf, mark_of
from app.papers.words import Language, written_date, written_time
from app.rules.policy import Policy
from app.rules.setting import Setting
from app.rules.turnout import Hour, Hourly

# Letter paper, in points.
PAGE = (612.0, 792.0)
MARGIN = 36.0

# Points. A capital of this font is 0.73 of its size: 110 points are 28 mm, 32 are 8 mm.
FIGURE, LEAST_FIGURE, FAR, TITLE, NEAR, FOOT = 190.0, 110.0, 34.0, 32.0, 14.0, 10.0
_ROW, _LINE = 20.0, 1.22
_COLUMNS = (0.5, 0.25, 0.25)
_GREY = 90

_ENGLISH = {
    "title": "Signed in so far",
    "precinct": "Precinct {precinct}",
    "time": "As of {time}",
    "hour": "Hour",
    "in_hour": "Signed in",
    "so_far": "So far",
    "not_over": "{hour}, not over",
    "other_days": "On another date",
    "provisional": "Besides these, provisional ballots: {count}.",
    "caution": (
        "This is how many people have signed in, and nothing else. It is not a result, it does "
        "not say how anybody voted, and it is not final: a signature can still be corrected. "
    ),
    "law": "Local law and the registrar decide.",
    "footer": "{place}. {county}, {election}, {date}",
}
_SPANISH = {
    "title": "Firmas hasta ahora",
    "precinct": "Precinto {precinct}",
    "time": "Hora: {time}",
    "hour": "Hora",
    "in_hour": "Firmaron",
    "so_far": "Hasta ahora",
    "not_over": "{hour}, sin terminar",
    "other_days": "En otra fecha",
    "provisional": "Además, boletas provisionales: {count}.",
    "caution": (
        "Esto dice cuántas personas han firmado, y nada más. No es un resultado, no dice cómo "
        "votó nadie, y no es definitivo: una firma todavía se puede corregir. "
    ),
    "law": "Deciden la ley local y el registro electoral.",
    "footer": "{place}. {county}, {election}, {date}",
}
WORDS: Mapping[Language, Mapping[str, str]] = MappingProxyType({"en": _ENGLISH, "es": _SPANISH})


@dataclass(frozen=True, slots=True)
class PostedCount:
    """What is posted: the hours as they stood `as_of`."""

    as_of: datetime
    hourly: Hourly


def posted_count(setting: Setting, count: PostedCount, language: Language) -> bytes:
    """The page. The same facts give the same bytes."""
    page = _Page(setting, language)
    local = count.as_of.astimezone(ZoneInfo(setting.election.time_zone))
    time = written_time(local.time(), language)
    page.write(page.words("title"), TITLE)
    page.write(page.words("precinct", precinct=setting.precinct.number), FAR)
    page.figure(str(count.hourly.total.signed))
    page.write(page.words("time", time=time), FAR)
    page.gap(6)
    page.table(list(_rows(setting, count, language)))
    page.gap(8)
    provisional = count.hourly.total.provisional
    if provisional:
        page.write(page.words("provisional", count=str(provisional)), NEAR)
        page.gap(6)
    page.caution()
    return page.to_bytes()


def _rows(setting: Setting, count: PostedCount, language: Language) -> Iterable[Sequence[str]]:
    """The hours that have begun: what is still to come would read as if nobody had come."""
    words = WORDS[language]
    yield words["hour"], words["in_hour"], words["so_far"]
    zone = ZoneInfo(setting.election.time_zone)
    for hour in count.hourly.hours:
        if hour.begins <= count.as_of:
            named = _named(hour, zone, language)
            if count.as_of < hour.ends:
                named = words["not_over"].format(hour=named)
            yield named, str(hour.counts.signed), str(hour.so_far.signed)
    outside = count.hourly.outside.signed
    if outside:
        yield words["other_days"], str(outside), str(count.hourly.total.signed)


def _named(hour: Hour, zone: ZoneInfo, language: Language) -> str:
    begins, ends = (at.astimezone(zone).time() for at in (hour.begins, hour.ends))
    return f"{written_time(begins, language)} – {written_time(ends, language)}"


class _Page:
    """The page being filled from top to bottom; what does not fit goes on to another."""

    def __init__(self, setting: Setting, language: Language) -> None:
        self._setting = setting
        self._language: Language = language
        self._pdf = pdf = MarkedPdf(unit="pt", format=PAGE)
        pdf.mark = mark_of(setting, language)
        pdf.set_margin(MARGIN)
        pdf.set_auto_page_break(True, margin=MARGIN)
        pdf.add_font(FONT_NAME, fname=FONT_FILE)
        pdf.set_creation_date(opening(setting))
        pdf.set_lang(language)
        pdf.set_title(self.words("title"))
        pdf.set_producer("Tablebook")
        pdf.add_page()

    def words(self, key: str, **filled_in: str) -> str:
        return WORDS[self._language][key].format(**filled_in)

    def write(self, text: str, size: float, grey: int = 0) -> None:
        self._set(size, grey)
        height = size * _LINE
        self._pdf.multi_cell(
            0, height, in_print(text), align="L", new_x=XPos.LMARGIN, new_y=YPos.NEXT
        )

    def figure(self, digits: str) -> None:
        """The count, as large as the page is wide; a million is no precinct's."""
        size = FIGURE
        self._set(size)
        while size > LEAST_FIGURE and self._pdf.get_string_width(digits) > self._pdf.epw:
            size -= 5
            self._set(size)
        self._pdf.cell(0, size * 1.02, digits, align="C", new_x=XPos.LMARGIN, new_y=YPos.NEXT)

    def table(self, rows: Sequence[Sequence[str]]) -> None:
        """The first row is the heading; numbers stand at the right."""
        pdf = self._pdf
        pdf.set_line_width(0.5)
        for at, row in enumerate(rows):
            self._set(NEAR, 0 if at else _GREY)
            for share, text, align in zip(_COLUMNS, row, "LRR", strict=True):
                pdf.cell(pdf.epw * share, _ROW, in_print(text), border="B", align=align)
            pdf.ln(_ROW)

    def gap(self, points: float) -> None:
        self._pdf.ln(points)

    def caution(self) -> None:
        """What the count is not, who decides, and where it comes from."""
        own = self._setting.policy.caution
        law = self.words("law") if self._language != "en" or own == Policy().caution else ""
        others = own if own != Policy().caution else ""
        self.write(" ".join(filter(None, (self.words("caution").strip(), law, others))), NEAR)
        self.gap(4)
        election = self._setting.election
        footer = self.words(
            "footer",
            place=self._setting.polling_place.name,
            county=self._setting.precinct.county,
            election=election.name,
            date=written_date(election.date, self._language),
        )
        self.write(footer, FOOT, _GREY)

    def to_bytes(self) -> bytes:
        return bytes(self._pdf.output())

    def _set(self, size: float, grey: int = 0) -> None:
        self._pdf.set_font(FONT_NAME, size=size)
        self._pdf.set_text_color(grey)
