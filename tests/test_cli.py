"""The `tablebook` command, as it is typed."""

from __future__ import annotations

import io
import sqlite3
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

import pytest

from app import cli
from app.rules.phone_code import Binding, Change, ChangeCode, phone_code, read_secret

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


CODE = ("--election", "tern-2027-03-02", "--precinct", "4-07")


def test_a_secret_is_made_once_and_a_code_from_it_is_the_one_the_table_expects(
    run: Run, tmp_path: Path
) -> None:
    file = tmp_path / "phone-secret.txt"
    made = run("phone-secret", str(file))
    assert made.code == 0
    assert file.read_text().strip() not in made.out
    again = run("phone-secret", str(file))
    assert (again.code, "already there" in again.err) == (1, True)
    secret = ("--secret", str(file), *CODE, "--counter", "7", "--voter", "100000001")
    said = run("phone-code", "withdraw_mark", "voted_by_mail", *secret)
    change = Change(ChangeCode.WITHDRAW_MARK, "voted_by_mail")
    binding = Binding("tern-2027-03-02", "4-07", "100000001", change)
    expected = phone_code(read_secret(file.read_text()), binding, 7)
    assert (said.code, said.out.strip()) == (0, expected)


@pytest.mark.parametrize(
    ("arguments", "expected"),
    [
        (("pardon",), "mark_by_mail"),
        (("remove", "now"), "nothing"),
        (("set_button", "x"), "a button"),
        (("correct_detail", "voter_number=7"), "last_name"),
        (("correct_detail", "birth_date=5/17/1980"), "1980-05-17"),
        (("remove", "--voter", ""), "the voter's number"),
        (("remove", "--secret", "missing.txt"), "missing.txt"),
    ],
)
def test_a_code_that_cannot_be_made_is_one_clear_refusal(
    run: Run, tmp_path: Path, arguments: tuple[str, ...], expected: str
) -> None:
    file = tmp_path / "phone-secret.txt"
    file.write_text("07" * 32)
    usual = ("--voter", "1", "--secret", str(file), *CODE, "--counter", "1")
    refused = run("phone-code", *usual, *arguments)
    assert refused.code == 1
    assert expected in refused.err


def test_a_secret_that_is_none_makes_no_code_and_is_not_repeated(run: Run, tmp_path: Path) -> None:
    file = tmp_path / "phone-secret.txt"
    for content in (b"not a secret", b"\xff\xfe"):
        file.write_bytes(content)
        refused = run("phone-code", "remove", "--secret", str(file), *CODE, "--counter", "1")
        assert refused.code == 1
        assert "not a secret" not in refused.err


def test_the_running_number_begins_with_one(run: Run, tmp_path: Path) -> None:
    file = tmp_path / "phone-secret.txt"
    file.write_text("07" * 32)
    asked = ("--secret", str(file), *CODE, "--voter", "1", "--counter", "0")
    assert run("phone-code", "remove", *asked).code == 2
