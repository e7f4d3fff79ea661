"""The day put together again on another laptop: from its carbon, or its bundle and package."""

from __future__ import annotations

import json
import shutil
from pathlib import Path
from typing import Any

import pytest
from starlette.testclient import TestClient

from _running_server import SAMPLE, Day, make_day
from app.desk.handover import hand_over
from app.desk.recovering import recover_from_bundle, recover_from_carbon
from app.desk.roster import open_roster
from app.papers.made import Form
from app.records import queries
from app.records.carbon import carbon_into
from app.records.clock import SystemClock
from app.records.store import open_store, verify_database
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
        work(Precinct(day.url, app, {}), day)
    with open_roster(day.url) as roster:
        now = SystemClock().now()
        hand_over(roster, folder, now, Form("letter", "en"), folder / "bundle.zip")
    return folder


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
