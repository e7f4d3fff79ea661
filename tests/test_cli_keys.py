"""The commands about passphrases, as they are typed: on a terminal or from a descriptor."""

from __future__ import annotations

import io
import os
import re
import subprocess
import sys
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest

from app import cli
from app.commands import console, keys, passphrase_typing
from app.records import keyring, queries, unlocking
from app.records.clock import SystemClock
from app.records.store import open_store, verify_database
from app.trust import passphrases
from app.trust.passphrases import SlotKind
from tests.test_cli import SAMPLE, Ran

PROJECT = Path(__file__).parent.parent
HERONS, EGRETS = "eleven herons wade", "twelve egrets stand"
OFFICERS = ("north gate 7", "south door 3")

Run = Callable[..., Ran]


@pytest.fixture(autouse=True)
def quick(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(passphrases, "MEMORY_KIB", 64)
    monkeypatch.setattr(passphrases, "PASSES", 1)


@pytest.fixture
def path(tmp_path: Path) -> Path:
    return tmp_path / "day.db"


@pytest.fixture
def run(
    path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> Iterator[Run]:
    """Run a command with these lines on its descriptor; each time as a process anew."""
    monkeypatch.setenv("TABLEBOOK_DATABASE", f"sqlite:///{path.as_posix()}")
    monkeypatch.setenv("COLUMNS", "200")
    monkeypatch.setattr(console, "keep_to_this_process", lambda: None)
    monkeypatch.setattr(cli, "keep_to_this_process", lambda: None)

    def ran(*arguments: str, typed: tuple[str, ...] = (), stdin: str = "") -> Ran:
        keyring.lock(path)
        said = "".join(f"{line}\n" for line in typed) + stdin
        fd = ["--passphrase-fd", "0"] if typed else []
        monkeypatch.setattr("sys.argv", ["tablebook", *fd, *arguments])
        monkeypatch.setattr("sys.stdin", io.StringIO(said))
        with pytest.raises(SystemExit) as ended:
            cli.main()
        told = capsys.readouterr()
        return Ran(int(ended.value.code or 0), told.out, told.err)

    yield ran
    keyring.lock(path)
    passphrase_typing.From.read_from(None)


@pytest.fixture
def encrypted(run: Run) -> Run:
    assert run("load", str(SAMPLE), "--encrypted", typed=(HERONS,)).code == 0
    return run


def unlocked(path: Path, *parts: str) -> None:
    unlocking.unlock(path, list(parts))


def test_a_package_is_loaded_encrypted_and_opened_again(encrypted: Run, path: Path) -> None:
    assert not path.read_bytes().startswith(b"SQLite format 3")
    verified = encrypted("verify", typed=(HERONS,))
    assert verified.out.startswith("Holds: 1 entries, 1,814 lines")
    assert encrypted("find", "abernathy", typed=(HERONS,)).code == 0


@pytest.mark.parametrize(
    "arguments",
    [("find", "abernathy"), ("verify",), ("serve",), ("close",), ("worker", "list"),
     ("keys", "add"), ("keys", "remove", "1"), ("keys", "recovery")],
)  # fmt: skip
def test_every_command_that_opens_a_record_asks_and_a_wrong_answer_opens_nothing(
    encrypted: Run, path: Path, arguments: tuple[str, ...]
) -> None:
    before = path.read_bytes()
    refused = encrypted(*arguments, typed=(EGRETS,))
    assert refused.code == 1
    assert "that is not it" in refused.err
    assert "1 wrong try is counted" in refused.err
    assert path.read_bytes() == before
    nobody = encrypted(*arguments)
    assert nobody.code == 1
    assert "--passphrase-fd" in nobody.err


def test_what_was_typed_is_in_no_message(encrypted: Run) -> None:
    for arguments, typed in (
        (("find", "x"), EGRETS),
        (("find", "x"), "short"),
        (("keys", "add"), EGRETS),
    ):
        ran = encrypted(*arguments, typed=(typed,))
        assert typed not in ran.out + ran.err


@pytest.mark.parametrize(
    ("typed", "expected"),
    [
        (("fourteen chars",), "15 to 256 characters"),
        (("aaaaaaaaaaaaaaaaaaaa",), "6 different characters"),
        (("x" * 200 + "abcdefgh" * 10,), "15 to 256 characters"),
    ],
)
def test_a_passphrase_that_will_not_do_is_refused_and_nothing_is_made(
    run: Run, path: Path, typed: tuple[str, ...], expected: str
) -> None:
    refused = run("load", str(SAMPLE), "--encrypted", typed=typed)
    assert refused.code == 1
    assert expected in refused.err
    assert list(path.parent.iterdir()) == []


def test_a_package_with_faults_asks_for_nothing(run: Run, path: Path) -> None:
    refused = run("load", str(path.parent / "nowhere"), "--encrypted", typed=(HERONS,))
    assert refused.code == 1
    assert list(path.parent.iterdir()) == []


def two_officers(folder: Path) -> Path:
    """The sample, whose policy asks for two officers."""
    package = folder / "package"
    package.mkdir()
    for file in SAMPLE.iterdir():
        if file.is_file() and file.name != "MANIFEST.json":
            (package / file.name).write_bytes(file.read_bytes())
    election = package / "election.toml"
    text = election.read_text(encoding="utf-8")
    setting = "[policy]\npassphrase_officers = 2\n"
    election.write_text(text.replace("[policy]\n", setting), encoding="utf-8")
    return package


def test_where_the_policy_says_so_two_officers_type_a_part_each(
    run: Run, path: Path, tmp_path_factory: pytest.TempPathFactory
) -> None:
    package = two_officers(tmp_path_factory.mktemp("two"))
    assert run("load", str(package), "--encrypted", typed=OFFICERS).code == 0
    assert "two officers, a part each" in run("keys", "list").out
    assert run("verify", typed=OFFICERS).code == 0
    for wrong in ((HERONS, HERONS), OFFICERS[::-1], (OFFICERS[0], "south door 4")):
        assert run("verify", typed=wrong).code == 1
    same = run("keys", "add", typed=(*OFFICERS, "the same part", "the same part"))
    assert "two different parts" in same.err
    added = run(
        "keys", "add", "--name", "deputies", typed=(*OFFICERS, "east gate 5", "west door 9")
    )
    assert added.code == 0
    assert run("verify", typed=("east gate 5", "west door 9")).code == 0
    code = recovery_code(run, OFFICERS)
    assert run("verify", typed=(code,)).code == 0


def recovery_code(run: Run, typed: tuple[str, ...] = (HERONS,)) -> str:
    made = run("keys", "recovery", typed=typed)
    assert made.code == 0
    (code,) = re.findall(r"(?:[2-9A-Z]{5}-){7}[2-9A-Z]{5}", made.out)
    return str(code)


def test_a_forgotten_passphrase_is_replaced_with_the_recovery_code(
    encrypted: Run, path: Path
) -> None:
    code = recovery_code(encrypted)
    assert encrypted("keys", "add", typed=(code.lower(), EGRETS)).code == 0
    assert encrypted("keys", "remove", "1", typed=(EGRETS,)).code == 0
    assert encrypted("verify", typed=(HERONS,)).code == 1
    assert encrypted("verify", typed=(EGRETS,)).code == 0
    slots = encrypted("keys", "list").out
    assert "a recovery code on paper" in slots
    assert code not in slots


def test_the_last_passphrase_stays(encrypted: Run) -> None:
    recovery_code(encrypted)
    refused = encrypted("keys", "remove", "1", typed=(HERONS,))
    assert refused.code == 1
    assert "last passphrase" in refused.err
    assert encrypted("keys", "remove", "7", typed=(HERONS,)).code == 1


def test_a_record_in_clear_is_encrypted_in_place(run: Run, path: Path) -> None:
    run("load", str(SAMPLE))
    worker = ("worker", "add", "--name", "Rosa Quill", "--initials", "RM", "--role", "lead")
    assert run(*worker, "--pin-stdin", stdin="240713\n").code == 0
    (path.parent / "day.db.finding").write_bytes(b"names in clear")
    done = run("encrypt", typed=(HERONS,))
    assert done.code == 0, done.err
    assert "can be brought back" in done.out
    assert not path.read_bytes().startswith(b"SQLite format 3")
    assert not (path.parent / "day.db.finding").exists()
    assert "Rosa Quill" in run("worker", "list", typed=(HERONS,)).out
    assert "encrypted already" in run("encrypt", typed=(HERONS,)).err
    unlocked(path, HERONS)
    with open_store(f"sqlite:///{path.as_posix()}", SystemClock()) as store:
        (entry,) = store.read(lambda c: queries.entries_of(c, "storage.keys_changed"))
    assert entry.body["change"] == "encrypted"


def test_encrypting_that_was_begun_is_ended_with_the_passphrase_chosen_then(
    run: Run, path: Path
) -> None:
    run("load", str(SAMPLE))
    unlocking.make_slots(path, passphrases.SlotKind.PASSPHRASE, "first", [HERONS])
    stuck = run("verify", typed=(HERONS,))
    assert stuck.code == 1
    assert "run: tablebook encrypt" in stuck.err
    assert run("encrypt", typed=(HERONS,)).code == 0
    assert run("verify", typed=(HERONS,)).code == 0


def test_a_key_beside_no_record_is_not_loaded_over(run: Run, path: Path) -> None:
    unlocking.make_slots(path, passphrases.SlotKind.PASSPHRASE, "first", [HERONS])
    for option in ([], ["--encrypted"]):
        refused = run("load", str(SAMPLE), *option, typed=(EGRETS,))
        assert refused.code == 1
        assert "stands there without its record" in refused.err
    assert not path.exists()


def test_commands_about_keys_say_so_where_a_record_is_not_encrypted(run: Run) -> None:
    run("load", str(SAMPLE))
    for arguments in (("list",), ("add",), ("remove", "1"), ("recovery",)):
        refused = run("keys", *arguments)
        assert refused.code == 1
        assert "tablebook encrypt" in refused.err


def test_a_descriptor_that_is_none_or_has_no_line_is_refused(encrypted: Run) -> None:
    for number, expected in (("99", "open descriptor"), ("0", "none left")):
        refused = encrypted("--passphrase-fd", number, "verify")
        assert refused.code == 1
        assert expected in refused.err


def test_on_a_terminal_it_is_asked_three_times_unseen_and_then_no_more(
    encrypted: Run, path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    asked: list[str] = []

    def typed(answers: list[str]) -> Callable[[str], str]:
        def answer(prompt: str) -> str:
            asked.append(prompt)
            return answers.pop(0)

        return answer

    terminal = io.StringIO()
    monkeypatch.setattr(terminal, "isatty", lambda: True, raising=False)
    monkeypatch.setattr(passphrase_typing.sys, "stdin", terminal)
    for answers, opens in (([EGRETS, "", HERONS], True), ([EGRETS] * 3, False)):
        keyring.lock(path)
        asked.clear()
        monkeypatch.setattr(passphrase_typing.getpass, "getpass", typed(list(answers)))
        console.Chosen.url = f"sqlite:///{path.as_posix()}"
        passphrase_typing.From.read_from(None)
        if opens:
            console.unlock()
        else:
            with pytest.raises(Exception, match="storage-refused"):
                console.unlock()
        assert len(asked) == 3
        assert keyring.is_unlocked(path) is opens


def test_a_new_passphrase_is_typed_twice_on_a_terminal_in_three_tries_at_most(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    passphrase_typing.From.read_from(None)
    answers = [HERONS, EGRETS] * 4
    monkeypatch.setattr(passphrase_typing.sys.stdin, "isatty", lambda: True, raising=False)
    monkeypatch.setattr(passphrase_typing.getpass, "getpass", lambda _: answers.pop(0))
    with pytest.raises(Exception, match="the same both times"):
        passphrase_typing.ask_new(1)
    assert len(answers) == 2


def test_a_new_passphrase_is_asked_for_again_until_it_was_typed_alike_and_will_do(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    passphrase_typing.From.read_from(None)
    monkeypatch.setattr(passphrase_typing.sys.stdin, "isatty", lambda: True, raising=False)
    answers = [HERONS, EGRETS, "short", "short", HERONS, HERONS]
    monkeypatch.setattr(passphrase_typing.getpass, "getpass", lambda _: answers.pop(0))
    kind, parts = passphrase_typing.ask_new(1)
    assert (kind, parts, answers) == (SlotKind.PASSPHRASE, [HERONS], [])
    said = capsys.readouterr().err
    assert "expected the same both times" in said
    assert said.count("Once again.") == 2
    assert HERONS not in said


def test_a_command_in_a_process_of_its_own_keeps_the_passphrase_to_itself(
    run: Run, path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Really as a command: the descriptor is a pipe, and what fails is told without its content."""
    monkeypatch.setattr(passphrases, "MEMORY_KIB", 64 * 1024)
    monkeypatch.setattr(passphrases, "PASSES", 3)
    assert run("load", str(SAMPLE), "--encrypted", typed=(HERONS,)).code == 0
    out, into = os.pipe()
    os.write(into, b"\xff\xfe not text\n")
    os.close(into)
    ran = subprocess.run(
        [sys.executable, "-m", "app.cli", "--passphrase-fd", str(out), "verify"],
        cwd=PROJECT,
        capture_output=True,
        text=True,
        pass_fds=(out,),
    )
    os.close(out)
    assert ran.returncode == 1
    assert "UTF-8" in ran.stderr
    assert "Traceback" not in ran.stderr
    assert "not text" not in ran.stdout + ran.stderr


def test_wiping_takes_the_keys_too(encrypted: Run, path: Path) -> None:
    from app.desk.wiping import _COMPANIONS

    assert {".keys", ".keys.tries", ".head"} <= set(_COMPANIONS)
    unlocked(path, HERONS)
    assert verify_database(f"sqlite:///{path.as_posix()}").holds


@pytest.mark.parametrize("in_clear", [[], ["/dev/sda2"]])
def test_at_the_start_it_is_said_where_memory_may_be_written_in_clear(
    run: Run,
    path: Path,
    monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
    in_clear: list[str],
) -> None:
    assert run("load", str(SAMPLE), "--encrypted", typed=(HERONS, HERONS)).code == 0
    monkeypatch.setattr(keys, "swaps_in_clear", lambda: in_clear)
    keys.say_how_it_is_kept(path)
    said = capsys.readouterr().out
    assert "nobody reads this record off the disk" in said
    assert ("may write its memory to /dev/sda2" in said) is bool(in_clear)
