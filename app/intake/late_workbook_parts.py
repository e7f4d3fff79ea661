"""One look through the parts of a workbook for what its reader would pass over in silence.

Rows and cells are numbered in a sheet, and the reader leaves out those whose number does not
grow. A sheet whose part is gone, or that is written in the strict dialect of the format
(ISO/IEC 29500-1), has no rows for it. A document type is never part of a workbook, and is how
small files swell in memory.
"""

from __future__ import annotations

import re
import zipfile
from dataclasses import dataclass
from xml.parsers import expat

_MAIN = "http://schemas.openxmlformats.org/spreadsheetml/2006/main"
_PARTS = (".xml", ".rels")

# The last row that any spreadsheet program has.
_LAST_ROW = 1_048_576

_CELL = re.compile(r"([A-Z]{1,3})([0-9]{1,7})")


class PartsDamaged(Exception):
    """The workbook cannot be trusted to give all its rows; `what` says why."""

    def __init__(self, what: str) -> None:
        super().__init__(what)
        self.what = what


@dataclass(frozen=True, slots=True)
class Parts:
    """`sheets`: how many sheets the workbook lists."""

    sheets: int

    @classmethod
    def read(cls, archive: zipfile.ZipFile) -> Parts:
        """Look through every part; raises `PartsDamaged` where one is not as it should be."""
        names = archive.namelist()
        if len(set(names)) != len(names):
            raise PartsDamaged("a part that stands twice")
        sheets = 0
        for name in names:
            if name.lower().endswith(_PARTS):
                look = _Look()
                look.through(archive.read(name))
                sheets += look.sheets
        return cls(sheets)


class _Look:
    """The look through one part."""

    def __init__(self) -> None:
        self.sheets = 0
        self._is_in_data = False
        self._row = 0
        self._column = 0

    def through(self, xml: bytes) -> None:
        parser = expat.ParserCreate(namespace_separator=" ")
        parser.StartDoctypeDeclHandler = self._refuse_doctype
        parser.StartElementHandler = self._start
        parser.EndElementHandler = self._end
        try:
            parser.Parse(xml, True)
        except expat.ExpatError as error:
            raise PartsDamaged(f"XML: {expat.ErrorString(error.code)}") from error
        except (LookupError, ValueError) as error:
            # Raised of the encoding that a part says it is written in.
            raise PartsDamaged("XML: its encoding") from error

    def _refuse_doctype(self, *_: object) -> None:
        raise PartsDamaged("a document type")

    def _start(self, name: str, attributes: dict[str, str]) -> None:
        namespace, _, tag = name.rpartition(" ")
        if self._is_in_data:
            if tag == "c":
                self._cell(attributes.get("r"))
            elif tag == "row":
                self._new_row(attributes.get("r"))
        elif tag == "sheetData":
            if namespace != _MAIN:
                raise PartsDamaged("another dialect of the format")
            self._is_in_data = True
        elif tag == "sheet" and namespace == _MAIN:
            self.sheets += 1

    def _end(self, name: str) -> None:
        if name.endswith(" sheetData"):
            self._is_in_data = False

    def _new_row(self, number: str | None) -> None:
        row = self._row + 1 if number is None else _whole(number)
        if not self._row < row <= _LAST_ROW:
            raise PartsDamaged(f"row {row} after row {self._row}")
        self._row, self._column = row, 0

    def _cell(self, reference: str | None) -> None:
        column = self._column + 1
        if reference is not None:
            match = _CELL.fullmatch(reference)
            if match is None or int(match[2]) != self._row:
                raise PartsDamaged(f"cell {reference} in row {self._row}")
            column = _column_number(match[1])
        if column <= self._column:
            raise PartsDamaged(f"cell {reference} out of order")
        self._column = column


def _whole(number: str) -> int:
    if not (number.isascii() and number.isdigit() and len(number) <= 7):
        raise PartsDamaged(f"row number {number[:20]}")
    return int(number)


def _column_number(letters: str) -> int:
    number = 0
    for letter in letters:
        number = number * 26 + ord(letter) - ord("A") + 1
    return number
