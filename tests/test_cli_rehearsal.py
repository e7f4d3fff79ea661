"""`tablebook rehearse`, as it is typed; what it serves is looked at in tests/browser."""

from __future__ import annotations

import shutil
import socket
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from app import server
from app.commands import rehearsal
from tests.papers.reading import text_of
from tests.test_cli import SAMPLE, Run, run

__all__ = ["run"]

PAPER = "day-before-4-07-2027-03-02.pdf"
Served = list[tuple[tuple[Any, ...], dict[str, Any]]]


@pytest.fixture
def served(monkeypatch: pytest.MonkeyPatch) -> Served:
    """What would have been served, instead of serving it for ever."""
    calls: Served = []

    def serve(*arguments: Any, **named: Any) -> None:
        calls.append((arguments, named))

    monkeypatch.setattr(server, "serve", serve)
    monkeypatch.setattr(rehearsal, "_refuse_taken_port", lambda _port: None)
    return calls


@pytest.fixture
def taken_port() -> Iterator[int]:
    with socket.socket() as other:
        other.bind(("127.0.0.1", 0))
        other.listen()
        yield other.getsockname()[1]


def files_in(folder: Path) -> set[str]:
    return {path.name for path in folder.iterdir()}


def test_the_check_is_shown_and_printed_and_no_record_is_made(run: Run, tmp_path: Path) -> None:
    ran = run("rehearse", str(SAMPLE), "--check-only", "--paper", str(tmp_path))
    assert ran.code == 0
    for said in ("Tern County, 4-07", "Tuesday, March 2, 2027", "1,814", "TM-0417", "555-0142"):
        assert said in ran.out
    assert "The manifest lists every file, and every digest agrees." in ran.out
    assert files_in(tmp_path) == {PAPER}
    assert "Check of the day before" in text_of((tmp_path / PAPER).read_bytes())


def test_the_paper_comes_in_spanish_on_a4(run: Run, tmp_path: Path) -> None:
    how = ("--language", "es", "--size", "a4", "--paper", str(tmp_path))
    assert run("rehearse", str(SAMPLE), "--check-only", *how).code == 0
    assert "Comprobación de la víspera" in text_of((tmp_path / PAPER).read_bytes())


def test_a_practice_day_is_made_apart_and_served_on_this_laptop_alone(
    run: Run, tmp_path: Path, served: Served
) -> None:
    keep = tmp_path / "kept"
    ran = run("rehearse", str(SAMPLE), "--paper", str(tmp_path), "--keep", str(keep))
    assert ran.code == 0
    ((url, host, port), named) = served[0]
    assert (host, port, named) == ("127.0.0.1", 8417, {"is_practice": True})
    assert url == f"sqlite:///{(keep / 'practice-4-07-2027-03-02.db').as_posix()}"
    assert "PRACTICE: nothing here counts." in ran.out
    for pin in ("111111", "222222", "333333", "999999"):
        assert pin in ran.out
    assert not (tmp_path / "day.db").exists()


def test_without_keep_it_goes_into_a_folder_of_its_own(
    run: Run, tmp_path: Path, served: Served, monkeypatch: pytest.MonkeyPatch
) -> None:
    temporary = tmp_path / "temporary"
    temporary.mkdir()
    monkeypatch.setattr("tempfile.tempdir", str(temporary))
    assert run("rehearse", str(SAMPLE), "--paper", str(tmp_path)).code == 0
    (folder,) = temporary.iterdir()
    assert folder.name.startswith("practice-")
    assert folder.as_posix() in served[0][0][0]


def test_a_real_record_is_compared_and_stays_as_it_is(
    run: Run, tmp_path: Path, served: Served
) -> None:
    assert run("load", str(SAMPLE)).code == 0
    before = (tmp_path / "day.db").read_bytes()
    keep = ("--keep", str(tmp_path / "kept"))
    ran = run("rehearse", str(SAMPLE), "--paper", str(tmp_path), *keep)
    assert "it is of this package" in ran.out
    assert (tmp_path / "day.db").read_bytes() == before
    assert len(served) == 1


def test_a_faulty_package_is_refused_with_every_fault_and_nothing_is_made(
    run: Run, tmp_path: Path, served: Served
) -> None:
    package = tmp_path / "package"
    shutil.copytree(SAMPLE, package)
    (package / "register.csv").write_bytes(b"voter_number\n1\n")
    paper = tmp_path / "paper"
    paper.mkdir()
    ran = run("rehearse", str(package), "--paper", str(paper), "--keep", str(tmp_path / "kept"))
    assert ran.code == 1
    assert "register.csv" in ran.err
    assert "nothing was loaded" in ran.err
    assert (files_in(paper), served) == (set(), [])
    assert not (tmp_path / "kept").exists()


def test_a_port_that_is_taken_is_refused_before_anything_is_made(
    run: Run, tmp_path: Path, taken_port: int
) -> None:
    keep = tmp_path / "kept"
    how = ("--paper", str(tmp_path), "--keep", str(keep), "--port", str(taken_port))
    ran = run("rehearse", str(SAMPLE), *how)
    assert ran.code == 1
    assert f"port {taken_port} is taken by another program; choose another with --port" in ran.err
    assert files_in(tmp_path) == set()


def test_the_database_that_is_named_is_never_practised_on(
    run: Run, tmp_path: Path, served: Served, monkeypatch: pytest.MonkeyPatch
) -> None:
    name = "practice-4-07-2027-03-02.db"
    monkeypatch.setenv("TABLEBOOK_DATABASE", f"sqlite:///{tmp_path.as_posix()}/{name}")
    assert run("load", str(SAMPLE)).code == 0
    before = (tmp_path / name).read_bytes()
    ran = run("rehearse", str(SAMPLE), "--paper", str(tmp_path), "--keep", str(tmp_path))
    assert ran.code == 1
    assert "is the record named by --database; practise in another folder: --keep" in ran.err
    assert (tmp_path / name).read_bytes() == before
    assert served == []


@pytest.mark.parametrize("command", ["find", "serve", "close"])
def test_no_command_of_the_real_day_takes_a_practice_record(
    run: Run,
    tmp_path: Path,
    served: Served,
    monkeypatch: pytest.MonkeyPatch,
    command: str,
) -> None:
    assert run("rehearse", str(SAMPLE), "--paper", str(tmp_path), "--keep", str(tmp_path)).code == 0
    monkeypatch.setenv("TABLEBOOK_DATABASE", str(served.pop()[0][0]))
    ran = run(command, *(["quill"] if command == "find" else []))
    assert ran.code == 1
    assert "this is a practice record, where nothing counts" in ran.err
    assert served == []


def test_a_paper_that_cannot_be_written_is_said(run: Run, tmp_path: Path) -> None:
    ran = run("rehearse", str(SAMPLE), "--check-only", "--paper", str(tmp_path / "nowhere"))
    assert ran.code == 1
    assert "the paper could not be written" in ran.err


def test_an_encrypted_record_is_said_not_to_be_compared_and_nothing_is_asked_for(
    run: Run, tmp_path: Path, served: Served, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The practice server's process must never hold the key of a real record."""

    def nobody_asks() -> None:
        raise AssertionError("the passphrase was asked for")

    monkeypatch.setattr(rehearsal, "unlock", nobody_asks)
    (tmp_path / "day.db").write_bytes(b"\x8f" * 8192)
    how = ("--paper", str(tmp_path), "--keep", str(tmp_path / "kept"))
    ran = run("rehearse", str(SAMPLE), *how)
    assert ran.code == 0
    assert "could not be read, and was not compared" in ran.out
    assert (tmp_path / "day.db").read_bytes() == b"\x8f" * 8192
    assert len(served) == 1
