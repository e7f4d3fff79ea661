"""What stands beside entries, who made them, and the laptop itself: a change names where."""

from __future__ import annotations

import pytest
from sqlalchemy import create_engine, text

from app.desk.signing import strokes_digest
from app.records import people, personal, standby_epoch, stations
from app.records.bodies import WorkerSignedOn
from app.records.bodies_copies import LaptopTookOver
from app.records.bodies_lists import PhoneInRecorded
from app.records.bodies_stations import StationJoined, StationRevoked
from app.records.entry import PROGRAM, Actor
from app.records.stations import Station
from app.records.store import verify_database
from app.records.unit import Unit
from app.trust.log_key import LogKey
from tests.database_server import ON_BOTH
from tests.records.conftest import LEAD, PAPER, ROSA, Loaded

STROKES = "[[[1,2,3]]]"


def work_a_little(loaded: Loaded) -> None:
    """Entries 2 to 8: one signed on, a drawing, a signature on paper, a call, stations, another
    laptop. One of the stations is taken out again.
    """
    drawn = PAPER.model_copy(update={"how": "drawn", "strokes_sha256": strokes_digest(STROKES)})

    def work(unit: Unit) -> None:
        on = unit.append(ROSA, "token-of-a-sign-on", WorkerSignedOn(role="worker"))
        row = {"secret_digest": "aa", "worker_id": "w-rosa", "station": on.station, "device": ""}
        people.keep_sign_on(unit, token=on.token, row=row)
        unit.append(ROSA, "token-of-a-drawing", drawn, loaded.lines[0].line_id, STROKES)
        unit.append(ROSA, "token-of-paper", PAPER, loaded.lines[1].line_id)
        call(unit, loaded.lines[2].line_id)
        join(unit, "one", "Table 5")
        join(unit, "two", "Table 6")
        gone = unit.append(LEAD, "token-of-gone", StationRevoked(station_id="two", name="Table 6"))
        stations.revoke_station(unit, "two", gone.seq)
        epoch = standby_epoch.raise_epoch(unit)
        unit.append(PROGRAM, "token-of-taking-over", LaptopTookOver(epoch=epoch, reason="broken"))

    loaded.store.writer.write(work)


def call(unit: Unit, line_id: str) -> None:
    sealed = personal.seal({"asked": "as said"})
    body = PhoneInRecorded(
        caller="Clerk",
        office="Registrar",
        number_called_back="555-0142",
        what="remove",
        effect="already",
        code_used=False,
        counter=None,
        read_back=True,
        details_sha256=sealed.digest,
    )
    personal.keep(unit, unit.append(LEAD, "token-of-a-call", body, line_id), sealed)


def join(unit: Unit, station_id: str, name: str) -> None:
    body = StationJoined(station_id=station_id, address="192.0.2.7")
    entry = unit.append(Actor("door", "", name), f"token-of-{station_id}", body)
    made = Station(station_id, name, f"secret {station_id}", "agent", "192.0.2.7", entry.seq)
    stations.keep_station(unit, made)


@pytest.fixture
def worked(loaded: Loaded) -> str:
    work_a_little(loaded)
    loaded.store.close()
    return loaded.url


def change(url: str, statement: str) -> None:
    engine = create_engine(url)
    with engine.begin() as connection:
        if engine.dialect.name == "sqlite":
            connection.exec_driver_sql("PRAGMA foreign_keys=OFF")
        assert connection.execute(text(statement.replace(":", r"\:"))).rowcount > 0
    engine.dispose()


@ON_BOTH
def test_a_record_with_something_of_everything_holds(worked: str) -> None:
    found = verify_database(worked)
    assert found.holds, found.fault


@ON_BOTH
@pytest.mark.parametrize(
    ("statement", "entry", "said"),
    [
        ("INSERT INTO drawing VALUES (4, '[[[1,2,3]]]')", 4, "entry 4 speaks of no drawing"),
        ("INSERT INTO drawing VALUES (2, '[]')", 2, "entry 2 speaks of no drawing"),
        ("DELETE FROM drawing", 3, "the drawing of entry 3"),
        ("INSERT INTO personal VALUES (4, '00', '{}')", 4, "entry 4 speaks of no details"),
        ("INSERT INTO personal VALUES (3, '00', NULL)", 3, "entry 3 speaks of no details"),
        ("DELETE FROM personal", 5, "the details of entry 5"),
        ("UPDATE worker SET initials = 'ZZ' WHERE initials = 'RM'", 1, "the worker of entry 1"),
        ("UPDATE worker SET initials = 'ZZ' WHERE initials = 'LO'", 5, "the worker of entry 5"),
        ("DELETE FROM worker WHERE initials = 'LO'", 5, "the worker of entry 5"),
    ],
)
def test_a_change_beside_an_entry_names_it(
    worked: str, statement: str, entry: int, said: str
) -> None:
    change(worked, statement)
    found = verify_database(worked)
    assert found.entry == entry
    assert said in str(found.fault)


@pytest.mark.parametrize("seq", [-1, 0, 99])
@pytest.mark.parametrize("kept", ["drawing VALUES (?, '[]')", "personal VALUES (?, '0', '{}')"])
def test_what_stands_beside_no_entry_is_found(worked: str, kept: str, seq: int) -> None:
    change(worked, f"INSERT INTO {kept.replace('?', str(seq))}")
    assert f"of entry {seq}, which it does not have" in str(verify_database(worked).fault)


@ON_BOTH
@pytest.mark.parametrize(
    ("statement", "said"),
    [
        ("UPDATE about SET text = '5' WHERE name = 'epoch'", "entry 9 says 1"),
        ("DELETE FROM about WHERE name = 'epoch'", "entry 9 says 1"),
        ("UPDATE about SET text = 'x' WHERE name = 'epoch'", "the epoch of the record cannot be"),
        ("INSERT INTO about VALUES ('newer_epoch', 'x')", "the epoch of the record cannot be read"),
        ("UPDATE about SET text = '07' WHERE name = 'log_key'", "signs the log cannot be read"),
        ("UPDATE about SET text = 'zz' WHERE name = 'log_key'", "signs the log cannot be read"),
        ("DELETE FROM about WHERE name = 'log_key'", "the key that signs the log is missing"),
        (
            "INSERT INTO station VALUES ('x', 'Table 9', 'x', 'y', '192.0.2.9', 2, NULL)",
            "the station Table 9",
        ),
        ("UPDATE station SET station_id = 'x' WHERE station_id = 'one'", "the station Table 5"),
        ("UPDATE station SET joined_seq = 7 WHERE station_id = 'one'", "the station Table 5"),
        ("UPDATE station SET revoked_seq = NULL", "entry 8 took it out"),
        ("UPDATE station SET revoked_seq = 8", "the station of entry 6"),
        ("UPDATE sign_on SET worker_id = 'w-lead'", "the sign-on of entry 2"),
        ("UPDATE sign_on SET station = 'Table 2'", "the sign-on of entry 2"),
        ("UPDATE sign_on SET token = 'another-token'", "signed on at Table 1"),
        (
            "INSERT INTO sign_on VALUES ('bb', 'token-of-paper', 'w-rosa', 'Table 1', '', false)",
            "signed on at Table 1",
        ),
    ],
)
def test_a_change_of_what_is_kept_of_the_laptop_is_found(
    worked: str, statement: str, said: str
) -> None:
    change(worked, statement)
    assert said in str(verify_database(worked).fault)


def test_another_key_than_the_one_that_the_log_names_is_found(worked: str) -> None:
    key = LogKey.fresh().private_text
    change(worked, f"UPDATE about SET text = '{key}' WHERE name = 'log_key'")
    assert "not the one that entry 1 names" in str(verify_database(worked).fault)


def test_an_epoch_that_nobody_took_is_found(loaded: Loaded) -> None:
    loaded.store.close()
    change(loaded.url, "INSERT INTO about VALUES ('epoch', '1')")
    assert "no laptop took over" in str(verify_database(loaded.url).fault)


def test_a_newer_epoch_of_which_this_laptop_only_heard_holds(loaded: Loaded) -> None:
    work_a_little(loaded)
    loaded.store.writer.write(lambda unit: standby_epoch.note_newer(unit, 7))
    loaded.store.close()
    assert verify_database(loaded.url).fault is None


def test_an_epoch_that_was_taken_and_is_forgotten_is_found(loaded: Loaded) -> None:
    work_a_little(loaded)
    loaded.store.close()
    assert verify_database(loaded.url).fault is None
    change(loaded.url, "DELETE FROM about WHERE name = 'epoch'")
    assert "kept as that of epoch 0" in str(verify_database(loaded.url).fault)


def test_a_sign_on_that_ended_and_a_station_that_is_not_kept_are_no_fault(worked: str) -> None:
    """Sign-ons end, and neither comes along with a carbon or a bundle."""
    change(worked, "DELETE FROM sign_on")
    change(worked, "DELETE FROM station")
    assert verify_database(worked).fault is None


@pytest.mark.parametrize(
    ("statement", "said"),
    [
        ("UPDATE corrected_line SET details = 'x'", "the corrections of the lines cannot be read"),
        ("UPDATE corrected_line SET details = x'ff'", "the corrections of the lines cannot be"),
        ("UPDATE personal SET salt = x'ff' WHERE seq = 5", "entry 5"),
        ("UPDATE personal SET details = x'ff' WHERE seq = 5", "entry 5"),
        ("UPDATE drawing SET strokes = x'ff'", "entry 3"),
        ("UPDATE day_log SET nonce = x'ff' WHERE seq = 4", "entry 4"),
        ("UPDATE day_log SET body = x'ff' WHERE seq = 4", "entry 4"),
        ("UPDATE day_log SET at = x'ff' WHERE seq = 4", "entry 4"),
        ("UPDATE day_log SET body = '[]' WHERE seq = 4", "entry 4"),
        ("UPDATE line SET marks = '[3]'", "a printed line cannot be read"),
        ("UPDATE line SET marks = x'ff'", "printed line"),
        ("UPDATE about SET text = x'ff' WHERE name = 'setting'", "the setting"),
        ("UPDATE line_state SET state = x'ff'", "the state kept for line"),
        ("UPDATE line_state SET has_left = 'x'", "line"),
        ("UPDATE head_signature SET signature = x'ff'", "signature"),
        ("UPDATE head_signature SET hash = x'ff'", "signature"),
    ],
)
def test_what_cannot_be_read_is_a_fault_and_no_traceback(
    loaded: Loaded, statement: str, said: str
) -> None:
    work_a_little(loaded)
    loaded.store.close()
    change(
        loaded.url,
        "INSERT INTO corrected_line SELECT line_id, '{}' FROM line LIMIT 1",
    )
    if "corrected_line" not in statement:
        change(loaded.url, "DELETE FROM corrected_line")
    change(loaded.url, statement)
    assert said in str(verify_database(loaded.url).fault)
