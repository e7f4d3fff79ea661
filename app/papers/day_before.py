"""The check of the day before, to be signed: what a package holds, for two people to compare.

Elsewhere such a test has to be certified by noon of the day before: the right election and
all its absentee information, and the right ballot for everybody (1 VAC 20-60-70).
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from zoneinfo import ZoneInfo

from app.papers.blocks import Block, Box, Gap, lines_of
from app.papers.certificates import Fact, Grid, Section, write_section
from app.papers.day_before_words import DAY_BEFORE_WORDS
from app.papers.made import Form, write_caution
from app.papers.pdf_stream import Write
from app.papers.register_words import REGISTER_WORDS
from app.papers.sheets import MARGIN, TEXT, Head, Sheets
from app.papers.tables import Column, Row, Table
from app.papers.words import Language, written_date, written_time
from app.rules.setting import Setting

# Room to write in by hand: half an inch for a signature, a third for a line of remarks.
_SIGNATURE, _REMARK, _REMARKS = 34.0, 24.0, 4
_SIGNERS = (180, 200, 160)
_DIGEST_PARTS = 4


@dataclass(frozen=True, slots=True)
class ButtonCount:
    """A ballot and how many lines get it; `button` None where one serves all."""

    style: str
    button: int | None
    contests: tuple[str, ...]
    lines: int


@dataclass(frozen=True, slots=True)
class MarkCount:
    """Marks of one kind from one file: `source` is its name."""

    source: str
    kind: str
    count: int


@dataclass(frozen=True, slots=True)
class Compared:
    """The package beside a record that is loaded already.

    `found` is none, same, differs, practice or unreadable; `what` names what differs.
    """

    found: str
    what: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class DayBefore:
    """What stands in a package that has no fault.

    `parts`, `notes` and `marked_twice` count lines; `digests` are SHA-256 by file name;
    `is_vouched`: a manifest lists every file, and the digests agree.
    """

    setting: Setting
    parts: tuple[tuple[str, int], ...]
    marks: tuple[MarkCount, ...]
    marked_twice: int
    buttons: tuple[ButtonCount, ...]
    notes: tuple[tuple[str, int], ...]
    elsewhere: int
    has_phone_secret: bool
    digests: tuple[tuple[str, str], ...]
    is_vouched: bool
    compared: Compared

    @property
    def doubts(self) -> tuple[str, ...]:
        """What is no fault and yet nobody should pass over, as codes."""
        found = [f"record-{self.compared.found}"] if self.compared.found in _BAD_RECORD else []
        if not self.is_vouched:
            found.append("not-vouched")
        if any(ballot.lines == 0 for ballot in self.buttons):
            found.append("ballot-for-nobody")
        if self.marked_twice:
            found.append("marked-twice")
        if not self.marks:
            found.append("no-marks")
        if not self.setting.machines and self.setting.policy.counted_by == "machines":
            found.append("no-machines")
        return tuple(found)


_BAD_RECORD = frozenset({"differs", "practice", "unreadable"})


def write_day_before(write: Write, facts: DayBefore, made_at: datetime, form: Form) -> None:
    """The pages: every section, room for remarks, and two lines to be signed."""
    sheets = Sheets(write, form.size, form.language, _head(facts, made_at, form.language), made_at)
    sheets.paragraph(DAY_BEFORE_WORDS[form.language]["lead"])
    for section in sections_of(facts, form.language):
        write_section(sheets, section)
    _write_remarks(sheets)
    _write_signers(sheets)
    write_caution(sheets, facts.setting)
    sheets.finish()


def sections_of(facts: DayBefore, language: Language) -> Iterator[Section]:
    """What it says, in the order in which it is compared; the command line shows the same."""
    words = DAY_BEFORE_WORDS[language]
    secret = Fact(words["phone_secret"], words["yes" if facts.has_phone_secret else "no"])
    yield Section(words["place"], facts=(*_place(facts.setting, language), secret))
    doubts = tuple(words[f"doubt.{code}"] for code in facts.doubts) or (words["no_doubts"],)
    yield Section(words["doubts"], sentences=doubts)
    yield _counted(words["lines"], facts.parts, words, "part")
    yield _marks(facts, language)
    yield _buttons(facts, language)
    yield _counted(words["notes"], facts.notes, words, "note")
    yield _machines(facts, language)
    yield _files(facts, language)


def _head(facts: DayBefore, made_at: datetime, language: Language) -> Head:
    words, setting = DAY_BEFORE_WORDS[language], facts.setting
    local = made_at.astimezone(ZoneInfo(setting.election.time_zone))
    about = REGISTER_WORDS[language]["about"].format(
        county=setting.precinct.county,
        precinct=setting.precinct.number,
        election=setting.election.name,
        date=written_date(setting.election.date, language),
    )
    said = words["made"].format(
        date=written_date(local.date(), language), time=written_time(local.time(), language)
    )
    warning = words["warning"] if facts.compared.found in _BAD_RECORD else ""
    return Head(words["title"], about, said, REGISTER_WORDS[language]["page"], warning)


def _place(setting: Setting, language: Language) -> Iterator[Fact]:
    words, election, place = DAY_BEFORE_WORDS[language], setting.election, setting.polling_place
    where = (place.name, place.street_address, f"{place.postal_code} {place.city}".strip())
    opens, closes = (written_time(at, language) for at in (election.opens, election.closes))
    yield Fact(words["election"], f"{election.name} ({election.id})")
    yield Fact(words["date"], written_date(election.date, language))
    yield Fact(words["hours"], words["from_to"].format(opens=opens, closes=closes))
    yield Fact(words["federal"], words["yes" if election.federal else "no"])
    yield Fact(words["precinct"], f"{setting.precinct.county}, {setting.precinct.number}")
    yield Fact(words["polling_place"], ", ".join(filter(None, where)))
    yield Fact(words["registrar"], f"{setting.registrar.office}, {setting.registrar.phone}")


def _counted(
    heading: str, counts: Sequence[tuple[str, int]], words: Mapping[str, str], family: str
) -> Section:
    facts = tuple(Fact(words[f"{family}.{name}"], f"{count:,}") for name, count in counts)
    return Section(heading, facts=facts)


def _marks(facts: DayBefore, language: Language) -> Section:
    words = DAY_BEFORE_WORDS[language]
    rows = tuple(
        (words[f"mark.{one.kind}"], one.source, f"{one.count:,}", "") for one in facts.marks
    )
    columns = (
        *((words["mark"], 150), (words["source"], 140)),
        *((words["count"], 90), (words["announced"], 160)),
    )
    total = sum(one.count for one in facts.marks)
    said = words["marks_in_all"].format(count=f"{total:,}", twice=f"{facts.marked_twice:,}")
    return Section(words["marks"], grids=(Grid(columns, rows, words["none"]),), sentences=(said,))


def _buttons(facts: DayBefore, language: Language) -> Section:
    words = DAY_BEFORE_WORDS[language]
    rows = tuple(
        (
            words["one_ballot"] if one.button is None else str(one.button),
            *(one.style, "; ".join(one.contests) or words["no_contests"], f"{one.lines:,}"),
        )
        for one in facts.buttons
    )
    columns = (
        *((words["button"], 70), (words["style"], 90)),
        *((words["contests"], 300), (words["lines"], 80)),
    )
    # Such a line is a fault of the package, which would not have come so far.
    nobody = words["no_ballots_line"]
    return Section(words["buttons"], grids=(Grid(columns, rows, nobody),), sentences=(nobody,))


def _machines(facts: DayBefore, language: Language) -> Section:
    words = DAY_BEFORE_WORDS[language]
    rows = tuple((one.serial, f"{one.protective_counter:,}", "") for one in facts.setting.machines)
    columns = ((words["serial"], 180), (words["protective"], 180), (words["on_machine"], 180))
    return Section(words["machines"], grids=(Grid(columns, rows, words["none"]),))


def _files(facts: DayBefore, language: Language) -> Section:
    words = DAY_BEFORE_WORDS[language]
    # In four pieces a digest can be compared aloud, and keeps inside its column.
    rows = tuple((name, _in_parts(digest)) for name, digest in facts.digests)
    vouched = words["vouched" if facts.is_vouched else "not_vouched"]
    said = words[f"compared.{facts.compared.found}"].format(
        what=", ".join(words.get(f"what.{one}", one) for one in facts.compared.what)
    )
    columns = ((words["file"], 130), (words["digest"], 410))
    return Section(
        words["files"], grids=(Grid(columns, rows, "", is_small=True),), sentences=(vouched, said)
    )


def _in_parts(digest: str) -> str:
    size = len(digest) // _DIGEST_PARTS
    return " ".join(digest[at : at + size] for at in range(0, len(digest), size))


def _write_remarks(sheets: Sheets) -> None:
    sheets.make_room((_REMARKS + 1) * _REMARK + 4 * TEXT)
    sheets.heading(DAY_BEFORE_WORDS[sheets.language]["remarks"])
    for _ in range(_REMARKS):
        line = [Box(sheets.room, _REMARK)]
        sheets.tagged(sheets.tags.content(b"P"), line, MARGIN, sheets.y)
        sheets.y += _REMARK


def _write_signers(sheets: Sheets) -> None:
    """Two people, so that neither compares alone."""
    words = DAY_BEFORE_WORDS[sheets.language]
    sheets.make_room(2 * _SIGNATURE + 12 * TEXT)
    sheets.heading(words["signed_by"])
    sheets.paragraph(words["statement"])
    keys = zip(("name", "signature", "signed_at"), _SIGNERS, strict=True)
    table = Table(sheets, [Column(words[key], share) for key, share in keys])
    table.write((_signer(sheets, table, number) for number in (1, 2)), "")


def _signer(sheets: Sheets, table: Table, number: int) -> Row:
    first: list[Block] = [
        *lines_of(sheets.face, f"{number}.", TEXT, table.room(0)),
        Box(table.room(0), _SIGNATURE - TEXT),
    ]
    others: list[list[Block]] = [[Gap(TEXT), Box(table.room(at), _SIGNATURE - 8)] for at in (1, 2)]
    return Row((first, *others))
