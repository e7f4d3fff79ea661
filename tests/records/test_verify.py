"""`verify` names the first entry that does not fit, whatever was done to the file."""

from __future__ import annotations

import sqlite3
from pathlib import Path

import pytest
from sqlalchemy import create_engine, text

from app.records.bodies import AddressConfirmed, SignatureWithdrawn
from app.records.engine import sqlite_path
from app.records.fold import DoesNotFit
from app.records.store import verify_database
from tests.database_server import ON_BOTH
from tests.records.conftest import ROSA, Loaded


@pytest.fixture
def signed(loaded: Loaded) -> str:
    """A closed record with entries 2 to 7: six signatures. Answers its URL."""
    for place in range(6):
        loaded.sign(place)
    loaded.store.close()
    return loaded.url


@pytest.fixture
def signed_file(signed: str) -> Path:
    """The same, as a file."""
    path = sqlite_path(signed)
    assert path is not None
    return path


def verified(url: str) -> tuple[int | None, str | None]:
    found = verify_database(url)
    return found.entry, found.fault


@ON_BOTH
def test_a_record_that_nobody_touched_holds(signed: str) -> None:
    found = verify_database(signed)
    assert found.holds
    assert (found.entries, found.lines) == (7, 10)
    assert found.head.seq == 7


@pytest.mark.parametrize(
    "column",
    ["at", "station", "worker_id", "initials", "token", "kind", "line_id", "body", "nonce"],
)
def test_one_flipped_byte_in_any_column_of_the_log_names_the_entry(
    signed: str, signed_file: Path, column: str
) -> None:
    """Flipped in the file itself, behind SQLite's back."""
    with sqlite3.connect(signed_file) as connection:
        connection.execute("PRAGMA wal_checkpoint(TRUNCATE)")
        value = connection.execute(f"SELECT {column} FROM day_log WHERE seq = 4").fetchone()[0]
        row = connection.execute("SELECT token, nonce FROM day_log WHERE seq = 4").fetchone()
    connection.close()
    data = bytearray(signed_file.read_bytes())
    place = _place_in_row(bytes(data), value.encode(), [part.encode() for part in row])
    data[place] ^= 0x01
    signed_file.write_bytes(data)
    entry, fault = verified(signed)
    assert entry == 4, fault


def _execute(url: str, statement: str) -> None:
    """Change the record as somebody with an ordinary SQLite, or the server's own tool, could."""
    engine = create_engine(url)
    with engine.begin() as connection:
        assert connection.execute(text(statement.replace(":", r"\:"))).rowcount > 0
    engine.dispose()


def _place_in_row(data: bytes, value: bytes, near: list[bytes]) -> int:
    """Where the table's row of entry 4 keeps `value`: beside its own token and nonce."""
    token, nonce = near
    for start in _all(data, token):
        end = data.find(nonce, start)
        if 0 <= end - start < 600:
            row_start = max(0, start - 200)
            place = data.rfind(value, row_start, start + len(token))
            place = place if place >= 0 else data.find(value, start, end + 400)
            if place >= 0:
                return place
    raise AssertionError("the row was not found in the file")


def _all(data: bytes, part: bytes) -> list[int]:
    places, place = [], data.find(part)
    while place >= 0:
        places.append(place)
        place = data.find(part, place + 1)
    return places


@ON_BOTH
@pytest.mark.parametrize(
    ("change", "entry", "said"),
    [
        ("UPDATE day_log SET hash = prev WHERE seq = 3", 3, "hash does not fit"),
        ("UPDATE day_log SET prev = hash WHERE seq = 3", 3, "does not follow"),
        ("UPDATE day_log SET initials = 'XX' WHERE seq = 5", 5, "was changed"),
        ("DELETE FROM day_log WHERE seq = 5", 5, "entry 5 is missing"),
        ("UPDATE day_log SET seq = 99 WHERE seq = 6", 6, "entry 6 is missing"),
        ("UPDATE day_log SET body = body || ' ' WHERE seq = 4", 4, "canonical"),
        ("UPDATE day_log SET body = '{' WHERE seq = 4", 4, "cannot be read"),
        ("UPDATE day_log SET kind = 'made.up' WHERE seq = 4", 4, "cannot be read"),
    ],
)
def test_a_changed_log_names_the_entry(signed: str, change: str, entry: int, said: str) -> None:
    _execute(signed, change)
    found_entry, fault = verified(signed)
    assert found_entry == entry
    assert said in str(fault)


@ON_BOTH
@pytest.mark.parametrize(
    "change",
    [
        "UPDATE line_state SET standing = 'open' WHERE standing = 'signed'",
        "UPDATE line_state SET version = version + 1 WHERE standing = 'open'",
        "UPDATE line_state SET state = replace(state, 'Table 1', 'Table 9')",
        "UPDATE line SET last_name = 'Somebody' WHERE line_id = (SELECT min(line_id) FROM line)",
        "UPDATE about SET text = replace(text, 'federal\":true', 'federal\":false')",
        "DELETE FROM line_state WHERE standing = 'open'",
    ],
)
def test_a_changed_derived_row_print_or_setting_is_found(signed: str, change: str) -> None:
    _execute(signed, change)
    assert verified(signed)[1] is not None


def test_a_withdrawal_that_fits_nothing_cannot_be_written(loaded: Loaded) -> None:
    """What cannot be folded is refused before it stands in the log."""
    body = SignatureWithdrawn(signature_seq=99, reason="wrong line")
    with pytest.raises(DoesNotFit):
        loaded.store.writer.write(
            lambda unit: unit.append(ROSA, "token-of-withdrawal", body, loaded.lines[0].line_id)
        )
    assert verify_database(loaded.url).entries == 1


@ON_BOTH
def test_a_changed_drawing_names_its_entry(loaded: Loaded) -> None:
    from app.desk.signing import strokes_digest
    from tests.records.conftest import PAPER

    strokes = "[[[1,2,3]]]"
    body = PAPER.model_copy(update={"how": "drawn", "strokes_sha256": strokes_digest(strokes)})
    loaded.store.writer.write(
        lambda unit: unit.append(ROSA, "token-of-a-drawing", body, loaded.lines[0].line_id, strokes)
    )
    assert verify_database(loaded.url).holds
    loaded.store.close()
    _execute(loaded.url, "UPDATE drawing SET strokes = '[[[1,2,4]]]'")
    entry, fault = verified(loaded.url)
    assert entry == 2
    assert "drawing" in str(fault)


def test_a_file_with_a_damaged_page_does_not_hold(signed: str, signed_file: Path) -> None:
    data = bytearray(signed_file.read_bytes())
    data[4096 : 4096 * 2] = b"\xff" * 4096
    signed_file.write_bytes(data)
    assert verified(signed)[1] is not None


def test_a_card_twice_is_two_entries_and_the_later_one_stands(loaded: Loaded) -> None:
    line_id = loaded.lines[0].line_id
    for token in ("token-of-first-card", "token-of-second-card"):
        loaded.store.writer.write(
            lambda unit, token=token: unit.append(ROSA, token, AddressConfirmed(), line_id)
        )
    assert verify_database(loaded.url).holds
