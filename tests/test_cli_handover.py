"""The commands of the evening: `close`, `verify BUNDLE` and `wipe`, as they are typed."""

from __future__ import annotations

import io
import itertools
import shutil
from collections.abc import Callable
from pathlib import Path

import pytest
from starlette.testclient import TestClient

from app import cli
from app.desk.bundle_reading import check_bundle
from app.records.clock import SystemClock
from app.records.store import open_store, verify_database
from app.server import build_app
from tests.api.busy_day import precinct_in, work_the_day
from tests.api.conftest import HOST, Precinct
from tests.test_cli import SAMPLE, Ran

BUNDLE = "hand-over-4-07-2027-03-02.zip"
Run = Callable[..., Ran]


@pytest.fixture(scope="module")
def worked(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The record of a closed day, its server stopped."""
    folder = tmp_path_factory.mktemp("worked")
    with precinct_in(folder) as precinct:
        work_the_day(precinct)
    return folder / "day.db"


@pytest.fixture
def run(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> Run:
    monkeypatch.setenv("TABLEBOOK_DATABASE", url_in(tmp_path))
    monkeypatch.setenv("COLUMNS", "200")

    def ran(*arguments: str, stdin: str = "") -> Ran:
        monkeypatch.setattr("sys.argv", ["tablebook", *arguments])
        monkeypatch.setattr("sys.stdin", io.StringIO(stdin))
        with pytest.raises(SystemExit) as ended:
            cli.main()
        said = capsys.readouterr()
        return Ran(int(ended.value.code or 0), said.out, said.err)

    return ran


@pytest.fixture
def closed(worked: Path, tmp_path: Path) -> Path:
    """A folder with the record of the closed day and somebody else's file."""
    shutil.copy(worked, tmp_path / "day.db")
    (tmp_path / "letter.txt").write_text("not of this program")
    return tmp_path


def url_in(folder: Path) -> str:
    return f"sqlite:///{folder.as_posix()}/day.db"


def names(folder: Path) -> set[str]:
    return {path.name for path in folder.iterdir()}


def last_hash(folder: Path) -> str:
    return verify_database(url_in(folder)).head.hash


def in_fours(digits: str) -> str:
    return " ".join(digits[at : at + 4] for at in range(0, len(digits), 4))


def sign_on_once_more(folder: Path, first: int = 9_000) -> None:
    """The server is started again and the lead signs on: one entry."""
    app = build_app(url_in(folder), {HOST})
    with TestClient(app, base_url=f"http://{HOST}"):
        Precinct(url_in(folder), app, {}, itertools.count(first)).station("LO")


def test_the_day_is_sealed_checked_anywhere_and_shows_the_hash_of_the_certificate(
    run: Run,
    closed: Path,
    tmp_path_factory: pytest.TempPathFactory,
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    sealed = run("close")
    assert sealed.code == 0, sealed.err
    assert f"Written: {BUNDLE}, 26 files" in sealed.out
    assert in_fours(last_hash(closed)) in sealed.out
    elsewhere = tmp_path_factory.mktemp("office")
    shutil.copy(closed / BUNDLE, elsewhere)
    monkeypatch.setenv("TABLEBOOK_DATABASE", url_in(elsewhere))
    checked = run("verify", str(elsewhere / BUNDLE))
    assert checked.code == 0, checked.err
    assert checked.out.startswith("Holds: Federal and Municipal Election, 2027-03-02, Tern County")
    assert in_fours(last_hash(closed)) in checked.out
    assert names(elsewhere) == {BUNDLE}  # no database was made


def test_a_bundle_is_for_its_owner_alone_and_can_be_written_elsewhere(
    run: Run, closed: Path
) -> None:
    target = closed / "stick.zip"
    assert run("close", "--out", str(target), "--size", "a4", "--language", "es").code == 0
    assert check_bundle(target).fault is None
    assert target.stat().st_mode & 0o077 == 0
    assert BUNDLE not in names(closed)
    refused = run("close", "--out", str(closed / "no such folder" / "x.zip"))
    assert refused.code == 1
    assert "could not be written" in refused.err


def test_before_the_close_it_is_said_what_is_missing_and_nothing_is_written(
    run: Run, tmp_path: Path
) -> None:
    assert run("load", str(SAMPLE)).code == 0
    before = names(tmp_path)
    early = run("close")
    assert early.code == 1
    assert "not closed yet" in early.err
    assert "machine TM-" in early.err
    assert "Close the polls on the lead's page" in early.err
    assert names(tmp_path) == before


def test_without_a_record_nothing_is_made(run: Run, tmp_path: Path) -> None:
    for command in (("close",), ("wipe", "--bundle", "x.zip"), ("verify",)):
        assert run(*command).code == 1
    assert names(tmp_path) == set()


def test_a_bundle_that_does_not_hold_is_named_with_what_to_do(run: Run, closed: Path) -> None:
    run("close")
    data = bytearray((closed / BUNDLE).read_bytes())
    at = data.index(b"Quillfeather")
    data[at] ^= 1
    (closed / "changed.zip").write_bytes(data)
    broken = run("verify", str(closed / "changed.zip"))
    assert broken.code == 1
    assert "Does not hold" in broken.err
    assert "call the registrar" in broken.err
    assert run("verify", str(closed / "letter.txt")).code == 1


def test_a_bundle_whose_name_is_mistyped_is_not_said_to_be_damaged(run: Run, closed: Path) -> None:
    before = names(closed)
    for command in (("verify",), ("wipe", "--bundle")):
        refused = run(*command, str(closed / "nothing.zip"))
        assert refused.code == 1
        assert f"there is no file or folder {closed / 'nothing.zip'}" in refused.err
        assert "hold" not in refused.err
        assert "registrar" not in refused.err
    assert names(closed) == before


def test_a_signed_paper_is_told_from_one_of_another_record(run: Run, closed: Path) -> None:
    """Also one that was printed before somebody signed off, which is an entry too."""
    run("close")
    sign_on_once_more(closed)
    printed = in_fours(last_hash(closed))
    before = run("verify", str(closed / BUNDLE), "--hash", printed)
    assert before.code == 1
    assert "no entry of this log" in before.err
    assert run("close").code == 0
    assert "the last one" in run("verify", str(closed / BUNDLE), "--hash", printed).out
    sign_on_once_more(closed, first=9_500)
    assert run("close").code == 0
    now = run("verify", str(closed / BUNDLE), "--hash", printed.upper()[:19])
    assert (now.code, "entry 33; 1 later ones" in now.out) == (0, True)


@pytest.mark.parametrize("digits", ["a96c", "no digits at all, sorry", "0" * 15])
def test_too_few_digits_of_a_paper_are_refused(run: Run, closed: Path, digits: str) -> None:
    run("close")
    refused = run("verify", str(closed / BUNDLE), "--hash", digits)
    assert refused.code == 1
    assert "at least 16 digits" in refused.err


def test_the_laptop_is_wiped_of_this_day_and_of_nothing_else(run: Run, closed: Path) -> None:
    run("close")
    (closed / "day.db.finding").write_bytes(b"an index")
    (closed / f"{BUNDLE}.new").write_bytes(b"half a bundle, from when the power went")
    wiped = run("wipe", "--bundle", str(closed / BUNDLE), stdin="4-07\n")
    assert wiped.code == 0, wiped.err
    assert names(closed) == {BUNDLE, "letter.txt"}
    assert f"Removed: day.db, day.db.finding, {BUNDLE}.new." in wiped.out
    assert "22 months (52 U.S.C. 20701)" in wiped.out
    assert "Local law and the registrar decide" in wiped.out
    assert check_bundle(closed / BUNDLE).fault is None


def test_what_a_second_laptop_kept_beside_its_record_is_wiped_with_it(
    run: Run, closed: Path
) -> None:
    run("close")
    kept = ("day.db.standby_tries", "day.db.standby_tries.new", "day.db.replaced")
    for name in (*kept, "day.db.replaced.new"):
        (closed / name).write_bytes(b"a secret")
    assert run("wipe", "--bundle", str(closed / BUNDLE), stdin="4-07\n").code == 0
    assert names(closed) == {BUNDLE, "letter.txt"}


@pytest.mark.parametrize("typed", ["4-08", "", "yes", "4-07 4-07"])
def test_another_number_wipes_nothing(run: Run, closed: Path, typed: str) -> None:
    run("close")
    before = names(closed)
    assert run("wipe", "--bundle", str(closed / BUNDLE), stdin=f"{typed}\n").code == 1
    assert names(closed) == before


def test_a_bundle_that_does_not_hold_wipes_nothing(run: Run, closed: Path) -> None:
    run("close")
    data = (closed / BUNDLE).read_bytes()
    (closed / BUNDLE).write_bytes(data[:-1])
    refused = run("wipe", "--bundle", str(closed / BUNDLE), stdin="4-07\n")
    assert refused.code == 1
    assert "the bundle does not hold, nothing was removed" in refused.err
    assert (closed / "day.db").is_file()


def test_an_entry_after_the_bundle_wipes_nothing_and_says_to_close_again(
    run: Run, closed: Path
) -> None:
    run("close")
    sign_on_once_more(closed)
    refused = run("wipe", "--bundle", str(closed / BUNDLE), stdin="4-07\n")
    assert refused.code == 1
    assert "1 entry came after the bundle was made" in refused.err
    assert (closed / "day.db").is_file()
    assert run("close").code == 0
    assert run("wipe", "--bundle", str(closed / BUNDLE), stdin="4-07\n").code == 0
    assert names(closed) == {BUNDLE, "letter.txt"}


def test_the_bundle_of_another_day_wipes_nothing(
    run: Run, closed: Path, tmp_path_factory: pytest.TempPathFactory
) -> None:
    other = tmp_path_factory.mktemp("other")
    with precinct_in(other) as precinct:
        work_the_day(precinct)
        assert precinct.post(precinct.station("LO"), "/api/day/hand-over").status_code == 200
    refused = run("wipe", "--bundle", str(other / BUNDLE), stdin="4-07\n")
    assert refused.code == 1
    assert (closed / "day.db").is_file()


def test_a_record_that_is_open_elsewhere_is_not_wiped(run: Run, closed: Path) -> None:
    run("close")
    with open_store(url_in(closed), SystemClock()):
        refused = run("wipe", "--bundle", str(closed / BUNDLE), stdin="4-07\n")
    assert refused.code == 1
    assert "stop the server first" in refused.err
    assert (closed / "day.db").is_file()


def test_a_link_to_a_record_is_left_alone(run: Run, closed: Path, tmp_path: Path) -> None:
    run("close")
    (closed / "day.db").rename(closed / "real.db")
    (closed / "day.db").symlink_to(closed / "real.db")
    refused = run("wipe", "--bundle", str(closed / BUNDLE), stdin="4-07\n")
    assert refused.code == 1
    assert "no plain file" in refused.err
    assert (closed / "real.db").is_file()


def test_verify_without_a_bundle_checks_the_record_as_before(run: Run, closed: Path) -> None:
    found = run("verify")
    assert found.code == 0
    assert found.out.startswith("Holds: 32 entries")
