"""The day put together again on another laptop: from its carbon, or its bundle and package."""

from __future__ import annotations

import json
import os
import shutil
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest
from sqlalchemy.exc import OperationalError
from starlette.testclient import TestClient

from _running_server import PROJECT, SAMPLE, Day, make_day
from app.desk.handover import hand_over
from app.desk.recovering import recover_from_bundle, recover_from_carbon
from app.desk.roster import open_roster
from app.papers.made import Form
from app.records import queries
from app.records.bodies_copies import LaptopTookOver
from app.records.carbon import carbon_into
from app.records.clock import SystemClock
from app.records.entry import PROGRAM
from app.records.standby_epoch import raise_epoch
from app.records.store import open_store, verify_database
from app.records.unit import Unit
from app.rules.faults import AlreadyThere, NotFound, StorageRefused
from app.rules.phone_code import Binding, Change, ChangeCode, phone_code, read_secret
from app.server import build_app
from tests.api.conftest import HOST, Precinct
from tests.api.test_day_papers import AFFIDAVIT, STROKES
from tests.api.test_slips import ENVELOPE
from tests.records.test_changes import Dump, dump

CARBON = "carbon-4-07-2027-03-02.jsonl"
# What only says how things stand, or how the laptop keeps them; the log goes on with a new key.
_OF_THE_LAPTOP = {"about", "head_signature", "day_log", "worker", "pin_try", "station"}


@pytest.fixture(scope="module")
def worked(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A folder with the record of a closed day, its carbon in `stick`, and its bundle."""
    folder = tmp_path_factory.mktemp("worked")
    (folder / "stick").mkdir()
    (folder / "laptop").mkdir()
    day = make_day(folder / "laptop")
    make = carbon_into(folder / "stick", folder / "laptop" / "day.db")
    app = build_app(day.url, {HOST}, copy_to=[make])
    with TestClient(app, base_url=f"http://{HOST}"):
        app.state.roster.store.writer.write(take_over)
        work(Precinct(day.url, app, {}), day)
    with open_roster(day.url) as roster:
        now = SystemClock().now()
        hand_over(roster, folder, now, Form("letter", "en"), folder / "bundle.zip")
    return folder


def take_over(unit: Unit) -> None:
    """It is the second laptop's record: its epoch must come along, too."""
    body = LaptopTookOver(epoch=raise_epoch(unit), reason="the first one fell off the table")
    unit.append(PROGRAM, "the-second-laptop-takes-over", body)


def work(precinct: Precinct, day: Day) -> None:
    lead, table = precinct.station("LO", "Lead's desk"), precinct.station("RM")
    done(precinct, lead, "/api/day/open", {"anyway": "this test is about later"})
    for place, line_id in enumerate(day.open_lines[:6]):
        drawn = {"how": "drawn", "strokes": STROKES}
        body = drawn if place % 2 else {"how": "paper"}
        done(precinct, table, f"/api/lines/{line_id}/signature", body)
    path = f"/api/lines/{day.open_lines[0]}/signature/withdraw"
    done(precinct, lead, path, {"reason": "the wrong line"})
    done(precinct, table, "/api/correction-affidavits", AFFIDAVIT)
    done(precinct, table, "/api/provisional-ballots", ENVELOPE)
    done(precinct, lead, "/api/phone-ins", called(precinct, day.open_lines[7]))
    words = {"irregularity": "machine", "what": "It beeped.", "told": "the office", "done": "reset"}
    done(precinct, table, "/api/irregularities", words)
    done(precinct, lead, "/api/day/cut-off")
    done(precinct, lead, "/api/day/close", {"reason": "nothing was counted in this test"})


def called(precinct: Precinct, line_id: str) -> dict[str, Any]:
    """The registrar's office corrects a name by telephone, with its spoken code."""
    with open_store(precinct.url, SystemClock()) as store:
        printed = store.read(lambda connection: queries.line(connection, line_id)).printed
    change = {"what": "correct_detail", "argument": "last_name=Zimmergate"}
    number = printed.voter_number
    bound = Change(ChangeCode.CORRECT_DETAIL, change["argument"])
    secret = read_secret((SAMPLE / "phone-secret.txt").read_text(encoding="ascii"))
    return {
        "caller": "Clerk on duty",
        "office": "Registrar of Voters",
        "number_called_back": "555-0142",
        "asked": "about a line",
        "line_id": line_id,
        "change": change,
        "read_back": {
            "voter_number": number,
            "name": f"{printed.first_name} {printed.last_name}",
            "birth_year": printed.birth_date.year,
        },
        "confirmed": True,
        "code": phone_code(secret, Binding("tern-2027-03-02", "4-07", number, bound), 1),
    }


def done(precinct: Precinct, client: TestClient, path: str, body: Any = None) -> None:
    answer = precinct.post(client, path, body)
    assert answer.status_code == 200, answer.json()


def url_of(path: Path) -> str:
    return f"sqlite:///{path.as_posix()}"


def kept_in(path: Path) -> Dump:
    with open_store(url_of(path), SystemClock()) as store:
        return store.read(dump)


def test_from_the_carbon_every_row_of_the_day_comes_back(worked: Path, tmp_path: Path) -> None:
    done = recover_from_carbon(worked / "stick" / CARBON, url_of(tmp_path / "new.db"))
    assert [path.name for path in tmp_path.iterdir()] == ["new.db"]
    assert kept_in(tmp_path / "new.db") == kept_in(worked / "laptop" / "day.db")
    assert verify_database(url_of(tmp_path / "new.db")).holds
    assert done.lines > 1_814


def test_the_recovered_record_goes_on_with_the_same_carbon(worked: Path, tmp_path: Path) -> None:
    shutil.copytree(worked / "stick", tmp_path / "stick")
    new = tmp_path / "laptop" / "new.db"
    new.parent.mkdir()
    recover_from_carbon(tmp_path / "stick" / CARBON, url_of(new))
    before = (tmp_path / "stick" / CARBON).stat().st_ino
    make = carbon_into(tmp_path / "stick", new)
    with open_store(url_of(new), SystemClock(), copy_to=[make]) as store:
        assert store.copies.states[0].why is None
    assert (tmp_path / "stick" / CARBON).stat().st_ino == before


def test_from_bundle_and_package_every_row_comes_back_that_is_of_the_day(
    worked: Path, tmp_path: Path
) -> None:
    new = url_of(tmp_path / "new.db")
    done = recover_from_bundle(worked / "bundle.zip", SAMPLE, new, SystemClock())
    was, now = kept_in(worked / "laptop" / "day.db"), kept_in(tmp_path / "new.db")
    for name in was.keys() - _OF_THE_LAPTOP:
        assert now[name] == was[name], name
    assert now["day_log"][:-1] == was["day_log"]
    assert "log.key_changed" in str(now["day_log"][-1])
    assert verify_database(new).holds
    assert done.needs_pins


def test_nobody_signs_on_with_a_pin_that_the_bundle_does_not_have(
    worked: Path, tmp_path: Path
) -> None:
    new = url_of(tmp_path / "new.db")
    recover_from_bundle(worked / "bundle.zip", SAMPLE, new, SystemClock())
    app = build_app(new, {HOST})
    with TestClient(app, base_url=f"http://{HOST}"):
        precinct = Precinct(new, app, {})
        body = {"initials": "LO", "pin": "907351", "station": "Table 1"}
        answer = precinct.post(precinct.client(), "/api/sign-on", body)
        assert answer.status_code == 401


def test_a_record_is_never_recovered_over(worked: Path, tmp_path: Path) -> None:
    here = tmp_path / "day.db"
    here.write_bytes(b"somebody's")
    for recover in (
        lambda: recover_from_carbon(worked / "stick" / CARBON, url_of(here)),
        lambda: recover_from_bundle(worked / "bundle.zip", SAMPLE, url_of(here), SystemClock()),
    ):
        with pytest.raises(AlreadyThere):
            recover()
    assert here.read_bytes() == b"somebody's"


# Whatever is kept beside a record: DEVELOPERS.md has the list, and what SQLite keeps comes on top.
BESIDE = [
    *("-wal", "-shm", "-journal", ".keys", ".keys.tries", ".head", ".follows", ".replaced"),
    *(".standby_tries", ".finding", ".reserve"),
]


@pytest.mark.parametrize("ending", BESIDE)
def test_nothing_is_recovered_beside_what_was_left_of_another_record(
    worked: Path, tmp_path: Path, ending: str
) -> None:
    """It would be taken for the new record's own: SQLite would play an old log into it."""
    here, left = tmp_path / "day.db", tmp_path / f"day.db{ending}"
    left.write_bytes(b"somebody's")
    for recover in (
        lambda: recover_from_carbon(worked / "stick" / CARBON, url_of(here)),
        lambda: recover_from_bundle(worked / "bundle.zip", SAMPLE, url_of(here), SystemClock()),
    ):
        with pytest.raises(AlreadyThere) as refused:
            recover()
        assert refused.value.facts["found"] == left.name
        assert "move everything that begins with day.db" in str(refused.value.facts["do"])
    assert [path.name for path in tmp_path.iterdir()] == [left.name]
    assert left.read_bytes() == b"somebody's"


def test_a_link_that_leads_nowhere_stands_there_too(worked: Path, tmp_path: Path) -> None:
    """SQLite would follow it."""
    (tmp_path / "day.db-wal").symlink_to(tmp_path / "nowhere")
    with pytest.raises(AlreadyThere):
        recover_from_carbon(worked / "stick" / CARBON, url_of(tmp_path / "day.db"))
    assert [path.name for path in tmp_path.iterdir()] == ["day.db-wal"]


def test_what_stands_beside_under_another_name_is_in_nobody_s_way(
    worked: Path, tmp_path: Path
) -> None:
    (tmp_path / "day.db-wal").write_bytes(b"another's")
    recover_from_carbon(worked / "stick" / CARBON, url_of(tmp_path / "new.db"))
    assert verify_database(url_of(tmp_path / "new.db")).holds


@pytest.mark.skipif(os.name == "nt", reason="needs a process that ends without closing anything")
def test_the_log_of_a_record_that_was_cut_short_is_not_played_into_the_recovered_one(
    worked: Path, tmp_path: Path
) -> None:
    """Moved away is the record alone, as somebody does who knows of one file only."""
    laptop = tmp_path / "laptop"
    laptop.mkdir()
    day, stick = make_day(laptop), tmp_path / "stick"
    stick.mkdir()
    code = (
        "import os, sys\n"
        "from pathlib import Path\n"
        "from app.records.carbon import carbon_into\n"
        "from app.records.clock import SystemClock\n"
        "from app.records.store import Store\n"
        "url, stick, record = sys.argv[1:]\n"
        "make = carbon_into(Path(stick), Path(record))\n"
        "store = Store(url, SystemClock(), copy_to=[make])\n"
        "for _ in range(5):\n"
        "    store.writer.write(lambda unit: unit.now())\n"
        "os._exit(9)\n"
    )
    record = laptop / "day.db"
    ran = subprocess.run(
        [sys.executable, "-c", code, day.url, str(stick), str(record)], cwd=PROJECT
    )
    assert ran.returncode == 9
    assert (laptop / "day.db-wal").stat().st_size
    record.rename(tmp_path / "kept.db")
    with pytest.raises(AlreadyThere):
        recover_from_carbon(stick / CARBON, day.url)
    moved = tmp_path / "moved"
    moved.mkdir()
    for left in laptop.glob("day.db*"):
        left.rename(moved / left.name)
    recover_from_carbon(stick / CARBON, day.url)
    assert verify_database(day.url).holds


def test_a_folder_that_is_not_there_is_said(worked: Path, tmp_path: Path) -> None:
    (tmp_path / "file").write_bytes(b"")
    for folder in (tmp_path / "none", tmp_path / "file"):
        new = url_of(folder / "new.db")
        with pytest.raises(StorageRefused, match="there is no folder"):
            recover_from_carbon(worked / "stick" / CARBON, new)
        with pytest.raises(StorageRefused, match="there is no folder"):
            recover_from_bundle(worked / "bundle.zip", SAMPLE, new, SystemClock())
    assert [path.name for path in tmp_path.iterdir()] == ["file"]


def test_a_place_that_cannot_be_written_is_said(
    worked: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    real = os.open

    def denied(path: Any, *others: Any, **named: Any) -> int:
        if str(path).startswith(str(tmp_path / "new.db")):
            raise PermissionError(13, "Permission denied", str(path))
        return real(path, *others, **named)

    monkeypatch.setattr(os, "open", denied)
    with pytest.raises(StorageRefused, match=r"new\.db could not be written: Permission denied"):
        recover_from_carbon(worked / "stick" / CARBON, url_of(tmp_path / "new.db"))
    assert not list(tmp_path.iterdir())


def test_a_carbon_that_cannot_be_read_is_not_blamed_on_the_new_record(
    worked: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    from app.desk import recovering

    def failing(*_: object) -> Any:
        raise OSError(5, "Input/output error")

    monkeypatch.setattr(recovering, "put_together", failing)
    with pytest.raises(StorageRefused, match=f"{CARBON} could not be read: Input/output"):
        recover_from_carbon(worked / "stick" / CARBON, url_of(tmp_path / "new.db"))
    assert not list(tmp_path.iterdir())


@pytest.mark.parametrize("where", ["put_row", "apply"])
def test_a_disk_that_fills_up_on_the_way_is_not_blamed_on_the_carbon(
    worked: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, where: str
) -> None:
    from app.records import carbon_reading

    def full(*_: object) -> None:
        raise OperationalError("", (), Exception("database or disk is full"))

    monkeypatch.setattr(carbon_reading, where, full)
    with pytest.raises(StorageRefused, match=r"new\.db could not be written: database or disk"):
        recover_from_carbon(worked / "stick" / CARBON, url_of(tmp_path / "new.db"))
    assert not list(tmp_path.iterdir())


def test_a_changed_carbon_leaves_nothing_behind(worked: Path, tmp_path: Path) -> None:
    data = bytearray((worked / "stick" / CARBON).read_bytes())
    data[len(data) - 700] ^= 1
    carbon = tmp_path / "carbon.jsonl"
    carbon.write_bytes(data)
    with pytest.raises(StorageRefused, match="line"):
        recover_from_carbon(carbon, url_of(tmp_path / "new.db"))
    assert [path.name for path in tmp_path.iterdir()] == ["carbon.jsonl"]


def test_another_package_is_refused(worked: Path, tmp_path: Path) -> None:
    other = tmp_path / "other"
    shutil.copytree(SAMPLE, other)
    (other / "MANIFEST.json").unlink()
    register = other / "register.csv"
    rows = register.read_text(encoding="utf-8").splitlines()
    register.write_text("\n".join(rows[:-1]) + "\n", encoding="utf-8")
    with pytest.raises(StorageRefused, match="not the package"):
        recover_from_bundle(
            worked / "bundle.zip", other, url_of(tmp_path / "new.db"), SystemClock()
        )
    with pytest.raises(StorageRefused, match="not the package"):
        recover_from_carbon(worked / "stick" / CARBON, url_of(tmp_path / "new.db"), package=other)
    assert not (tmp_path / "new.db").exists()
    right = recover_from_carbon(
        worked / "stick" / CARBON, url_of(tmp_path / "new.db"), package=SAMPLE
    )
    assert right.head.seq > 1


def test_what_is_not_there_is_said(tmp_path: Path) -> None:
    with pytest.raises(NotFound):
        recover_from_carbon(tmp_path / "none.jsonl", url_of(tmp_path / "new.db"))
    with pytest.raises(StorageRefused, match="no file"):
        recover_from_bundle(
            tmp_path / "none.zip", SAMPLE, url_of(tmp_path / "new.db"), SystemClock()
        )
    assert not list(tmp_path.iterdir())


def test_a_bundle_that_leaves_something_out_is_refused_and_says_how_much(
    worked: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    from app.desk import recovering

    real = recovering.check_bundle

    def withholding(path: Path) -> Any:
        found = real(path)
        found.withheld = 3
        return found

    monkeypatch.setattr(recovering, "check_bundle", withholding)
    with pytest.raises(StorageRefused, match="leaves out 3 details"):
        recover_from_bundle(
            worked / "bundle.zip", SAMPLE, url_of(tmp_path / "new.db"), SystemClock()
        )
    assert not list(tmp_path.iterdir())


def test_the_entries_that_tell_of_the_carbon_are_in_step_with_the_log(worked: Path) -> None:
    with open_store(url_of(worked / "laptop" / "day.db"), SystemClock()) as store:
        head = store.read(queries.head)
    last = (worked / "stick" / CARBON).read_text(encoding="utf-8").splitlines()[-1]
    assert json.loads(last)["says"]["head"] == {"seq": head.seq, "hash": head.hash}
