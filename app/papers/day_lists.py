"""The lists of the day: who was helped, provisional envelopes, irregularities, affidavits.

What stands in them is given as facts; no birth date is among them, and no address.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from app.papers.blocks import Block, Ink, Strokes, lines_of
from app.papers.day_words import DAY_WORDS
from app.papers.found_words import found_words
from app.papers.made import Form, Made, head_of, write_caution
from app.papers.pdf_stream import Write
from app.papers.register_pages import Stamp
from app.papers.sheets import TEXT, Sheets
from app.papers.tables import Column, Row, Table
from app.papers.words import Language, written_time
from app.rules.setting import Setting


@dataclass(frozen=True, slots=True)
class Helped:
    """A voter who was helped. `reason` blank where a Y is printed; `how` the helper signed."""

    name: str
    voter_number: str
    helper: str
    reason: str
    is_printed: bool
    how: str
    has_statement: bool
    by: Stamp


@dataclass(frozen=True, slots=True)
class ProvisionalRow:
    """An envelope. `reason` is a code, `note` what was written; `withdrawn` if by mistake."""

    envelope: str
    reason: str
    note: str
    name: str
    ballot_button: int | None
    is_extended_hours: bool
    by: Stamp
    withdrawn: Stamp | None = None


@dataclass(frozen=True, slots=True)
class IrregularityRow:
    """One that was written down. `code` where the program found it; `what` is then what
    somebody wrote with it, blank where nobody did.

    `line` names the line it is about, `machine` the machine; both blank where there is none.
    """

    seq: int
    kind: str
    code: str
    what: str
    told: str
    done: str
    by: Stamp
    line: str = ""
    machine: str = ""
    settled: Stamp | None = None
    how: str = ""


@dataclass(frozen=True, slots=True)
class AffidavitRow:
    """`signed` drawn, paper, mark or none (withdrawn since)."""

    name: str
    voter_number: str
    ballot_button: int | None
    authorised_by: str
    authorised_how: str
    by: Stamp
    signed: str
    strokes: Strokes | None = None


class _Paper:
    """One list being written."""

    def __init__(self, write: Write, setting: Setting, made: Made, form: Form, title: str) -> None:
        self.words = DAY_WORDS[form.language]
        self.language: Language = form.language
        self._setting = setting
        head = head_of(setting, made, form.language, self.words[title])
        self.sheets = Sheets(write, form.size, form.language, head, made.at)

    def table(self, *columns: tuple[str, int]) -> Table:
        return Table(self.sheets, [Column(self.words[key], share) for key, share in columns])

    def stamp(self, by: Stamp) -> str:
        return self.words["stamp"].format(time=self.time(by), initials=by.initials)

    def time(self, by: Stamp) -> str:
        return written_time(by.at.time(), self.language) if by.at else ""

    def filled(self, key: str, by: Stamp, **more: object) -> str:
        return self.words[key].format(time=self.time(by), initials=by.initials, **more)

    def count(self, count: int) -> None:
        self.sheets.y += 6
        self.sheets.paragraph(self.words["count"].format(count=count))

    def finish(self) -> None:
        write_caution(self.sheets, self._setting)
        self.sheets.finish()


def write_assistance(
    write: Write, setting: Setting, made: Made, rows: Sequence[Helped], form: Form
) -> None:
    """Who was helped in the booth, by whom and why."""
    paper = _Paper(write, setting, made, form, "assistance.title")
    words = paper.words
    table = paper.table(
        ("name", 150), ("number", 80), ("assistance.helper", 130), ("reason", 112), ("when", 68)
    )

    def shown(row: Helped) -> Row:
        how = words.get(f"assistance.signed.{row.how}", "")
        said = "; ".join(
            filter(None, (words["assistance.printed"] if row.is_printed else "", row.reason))
        )
        is_bare = not (row.is_printed or row.has_statement)
        notes = [words["assistance.no_statement"]] if is_bare else []
        helper = f"{row.helper} ({how})" if how else row.helper
        by = paper.stamp(row.by)
        return table.texts(row.name, row.voter_number, helper, said, by, notes=notes)

    paper.count(table.write(map(shown, rows), words["assistance.none"]))
    paper.finish()


def write_provisional(
    write: Write, setting: Setting, made: Made, rows: Sequence[ProvisionalRow], form: Form
) -> None:
    """Every envelope; those of extended hours on a page of their own (52 U.S.C. 21082(c))."""
    paper = _Paper(write, setting, made, form, "provisional.title")
    apart = [row for row in rows if row.is_extended_hours]
    _envelopes(paper, "provisional.ordinary", [row for row in rows if not row.is_extended_hours])
    if apart:
        paper.sheets.end_page()
        _envelopes(paper, "provisional.extended_hours", apart)
    paper.finish()


def _envelopes(paper: _Paper, heading: str, rows: Sequence[ProvisionalRow]) -> None:
    words = paper.words
    table = paper.table(
        *(("provisional.envelope", 80), ("name", 155), ("reason", 180)),
        *(("button", 55), ("when", 70)),
    )

    def shown(row: ProvisionalRow) -> Row:
        because = words.get(f"because.{row.reason}", row.reason)
        said = f"{because}: {row.note}" if row.note else because
        mistake = row.withdrawn
        notes = [paper.filled("provisional.withdrawn", mistake)] if mistake else []
        button = "" if row.ballot_button is None else str(row.ballot_button)
        return table.texts(row.envelope, row.name, said, button, paper.stamp(row.by), notes=notes)

    table.write(map(shown, rows), words["provisional.none"], words[heading])
    standing = sum(row.withdrawn is None for row in rows)
    paper.sheets.y += 6
    paper.sheets.paragraph(words["provisional.standing"].format(count=standing))


def write_irregularities(
    write: Write, setting: Setting, made: Made, rows: Sequence[IrregularityRow], form: Form
) -> None:
    """All of them, the open ones first and said to be open."""
    paper = _Paper(write, setting, made, form, "irregularities.title")
    if rows:
        _written_up(paper, "open", [row for row in rows if row.settled is None])
        _written_up(paper, "settled", [row for row in rows if row.settled])
    else:
        paper.sheets.paragraph(paper.words["irregularities.none"])
    paper.count(len(rows))
    paper.finish()


def _written_up(paper: _Paper, which: str, rows: Iterable[IrregularityRow]) -> None:
    words = paper.words
    table = paper.table(
        *(("irregularities.entry", 66), ("irregularities.kind", 106)),
        *(("irregularities.what", 290), ("when", 78)),
    )

    def shown(row: IrregularityRow) -> Row:
        kind = words.get(f"kind.{row.kind}", row.kind)
        about = f"{kind} {row.machine}".strip()
        entry = str(row.seq) if row.settled else f"{row.seq} {words['irregularities.is_open']}"
        what, notes = _what(paper, row), [*_notes(paper, row)]
        return table.texts(entry, about, what, paper.stamp(row.by), notes=notes)

    heading = words[f"irregularities.{which}"]
    table.write(map(shown, rows), words[f"irregularities.no_{which}"], heading)


def _notes(paper: _Paper, row: IrregularityRow) -> Iterable[str]:
    """Under it: whom it is about, who was told, what was done, how it was settled."""
    words = paper.words
    for key in ("line", "told", "done"):
        said = getattr(row, key)
        if said:
            yield words[f"irregularities.{key}"].format(**{key: said})
    if row.settled:
        yield paper.filled("irregularities.how", row.settled, how=row.how)


def _what(paper: _Paper, row: IrregularityRow) -> str:
    """What was found is said in the language of the paper, what was written as it was written."""
    found = found_words(row.code, paper.language)
    # With two facts that contradict each other nobody has written anything.
    if not found or not row.what or row.kind == "contradiction":
        return found or row.what
    return paper.words["irregularities.found"].format(found=found, what=row.what)


def write_affidavits(
    write: Write, setting: Setting, made: Made, rows: Sequence[AffidavitRow], form: Form
) -> None:
    """Who was added by a correction affidavit, and who at the office authorised it."""
    paper = _Paper(write, setting, made, form, "affidavits.title")
    words = paper.words
    table = paper.table(
        *(("name", 140), ("number", 84), ("button", 52)),
        *(("affidavits.authorised", 104), ("affidavits.signature", 92), ("when", 68)),
    )

    def shown(row: AffidavitRow) -> Row:
        how = words.get(f"how.{row.authorised_how}", row.authorised_how)
        button = "" if row.ballot_button is None else str(row.ballot_button)
        by, authorised = paper.stamp(row.by), f"{row.authorised_by}, {how}"
        texts = table.texts(row.name, row.voter_number, button, authorised, "", by)
        cells = list(texts.cells)
        cells[4] = _signature(paper, table, row)
        return Row(tuple(cells))

    paper.count(table.write(map(shown, rows), words["affidavits.none"]))
    paper.finish()


def _signature(paper: _Paper, table: Table, row: AffidavitRow) -> Sequence[Block]:
    room = table.room(4)
    if row.strokes:
        return [Ink(row.strokes, room)]
    key = "signed.none" if row.signed == "none" else "assistance.signed.paper"
    return lines_of(paper.sheets.face, paper.words[key], TEXT, room)
