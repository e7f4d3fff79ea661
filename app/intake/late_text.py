"""The bytes of a late list to rows: which encoding, which separator, where each row begins.

A package must be UTF-8; a list that comes at noon is taken as the office's spreadsheet wrote
it, and what was taken is said. Quoting is RFC 4180. A row that cannot be taken apart stays a
row, with its fault, and the next line begins a new one.
"""

from __future__ import annotations

import codecs
import csv
import re
import unicodedata
from collections.abc import Iterator
from typing import NamedTuple

from app.intake.fault_codes import Code
from app.intake.faults import FaultList
from app.intake.late_cells import RawRow, is_blank, text_cell

SEPARATORS = (",", ";", "\t", "|")

# With its end: see csv_records.
_LINE = re.compile(r"[^\r\n]*(?:\r\n|\n|\r)|[^\r\n]+")

# Longer rows are a quotation mark that was never closed.
_ROW_CHARACTERS = 20_000
_ROW_LINES = 50

# Each costs a second look at up to _ROW_LINES lines; a list with more is no list.
_BROKEN_ROWS = 200

_SAMPLE_BYTES = 4_000
# UTF-16 without its mark shows as a NUL beside nearly every letter.
_NULS_OF_UTF16 = 0.3
_CONTROLS_OF_TEXT = 0.02

_UNDECODED = re.compile("[\udc80-\udcff]")
_NOT_ASCII = re.compile("[^\x00-\x7f\udc80-\udcff]")
_CONTROL = re.compile(rb"[\x00-\x08\x0e-\x1f]")

# A line that spreadsheets write for themselves: `sep=;`.
_SEPARATOR_LINE = re.compile(r'"?sep=(.)"?', re.IGNORECASE)

# How files begin that are neither text nor a workbook, whatever their name says.
_BEGINNINGS = (
    (b"\x1f\x8b", Code.NESTED_ARCHIVE, "a gzip archive"),
    (b"7z\xbc\xaf\x27\x1c", Code.NESTED_ARCHIVE, "a 7z archive"),
    (b"Rar!", Code.NESTED_ARCHIVE, "a rar archive"),
    (b"%PDF", Code.NOT_TEXT, "a PDF"),
    (b"\x89PNG", Code.NOT_TEXT, "a picture"),
    (b"\xff\xd8\xff", Code.NOT_TEXT, "a picture"),
    (codecs.BOM_UTF32_LE, Code.ENCODING_UNKNOWN, "UTF-32 text"),
    (codecs.BOM_UTF32_BE, Code.ENCODING_UNKNOWN, "UTF-32 text"),
)


class Decoded(NamedTuple):
    """`encoding` as a person is told it: UTF-8, UTF-16 or Windows-1252."""

    text: str
    encoding: str


def decode(name: str, data: bytes, faults: FaultList) -> Decoded | None:
    """The text of a list and the encoding it was taken for; None and a fault where there is none.

    Bytes that the encoding does not have stand as characters that `cells.character_fault` and
    `cells.is_undecoded` find.
    """
    if not _is_text(name, data, faults):
        return None
    if data.startswith((codecs.BOM_UTF16_LE, codecs.BOM_UTF16_BE)):
        return Decoded(_normal(data.decode("utf-16", errors="replace")), "UTF-16")
    text = data.decode("utf-8", errors="surrogateescape").removeprefix("\ufeff")
    if _is_utf_8(data, text):
        return Decoded(_normal(text), "UTF-8")
    return Decoded(_normal(data.decode("cp1252", errors="replace")), "Windows-1252")


def _is_utf_8(data: bytes, text: str) -> bool:
    undecoded = len(_UNDECODED.findall(text))
    if not undecoded or data.startswith(codecs.BOM_UTF8):
        return True
    # A letter of Windows-1252 hardly ever looks like one of UTF-8, and a file cut short may end
    # inside a letter: the greater number decides.
    return len(_NOT_ASCII.findall(text)) >= undecoded


def _normal(text: str) -> str:
    return text if text.isascii() else unicodedata.normalize("NFC", text)


def _is_text(name: str, data: bytes, faults: FaultList) -> bool:
    expected = "a list as CSV or .xlsx"
    for beginning, code, what in _BEGINNINGS:
        if data.startswith(beginning):
            faults.add(code, name, found=what, expected=expected)
            return False
    if data.startswith((codecs.BOM_UTF16_LE, codecs.BOM_UTF16_BE)):
        return True
    sample = data[:_SAMPLE_BYTES]
    if sample.count(0) >= _NULS_OF_UTF16 * len(sample):
        found = "perhaps UTF-16 without its mark"
        faults.add(Code.ENCODING_UNKNOWN, name, found=found, expected=expected)
        return False
    if len(_CONTROL.findall(sample)) > _CONTROLS_OF_TEXT * len(sample) + 2:
        faults.add(Code.NOT_TEXT, name, found="bytes that are not text", expected=expected)
        return False
    return True


class TooManyBroken(Exception):
    """More rows than in any list cannot be taken apart; the first of them is `number`."""

    def __init__(self, number: int) -> None:
        super().__init__(number)
        self.number = number


class Lines:
    """The lines of one text, to be taken apart with one separator after another."""

    def __init__(self, text: str) -> None:
        self._lines: list[str] = _LINE.findall(text)
        named = _SEPARATOR_LINE.fullmatch(self._lines[0].strip("\r\n")) if self._lines else None
        self._first = 1 if named else 0
        self.named_separator = named[1] if named else None

    def rows(self, separator: str, most_lines: int | None = None) -> Iterator[RawRow]:
        """Every row that is not blank; raises `TooManyBroken` instead of going on for ever.

        `most_lines` looks at the beginning of the file alone.
        """
        feed = _Feed(self._lines[:most_lines], self._first)
        broken: list[int] = []
        while feed.begin < len(feed.lines):
            try:
                yield from feed.whole_rows(separator)
            except (csv.Error, _TooLong):
                number = feed.begin + 1
                broken.append(number)
                if len(broken) > _BROKEN_ROWS:
                    raise TooManyBroken(broken[0]) from None
                line = feed.lines[feed.begin].strip()
                feed.begin += 1
                if line:
                    yield RawRow(number, (line,), Code.QUOTE_NOT_CLOSED)


class _Feed:
    """Hands lines to the csv module and knows on which line each row began."""

    def __init__(self, lines: list[str], begin: int) -> None:
        self.lines = lines
        self.begin = begin
        self._next = begin
        self._characters = 0

    def whole_rows(self, separator: str) -> Iterator[RawRow]:
        reader = csv.reader(self._feed(), delimiter=separator, strict=True, skipinitialspace=True)
        for cells in reader:
            if any(_swallows_rows(cell, separator) for cell in cells):
                raise csv.Error("a cell that holds whole rows")
            number = self.begin + 1
            self.begin, self._characters = self._next, 0
            raw = tuple(map(text_cell, cells))
            if not all(map(is_blank, raw)):
                yield RawRow(number, raw)

    def _feed(self) -> Iterator[str]:
        self._next, self._characters = self.begin, 0
        while self._next < len(self.lines):
            line = self.lines[self._next]
            self._next += 1
            self._characters += len(line)
            if self._next - self.begin > _ROW_LINES or self._characters > _ROW_CHARACTERS:
                raise _TooLong
            yield line


def _swallows_rows(cell: str, separator: str) -> bool:
    """Whether two stray quotation marks have made one cell of the rows between them."""
    return ("\n" in cell or "\r" in cell) and cell.count(separator) > 1


class _TooLong(Exception):
    """A row reaches further than any row of a list does."""
