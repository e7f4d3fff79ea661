"""The `tablebook` command, as it is typed."""

from __future__ import annotations

import io
import sqlite3
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

import pytest

from app import cli

SAMPLE = Path(__file__).parent.parent / "sample_rosters" / "tern-4-07"


@dataclass(frozen=True)
class Ran:
    code: int
    out: str
    err: str


Run = Callable[..., Ran]


@pytest.fixture
def run(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> Run:
    """Run the command against a record in a temporary folder."""
    monkeypatch.setenv("TABLEBOOK_DATABASE", f"sqlite:///{tmp_path.as_posix()}/day.db")
    monkeypatch.setenv("COLUMNS", "200")

    def ran(*arguments: str, stdin: str = "") -> Ran:
        monkeypatch.setattr("sys.argv", ["tablebook", *arguments])
        monkeypatch.setattr("sys.stdin", io.StringIO(stdin))
        with pytest.raises(SystemExit) as ended:
            cli.main()
        said = capsys.readouterr()
        return Ran(int(ended.value.code or 0), said.out, said.err)

    return ran


def test_a_package_is_loaded_found_in_and_verified(run: Run) -> None:
    loaded = run("load", str(SAMPLE))
    assert loaded.code == 0
    assert "1,814 lines" in loaded.out
    found = run("find", "quillfather")
    assert found.code in (0, 1)
    verified = run("verify")
    assert verified.code == 0
    assert verified.out.startswith("Holds: 1 entries, 1,814 lines, head ")


def test_a_day_is_not_loaded_over(run: Run) -> None:
    run("load", str(SAMPLE))
    again = run("load", str(SAMPLE))
    assert again.code == 1
    assert "holds a day already" in again.err


def test_a_package_with_faults_is_refused_whole_and_no_record_is_made(
    run: Run, tmp_path: Path
) -> None:
    package = tmp_path / "package"
    package.mkdir()
    for file in SAMPLE.iterdir():
        if file.name != "MANIFEST.json":
            (package / file.name).write_bytes(file.read_bytes())
    register = package / "register.csv"
    rows = register.read_text(encoding="utf-8").splitlines()
    rows[3] = rows[3].replace(rows[3].split(",")[5], "1987-02-30")
    rows.append(rows[1])
    register.write_text("\n".join(rows), encoding="utf-8")
    refused = run("load", str(package))
    assert refused.code == 1
    assert "1987-02-30" in refused.err
    assert "2 faults; nothing was loaded" in refused.err
    assert not (tmp_path / "day.db").exists()


def test_a_package_that_is_not_there_is_one_clear_refusal(run: Run, tmp_path: Path) -> None:
    refused = run("load", str(tmp_path / "nowhere"))
    assert refused.code == 1
    assert "nowhere" in refused.err
    assert "Traceback" not in refused.err


@pytest.mark.parametrize(
    "arguments", [("find", "smith"), ("verify",), ("serve",), ("worker", "list")]
)
def test_a_command_that_needs_a_record_says_so_and_leaves_none_behind(
    run: Run, tmp_path: Path, arguments: tuple[str, ...]
) -> None:
    refused = run(*arguments)
    assert refused.code == 1
    assert "tablebook load PACKAGE" in refused.err
    assert list(tmp_path.iterdir()) == []


def test_workers_are_added_with_a_pin_from_standard_input_and_listed(run: Run) -> None:
    run("load", str(SAMPLE))
    rosa = ("worker", "add", "--name", "Rosa Quill", "--initials", "rm", "--role", "worker")
    assert run(*rosa, "--pin-stdin", stdin="240713\n").code == 0
    twice = run(*rosa, "--pin-stdin", stdin="240713\n")
    assert twice.code == 1
    assert "initials: RM" in twice.err
    assert "Rosa Quill" in run("worker", "list").out
    assert run("worker", "unlock", "rm").code == 0
    assert run("worker", "unlock", "zz").code == 1


@pytest.mark.parametrize(
    ("role", "pin", "initials"),
    [("worker", "123", "RM"), ("worker", "abcdef", "RM"), ("king", "240713", "RM"),
     ("worker", "240713", "R1"), ("worker", "240713", "TOOLONG")],
)  # fmt: skip
def test_a_worker_that_cannot_be_added_is_refused_with_what_is_expected(
    run: Run, role: str, pin: str, initials: str
) -> None:
    run("load", str(SAMPLE))
    refused = run(
        "worker", "add", "--name", "X", "--initials", initials, "--role", role, "--pin-stdin",
        stdin=f"{pin}\n",
    )  # fmt: skip
    assert refused.code == 1
    assert "expected" in refused.err


def test_verify_names_the_entry_that_was_changed(run: Run, tmp_path: Path) -> None:
    run("load", str(SAMPLE))
    with sqlite3.connect(tmp_path / "day.db") as connection:
        connection.execute("UPDATE day_log SET station = 'elsewhere' WHERE seq = 1")
    connection.close()
    broken = run("verify")
    assert broken.code == 1
    assert "entry 1 was changed" in broken.err
    assert "call the registrar" in broken.err


def test_nobody_found_is_said_with_what_to_do(run: Run) -> None:
    run("load", str(SAMPLE))
    nobody = run("find", "zzzzqqqq")
    assert nobody.code == 1
    assert "call the registrar" in nobody.err


def test_an_unknown_command_is_exit_code_two_and_help_is_zero(run: Run) -> None:
    assert run("fnid").code == 2
    help_text = run("--help")
    assert help_text.code == 0
    for command in ("load", "serve", "verify", "find", "worker"):
        assert command in help_text.out
    assert run("--version").out.startswith("tablebook ")
