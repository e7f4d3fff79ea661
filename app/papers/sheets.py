"""Pages of one size, one after another: what stands at the top of each, and where one ends.

A page goes out as soon as it is full. How many there are is written on all of them at the end,
so that nobody has to lay the paper out twice.
"""

from __future__ import annotations

from array import array
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Literal

from app.papers.blocks import BASELINE, LEADING, Block, Words, height_of, lines_of
from app.papers.face import Face, as_printed
from app.papers.pdf_stream import (
    PdfStream,
    Write,
    date_string,
    reference,
    references,
    text_string,
)
from app.papers.practice_mark import drawn_across
from app.papers.tags import Element, Tags
from app.papers.words import Language

Size = Literal["letter", "a4"]

# Points: 8.5 by 11 inches; 210 by 297 mm.
PAGES: dict[Size, tuple[float, float]] = {"letter": (612.0, 792.0), "a4": (595.28, 841.89)}
# Half an inch: what any printer leaves, and what a binder takes.
MARGIN = 36.0

# Points. Nothing on any page is smaller than SMALL.
TITLE, THUMB, WARNING, TEXT, SMALL = 17.0, 17.0, 14.0, 11.0, 9.0
_GAP = 8.0
_HEADING_SIZE = 14.0
# The height of a heading, should it take two lines, and of the white around it.
HEADING = 2 * _HEADING_SIZE * LEADING + _GAP + 3
# How far a long name in the corner is made smaller before it is cut.
_SMALLEST_THUMB = 9.0


@dataclass(frozen=True, slots=True)
class Head:
    """What stands on top of every page. `about` and `made` are lines under the title.

    `page_words` has `{page}` and `{pages}` in it. `mark` stands large across each page.
    """

    title: str
    about: str
    made: str
    page_words: str
    warning: str = ""
    mark: str = ""


class Sheets:
    """A paper being written; `finish` ends it."""

    def __init__(
        self, write: Write, size: Size, language: Language, head: Head, made_at: datetime
    ) -> None:
        self.face = Face()
        self.width, self.height = PAGES[size]
        self.language: Language = language
        self._head, self._made_at = head, made_at
        self._pdf = PdfStream(write)
        self.tags = Tags(self._pdf)
        self._pages, self._font, self._resources = (self._pdf.reserve() for _ in range(3))
        self._numbers, self._counted = array("L"), array("L")
        self._top = self._height_of_head()
        self._ink: list[bytes] = []
        self._is_open = False
        self.y = self.top
        self.thumb: tuple[str, str] | None = None

    @property
    def left(self) -> float:
        return MARGIN

    @property
    def room(self) -> float:
        """The width between the margins."""
        return self.width - 2 * MARGIN

    @property
    def top(self) -> float:
        """Where a page begins under its head."""
        return self._top

    @property
    def bottom(self) -> float:
        return self.height - MARGIN

    def open_page(self) -> None:
        """Begin a page where none is begun."""
        if self._is_open:
            return
        self._is_open = True
        self._numbers.append(self._pdf.reserve())
        self._ink, self.y, self.thumb = [], self.top, None
        self.tags.begin_page(self._numbers[-1])
        if len(self._numbers) == 1:
            title = Words(as_printed(self._head.title), TITLE)
            self.tagged(self.tags.content(b"H1"), [title], self.left, MARGIN)

    def end_page(self) -> None:
        """Let the page go, if one is begun; the next thing written begins another."""
        if not self._is_open:
            return
        self._is_open = False
        content, counted = self._pdf.reserve(), self._pdf.reserve()
        drawn = [self._mark_drawn(), self._head_drawn(), *self._ink]
        self._pdf.put_stream(content, b"".join(drawn))
        self._counted.append(counted)
        key = self.tags.close_page()
        body = b"<</Type/Page/Parent %b/MediaBox[0 0 %g %g]/Resources %b" % (
            *(reference(self._pages), self.width, self.height, reference(self._resources)),
        )
        body += b"/Contents%b/StructParents %d/Tabs/S>>" % (references([content, counted]), key)
        self._pdf.put(self._numbers[-1], body)

    def make_room(self, height: float) -> None:
        """Begin another page where so much does not fit on this one any more."""
        self.open_page()
        if self.y + height > self.bottom and self.y > self.top:
            self.end_page()
            self.open_page()

    def tagged(self, opened: bytes, blocks: Sequence[Block], x: float, y: float) -> None:
        """Text blocks under each other as marked content, all others beside it as decoration."""
        texts: list[bytes] = []
        others: list[bytes] = []
        at = y
        for block in blocks:
            drawn = block.drawn(self.face, x, at, self.height)
            (texts if block.is_text else others).append(drawn)
            at += block.height
        self._ink += [opened, *texts, b"EMC\n"]
        if others:
            self.decoration(b"".join(others))

    def decoration(self, drawn: bytes) -> None:
        """Rules, bars and whatever else is not to be read aloud."""
        self._ink.append(b"/Artifact BMC\n%bEMC\n" % drawn)

    def rule(self, y: float, width: float, left: float | None = None, to: float = 0) -> None:
        start, end, at = left or self.left, to or self.width - MARGIN, self.height - y
        self.decoration(b"q %g w %.2f %.2f m %.2f %.2f l S Q\n" % (width, start, at, end, at))

    def paragraph(
        self, text: str, size: float = TEXT, kind: bytes = b"P", under: Element | None = None
    ) -> None:
        """Text across the page, flowing over where it must."""
        lines = lines_of(self.face, text, size, self.room)
        self.make_room(min(height_of(lines), self.bottom - self.top))
        while lines:
            fitting = max(1, int((self.bottom - self.y) / (size * LEADING)))
            here, lines = lines[:fitting], lines[fitting:]
            self.tagged(self.tags.content(kind, under), here, self.left, self.y)
            self.y += height_of(here)
            if lines:
                self.end_page()
                self.open_page()

    def heading(self, text: str) -> None:
        """A heading, with room for some lines under it."""
        self.make_room(HEADING + 4 * TEXT)
        self.y += _GAP
        self.paragraph(text, _HEADING_SIZE, b"H2")
        self.y += 3

    def finish(self) -> None:
        """The counts on every page, the fonts, and the end of the file."""
        self.open_page()
        self.end_page()
        pdf, pages = self._pdf, len(self._numbers)
        for page, counted in enumerate(self._counted, start=1):
            pdf.put_stream(counted, self._count_drawn(page, pages))
        self.tags.finish()
        self.face.embed(pdf, self._font)
        pdf.put(self._resources, b"<</Font<</F %b>>>>" % reference(self._font))
        kids = references(self._numbers)
        pdf.put(self._pages, b"<</Type/Pages/Count %d/Kids%b>>" % (pages, kids))
        root, info = pdf.reserve(), pdf.reserve()
        title = text_string(self._head.title)
        at = date_string(self._made_at)
        pdf.put(info, b"<</Title%b/Producer(Tablebook)/CreationDate%b>>" % (title, at))
        body = b"<</Type/Catalog/Pages %b/Lang(%b)" % (
            *(reference(self._pages), self.language.encode()),
        )
        body += b"/MarkInfo<</Marked true>>/StructTreeRoot %b" % reference(self.tags.root)
        pdf.put(root, body + b"/ViewerPreferences<</DisplayDocTitle true>>>>")
        pdf.finish(root, info)

    def _mark_drawn(self) -> bytes:
        """First on the page, so that everything else is over it; not read aloud on each."""
        if not self._head.mark:
            return b""
        drawn = drawn_across(self.face, self._head.mark, self.width, self.height)
        return b"/Artifact BMC\n%bEMC\n" % drawn

    def _height_of_head(self) -> float:
        about, made = self._head_lines()
        lines = TITLE * LEADING + (len(about) + len(made)) * SMALL * LEADING
        warning = lines_of(self.face, self._head.warning, WARNING, self.room)
        return MARGIN + lines + height_of(warning) + _GAP

    def _head_lines(self) -> tuple[list[Block], list[Block]]:
        """What stands under the title; the second leaves room for the page's number."""
        counted = self._head.page_words.format(page=8888, pages=8888)
        beside = self.room - self.face.width(counted, TEXT) - 2 * _GAP
        about = lines_of(self.face, self._head.about, SMALL, self.room)
        return about, lines_of(self.face, self._head.made, SMALL, beside)

    def _head_drawn(self) -> bytes:
        """The same on every page: title, place, when made; and which names are on this one."""
        about, made = self._head_lines()
        warning = lines_of(self.face, self._head.warning, WARNING, self.room)
        title = as_printed(self._head.title)
        y, drawn = MARGIN + TITLE * LEADING, []
        if len(self._numbers) > 1:
            # On the first page it stands already, and is read aloud there.
            drawn.append(Words(title, TITLE).drawn(self.face, self.left, MARGIN, self.height))
        for line in (*about, *made, *warning):
            drawn.append(line.drawn(self.face, self.left, y, self.height))
            y += line.height
        if self.thumb:
            taken = self.face.width(title, TITLE) + 3 * _GAP
            drawn.append(self._thumb_drawn(self.room - taken))
        rule = self.height - y - 3
        edge = self.width - MARGIN
        drawn.append(b"q 1.2 w %.2f %.2f m %.2f %.2f l S Q\n" % (self.left, rule, edge, rule))
        return b"/Artifact<</Type/Pagination/Subtype/Header>>BDC\n%bEMC\n" % b"".join(drawn)

    def _thumb_drawn(self, room: float) -> bytes:
        """The first and the last name, large, in the outer corner."""
        first, last = map(as_printed, self.thumb or ("", ""))
        text = first if first == last else f"{first} – {last}"
        size = THUMB
        while self.face.width(text, size) > room and size > _SMALLEST_THUMB:
            size -= 1
        while self.face.width(text, size) > room and len(text) > 1:
            # It says again what the rows say in full.
            text = text.removesuffix("…")[:-1] + "…"
        x = self.width - MARGIN - self.face.width(text, size)
        y = MARGIN + (THUMB - size) * BASELINE
        return Words(text, size).drawn(self.face, x, y, self.height)

    def _count_drawn(self, page: int, pages: int) -> bytes:
        text = as_printed(self._head.page_words.format(page=page, pages=pages))
        x = self.width - MARGIN - self.face.width(text, TEXT)
        about, made = self._head_lines()
        y = MARGIN + TITLE * LEADING + height_of(about) + height_of(made) - TEXT * LEADING
        drawn = Words(text, TEXT).drawn(self.face, x, y, self.height)
        return b"/Artifact<</Type/Pagination/Subtype/Header>>BDC\n%bEMC\n" % drawn
