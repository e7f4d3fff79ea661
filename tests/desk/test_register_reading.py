"""The lines of the register as papers have them: in order, secret addresses blank, all of them."""

from __future__ import annotations

import datetime
import io
import random
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from zoneinfo import ZoneInfo

import pytest

from app.desk import day_papers
from app.desk.elsewhere import ElsewhereFinder
from app.desk.register_reading import LINES_AT_ONCE, Reading
from app.desk.roster import Roster
from app.matching.finder import Finder
from app.papers.register_pages import RegisterForm, RegisterRow
from app.records import loading
from app.records.bodies import LineRemoved, SignatureRecorded
from app.records.clock import SystemClock
from app.records.entry import Actor
from app.records.store import open_store
from app.rules.line import Line, Part, PrintedLine
from tests.making import printed, setting
from tests.papers.reading import text_of

ZONE = ZoneInfo("America/New_York")
ACTOR = Actor("command", "", "command line")
NOW = datetime.datetime(2027, 3, 2, 17, 0, tzinfo=datetime.UTC)


@contextmanager
def roster_of(folder: Path, people: list[PrintedLine]) -> Iterator[tuple[Roster, list[Line]]]:
    key = loading.fresh_line_key()
    lines = loading.identified(people, {}, key)
    with open_store(f"sqlite:///{folder.as_posix()}/day.db", SystemClock()) as store:
        store.writer.write(
            lambda unit: loading.store(
                unit, ACTOR, setting=setting(), lines=lines, files={}, line_key=key
            )
        )
        finder = Finder([], election_year=2027)
        yield Roster(store, setting(), finder, ElsewhereFinder((), setting())), lines


def rows_of(roster: Roster, *parts: Part, as_loaded: bool = False) -> list[RegisterRow]:
    return roster.store.read(
        lambda connection: list(
            Reading(connection, ZONE, as_loaded).rows(*(parts or (Part.REGISTER,)))
        )
    )


def test_names_stand_as_in_a_register_whatever_their_accents_capitals_and_signs(
    tmp_path: Path,
) -> None:
    names = ["Abbott", "al-Rashidi", "Allen", "Åström", "Çelik", "O'Quill", "Oquillen", "Żak"]
    people = [printed(at, last_name=name) for at, name in enumerate(names)]
    random.Random(3).shuffle(people)
    with roster_of(tmp_path, people) as (roster, _):
        assert [row.last_name for row in rows_of(roster)] == names


def test_of_one_last_name_first_and_middle_name_and_suffix_decide(tmp_path: Path) -> None:
    wanted = [
        {"first_name": "Ana"},
        {"first_name": "Simon"},
        {"first_name": "Simon", "suffix": "Jr"},
        {"first_name": "Simon", "suffix": "Sr"},
        {"first_name": "Simon", "middle_name": "Abel"},
    ]
    people = [printed(at, last_name="Yarrow", **names) for at, names in enumerate(wanted)]
    with roster_of(tmp_path, people[::-1]) as (roster, _):
        found = [row.voter_number for row in rows_of(roster)]
    assert found == [person.voter_number for person in people]


@pytest.mark.parametrize("as_loaded", [True, False])
def test_a_secret_address_that_the_package_brought_is_blank(
    tmp_path: Path, as_loaded: bool
) -> None:
    secret = printed(1, address_protected=True, street_address="8 Secret Lane", city="Hidewick")
    with roster_of(tmp_path, [secret, printed(2)]) as (roster, _):
        first, second = rows_of(roster, as_loaded=as_loaded)
        data = io.BytesIO()
        paper = day_papers.REGISTERS["register" if as_loaded else "register-now"]
        day_papers.write_paper(roster, paper, RegisterForm(), NOW, data.write)
    assert (first.address, first.is_address_protected) == ("", True)
    assert second.address == "4 Ropewalk Lane, Ternhaven"
    assert "Secret" not in text_of(data.getvalue())
    assert "Hidewick" not in text_of(data.getvalue())


def test_more_lines_than_are_read_at_once_are_all_there_once(tmp_path: Path) -> None:
    people = [printed(at) for at in range(2 * LINES_AT_ONCE + 7)]
    with roster_of(tmp_path, people) as (roster, _):
        for as_loaded in (True, False):
            found = [row.voter_number for row in rows_of(roster, as_loaded=as_loaded)]
            assert found == sorted(person.voter_number for person in people)


def test_what_stands_on_a_line_comes_with_it_by_the_clock_of_the_place(tmp_path: Path) -> None:
    with roster_of(tmp_path, [printed(1), printed(2), printed(3)]) as (roster, lines):
        signed = SignatureRecorded(
            how="paper",
            strokes_sha256=None,
            ballot_button=1,
            told_apart=None,
            identification=None,
            in_line_at_cut_off=None,
        )
        worker = Actor("w", "RM", "Table 1")
        write = roster.store.writer.write
        entry = write(lambda unit: unit.append(worker, "t" * 20, signed, lines[0].line_id))
        removed = LineRemoved(reason="phone-in")
        write(lambda unit: unit.append(worker, "u" * 20, removed, lines[1].line_id))
        first, second, third = rows_of(roster)
        untouched = rows_of(roster, as_loaded=True)
    assert first.signature is not None
    assert (first.signature.how, first.signature.by.initials) == ("paper", "RM")
    at = datetime.datetime.fromisoformat(entry.at)
    assert first.signature.by.at == at
    assert first.signature.by.at.hour == at.astimezone(ZONE).hour
    assert second.struck is not None
    assert second.struck.reason == "phone-in"
    assert (third.signature, third.struck) == (None, None)
    assert all(row.signature is None and row.struck is None for row in untouched)


def test_parts_are_read_apart(tmp_path: Path) -> None:
    people = [printed(1), printed(2, part=Part.SUPPLEMENTAL), printed(3)]
    with roster_of(tmp_path, people) as (roster, _):
        assert len(rows_of(roster)) == 2
        assert [row.part for row in rows_of(roster, Part.SUPPLEMENTAL)] == [Part.SUPPLEMENTAL]
        assert rows_of(roster, Part.AFFIDAVIT) == []
