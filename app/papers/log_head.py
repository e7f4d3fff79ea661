"""Where the day log ends now, on paper, to be signed: so that nobody can cut it off later.

Whoever keeps such a page can show, with the whole log, that everything up to its entry stands
in it still: `tablebook verify BUNDLE --hash …` finds the entry that the page is of.
"""

from __future__ import annotations

from app.papers.affidavit_form import lines_to_write_on
from app.papers.day_words import DAY_WORDS
from app.papers.made import Form, Made, head_of, in_fours, write_caution
from app.papers.pdf_stream import Write
from app.papers.sheets import Sheets
from app.papers.words import written_date
from app.rules.setting import Setting

# Read out across a table, sixteen groups of four: large, and a line for each half.
_DIGITS = 20
_HALF = 32
_SIGNATURE = 46.0


def write_log_head(write: Write, setting: Setting, made: Made, form: Form) -> None:
    """One page: the number and the whole hash of the last entry, and room for two signatures."""
    words = DAY_WORDS[form.language]
    head = head_of(setting, made, form.language, words["log_head.title"])
    sheets = Sheets(write, form.size, form.language, head, made.at)
    sheets.paragraph(words["log_head.lead"])
    sheets.heading(words["log_head.entry"].format(seq=made.head_seq))
    for start in range(0, len(made.head_hash), _HALF):
        sheets.paragraph(in_fours(made.head_hash[start : start + _HALF]), _DIGITS)
    sheets.y += 8
    sheets.paragraph(
        words["log_head.statement"].format(date=written_date(setting.election.date, form.language))
    )
    for _ in range(2):
        lines_to_write_on(
            sheets, words["certificate.signature"], words["log_head.when"], height=_SIGNATURE
        )
    sheets.y += 8
    sheets.paragraph(words["log_head.keep"])
    write_caution(sheets, setting)
    sheets.finish()
