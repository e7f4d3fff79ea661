"""A correction affidavit to be filled in by hand: one page, nobody's name on it."""

from __future__ import annotations

from app.papers.blocks import Box, Gap, lines_of
from app.papers.day_words import DAY_WORDS
from app.papers.made import Form, Made, head_of, write_caution
from app.papers.pdf_stream import Write
from app.papers.sheets import MARGIN, Sheets
from app.rules.setting import Setting

# Room to write in: a third of an inch, and more for a signature.
_LINE, _SIGNATURE = 25.0, 46.0
# Small letters under the line, as on forms everywhere.
_LABEL = 9.5
_BETWEEN = 14.0


def write_affidavit_form(write: Write, setting: Setting, made: Made, form: Form) -> None:
    """The blank form."""
    words = DAY_WORDS[form.language]
    head = head_of(setting, made, form.language, words["form.title"])
    sheets = Sheets(write, form.size, form.language, head, made.at)
    registrar = setting.registrar
    sheets.paragraph(words["form.lead"].format(office=registrar.office, phone=registrar.phone))
    sheets.paragraph(words["form.office_form"])
    sheets.heading(words["form.person"])
    lines_to_write_on(sheets, words["form.last_name"], words["form.first_name"])
    lines_to_write_on(sheets, words["form.birth_date"])
    lines_to_write_on(sheets, words["form.address"], words["form.city"])
    sheets.y += 8
    sheets.paragraph(words["form.statement"], 12)
    lines_to_write_on(sheets, words["form.signature"], words["form.signed_at"], height=_SIGNATURE)
    sheets.heading(words["form.table"])
    lines_to_write_on(sheets, words["form.authorised"], words["form.how"])
    lines_to_write_on(sheets, words["form.number"], words["form.button"], words["form.initials"])
    write_caution(sheets, setting)
    sheets.finish()


def lines_to_write_on(sheets: Sheets, *labels: str, height: float = _LINE) -> None:
    """Lines to write on, side by side, each with what belongs there under it."""
    width = (sheets.room - _BETWEEN * (len(labels) - 1)) / len(labels)
    cells = [lines_of(sheets.face, label, _LABEL, width) for label in labels]
    tallest = max(sum(line.height for line in cell) for cell in cells)
    sheets.make_room(height + tallest + 6)
    for at, cell in enumerate(cells):
        x = MARGIN + at * (width + _BETWEEN)
        blocks = [Box(width, height), Gap(2), *cell]
        sheets.tagged(sheets.tags.content(b"P"), blocks, x, sheets.y)
    sheets.y += height + tallest + 6
