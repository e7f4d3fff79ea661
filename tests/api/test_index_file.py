"""The finder's file beside the record, which saves a vote centre the wait after a restart."""

from __future__ import annotations

import shutil
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from starlette.testclient import TestClient

from _running_server import fresh_token
from app.desk import index_file
from app.matching.register import Register
from app.records import encrypting, keyring, unlocking
from app.rules.policy import Policy
from app.server import build_app
from app.trust.passphrases import SlotKind
from tests.api.conftest import HOST, Precinct

Templates = Callable[[Policy], tuple[Path, Any]]


@pytest.fixture
def day(templates: Templates, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A loaded record that counts as a vote centre's."""
    monkeypatch.setattr(index_file, "MANY_LINES", 1)
    made, _ = templates(Policy())
    return Path(shutil.copy(made, tmp_path / "day.db"))


def start(day: Path) -> TestClient:
    app = build_app(f"sqlite:///{day.as_posix()}", {HOST})
    return TestClient(app, base_url=f"http://{HOST}")


def found(client: TestClient, text: str) -> list[str]:
    precinct = Precinct("", client.app, {})  # type: ignore[arg-type]
    body = {"initials": "RM", "pin": "240713", "station": "Table 1"}
    assert precinct.post(client, "/api/sign-on", body, fresh_token()).status_code == 200
    matches = client.post("/api/find", json={"text": text}).json()["matches"]
    return [match["name"] for match in matches]


def file_of(day: Path) -> Path:
    return day.with_name(day.name + index_file.ENDING)


def test_the_second_start_reads_no_lines(day: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    with start(day) as client:
        assert found(client, "quillfeather") == ["Quillfeather, Odette"]
    assert file_of(day).exists()

    def unread(*_: object) -> None:
        raise AssertionError("the lines were read")

    monkeypatch.setattr(index_file.queries, "all_lines", unread)
    with start(day) as client:
        assert found(client, "quillfeather") == ["Quillfeather, Odette"]


def test_a_line_added_during_the_day_is_found_after_a_restart(day: Path) -> None:
    from tests.api.people_apart import AFFIDAVIT

    with start(day) as client:
        found(client, "nobody")
        precinct = Precinct("", client.app, {})  # type: ignore[arg-type]
        lead = {"initials": "LO", "pin": "907351", "station": "Lead"}
        assert precinct.post(client, "/api/sign-on", lead, "sign-on-of-the-lead").status_code == 200
        for path, body in (("/api/day/open", {}), ("/api/correction-affidavits", dict(AFFIDAVIT))):
            answer = precinct.post(client, path, body, f"token-of{path.replace('/', '-')}-0000")
            assert answer.status_code == 200, answer.json()
    for _ in range(2):
        with start(day) as client:
            assert found(client, "nettlefold") == ["Nettlefold, Ambrose"]


@pytest.mark.parametrize("damage", [b"", b"not an index", None])
def test_a_damaged_file_is_made_anew(day: Path, damage: bytes | None) -> None:
    with start(day):
        pass
    whole = file_of(day).read_bytes()
    turned = bytearray(whole)
    turned[len(turned) // 2] ^= 1
    file_of(day).write_bytes(bytes(turned) if damage is None else damage)
    with start(day) as client:
        assert found(client, "quillfeather") == ["Quillfeather, Odette"]
    assert file_of(day).read_bytes() == whole


def test_the_file_of_another_day_is_not_used(day: Path, templates: Templates) -> None:
    with start(day):
        pass
    before = file_of(day).read_bytes()
    other, _ = templates(Policy(provisional="always"))
    shutil.copy(other, day)
    with start(day) as client:
        assert found(client, "quillfeather") == ["Quillfeather, Odette"]
    assert file_of(day).read_bytes() != before


def test_no_room_for_the_file_stops_nobody(day: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def full(register: Register, digest: str, file: Any) -> None:
        file.write(b"half")
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(index_file, "save_register", full)
    with start(day) as client:
        assert found(client, "quillfeather") == ["Quillfeather, Odette"]
    assert not list(day.parent.glob("*.finding*"))


def test_a_precinct_keeps_no_file(day: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(index_file, "MANY_LINES", 50_000)
    with start(day):
        pass
    assert not file_of(day).exists()


def test_beside_an_encrypted_record_the_file_is_sealed_and_taken_as_well(
    day: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    with start(day) as client:
        assert client.get("/api/day").json()["encrypted"] is False
    file_of(day).unlink()
    unlocking.make_slots(day, SlotKind.PASSPHRASE, "first", ["eleven herons wade"])
    encrypting.encrypt(day)
    try:
        with start(day) as client:
            assert client.get("/api/day").json()["encrypted"] is True
            assert found(client, "quillfeather") == ["Quillfeather, Odette"]
        content = file_of(day).read_bytes()
        assert b"roster index" not in content
        assert b"quillfeather" not in content.lower()

        def unread(*_: object) -> None:
            raise AssertionError("the lines were read")

        with monkeypatch.context() as without:
            without.setattr(index_file.queries, "all_lines", unread)
            with start(day) as client:
                assert found(client, "quillfeather") == ["Quillfeather, Odette"]
        file_of(day).write_bytes(content[:-1] + bytes([content[-1] ^ 1]))
        with start(day) as client:
            assert found(client, "quillfeather") == ["Quillfeather, Odette"]
        assert file_of(day).read_bytes() != content
    finally:
        keyring.lock(day)
