"""Exports, certificates and the bundle over HTTP: for whom, when, and what they say."""

from __future__ import annotations

import csv
import hashlib
import io
import json
import shutil
import zipfile
from pathlib import Path
from typing import Any

import pytest
from starlette.testclient import TestClient

from app.desk.bundle_reading import check_bundle
from app.desk.exports import EXPORTS
from app.records import queries
from app.records.clock import SystemClock
from app.records.engine import sqlite_path
from app.records.reserve import RESERVE_BYTES
from app.records.store import open_store
from tests.api.busy_day import done, work_the_day
from tests.api.conftest import Precinct
from tests.api.listing import bring_and_apply
from tests.api.test_day_papers import AFFIDAVIT
from tests.api.whole_day import PACKAGED, place
from tests.papers.reading import text_of

BUNDLE = "/api/exports/bundle.zip"
SUPPLEMENTAL = (
    "Voter number,Last name,First name,Birth date,Street address,City,Ballot button,"
    "Address protected"
)
# The words about an irregularity, the row of the list, and the line that it added.
WITHHELD = 3


@pytest.fixture
def lead(precinct: Precinct) -> TestClient:
    return precinct.station("LO", "Lead's desk")


def exported(client: TestClient, name: str) -> bytes:
    answer = client.get(f"/api/exports/{name}")
    assert answer.status_code == 200, answer.text
    return bytes(answer.content)


def rows_of(data: bytes) -> list[dict[str, str]]:
    return list(csv.DictReader(io.StringIO(data.decode(), newline="")))


@pytest.mark.parametrize("name", sorted(EXPORTS))
def test_lead_and_registrar_take_every_export_and_nobody_else(
    precinct: Precinct, lead: TestClient, name: str
) -> None:
    for client in (lead, precinct.station("GS")):
        answer = client.get(f"/api/exports/{name}")
        assert answer.status_code == 200
        assert answer.headers["cache-control"] == "no-store"
        assert answer.headers["content-disposition"] == f'attachment; filename="{name}"'
    assert precinct.station("RM").get(f"/api/exports/{name}").status_code == 403
    assert precinct.client().get(f"/api/exports/{name}").status_code == 401


@pytest.mark.parametrize("name", ["day.db", "Register.csv", "..%2Fday.db", "x" * 300, "%00"])
def test_an_unknown_export_is_not_found(lead: TestClient, name: str) -> None:
    answer = lead.get(f"/api/exports/{name}")
    assert answer.status_code == 404
    assert answer.json()["what_to_do"]


def test_the_bundle_and_the_hand_over_are_for_those_whose_they_are(
    precinct: Precinct, lead: TestClient
) -> None:
    table, registrar = precinct.station("RM"), precinct.station("GS")
    assert precinct.post(table, "/api/day/hand-over").status_code == 403
    assert precinct.post(registrar, "/api/day/hand-over").status_code == 403
    assert table.get(BUNDLE).status_code == 403
    assert registrar.get(BUNDLE).status_code == 404
    assert lead.post("/api/day/hand-over", json={}).json()["code"] == "token-missing"
    for name in ("opening", "closing"):
        assert table.get(f"/api/papers/{name}.pdf").status_code == 403


def test_nothing_is_handed_over_before_the_polls_are_closed(tmp_path: Path) -> None:
    with place(tmp_path) as day:
        lead = day.station("LO")
        day.open(lead)
        answer = day.post(lead, "/api/day/hand-over")
        assert (answer.status_code, answer.json()["code"]) == (409, "turn-out-of-order")
        missing = answer.json()["missing"]
        assert [one["name"] for one in missing if one["what"] == "machine"] == [*PACKAGED]
        assert any(one["what"] == "check" for one in missing)
        assert lead.get(BUNDLE).status_code == 404
        assert list(tmp_path.glob("*.zip*")) == []


def test_the_bundle_is_streamed_as_it_was_written_and_holds(
    before_opening: Precinct, tmp_path: Path
) -> None:
    precinct = before_opening
    lead = work_the_day(precinct)
    head = lead.get("/api/day").json()["head"]
    made = done(precinct, lead, "/api/day/hand-over", {"size": "a4", "language": "es"})
    data = exported(lead, "bundle.zip")
    assert hashlib.sha256(data).hexdigest() == made["sha256"]
    assert (made["last_seq"], made["last_hash"]) == (head["seq"], head["hash"])
    assert lead.get("/api/day").json()["head"] == head  # handing over is no entry
    (tmp_path / "taken.zip").write_bytes(data)
    assert check_bundle(tmp_path / "taken.zip").fault is None
    with zipfile.ZipFile(io.BytesIO(data)) as archive:
        assert "Acta de cierre" in text_of(archive.read("paper-closing.pdf"))
    assert not list(tmp_path.glob("*.new"))


def test_the_bundle_made_later_takes_the_place_of_the_earlier_one(
    before_opening: Precinct,
) -> None:
    lead = work_the_day(before_opening)
    before = done(before_opening, lead, "/api/day/hand-over")
    before_opening.station("GS")
    after = done(before_opening, lead, "/api/day/hand-over")
    assert after["last_seq"] > before["last_seq"]
    assert hashlib.sha256(exported(lead, "bundle.zip")).hexdigest() == after["sha256"]


def test_a_bundle_that_cannot_be_written_leaves_the_earlier_one(
    before_opening: Precinct, monkeypatch: pytest.MonkeyPatch
) -> None:
    lead = work_the_day(before_opening)
    before = done(before_opening, lead, "/api/day/hand-over")

    def full(_handle: int) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr("os.fsync", full)
    answer = before_opening.post(lead, "/api/day/hand-over")
    monkeypatch.undo()
    assert (answer.status_code, answer.json()["code"]) == (503, "hand-over-failed")
    assert "No space left on device" in answer.json()["why"]
    assert hashlib.sha256(exported(lead, "bundle.zip")).hexdigest() == before["sha256"]
    folder = (sqlite_path(before_opening.url) or Path()).parent
    assert not list(folder.glob("*.new"))


def test_a_bundle_that_would_leave_no_room_to_record_in_is_not_begun(
    before_opening: Precinct, monkeypatch: pytest.MonkeyPatch
) -> None:
    lead = work_the_day(before_opening)
    usage = type(shutil.disk_usage("."))(0, 0, RESERVE_BYTES + 1_000)
    monkeypatch.setattr(shutil, "disk_usage", lambda _: usage)
    answer = before_opening.post(lead, "/api/day/hand-over")
    assert (answer.status_code, answer.json()["code"]) == (503, "hand-over-failed")
    assert "nothing was written" in answer.json()["why"]
    folder = (sqlite_path(before_opening.url) or Path()).parent
    assert not list(folder.glob("hand-over-*"))
    monkeypatch.undo()
    done(before_opening, lead, "/api/day/hand-over")


def test_who_took_part_is_told_with_the_way_and_without_a_birth_date(
    before_opening: Precinct,
) -> None:
    lead = work_the_day(before_opening)
    rows = rows_of(exported(lead, "participation.csv"))
    ways = {(row["last_name"], row["how"]) for row in rows}
    assert ("Quillfeather", "signed") in ways
    assert ("Nettlefold", "affidavit") in ways
    assert ("Sparemanc", "left") in ways
    assert ("Zoë Nettlefold", "provisional") in ways
    assert "Sparemanb" not in {row["last_name"] for row in rows}  # withdrawn
    assert [row["envelope"] for row in rows if row["how"] == "provisional"] == ["P-0001"]
    records = json.loads(exported(lead, "participation.json"))["VoterRecord"]
    assert len(records) == sum(row["how"] in ("signed", "affidavit") for row in rows) == 5


def test_the_certificates_say_on_every_page_that_their_hour_has_not_come(
    before_opening: Precinct,
) -> None:
    lead = before_opening.station("LO")
    said = [text_of(lead.get(f"/api/papers/{name}.pdf").content) for name in ("opening", "closing")]
    assert "THE POLLS ARE NOT OPEN YET" in said[0]
    assert "THE POLLS ARE NOT CLOSED" in said[1]


def test_the_certificates_show_checks_counters_seals_and_the_difference(tmp_path: Path) -> None:
    with place(tmp_path) as day:
        lead = day.station("LO")
        for serial, count in PACKAGED.items():
            report = day.zero_report(count)
            day.read(lead, serial, "opening", 0, count, zero_report=report)
        seal = {"of": "machine", "where": "TM-0417", "number": "A-1177", "act": "put_on"}
        done(day, lead, "/api/seals", {**seal, "agrees": True})
        done(day, lead, "/api/checklists/opening", _failed(lead))
        day.open(lead)
        for serial, count in PACKAGED.items():
            day.read(lead, serial, "close", 1, count + 1)
        done(day, lead, "/api/day/cut-off")
        done(day, lead, "/api/day/close", {"reason": "two voted, nobody signed"})
        opening = text_of(lead.get("/api/papers/opening.pdf").content)
        closing = text_of(lead.get("/api/papers/closing.pdf").content)
        head = lead.get("/api/day").json()["head"]["hash"]
    assert "TM-0417 0 18233 18233" in opening
    assert "machine TM-0417 A-1177" in opening
    assert "FAILED" in opening
    assert "it is torn" in opening
    assert "2 more counted than signed for" in closing
    assert "two voted, nobody signed" in closing
    assert "TM-0418 0 1 17960 17961 yes" in closing
    assert " ".join(head[at : at + 4] for at in range(0, 64, 4)) in closing


def _failed(lead: TestClient) -> dict[str, Any]:
    items = lead.get("/api/checklists/opening").json()["items"]
    return {"code": items[0]["code"], "passed": False, "note": "it is torn"}


def test_a_protected_address_is_in_no_file_of_the_bundle(
    before_opening: Precinct, tmp_path: Path
) -> None:
    """Somebody wrote one down all the same, and a supplemental list brings one."""
    precinct = before_opening
    _protect(precinct, "spare 7", "9 Hidden Weir")
    lead = precinct.station("LO")
    done(precinct, lead, "/api/day/open")
    secret = {**AFFIDAVIT, "street_address": "3 Quiet Close", "address_protected": True}
    done(precinct, lead, "/api/correction-affidavits", secret)
    words = {"irregularity": "voter", "what": "Came from 9 hidden weir.", "told": "", "done": ""}
    done(precinct, lead, "/api/irregularities", words)
    row = "300000001,Marlowe,Ines,1980-05-17,7 Secret Mews,Ternhaven,1,Y"
    bring_and_apply(precinct, lead, row, kind="supplemental", heading=SUPPLEMENTAL)
    done(precinct, lead, "/api/day/cut-off")
    done(precinct, lead, "/api/day/close", {"reason": "this test has no machines"})
    done(precinct, lead, "/api/day/hand-over")
    (tmp_path / "taken.zip").write_bytes(exported(lead, "bundle.zip"))
    found = check_bundle(tmp_path / "taken.zip")
    assert found.fault is None
    assert found.withheld == WITHHELD
    with zipfile.ZipFile(tmp_path / "taken.zip") as archive:
        files = {name: archive.read(name) for name in archive.namelist()}
    # What people write of an irregularity is printed as they wrote it.
    written = files.pop("paper-irregularities.pdf")
    assert "9 hidden weir" in text_of(written)
    for name, data in files.items():
        said = text_of(data) if name.endswith(".pdf") else data.decode()
        for street in ("Hidden Weir", "Secret Mews", "Quiet Close"):
            assert street.casefold() not in said.casefold(), name


def _protect(precinct: Precinct, who: str, street: str) -> None:
    """As if the package had said so: no command changes a printed line."""
    mine = queries.lines.c.line_id == precinct.ids[who]
    values = {"address_protected": True, "street_address": street}
    with open_store(precinct.url, SystemClock()) as store:
        store.writer.write(
            lambda unit: unit.connection.execute(
                queries.lines.update().where(mine).values(**values)
            )
        )


def test_a_name_that_is_a_formula_comes_as_text(lead: TestClient) -> None:
    data = exported(lead, "register.csv").decode()
    assert "'=HYPERLINK(1)" in data
    assert ",=HYPERLINK(1)" not in data
