"""A certificate of the opening or the close: plain facts, tables, and a line for everybody to sign.

Nothing is counted here: whoever calls gives every number as it is to stand.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from app.papers.blocks import Block, Box, lines_of
from app.papers.day_words import DAY_WORDS
from app.papers.made import Form, Made, head_of, in_fours, write_caution
from app.papers.pdf_stream import Write
from app.papers.sheets import SMALL, TEXT, Sheets
from app.papers.tables import Column, Row, Table
from app.rules.setting import Setting

# Room for a signature: half an inch.
_SIGNATURE = 34.0
_FACTS = (200, 340)
_SIGNERS = (150, 90, 210, 90)


@dataclass(frozen=True, slots=True)
class Fact:
    """A label and what it says; `is_grave` is said in large letters, a difference for one."""

    label: str
    value: str
    is_grave: bool = False


@dataclass(frozen=True, slots=True)
class Grid:
    """A table: headings with their shares of the width, and rows of as many texts.

    `nothing` stands there in words where there is no row. `is_small`: in the smallest letters.
    """

    columns: tuple[tuple[str, int], ...]
    rows: tuple[tuple[str, ...], ...]
    nothing: str
    is_small: bool = False


@dataclass(frozen=True, slots=True)
class Section:
    """A heading, then facts, tables and sentences, in this order."""

    heading: str
    facts: tuple[Fact, ...] = ()
    grids: tuple[Grid, ...] = ()
    sentences: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Signer:
    """Who signs, by the name as it is to be printed; `role` is a code."""

    name: str
    role: str


@dataclass(frozen=True, slots=True)
class Certificate:
    """Everything on it. `warning` stands on every page, blank where there is none."""

    title: str
    sections: tuple[Section, ...]
    signers: tuple[Signer, ...]
    warning: str = ""


def write_certificate(
    write: Write, setting: Setting, made: Made, certificate: Certificate, form: Form
) -> None:
    """The pages: every section, the log's whole hash in fours, and a line for everybody."""
    words = DAY_WORDS[form.language]
    head = head_of(setting, made, form.language, certificate.title, certificate.warning)
    sheets = Sheets(write, form.size, form.language, head, made.at)
    for section in certificate.sections:
        write_section(sheets, section)
    sheets.y += 10
    rests = words["certificate.rests"].format(seq=made.head_seq)
    sheets.make_room(6 * TEXT)
    sheets.paragraph(rests)
    sheets.paragraph(in_fours(made.head_hash))
    _write_signers(sheets, certificate.signers)
    write_caution(sheets, setting)
    sheets.finish()


def write_section(sheets: Sheets, section: Section) -> None:
    heading = section.heading
    if section.facts:
        table = Table(sheets, [Column("", share) for share in _FACTS])
        table.write((_fact(sheets, table, fact) for fact in section.facts), "", heading)
        heading = ""
    for grid in section.grids:
        sheets.y += 6
        table = Table(sheets, [Column(column, share) for column, share in grid.columns])
        size = SMALL if grid.is_small else TEXT
        table.write((table.texts(*row, size=size) for row in grid.rows), grid.nothing, heading)
        heading = ""
    if heading:
        sheets.heading(heading)
    for sentence in section.sentences:
        sheets.y += 4
        sheets.paragraph(sentence)


def _fact(sheets: Sheets, table: Table, fact: Fact) -> Row:
    """The label and its value, the value larger where it must strike the eye."""
    size = 15.0 if fact.is_grave else TEXT
    label = lines_of(sheets.face, fact.label, TEXT, table.room(0))
    return Row((label, lines_of(sheets.face, fact.value, size, table.room(1))))


def _write_signers(sheets: Sheets, signers: Sequence[Signer]) -> None:
    words = DAY_WORDS[sheets.language]
    keys = ("worker", "role", "signature", "time")
    columns = [
        Column(words[f"certificate.{key}"], share)
        for key, share in zip(keys, _SIGNERS, strict=True)
    ]
    table = Table(sheets, columns)

    def shown(signer: Signer) -> Row:
        role = words.get(f"role.{signer.role}", signer.role)
        texts = table.texts(signer.name, role)
        lines: list[list[Block]] = [[Box(table.room(at), _SIGNATURE)] for at in (2, 3)]
        return Row((*texts.cells, *lines))

    table.write(map(shown, signers), words["none"], words["certificate.signed_by"])
