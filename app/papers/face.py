"""The font of the papers as numbers: how wide a text is, where it is broken, how it is embedded.

Texts are written by the numbers of their glyphs, which stay the same when the font is cut to
those used; so pages can go out before it is known which letters are needed. Everything here
expects a text that went through `lettering.in_print`, and `as_printed` sees to that.
"""

from __future__ import annotations

import io
from collections.abc import Iterator
from functools import lru_cache

from fontTools.subset import Options, Subsetter
from fontTools.ttLib import TTFont

from app.papers.lettering import BOX, FONT_FILE, in_print
from app.papers.pdf_stream import PdfStream, reference

_NAME = b"DejaVuSans"
# A thousandth of the size: the unit of widths in a PDF.
_UNITS = 1000


# Every letter before this one is Latin, put together already, and in the font.
_BEYOND_LATIN = "\u0250"


def as_printed(text: str) -> str:
    """`in_print`, past which most names of a register can go: they are plain."""
    is_plain = text.isprintable() and (text.isascii() or max(text) < _BEYOND_LATIN)
    return text if is_plain else in_print(text)


class Face:
    """The measures of the font, and which glyphs one paper uses."""

    def __init__(self) -> None:
        self._glyphs, self._advances = _measures()
        self._used: dict[str, bytes] = {}

    def encoded(self, text: str) -> bytes:
        """The text as a string of glyph numbers, for an operator that shows it."""
        used = self._used
        try:
            return b"<%b>" % b"".join([used[letter] for letter in text])
        except KeyError:
            for letter in text:
                used.setdefault(letter, b"%04x" % self._glyph(letter))
            return b"<%b>" % b"".join([used[letter] for letter in text])

    def width(self, text: str, size: float) -> float:
        """In points, at this size."""
        advances = self._advances
        try:
            return sum([advances[letter] for letter in text]) * size / _UNITS
        except KeyError:
            return sum(self._advance(letter) for letter in text) * size / _UNITS

    def broken(self, text: str, size: float, room: float) -> list[str]:
        """The lines of a text no wider than `room`; a word that is wider is broken too."""
        if self.width(text, size) <= room:
            return [text]
        lines: list[str] = []
        for word in self._pieces(text, size, room):
            longer = f"{lines[-1]} {word}" if lines else word
            if lines and self.width(longer, size) <= room:
                lines[-1] = longer
            else:
                lines.append(word)
        return lines or [""]

    def embed(self, pdf: PdfStream, number: int) -> None:
        """The font object `number`, cut to what was used, and all it needs (9.7, 9.10.3)."""
        descendant, descriptor, file, unicode = (pdf.reserve() for _ in range(4))
        used = sorted((int(code, 16), letter) for letter, code in self._used.items())
        data, box = _cut([glyph for glyph, _ in used])
        pdf.put_stream(file, data, b"/Length1 %d" % len(data))
        pdf.put_stream(unicode, _to_unicode(used))
        head = b"<</Type/FontDescriptor/FontName/%b/Flags 32/ItalicAngle 0/StemV 80" % _NAME
        head += b"/Ascent 928/Descent -236/CapHeight 729/FontBBox[%d %d %d %d]" % box
        pdf.put(descriptor, head + b"/FontFile2 %b>>" % reference(file))
        widths = b"".join(
            b"%d[%.1f]" % (glyph, self._advance(letter)) for glyph, letter in dict(used).items()
        )
        info = b"/CIDSystemInfo<</Registry(Adobe)/Ordering(Identity)/Supplement 0>>"
        body = b"<</Type/Font/Subtype/CIDFontType2/BaseFont/%b%b" % (_NAME, info)
        body += b"/FontDescriptor %b/CIDToGIDMap/Identity" % reference(descriptor)
        pdf.put(descendant, body + b"/W[%b]>>" % widths)
        body = b"<</Type/Font/Subtype/Type0/BaseFont/%b/Encoding/Identity-H" % _NAME
        body += b"/DescendantFonts[%b]" % reference(descendant)
        pdf.put(number, body + b"/ToUnicode %b>>" % reference(unicode))

    def _pieces(self, text: str, size: float, room: float) -> Iterator[str]:
        """The words, those that are too wide in pieces."""
        for word in text.split(" "):
            rest = word
            while self.width(rest, size) > room and len(rest) > 1:
                end = self._fitting(rest, size, room)
                yield rest[:end]
                rest = rest[end:]
            yield rest

    def _fitting(self, word: str, size: float, room: float) -> int:
        """How many letters fit, at least one; after a hyphen where there is one."""
        end = 1
        while end < len(word) and self.width(word[: end + 1], size) <= room:
            end += 1
        hyphen = word.rfind("-", 1, end)
        return hyphen + 1 if hyphen > 0 else end

    def _glyph(self, letter: str) -> int:
        return self._glyphs.get(letter, self._glyphs[BOX])

    def _advance(self, letter: str) -> float:
        return self._advances.get(letter, self._advances[BOX])


@lru_cache(maxsize=1)
def _measures() -> tuple[dict[str, int], dict[str, float]]:
    """The glyph number and the width of every letter, spaces of any kind as a space."""
    with TTFont(FONT_FILE, lazy=True) as font:
        scale = _UNITS / font["head"].unitsPerEm
        names = {chr(code): name for code, name in font.getBestCmap().items()}
        for space in "\u00a0\u2007\u202f":
            names[space] = names[" "]
        widths = font["hmtx"].metrics
        glyphs = {letter: font.getGlyphID(name) for letter, name in names.items()}
        return glyphs, {letter: widths[name][0] * scale for letter, name in names.items()}


def _cut(glyphs: list[int]) -> tuple[bytes, tuple[int, ...]]:
    """The font file with these glyphs alone, each under its own number, and its box."""
    options = Options(retain_gids=True, notdef_outline=True, layout_features=[], hinting=False)
    options.drop_tables += ["name", "post", "cmap", "OS/2", "GSUB", "GPOS", "GDEF", "FFTM"]
    # A file that is made twice from the same facts must be the same.
    with TTFont(FONT_FILE, lazy=True, recalcTimestamp=False) as font:
        scale = _UNITS / font["head"].unitsPerEm
        head = font["head"]
        box = tuple(round(edge * scale) for edge in (head.xMin, head.yMin, head.xMax, head.yMax))
        subsetter = Subsetter(options)
        subsetter.populate(gids=glyphs)
        subsetter.subset(font)
        data = io.BytesIO()
        font.save(data)
    return data.getvalue(), box


def _to_unicode(used: list[tuple[int, str]]) -> bytes:
    """Which letter each glyph is: so text can be searched, copied and read aloud."""
    letters = dict(reversed(used))
    rows = [
        b"<%04x> <%b>" % (glyph, letter.encode("utf-16-be").hex().encode())
        for glyph, letter in sorted(letters.items())
    ]
    parts = [rows[at : at + 100] for at in range(0, len(rows), 100)]
    listed = b"\n".join(
        b"%d beginbfchar\n%b\nendbfchar" % (len(part), b"\n".join(part)) for part in parts
    )
    return (
        b"/CIDInit /ProcSet findresource begin\n12 dict begin\nbegincmap\n"
        b"/CIDSystemInfo <</Registry (Adobe) /Ordering (UCS) /Supplement 0>> def\n"
        b"/CMapName /Letters def\n/CMapType 2 def\n"
        b"1 begincodespacerange\n<0000> <ffff>\nendcodespacerange\n%b\n"
        b"endcmap\nCMapName currentdict /CMap defineresource pop\nend\nend\n" % listed
    )
