"""Letter pages with a ruled table: headings on every page, page x of y, nothing cut off.

A row is kept on one page where it fits on one; a row taller than a page flows over. What is out
of the ordinary about a row stands under it across the page.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import cast

from fpdf.enums import MethodReturnValue, XPos, YPos

from app.papers.lettering import FONT_FILE, FONT_NAME, in_print
from app.papers.page import opening
from app.papers.practice_mark import MarkedPdf, mark_of
from app.papers.words import Language
from app.rules.setting import Setting

# Letter paper, in points.
PAGE = (612.0, 792.0)
MARGIN = 40.0
# Room at the foot for the running line.
FOOT_MARGIN = 44.0

# Points. Read at arm's length by whoever compares it with the paper beside it.
TITLE, WARNING, TEXT, FOOT = 20.0, 15.0, 11.0, 9.0
_LINE = 1.28
_LEADING = TEXT * _LINE
_GAP = 6.0
# The room above and below the words of a row.
_PAD = 3.0
_LABEL_WIDTH = 170.0
# The headings at the top of a page, should one of them take two lines.
_HEADINGS = 3 * _LEADING
# What the lead signs on: a line with room above it.
_SIGNATURE_ROOM = 72.0


@dataclass(frozen=True, slots=True)
class Column:
    """A heading and its width in points."""

    heading: str
    width: float


@dataclass(frozen=True, slots=True)
class Band:
    """One row: a text for each column, and what is said under it."""

    cells: tuple[str, ...]
    notes: tuple[str, ...] = ()


# One line of print: where each piece begins, and the piece.
_Printed = tuple[tuple[float, str], ...]


class RuledPages:
    """A paper being filled from top to bottom; `to_bytes` ends it."""

    def __init__(
        self,
        setting: Setting,
        language: Language,
        *,
        title: str,
        columns: Sequence[Column],
        running: str,
        page_words: str,
    ) -> None:
        self._columns = tuple(columns)
        self._pdf = pdf = _Letter(in_print(running), page_words)
        pdf.mark = mark_of(setting, language)
        pdf.set_creation_date(opening(setting))
        pdf.set_lang(language)
        pdf.set_title(title)
        pdf.set_producer("Tablebook")
        pdf.add_page()
        self._write(title, TITLE)
        self._rule(1.2)

    def warning(self, text: str) -> None:
        """What nobody may overlook, in large letters."""
        self._write(text, WARNING)
        self._rule(1.2)

    def fact(self, label: str, text: str) -> None:
        """A label and what it says beside it."""
        pdf = self._pdf
        pdf.set_font(FONT_NAME, size=TEXT)
        width = pdf.epw - _LABEL_WIDTH - _GAP
        labels = self._lines(label, _LABEL_WIDTH)
        texts = self._lines(text, width)
        second = MARGIN + _LABEL_WIDTH + _GAP
        rows = max(len(labels), len(texts))
        self._flow([*_side_by_side([(MARGIN, labels), (second, texts)], rows)], heading=False)
        pdf.set_y(pdf.get_y() + 2)

    def table(self, bands: Sequence[Band], nothing: str) -> None:
        """The rows under their headings; `nothing` where there are none."""
        self._pdf.set_y(self._pdf.get_y() + _GAP)
        if not bands:
            self._write(nothing, TEXT)
            return
        self._headings()
        for band in bands:
            self._flow(list(self._printed(band)), heading=True)
            self._rule(0.4, gap=_PAD)

    def closing(self, caution: str, signature: str, signed_at: str) -> None:
        """The caution, and a line to be signed."""
        pdf = self._pdf
        pdf.set_y(pdf.get_y() + _GAP)
        lines: list[_Printed] = [((MARGIN, line),) for line in self._lines(caution, pdf.epw)]
        self._flow(lines, heading=False)
        if pdf.get_y() + _SIGNATURE_ROOM > PAGE[1] - FOOT_MARGIN:
            pdf.add_page()
        y = pdf.get_y() + 48
        second = MARGIN + 340
        pdf.set_line_width(0.8)
        pdf.line(MARGIN, y, second - 20, y)
        pdf.line(second, y, PAGE[0] - MARGIN, y)
        pdf.set_y(y + 3)
        self._draw([((MARGIN, signature), (second, signed_at))])

    def to_bytes(self) -> bytes:
        return bytes(self._pdf.output())

    def _printed(self, band: Band) -> Iterator[_Printed]:
        """The lines of a row: its columns side by side, then each note across the page."""
        starts = self._starts()
        columns = [
            (start, self._lines(text, column.width - _GAP))
            for start, column, text in zip(starts, self._columns, band.cells, strict=True)
        ]
        yield from _side_by_side(columns, max(len(lines) for _, lines in columns))
        # Under the second column: the number of the row stays alone at the edge.
        for note in band.notes:
            for line in self._lines(note, PAGE[0] - MARGIN - starts[1]):
                yield ((starts[1], line),)

    def _starts(self) -> list[float]:
        widths = [column.width for column in self._columns]
        return [MARGIN + sum(widths[:place]) for place in range(len(widths))]

    def _lines(self, text: str, width: float) -> list[str]:
        """The text broken into lines of this width; a word that is wider is broken too."""
        self._pdf.set_font(FONT_NAME, size=TEXT)
        found = self._pdf.multi_cell(
            width, _LEADING, in_print(text), dry_run=True, output=MethodReturnValue.LINES, align="L"
        )
        return list(cast("list[str]", found)) or [""]

    def _flow(self, lines: Sequence[_Printed], *, heading: bool) -> None:
        """Lines on one page where they fit on one, over the edge where nothing else helps."""
        bottom = PAGE[1] - FOOT_MARGIN - _PAD
        height = len(lines) * _LEADING
        room = bottom - MARGIN - (_HEADINGS if heading else 0)
        if self._pdf.get_y() + height > bottom and height <= room:
            self._next_page(heading=heading)
        left = list(lines)
        while left:
            fitting = max(int((bottom - self._pdf.get_y()) / _LEADING), 0)
            self._draw(left[:fitting])
            left = left[fitting:]
            if left:
                self._next_page(heading=heading)

    def _next_page(self, *, heading: bool) -> None:
        self._pdf.add_page()
        if heading:
            self._headings()

    def _headings(self) -> None:
        pieces = [
            (start, self._lines(column.heading, column.width - _GAP))
            for start, column in zip(self._starts(), self._columns, strict=True)
        ]
        self._rule(1.2, gap=_PAD)
        self._draw([*_side_by_side(pieces, max(len(lines) for _, lines in pieces))])
        self._rule(1.2, gap=_PAD)

    def _draw(self, lines: Sequence[_Printed]) -> None:
        """Lines under each other, column by column: so a program that reads aloud takes them."""
        pdf = self._pdf
        pdf.set_font(FONT_NAME, size=TEXT)
        top = pdf.get_y()
        placed = [
            (block, column, start, top + at * _LEADING, text)
            for block, at, line in _in_blocks(lines)
            for column, (start, text) in enumerate(line)
        ]
        for _, _, start, y, text in sorted(placed, key=lambda one: one[:2]):
            pdf.set_xy(start, y)
            if text:
                pdf.cell(None, _LEADING, in_print(text))
        pdf.set_xy(MARGIN, top + len(lines) * _LEADING)

    def _write(self, text: str, size: float) -> None:
        self._pdf.set_font(FONT_NAME, size=size)
        self._pdf.multi_cell(
            0, size * _LINE, in_print(text), align="L", new_x=XPos.LMARGIN, new_y=YPos.NEXT
        )

    def _rule(self, width: float, gap: float = _GAP) -> None:
        y = self._pdf.get_y() + gap / 2
        self._pdf.set_line_width(width)
        self._pdf.line(MARGIN, y, PAGE[0] - MARGIN, y)
        self._pdf.set_y(y + gap)


class _Letter(MarkedPdf):
    """A page with the running line and its number at the foot."""

    def __init__(self, running: str, page_words: str) -> None:
        super().__init__(unit="pt", format=PAGE)
        self._running = running
        self._page_words = page_words
        self.set_margin(MARGIN)
        self.c_margin = 0
        self.set_auto_page_break(False)
        self.add_font(FONT_NAME, fname=FONT_FILE)

    def footer(self) -> None:
        self.set_font(FONT_NAME, size=FOOT)
        words = self._page_words.format(page=self.page_no(), pages=self.str_alias_nb_pages)
        # The number of pages is not known yet: as wide as it can well become.
        width = self.get_string_width(self._page_words.format(page=888, pages=888))
        self.set_xy(MARGIN, PAGE[1] - FOOT_MARGIN + 14)
        self.cell(None, FOOT, self._shortened(self.epw - width - _GAP))
        self.set_x(PAGE[0] - MARGIN - width)
        self.cell(None, FOOT, words)

    def _shortened(self, width: float) -> str:
        """The running line, cut where it is too long: it says again what is above."""
        text = self._running
        while self.get_string_width(text) > width:
            text = text.removesuffix("…")[:-1] + "…"
        return text


def _in_blocks(lines: Sequence[_Printed]) -> Iterator[tuple[int, int, _Printed]]:
    """Each line with its place, and which block of lines with the same columns it is in."""
    block = 0
    for at, line in enumerate(lines):
        if at and len(line) != len(lines[at - 1]):
            block += 1
        yield block, at, line


def _side_by_side(columns: Sequence[tuple[float, Sequence[str]]], rows: int) -> Iterator[_Printed]:
    for place in range(rows):
        yield tuple((start, lines[place] if place < len(lines) else "") for start, lines in columns)
