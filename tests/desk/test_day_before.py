"""The check of the day before: what is counted, and how a package compares with a record."""

from __future__ import annotations

import hashlib
import json
import shutil
import tomllib
from pathlib import Path

import pytest

from app.desk.day_before import check_day_before, paper_name
from app.desk.loading import load_package
from app.desk.practising import make_practice_day
from app.intake.faults import Faults
from app.intake.package import read_package
from app.papers.day_before import Compared, DayBefore
from app.records.clock import SystemClock

SAMPLE = Path(__file__).parents[2] / "sample_rosters" / "tern-4-07"
NOWHERE = "sqlite:///nowhere/day.db"


def checked(package: Path, url: str = NOWHERE) -> DayBefore:
    found = check_day_before(package, url)
    assert isinstance(found, DayBefore)
    return found


@pytest.fixture
def package(tmp_path: Path) -> Path:
    """A copy of the sample to be changed, without the manifest that would not fit any more."""
    folder = tmp_path / "package"
    shutil.copytree(SAMPLE, folder)
    (folder / "MANIFEST.json").unlink()
    return folder


@pytest.fixture(scope="module")
def record(tmp_path_factory: pytest.TempPathFactory) -> Path:
    path = tmp_path_factory.mktemp("record") / "day.db"
    load_package(SAMPLE, url_of(path), SystemClock())
    return path


def url_of(path: Path) -> str:
    return f"sqlite:///{path.as_posix()}"


def rows_of(name: str) -> list[str]:
    return (SAMPLE / name).read_text(encoding="utf-8").splitlines()[1:]


def test_it_counts_what_stands_in_the_files() -> None:
    facts = checked(SAMPLE)
    register, added = len(rows_of("register.csv")), len(rows_of("supplemental.csv"))
    assert dict(facts.parts) == {
        "register": register, "supplemental": added, "all": register + added
    }  # fmt: skip
    marks = {(one.kind, one.source): one.count for one in facts.marks}
    assert marks["voted_by_mail", "mail-voted.csv"] == len(rows_of("mail-voted.csv"))
    assert marks["voted_early", "early-voted.csv"] == len(rows_of("early-voted.csv"))
    printed = sum(",voted by mail," in row for row in rows_of("register.csv"))
    assert marks["voted_by_mail", "register.csv"] == printed
    assert sum(one.lines for one in facts.buttons) == register + added
    assert dict(facts.notes)["elsewhere"] == len(rows_of("elsewhere.csv"))


def test_every_ballot_stands_there_with_its_contests() -> None:
    told = tomllib.loads((SAMPLE / "election.toml").read_text(encoding="utf-8"))["ballot"]
    facts = checked(SAMPLE)
    assert [(one.style, one.button, list(one.contests)) for one in facts.buttons] == [
        (one["style"], one["button"], one["contests"]) for one in told
    ]


def test_every_file_stands_there_with_its_digest() -> None:
    facts = checked(SAMPLE)
    assert dict(facts.digests) == {
        path.name: hashlib.sha256(path.read_bytes()).hexdigest()
        for path in SAMPLE.iterdir()
        if path.suffix != ".md"
    }
    assert facts.is_vouched


def test_a_package_without_a_manifest_is_vouched_for_by_nobody(package: Path) -> None:
    facts = checked(package)
    assert not facts.is_vouched
    assert "not-vouched" in facts.doubts


def test_a_ballot_that_nobody_gets_is_doubted(package: Path) -> None:
    toml = package / "election.toml"
    more = '\n[[ballot]]\nstyle = "4-07 D"\nbutton = 4\n'
    toml.write_text(toml.read_text(encoding="utf-8") + more, encoding="utf-8")
    assert "ballot-for-nobody" in checked(package).doubts
    assert "ballot-for-nobody" not in checked(SAMPLE).doubts


def test_a_faulty_package_gives_its_faults_and_no_check(package: Path) -> None:
    register = package / "register.csv"
    text = register.read_text(encoding="utf-8").replace(",Upland,2,", ",Upland,9,", 1)
    register.write_text(text, encoding="utf-8")
    found = check_day_before(package, NOWHERE)
    assert isinstance(found, Faults)
    assert [fault.code for fault in found.faults] == ["unknown-button"]


def test_a_record_of_this_very_package_is_the_same_and_is_not_written_to(record: Path) -> None:
    before = {path: path.read_bytes() for path in record.parent.iterdir()}
    assert checked(SAMPLE, url_of(record)).compared == Compared("same")
    assert {path: path.read_bytes() for path in before} == before
    # What SQLite puts beside a database that it only reads: an empty log and its index.
    wal = record.with_name(record.name + "-wal")
    assert not wal.exists() or wal.read_bytes() == b""


def test_a_record_of_another_package_is_told_file_by_file(package: Path, record: Path) -> None:
    lists = package / "mail-voted.csv"
    lists.write_text("\n".join(lists.read_text(encoding="utf-8").splitlines()[:-1]) + "\n")
    facts = checked(package, url_of(record))
    assert facts.compared == Compared("differs", ("mail-voted.csv", "MANIFEST.json"))
    assert "record-differs" in facts.doubts


def test_another_election_and_precinct_are_told_as_such(package: Path, record: Path) -> None:
    toml = package / "election.toml"
    text = toml.read_text(encoding="utf-8").replace('number = "4-07"', 'number = "4-08"')
    toml.write_text(text.replace("tern-2027-03-02", "tern-2027-03-09"), encoding="utf-8")
    for name in ("mail-voted.csv", "early-voted.csv", "elsewhere.csv"):
        (package / name).unlink()
    what = checked(package, url_of(record)).compared.what
    assert what[:2] == ("election", "precinct")
    assert {"election.toml", "mail-voted.csv", "elsewhere.csv"} <= set(what)


def test_a_practice_record_and_a_file_that_is_no_record_are_told_apart(tmp_path: Path) -> None:
    read = read_package(SAMPLE)
    assert not isinstance(read, Faults)
    day = make_practice_day(read, tmp_path, NOWHERE, SystemClock())
    assert checked(SAMPLE, day.url).compared == Compared("practice")
    other = tmp_path / "notes.db"
    other.write_bytes(json.dumps(["no database"]).encode() * 100)
    assert checked(SAMPLE, url_of(other)).compared == Compared("unreadable")
    assert checked(SAMPLE, url_of(tmp_path / "none.db")).compared == Compared("none")
    assert not (tmp_path / "none.db").exists()


def test_the_name_of_the_paper_tells_precinct_and_day_and_nothing_else() -> None:
    assert paper_name(checked(SAMPLE).setting) == "day-before-4-07-2027-03-02.pdf"
