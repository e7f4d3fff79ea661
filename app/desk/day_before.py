"""The check of the day before: what a package holds, counted, and compared with a loaded record.

Reads only. A record beside it is opened so that nothing can be written into it.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from pathlib import Path

from sqlalchemy import Connection
from sqlalchemy.exc import SQLAlchemyError

from app.intake.faults import Faults
from app.intake.package import Package, read_package
from app.intake.shelf import MANIFEST_FILE
from app.papers.day_before import ButtonCount, Compared, DayBefore, MarkCount
from app.records import queries, schema
from app.records.engine import exists, open_for_reading
from app.rules.checklists import items_of
from app.rules.faults import TablebookFault
from app.rules.line import PrintedLine
from app.rules.practice import precinct_and_day
from app.rules.setting import Ballot, Setting

_NOTES = (
    "assistance",
    "address_confirmation",
    "inactive",
    "first_time_by_mail",
    "address_protected",
)


def check_day_before(package: Path, url: str) -> DayBefore | Faults:
    """What stands in the package at `package`, beside the record at `url` if there is one."""
    read = read_package(package)
    return read if isinstance(read, Faults) else facts_of(read, url)


def facts_of(package: Package, url: str) -> DayBefore:
    """The same of a package that was read."""
    setting, lines = package.setting, package.lines
    return DayBefore(
        setting=setting,
        parts=tuple(_parts(lines)),
        marks=tuple(_marks(lines)),
        marked_twice=sum(len({mark.kind for mark in line.marks}) > 1 for line in lines),
        buttons=tuple(_button(ballot, lines) for ballot in setting.ballots),
        notes=tuple(_notes(package)),
        elsewhere=len(package.elsewhere),
        has_phone_secret=package.phone_secret is not None,
        digests=tuple(package.file_digests.items()),
        # A package whose manifest leaves a file out, or differs, has faults and is none.
        is_vouched=MANIFEST_FILE in package.file_digests,
        compared=compare(package, url),
    )


def compare(package: Package, url: str) -> Compared:
    """The package beside entry 1 of the record at `url`; writes nothing."""
    if not exists(url):
        return Compared("none")
    try:
        engine = open_for_reading(url)
        try:
            with engine.connect() as connection:
                return _compared(package, connection)
        finally:
            engine.dispose()
    except (TablebookFault, SQLAlchemyError):
        return Compared("unreadable")


def _compared(package: Package, connection: Connection) -> Compared:
    schema.check(connection)
    if not queries.head(connection).seq:
        return Compared("none")
    body, setting = queries.entry(connection, 1).body, package.setting
    if queries.setting(connection).is_practice:
        return Compared("practice")
    what = [
        *(["election"] if body["election_id"] != setting.election.id else []),
        *(["precinct"] if body["precinct"] != setting.precinct.number else []),
        *_files_that_differ(body["files"], package.file_digests),
    ]
    return Compared("differs", tuple(what)) if what else Compared("same")


def _files_that_differ(loaded: dict[str, str], here: dict[str, str]) -> Iterator[str]:
    for name in dict.fromkeys((*here, *loaded)):
        if loaded.get(name) != here.get(name):
            yield name


def _parts(lines: tuple[PrintedLine, ...]) -> Iterator[tuple[str, int]]:
    counts = Counter(line.part.value for line in lines)
    for part in ("register", "supplemental"):
        yield part, counts[part]
    yield "all", len(lines)


def _marks(lines: tuple[PrintedLine, ...]) -> Iterator[MarkCount]:
    counts = Counter((mark.kind.value, mark.source) for line in lines for mark in line.marks)
    for (kind, source), count in sorted(counts.items()):
        yield MarkCount(source, kind, count)


def _button(ballot: Ballot, lines: tuple[PrintedLine, ...]) -> ButtonCount:
    count = sum(line.ballot_button == ballot.button for line in lines)
    return ButtonCount(ballot.style, ballot.button, ballot.contests, count)


def _notes(package: Package) -> Iterator[tuple[str, int]]:
    for note in _NOTES:
        yield note, sum(getattr(line, note) for line in package.lines)
    yield "elsewhere", len(package.elsewhere)
    for stage in ("opening", "closing"):
        yield f"checks_{stage}", len(items_of(package.setting, stage))


def paper_name(setting: Setting) -> str:
    """`day-before-4-07-2027-03-02.pdf`: tells precinct and day, and nothing else."""
    return f"day-before-{precinct_and_day(setting)}.pdf"
