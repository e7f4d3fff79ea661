"""The register on paper, to be signed by hand or as it stands now: one row for every line.

A mark stands in large words where the signature would stand, so that nobody signs there. The
barcode has its cell for itself. Rows come as they are read and go out page by page, so a register
of any length takes the same memory.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from datetime import date, datetime
from typing import Literal

from app.papers.barcodes import code_128
from app.papers.blocks import Bars, Block, Box, Gap, Ink, Strokes, height_of, whole_words
from app.papers.made import Form, Made, head_of, short_date, write_caution
from app.papers.pdf_stream import Write
from app.papers.register_words import REGISTER_WORDS
from app.papers.sheets import SMALL, Sheets
from app.papers.tables import PAD, Column, Row, Table
from app.papers.words import written_time
from app.rules.line import MarkKind, Part
from app.rules.setting import Setting

RowSize = Literal["normal", "large"]
Signed = Literal["drawn", "paper", "mark", "no_mark"]


@dataclass(frozen=True, slots=True)
class Stamp:
    """Who, and when by the clock of the polling place. None where it came printed."""

    at: datetime | None
    initials: str = ""


@dataclass(frozen=True, slots=True)
class PrintedMarkOn:
    kind: MarkKind
    source: str
    by: Stamp


@dataclass(frozen=True, slots=True)
class SignatureOn:
    """`strokes` as they were drawn, None on paper; `witness` beside a mark."""

    how: Signed
    by: Stamp
    strokes: Strokes | None = None
    witness: str = ""


@dataclass(frozen=True, slots=True)
class Struck:
    by: Stamp
    reason: str = ""


@dataclass(frozen=True, slots=True)
class RegisterRow:
    """One line. What is blank is not printed; a protected address must be blank already.

    `corrected` are columns that the registrar corrected. A provisional ballot given on the line
    has its envelope; `left`: signed and left without voting.
    """

    voter_number: str
    name: str
    last_name: str
    birth_date: date
    address: str = ""
    is_address_protected: bool = False
    mothers_maiden_name: str = ""
    party: str = ""
    ballot_button: int | None = None
    assistance: bool = False
    address_confirmation: bool = False
    part: Part = Part.REGISTER
    marks: tuple[PrintedMarkOn, ...] = ()
    signature: SignatureOn | None = None
    struck: Struck | None = None
    left: Stamp | None = None
    provisional: tuple[str, Stamp] | None = None
    corrected: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class RegisterForm(Form):
    """`identification`: birth date and mother's maiden name are printed, for the table's book."""

    rows: RowSize = "normal"
    identification: bool = True


@dataclass(frozen=True, slots=True)
class Measure:
    """Sizes of letters and heights, in points."""

    name: float
    text: float
    mark: float
    bars: float
    least: float


_MEASURES: Mapping[RowSize, Measure] = {
    "normal": Measure(name=11.5, text=9.5, mark=13.0, bars=22.0, least=50.0),
    "large": Measure(name=15.0, text=12.5, mark=16.0, bars=30.0, least=76.0),
}
# Shares of the width: number, name, ballot, signature, worker.
_SHARES = (116, 204, 69, 114, 37)
# Names are read at arm's length: a long one is broken before its letters become smaller.
LEAST_NAME = 11.0
# White between a line to be signed on and what stands above it.
_PEN = 3.0


def write_register(
    write: Write,
    setting: Setting,
    made: Made,
    rows: Iterable[RegisterRow],
    form: RegisterForm,
    *,
    added: Iterable[RegisterRow] | None = None,
    title: str = "title.before",
    taken_back: int = 0,
) -> None:
    """The pages. `added` are the lines of the supplemental part, which begins its own page."""
    words = REGISTER_WORDS[form.language]
    head = head_of(setting, made, form.language, words[title])
    sheets = Sheets(write, form.size, form.language, head, made.at)
    count = _Pages(sheets, form).write(rows, words["none"])
    if added is not None:
        sheets.end_page()
        count += _Pages(sheets, form).write(added, words["part.none"], words["part.supplemental"])
    sheets.y += PAD
    sheets.paragraph(words["lines"].format(count=count), 9.5)
    if taken_back:
        sheets.paragraph(words["taken_back"].format(count=taken_back), 9.5)
    write_caution(sheets, setting)
    sheets.finish()


class _Pages:
    """One table of the register."""

    def __init__(self, sheets: Sheets, form: RegisterForm) -> None:
        self._sheets, self._form = sheets, form
        self._words = REGISTER_WORDS[form.language]
        self._is = _MEASURES[form.rows]
        name = "column.name.whole" if form.identification else "column.name"
        keys = ("column.number", name, "column.ballot", "column.signature", "column.initials")
        columns = [
            Column(self._words[key], share) for key, share in zip(keys, _SHARES, strict=True)
        ]
        self._table = Table(sheets, columns)

    def write(self, rows: Iterable[RegisterRow], nothing: str, heading: str = "") -> int:
        return self._table.write(map(self._row, rows), nothing, heading)

    def _row(self, row: RegisterRow) -> Row:
        """Signature and initials stand at the foot of the row, however tall the rest makes it."""
        left = self._left(row)
        signature, initials = self._signature(row), self._initials(row)
        tallest = max(height_of(cell) for cell in (*left, signature, initials))
        height = max(tallest + 2 * PAD, self._is.least)
        ends = [[Gap(height - 2 * PAD - height_of(cell)), *cell] for cell in (signature, initials)]
        return Row((*left, *ends), (), height, row.last_name)

    def _lines(
        self, column: int, text: str, size: float | None = None, least: float = SMALL
    ) -> list[Block]:
        room = self._table.room(column)
        return whole_words(self._sheets.face, text, size or self._is.text, room, least)

    def _left(self, row: RegisterRow) -> list[list[Block]]:
        """The barcode over its number; one too long for the column lies under what is beside it.

        The quiet zone before the bars is the margin of the page, that after them the gutter.
        """
        beside = [self._name(row), self._ballot(row)]
        if not row.voter_number:
            return [self._lines(0, self._words["number.none"]), *beside]
        number = self._lines(0, row.voter_number, self._is.text + 0.5)
        barcode, widths = code_128(row.voter_number), self._table.widths
        narrow = barcode.module_for(widths[0]) if barcode else None
        wide = barcode.module_for(sum(widths[:3])) if barcode else None
        if barcode and narrow:
            return [[Bars(barcode, narrow, self._is.bars), Gap(1.5), *number], *beside]
        if barcode and wide:
            down = max(map(height_of, (number, *beside))) - height_of(number) + 3
            return [[*number, Gap(down), Bars(barcode, wide, self._is.bars)], *beside]
        return [[*number, *self._lines(0, self._words["number.no_barcode"])], *beside]

    def _name(self, row: RegisterRow) -> list[Block]:
        words = self._words
        lines = self._lines(1, row.name, self._is.name, LEAST_NAME)
        secret = words["address.protected"] if row.is_address_protected else ""
        lines += self._lines(1, secret or row.address)
        if self._form.identification:
            born = words["born"].format(date=short_date(row.birth_date, self._form.language))
            mother = row.mothers_maiden_name
            said = [born, words["mother"].format(name=mother)] if mother else [born]
            lines += self._lines(1, " · ".join(said))
        if row.part is not Part.REGISTER:
            lines += self._lines(1, words[f"part.line.{row.part.value}"])
        if row.corrected:
            details = ", ".join(words.get(f"detail.{one}", one) for one in row.corrected)
            lines += self._lines(1, words["corrected"].format(details=details))
        return lines

    def _ballot(self, row: RegisterRow) -> list[Block]:
        words, lines = self._words, list[Block]()
        if row.ballot_button is not None:
            text = words["button"].format(button=row.ballot_button)
            lines += self._lines(2, text, self._is.name)
        lines += self._lines(2, row.party)
        if row.assistance:
            lines += self._lines(2, words["assistance"])
        if row.address_confirmation:
            lines += self._lines(2, words["address_confirmation"])
        return lines

    def _signature(self, row: RegisterRow) -> list[Block]:
        """Everything that stands where the voter signs, and the line itself."""
        room = self._table.room(3)
        found = self._signed(row.signature, room) if row.signature else []
        found += [block for said in self._said(row) for block in said]
        return [*found, Box(room, _PEN)]

    def _said(self, row: RegisterRow) -> Iterator[list[Block]]:
        """In large words what keeps the voter from signing, or happened beside it."""
        words = self._words
        for mark in row.marks:
            source = words.get(f"source.{mark.source}", mark.source)
            yield self._large(f"mark.{mark.kind.value}", self._stamp(mark.by), source)
        if row.provisional:
            envelope, by = row.provisional
            about = words["envelope"].format(envelope=envelope) if envelope else ""
            yield self._large("provisional", about, self._stamp(by))
        if row.struck:
            why = words.get(f"source.{row.struck.reason}", row.struck.reason)
            reason = words["reason"].format(reason=why) if why else ""
            yield self._large("struck", self._stamp(row.struck.by), reason)
        if row.left:
            yield self._large("left", self._stamp(row.left))

    def _large(self, key: str, *small: str) -> list[Block]:
        said = " · ".join(filter(None, small))
        return [*self._lines(3, self._words[key], self._is.mark), *self._lines(3, said, SMALL)]

    def _signed(self, signature: SignatureOn, room: float) -> list[Block]:
        if signature.how == "paper":
            said = self._lines(3, self._words["signed.paper"], self._is.text + 1)
        elif signature.how == "drawn":
            said = []
        else:
            key = f"signed.{signature.how}"
            said = self._lines(3, self._words[key].format(witness=signature.witness), SMALL)
        ink: list[Block] = [Ink(signature.strokes, room)] if signature.strokes else []
        return [*said, *ink, *self._lines(3, self._time(signature.by), SMALL)]

    def _initials(self, row: RegisterRow) -> list[Block]:
        """Of the worker who took the signature."""
        found = row.signature.by.initials if row.signature else ""
        return [*self._lines(4, found, self._is.text + 1), Box(self._table.room(4), _PEN)]

    def _stamp(self, by: Stamp) -> str:
        return ", ".join(filter(None, (self._time(by), by.initials)))

    def _time(self, by: Stamp) -> str:
        return written_time(by.at.time(), self._form.language) if by.at else ""


__all__ = [
    "PrintedMarkOn",
    "RegisterForm",
    "RegisterRow",
    "SignatureOn",
    "Stamp",
    "Struck",
    "write_register",
]
