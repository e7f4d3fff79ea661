"""Lines added today, what papers say of people, people elsewhere: whoever changes them is found."""

from __future__ import annotations

import sqlite3
from dataclasses import replace
from pathlib import Path

import pytest
from sqlalchemy import insert

from app.records import adding, elsewhere, loading, personal, queries
from app.records.bodies import (
    DayOpened,
    HoursExtended,
    LineAdded,
    LineCutOff,
    PersonDirected,
    ProvisionalRecorded,
    TurnWithdrawn,
    VoterLeft,
)
from app.records.clock import SystemClock
from app.records.engine import sqlite_path
from app.records.entry import Entry
from app.records.fold import DoesNotFit, fold_day
from app.records.store import Store, open_store, verify_database
from app.records.unit import Unit
from app.rules.elsewhere import ElsewhereLine
from app.rules.faults import StorageRefused
from app.rules.line import Line, Part
from app.rules.moment import Phase
from app.rules.provisional import BallotClass
from tests.at_work import add_workers
from tests.making import printed, setting
from tests.records.conftest import PAPER, ROSA, Loaded

PEOPLE = (
    ElsewhereLine("Marigold", "Petra", 1961, "4-11", "Coopers Hall", "9 Staithe Street"),
    ElsewhereLine("Fenwright", "Lotte", 1955, "2-03", "Library at Brick Hill", "70 Brick Hill"),
)


def add(store: Store, first: Line) -> Line:
    """A line by affidavit, signed, that can be mistaken for `first`."""
    paper = printed(77, last_name="Nettlefold", voter_number="", part=Part.AFFIDAVIT)
    line = Line(adding.fresh_line_id(), paper, (first.line_id,))

    def work(unit: Unit) -> None:
        sealed = personal.seal_line(line)
        body = LineAdded(
            authorised_by="Clerk on duty",
            authorised_how="phone",
            somebody_else=False,
            ballot_button=1,
            details_sha256=sealed.digest,
        )
        adding.add_line(unit, ROSA, "token-of-affidavit", body, line, sealed)
        unit.append(ROSA, "token-of-affidavit.2", PAPER, line.line_id)

    store.writer.write(work)
    return line


def give_provisional(store: Store) -> Entry:
    sealed = personal.seal({"name": "Ida Peppercorn", "street_address": "8 Ropewalk Lane"})
    body = ProvisionalRecorded(
        envelope="P-1",
        reason="not-on-a-list",
        note="",
        ballot_class=BallotClass.ORDINARY,
        ballot_button=1,
        how="paper",
        strokes_sha256=None,
        situation=None,
        details_sha256=sealed.digest,
    )

    def work(unit: Unit) -> Entry:
        entry = unit.append(ROSA, "token-of-envelope", body)
        personal.keep(unit, entry, sealed)
        row = {"envelope": "P-1", "seq": entry.seq}
        unit.connection.execute(insert(queries.envelopes), row)
        return entry

    return store.writer.write(work)


@pytest.fixture
def busy(url: str) -> Path:
    """A closed record: a line added (entries 2, 3), an envelope (4), one who left (5, 6)."""
    with open_store(url, SystemClock()) as store:
        key = loading.fresh_line_key()
        lines = loading.identified([printed(number) for number in range(1, 11)], {}, key)
        store.writer.write(lambda unit: add_workers(unit, ROSA))
        store.writer.write(
            lambda unit: loading.store(
                unit,
                ROSA,
                setting=setting(),
                lines=lines,
                files={},
                line_key=key,
                elsewhere_lines=PEOPLE,
            )
        )
        add(store, lines[0])
        give_provisional(store)
        mine = lines[1].line_id
        store.writer.write(lambda unit: unit.append(ROSA, "token-of-signature", PAPER, mine))
        left = VoterLeft(signature_seq=5, reason="the wait")
        store.writer.write(lambda unit: unit.append(ROSA, "token-of-leaving", left, mine))
    path = sqlite_path(url)
    assert path is not None
    return path


def test_a_busy_day_that_nobody_touched_holds(busy: Path) -> None:
    found = verify_database(f"sqlite:///{busy.as_posix()}")
    assert found.holds, found.fault
    assert (found.entries, found.lines) == (6, 11)


@pytest.mark.parametrize(
    ("change", "entry"),
    [
        ("UPDATE line SET birth_date = '1981-05-17' WHERE part = 'affidavit'", 2),
        ("UPDATE line SET last_name = 'Nettlefield' WHERE part = 'affidavit'", 2),
        ("UPDATE line SET look_alikes = '[]' WHERE part = 'affidavit'", 2),
        ("UPDATE line SET address_protected = 1 WHERE part = 'affidavit'", 2),
        ("DELETE FROM line WHERE part = 'affidavit'", 2),
        ("UPDATE line SET part = 'register' WHERE part = 'affidavit'", 2),
        ("UPDATE line SET part = 'affidavit' WHERE voter_number = '100000003'", None),
        ("UPDATE line SET inactive = 1 WHERE voter_number = '100000003'", None),
        ("UPDATE personal SET salt = '00' WHERE seq = 2", 2),
        ("DELETE FROM personal WHERE seq = 2", 2),
        ("UPDATE personal SET details = replace(details, 'Ida', 'Ina') WHERE seq = 4", 4),
        ("UPDATE personal SET details = NULL WHERE seq = 4", 4),
        ("DELETE FROM personal WHERE seq = 4", 4),
        ("DELETE FROM later_look_alike", None),
        ("DELETE FROM envelope", None),
        ("UPDATE line_state SET has_left = 0 WHERE has_left = 1", None),
        ("UPDATE elsewhere SET precinct = '4-12' WHERE precinct = '4-11'", None),
        ("DELETE FROM elsewhere WHERE precinct = '2-03'", None),
    ],
)
def test_a_change_beside_the_log_is_found(busy: Path, change: str, entry: int | None) -> None:
    with sqlite3.connect(busy) as connection:
        assert connection.execute(change).rowcount > 0
    connection.close()
    found = verify_database(f"sqlite:///{busy.as_posix()}")
    assert not found.holds
    assert found.entry == entry, found.fault


def test_an_added_line_with_no_entry_is_found(busy: Path) -> None:
    with sqlite3.connect(busy) as connection:
        connection.execute(
            "INSERT INTO line SELECT 'smuggled', part, '', last_name, first_name, middle_name,"
            " suffix, birth_date, mothers_maiden_name, street_address, city, postal_code, party,"
            " ballot_button, assistance, address_confirmation, inactive, first_time_by_mail,"
            " address_protected, marks, look_alikes FROM line WHERE part = 'affidavit'"
        )
    connection.close()
    fault = verify_database(f"sqlite:///{busy.as_posix()}").fault
    assert fault is not None
    assert "printed lines" in fault


def test_the_look_alike_of_an_added_line_is_mutual(loaded: Loaded) -> None:
    added = add(loaded.store, loaded.lines[5])
    first = loaded.store.read(lambda c: queries.line(c, loaded.lines[5].line_id))
    assert first.look_alikes == (added.line_id,)
    ids = [loaded.lines[5].line_id, added.line_id]
    both = loaded.store.read(lambda c: queries.lines_with(c, ids))
    assert both[ids[0]].look_alikes == (ids[1],)
    assert both[ids[1]].look_alikes == (ids[0],)


def test_the_same_details_are_sealed_differently_each_time() -> None:
    """Or the digest in the log would tell whose birth date was guessed right."""
    one, other = personal.seal({"name": "Ida"}), personal.seal({"name": "Ida"})
    assert one.details == other.details
    assert one.digest != other.digest


def test_people_elsewhere_keep_the_order_of_their_file(url: str) -> None:
    many = [replace(PEOPLE[0], first_name=f"P{number}") for number in range(120)]
    assert [p.elsewhere_id for p in elsewhere.identified(many)] == [
        f"e{number:03}" for number in range(1, 121)
    ]


def test_a_record_of_an_older_program_is_refused_with_both_versions_named(loaded: Loaded) -> None:
    loaded.store.close()
    path = sqlite_path(loaded.url)
    assert path is not None
    with sqlite3.connect(path) as connection:
        connection.execute("UPDATE about SET text = '1' WHERE name = 'schema_version'")
    connection.close()
    with pytest.raises(StorageRefused) as refusal:
        verify_database(loaded.url)
    assert "schema version 1, this program knows 5" in str(refusal.value.facts["why"])


def _turns(store: Store, *bodies: DayOpened | LineCutOff | HoursExtended | TurnWithdrawn) -> None:
    for number, body in enumerate(bodies):
        token = f"token-of-turn-{number}"
        store.writer.write(lambda unit, body=body, token=token: unit.append(ROSA, token, body))


def test_turns_that_are_taken_back_are_folded_away(loaded: Loaded) -> None:
    _turns(
        loaded.store,
        DayOpened(),
        HoursExtended(reference="Order 1", until="20:30"),
        HoursExtended(reference="Order 2", until="21:00"),
        LineCutOff(),
        TurnWithdrawn(turn="line.cut_off", turn_seq=5, reason="too early"),
        TurnWithdrawn(turn="hours.extended", turn_seq=4, reason="set aside"),
    )
    day = loaded.store.read(queries.day_state)
    assert day.phase is Phase.OPEN
    assert day.extension is not None
    assert day.extension.reference == "Order 1"
    assert verify_database(loaded.url).holds


def test_a_turn_taken_back_that_does_not_stand_is_found(loaded: Loaded) -> None:
    _turns(loaded.store, DayOpened(), TurnWithdrawn(turn="day.opened", turn_seq=9, reason="x"))
    found = verify_database(loaded.url)
    assert (found.holds, found.entry) == (False, 3)
    with pytest.raises(DoesNotFit):
        loaded.store.read(lambda c: fold_day(queries.entries_of(c, "day.opened", "turn.withdrawn")))


def test_a_name_is_kept_only_where_one_was_written_down(loaded: Loaded) -> None:
    body = PersonDirected(
        way="left",
        elsewhere_id=None,
        place=None,
        situation={"says_eligible": "no"},
        reason="in a hurry",
        provisional_declined=False,
        details_sha256=None,
    )
    entry = loaded.store.writer.write(lambda unit: unit.append(ROSA, "token-of-leaving", body))
    assert loaded.store.read(lambda c: personal.details_of(c, entry)) == {}
    assert verify_database(loaded.url).holds
