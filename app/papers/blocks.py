"""What a cell of a table holds: lines of text, bars, a drawn signature. Each knows its height.

A block is drawn at its upper left corner, in points from the upper left corner of the page.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass

from app.papers.barcodes import Barcode
from app.papers.face import Face, as_printed

# Height of a line of text, and how far down its letters stand, as shares of their size.
LEADING, BASELINE = 1.24, 0.96

# x, y from 0 to 10,000 over a box four times as wide as high, and milliseconds.
Strokes = Sequence[Sequence[Sequence[int]]]
_INK_RANGE = 10_000
INK_SHAPE = 4.0
# Points nearer to each other than this, of the range, cannot be told apart on paper.
_NEAREST = 40


@dataclass(frozen=True, slots=True)
class Words:
    """One line of text, broken already."""

    text: str
    size: float

    is_text = True

    @property
    def height(self) -> float:
        return self.size * LEADING

    def drawn(self, face: Face, x: float, y: float, page_height: float) -> bytes:
        baseline = page_height - y - self.size * BASELINE
        place = b"%.2f %.2f" % (x, baseline)
        return b"BT/F %g Tf %b Td %b Tj ET\n" % (self.size, place, face.encoded(self.text))


@dataclass(frozen=True, slots=True)
class Bars:
    """A barcode without its quiet zones, `module` points a module."""

    barcode: Barcode
    module: float
    height: float

    is_text = False

    def drawn(self, _face: Face, x: float, y: float, page_height: float) -> bytes:
        module, bottom = self.module, page_height - y - self.height
        bars = b"".join(
            b"%.3f 0 %.3f %g re " % (at * module, wide * module, self.height)
            for at, wide in self.barcode.bars
        )
        return b"q 1 0 0 1 %.2f %.2f cm %bf Q\n" % (x, bottom, bars)


@dataclass(frozen=True, slots=True)
class Ink:
    """A signature as it was drawn, `width` points wide."""

    strokes: Strokes
    width: float

    is_text = False

    @property
    def height(self) -> float:
        return self.width / INK_SHAPE

    def drawn(self, _face: Face, x: float, y: float, page_height: float) -> bytes:
        across, down = self.width / _INK_RANGE, self.height / _INK_RANGE
        paths = [
            b" ".join(
                b"%.1f %.1f %b" % (x + px * across, page_height - y - py * down, operator)
                for px, py, operator in _path(stroke)
            )
            for stroke in self.strokes
            if stroke
        ]
        return b"q 0.9 w 1 J 1 j %b Q\n" % b" ".join(path + b" S" for path in paths)


@dataclass(frozen=True, slots=True)
class Gap:
    """White."""

    height: float

    is_text = False

    def drawn(self, _face: Face, _x: float, _y: float, _page_height: float) -> bytes:
        return b""


@dataclass(frozen=True, slots=True)
class Box:
    """A rule at the foot of some white: to be written on by hand."""

    width: float
    height: float

    is_text = False

    def drawn(self, _face: Face, x: float, y: float, page_height: float) -> bytes:
        foot = page_height - y - self.height
        return b"q 0.7 w %.2f %.2f m %.2f %.2f l S Q\n" % (x, foot, x + self.width, foot)


Block = Words | Bars | Ink | Gap | Box


def lines_of(face: Face, text: str, size: float, room: float) -> list[Block]:
    """The text as lines no wider than `room`; nothing where there is no text."""
    if not text:
        return []
    return [Words(line, size) for line in face.broken(as_printed(text), size, room)]


def whole_words(face: Face, text: str, size: float, room: float, least: float) -> list[Block]:
    """As `lines_of`, in letters made smaller (down to `least`) until no word need be broken."""
    shown = as_printed(text)
    widest = max((face.width(word, 1) for word in shown.split(" ")), default=0)
    fitting = size if widest * size <= room else max(least, room / widest)
    return lines_of(face, text, fitting, room)


def height_of(blocks: Iterable[Block]) -> float:
    return sum(block.height for block in blocks)


def _path(stroke: Sequence[Sequence[int]]) -> Iterator[tuple[int, int, bytes]]:
    """Where the pen went, without points too near to be seen; a touch alone makes a dot."""
    x, y = stroke[0][0], stroke[0][1]
    yield x, y, b"m"
    last = len(stroke) - 1
    for at, point in enumerate(stroke):
        px, py = point[0], point[1]
        if at == last or abs(px - x) >= _NEAREST or abs(py - y) >= _NEAREST:
            yield px, py, b"l"
            x, y = px, py
