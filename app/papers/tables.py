"""Tables over pages: headings on each, and a row on one page unless it is very tall.

A row taller than half a page flows over, block by block. Nothing is cut off.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from app.papers.blocks import Block, Gap, height_of, lines_of
from app.papers.sheets import HEADING, MARGIN, SMALL, TEXT, Sheets
from app.papers.tags import Element

# The room around what stands in a cell.
PAD = 4.0
GUTTER = 8.0
_RULE, _HEADING_RULE = 0.5, 1.2
# A row taller than this share of a page may flow over; no line of a register is.
_TALL = 0.5


@dataclass(frozen=True, slots=True)
class Column:
    """A heading, and a share of the width."""

    heading: str
    share: float


@dataclass(frozen=True, slots=True)
class Row:
    """The blocks of each cell, and of what stands under the row from the second column on.

    `least` is the height it has at least; `thumb` the name under which a page is found by it.
    """

    cells: tuple[Sequence[Block], ...]
    notes: Sequence[Block] = ()
    least: float = 0.0
    thumb: str = ""

    @property
    def height(self) -> float:
        tallest = max(map(height_of, self.cells))
        return max(tallest + height_of(self.notes) + 2 * PAD, self.least)


class Table:
    """One table of a paper. The same columns on every page."""

    def __init__(self, sheets: Sheets, columns: Sequence[Column], size: float = SMALL) -> None:
        self._sheets = sheets
        self._columns = tuple(columns)
        whole = sum(column.share for column in columns)
        self.widths = [sheets.room * column.share / whole for column in columns]
        self.starts = [MARGIN + sum(self.widths[:at]) for at in range(len(self.widths))]
        self._headings = [
            lines_of(sheets.face, column.heading, size, self.room(at))
            for at, column in enumerate(columns)
        ]
        self._table: Element
        self._body: Element

    def room(self, column: int) -> float:
        """The width in which the blocks of a column must stay."""
        is_last = column == len(self.widths) - 1
        return self.widths[column] - (0 if is_last else GUTTER)

    @property
    def room_of_notes(self) -> float:
        return self._sheets.room - self.widths[0]

    def texts(self, *cells: str, notes: Iterable[str] = (), size: float = TEXT) -> Row:
        """A row of texts alone."""
        face = self._sheets.face
        blocks = [lines_of(face, text, size, self.room(at)) for at, text in enumerate(cells)]
        under = [line for note in notes for line in lines_of(face, note, size, self.room_of_notes)]
        return Row(tuple(blocks), [Gap(2), *under] if under else ())

    def write(self, rows: Iterable[Row], nothing: str, heading: str = "") -> int:
        """All rows, and how many there were; `nothing` in words where there is none.

        `heading` stands over it, on the page where its first row begins.
        """
        written = 0
        for row in rows:
            if not written:
                self._table = self._begun(row, heading)
            self._place(self._table, row)
            written += 1
        if not written:
            if heading:
                self._sheets.heading(heading)
            self._sheets.paragraph(nothing)
        return written

    def _begun(self, first: Row, heading: str) -> Element:
        """The table, begun on a page that holds its headings and its first row."""
        sheets = self._sheets
        sheets.make_room(self._head_height + self._needed(first) + (HEADING if heading else 0))
        if heading:
            sheets.heading(heading)
        # The page and the heading first: they are read before the table.
        table = sheets.tags.long(b"Table")
        self._begin_page(table, is_first=True)
        return table

    def _needed(self, row: Row) -> float:
        """The room in which a row may begin. A tall one begins where it is, if a few lines of it
        do: no half page stays blank.
        """
        page = self._sheets.bottom - self._sheets.top - self._head_height
        return 4 * TEXT if row.height > page * _TALL else row.height

    def _place(self, table: Element, row: Row) -> None:
        sheets = self._sheets
        if sheets.y + self._needed(row) > sheets.bottom:
            self._next_page(table)
        while sheets.y + row.height > sheets.bottom:
            row = self._draw_part(row)
            self._next_page(table)
        self._draw(row, row.height)

    @property
    def _head_height(self) -> float:
        return max(map(height_of, self._headings)) + 2 * PAD

    def _next_page(self, table: Element) -> None:
        self._sheets.end_page()
        self._sheets.open_page()
        self._begin_page(table, is_first=False)

    def _begin_page(self, table: Element, *, is_first: bool) -> None:
        """The headings: tagged where the table begins, said again on the pages after it."""
        sheets = self._sheets
        y = sheets.y + PAD
        if is_first:
            row = sheets.tags.part(b"TR", sheets.tags.part(b"THead", table))
            for start, blocks in zip(self.starts, self._headings, strict=True):
                sheets.tagged(sheets.tags.heading_cell(row), blocks, start, y)
        else:
            sheets.decoration(b"".join(self._headings_drawn(y)))
        sheets.y += self._head_height
        sheets.rule(sheets.y, _HEADING_RULE)
        self._body = sheets.tags.part(b"TBody", table)

    def _headings_drawn(self, y: float) -> Iterable[bytes]:
        sheets = self._sheets
        for start, blocks in zip(self.starts, self._headings, strict=True):
            at = y
            for block in blocks:
                yield block.drawn(sheets.face, start, at, sheets.height)
                at += block.height

    def _draw_part(self, row: Row) -> Row:
        """As much of a row as fits on this page; what is left of it."""
        room = self._sheets.bottom - self._sheets.y - 2 * PAD
        parted = [_parted(cell, room) for cell in row.cells]
        cells, rests = tuple(first for first, _ in parted), [rest for _, rest in parted]
        notes, left = _parted(row.notes, 0 if any(rests) else room - max(map(height_of, cells)))
        part = Row(cells, notes, 0, row.thumb)
        self._draw(part, part.height)
        # What a row is called is said again where it goes on.
        rests[0] = rests[0] or row.cells[0]
        return Row(tuple(rests), left, 0, row.thumb)

    def _draw(self, row: Row, height: float) -> None:
        sheets = self._sheets
        element = sheets.tags.part(b"TR", self._body)
        y = sheets.y + PAD
        for at, blocks in enumerate(row.cells):
            notes = row.notes if at == len(row.cells) - 1 else ()
            sheets.tagged(sheets.tags.content(b"TD", element), blocks, self.starts[at], y)
            if notes:
                under = y + max(map(height_of, row.cells))
                second = self.starts[min(1, len(self.starts) - 1)]
                sheets.tagged(sheets.tags.content(b"TD", element), notes, second, under)
        sheets.y += height
        sheets.rule(sheets.y, _RULE)
        if row.thumb:
            first = sheets.thumb[0] if sheets.thumb else row.thumb
            sheets.thumb = (first, row.thumb)


def _parted(blocks: Sequence[Block], room: float) -> tuple[Sequence[Block], Sequence[Block]]:
    """The blocks that fit into `room`, and the rest."""
    taken = 0.0
    for at, block in enumerate(blocks):
        taken += block.height
        if taken > room:
            return blocks[:at], blocks[at:]
    return blocks, ()
