"""The commands about copies, as they are typed: `recover`, `worker pin`, what `serve` refuses."""

from __future__ import annotations

import os
import shutil
import socket
import sys
from pathlib import Path

import pytest

from _running_server import free_port
from app import server
from app.commands.console import Chosen
from app.commands.copies import copies_into
from app.commands.passphrase_typing import From
from app.commands.serving import Options, go_on_recording
from app.desk import following
from app.desk.following import Joined
from app.desk.irregularities import all_irregularities
from app.desk.standing_by import Pairing
from app.records import keyring
from app.records.carbon import carbon_into
from app.records.clock import SystemClock
from app.records.engine import open_for_writing
from app.records.replaced import Replaced, keep_replaced, replaced_by
from app.records.standby_epoch import raise_epoch
from app.records.standby_record import Followed, follow, followed_by
from app.records.store import open_store, verify_database
from app.records.writer import Writer
from app.rules.faults import CopyRefused, JoinCodeWrong
from tests.records.test_carbon import NAME, PASSPHRASE, Laptop, _made
from tests.test_cli import SAMPLE, Ran, Run, run

__all__ = ["run"]


@pytest.fixture
def laptop(tmp_path: Path) -> Laptop:
    made = Laptop(_made(tmp_path / "hall"))
    made.day(0, 2)
    return made


def test_a_day_is_recovered_from_its_carbon_and_not_over_another(
    run: Run, laptop: Laptop, tmp_path: Path
) -> None:
    target = f"sqlite:///{tmp_path.as_posix()}/recovered.db"
    done = run("recover", "--carbon", str(laptop.file), "--out", target)
    assert done.code == 0, done.err
    assert "Recovered and verified: 3 entries, 10 lines." in done.out
    assert "sign on anew" in done.out
    assert verify_database(target).holds
    again = run("recover", "--carbon", str(laptop.file), "--out", target)
    assert again.code == 1
    assert "already there: recovered.db" in again.err
    assert "into another folder" in again.err


@pytest.mark.parametrize("missing", ["bundle", "package"])
def test_a_mistyped_name_of_what_a_day_is_recovered_from_is_said_to_be_none(
    run: Run, tmp_path: Path, missing: str
) -> None:
    names = {"bundle": SAMPLE, "package": SAMPLE, missing: tmp_path / "mistyped"}
    given = [part for name, path in names.items() for part in (f"--{name}", str(path))]
    refused = run("recover", *given, "--out", f"sqlite:///{tmp_path.as_posix()}/recovered.db")
    assert refused.code == 1
    assert f"there is no file or folder {tmp_path / 'mistyped'}" in refused.err
    assert not list(tmp_path.iterdir())


@pytest.mark.parametrize("left", ["recovered.db-wal", "recovered.db.follows"])
def test_what_was_left_of_another_record_is_named_and_what_to_do_with_it(
    run: Run, laptop: Laptop, tmp_path: Path, left: str
) -> None:
    (tmp_path / left).write_bytes(b"somebody's")
    target = f"sqlite:///{tmp_path.as_posix()}/recovered.db"
    refused = run("recover", "--carbon", str(laptop.file), "--out", target)
    assert refused.code == 1
    assert left in refused.err
    assert "move everything that begins with recovered.db into another folder" in refused.err
    assert (tmp_path / left).read_bytes() == b"somebody's"
    assert not (tmp_path / "recovered.db").exists()


def test_a_folder_that_is_not_there_is_said_and_not_made(
    run: Run, laptop: Laptop, tmp_path: Path
) -> None:
    target = f"sqlite:///{tmp_path.as_posix()}/none/recovered.db"
    refused = run("recover", "--carbon", str(laptop.file), "--out", target)
    assert (refused.code, "there is no folder" in refused.err) == (1, True)
    assert "Traceback" not in refused.err
    assert not (tmp_path / "none").exists()


def test_a_torn_end_is_said(run: Run, laptop: Laptop, tmp_path: Path) -> None:
    laptop.file.write_bytes(laptop.file.read_bytes()[:-20])
    target = f"sqlite:///{tmp_path.as_posix()}/recovered.db"
    done = run("recover", "--carbon", str(laptop.file), "--out", target)
    assert done.code == 0
    assert "2 entries" in done.out
    assert "never finished" in done.out


@pytest.mark.parametrize(
    "arguments",
    [(), ("--carbon", "a", "--bundle", "b"), ("--bundle", "b")],
)
def test_what_is_missing_or_too_much_is_said(
    run: Run, tmp_path: Path, arguments: tuple[str, ...]
) -> None:
    target = f"sqlite:///{tmp_path.as_posix()}/recovered.db"
    refused = run("recover", *arguments, "--out", target)
    assert refused.code == 1
    assert "expected" in refused.err
    assert not (tmp_path / "recovered.db").exists()


def test_a_changed_byte_is_refused_with_its_line(run: Run, laptop: Laptop, tmp_path: Path) -> None:
    data = bytearray(laptop.file.read_bytes())
    data[60] ^= 1
    laptop.file.write_bytes(data)
    target = f"sqlite:///{tmp_path.as_posix()}/recovered.db"
    refused = run("recover", "--carbon", str(laptop.file), "--out", target)
    assert refused.code == 1
    assert "line 1" in refused.err


@pytest.mark.skipif(os.name == "nt", reason="descriptors are handed on otherwise")
def test_a_sealed_carbon_opens_with_the_passphrase_of_its_record_and_no_other(
    run: Run, tmp_path: Path
) -> None:
    from app.trust.passphrases import new_key

    laptop = Laptop(_made(tmp_path / "sealed"), new_key())
    laptop.day(0)
    keyring.lock(laptop.record)
    elsewhere = _made(tmp_path / "elsewhere")
    shutil.copy(laptop.file, elsewhere / NAME)
    target = f"sqlite:///{(elsewhere / 'recovered.db').as_posix()}"
    for typed, code in (("some other words entirely", 1), (PASSPHRASE, 0)):
        reading, writing = os.pipe()
        os.write(writing, f"{typed}\n".encode())
        os.close(writing)
        done = run(
            "--passphrase-fd", str(reading), "recover", "--carbon", str(elsewhere / NAME),
            "--out", target,
        )  # fmt: skip
        if From._file:
            From._file.close()
        From.read_from(None)
        assert done.code == code, done.err
        assert (elsewhere / "recovered.db").exists() is (code == 0)
    recovered = elsewhere / "recovered.db"
    assert keyring.slots_path(recovered).exists()
    assert not recovered.read_bytes().startswith(b"SQLite format 3")
    assert verify_database(target).holds
    keyring.lock(recovered)


def test_a_carbon_beside_the_record_is_refused_before_anything_is_served(
    run: Run, laptop: Laptop
) -> None:
    refused = run(
        "--database", laptop.url, "serve", "--carbon", str(laptop.record.parent), "--port", "1"
    )
    assert refused.code == 1
    assert "another folder" in refused.err


def test_a_record_that_is_behind_its_carbon_is_not_served(run: Run, laptop: Laptop) -> None:
    older = laptop.record.with_name("older.db")
    shutil.copy(laptop.record, older)
    laptop.day(3)
    older.replace(laptop.record)
    laptop.record.with_name("day.db.head").unlink(missing_ok=True)
    refused = run("--database", laptop.url, "serve", "--carbon", str(laptop.stick), "--port", "1")
    assert refused.code == 1
    assert "tablebook recover" in refused.err


def test_a_carbon_is_kept_of_a_file_alone(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    monkeypatch.setattr(Chosen, "url", "postgresql://somewhere/day")
    with pytest.raises(CopyRefused):
        copies_into(tmp_path)
    assert copies_into(None) == ()


def test_a_worker_gets_another_pin_and_nobody_unknown_does(run: Run, laptop: Laptop) -> None:
    at = ("--database", laptop.url, "worker")
    add = ("add", "--name", "Greta", "--initials", "GS", "--role", "lead", "--pin-stdin")
    assert run(*at, *add, stdin="240713\n").code == 0
    assert run(*at, "pin", "gs", "--pin-stdin", stdin="518206\n").code == 0
    assert run(*at, "pin", "zz", "--pin-stdin", stdin="518206\n").code == 1
    short = run(*at, "pin", "gs", "--pin-stdin", stdin="12\n")
    assert (short.code, "6 to 12 digits" in short.err) == (1, True)


def test_a_day_that_was_recovered_goes_on(run: Run, laptop: Laptop, tmp_path: Path) -> None:
    new = _made(tmp_path / "new") / "recovered.db"
    url = f"sqlite:///{new.as_posix()}"
    assert run("recover", "--carbon", str(laptop.file), "--out", url).code == 0
    copy_to = [carbon_into(laptop.stick, new)]
    with open_store(url, SystemClock(), copy_to=copy_to) as store:
        laptop.sign(store, 5)
        assert store.copies.states[0].why is None
    assert verify_database(url).holds


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        (("follow",), "code"),
        (("follow", "http://192.0.2.7:8408", "--code", "3467 " * 6), "https"),
        (("follow", "https://127.0.0.1:1", "--code", "short"), "code"),
        (("promote", "--reason", " "), "why this laptop takes over"),
        (("promote", "--reason", "gone"), "record"),
    ],
)
def test_the_second_laptop_s_commands_say_what_is_wrong_and_leave_nothing(
    run: Run, tmp_path: Path, arguments: tuple[str, ...], said: str
) -> None:
    at = ("--port", str(free_port())) if arguments[0] == "follow" else ()
    refused = run(*arguments, *at)
    assert refused.code == 1
    assert said in refused.err
    assert not list(tmp_path.iterdir())


@pytest.mark.parametrize(
    ("option", "value", "said"),
    [
        ("--stations", "192.0.2.7:8408", "no address of this laptop"),
        ("--stations", "0.0.0.0", "name one address"),
        ("--carbon", ".", "another folder"),
    ],
)
def test_what_cannot_be_had_after_taking_over_is_said_before_it_follows(
    run: Run, tmp_path: Path, option: str, value: str, said: str
) -> None:
    code = Pairing(b"").code.replace(" ", "-")
    given = str(tmp_path) if value == "." else value
    follow = ("follow", "http://127.0.0.1:1", "--code", code, "--port", str(free_port()))
    database = f"sqlite:///{tmp_path.as_posix()}/standby.db"
    refused = run("--database", database, *follow, option, given)
    assert refused.code in (1, 2)
    assert said in refused.err
    assert not list(tmp_path.iterdir())


def test_a_port_that_is_taken_does_not_cost_the_code(run: Run, tmp_path: Path) -> None:
    with socket.create_server(("127.0.0.1", 0)) as taken:
        port = taken.getsockname()[1]
        code = Pairing(b"").code.replace(" ", "-")
        refused = run("follow", "http://127.0.0.1:1", "--code", code, "--port", str(port))
    assert (refused.code, "another program listens" in refused.err) == (1, True)


CODE = Pairing(b"").code.replace(" ", "-")


def follow_encrypted(run: Run, folder: Path, *before: str, stdin: str = "") -> Ran:
    database = f"sqlite:///{folder.as_posix()}/standby.db"
    options = ("--code", CODE, "--encrypted", "--port", str(free_port()))
    try:
        return run(
            *("--database", database, *before, "follow", "http://127.0.0.1:1", *options),
            stdin=stdin,
        )
    finally:
        From.read_from(None)


def test_a_passphrase_that_will_not_do_says_that_the_code_is_used_up_and_leaves_nothing(
    run: Run, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    joined = Joined(Followed("http://127.0.0.1:1", "", "secret"), encrypted=True, officers=1)
    monkeypatch.setattr(following, "join", lambda *_: joined)
    refused = follow_encrypted(run, tmp_path, "--passphrase-fd", "0", stdin="short\n")
    assert refused.code == 1
    assert "the code is used up. The lead makes another one at the first laptop" in refused.err
    assert not list(tmp_path.iterdir())


def test_where_no_passphrase_can_be_asked_for_the_code_is_not_used_up(
    run: Run, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    asked: list[str] = []
    monkeypatch.setattr(following, "join", lambda url, _: asked.append(url))
    refused = follow_encrypted(run, tmp_path)
    assert (refused.code, "no terminal to ask on" in refused.err) == (1, True)
    assert (asked, list(tmp_path.iterdir())) == ([], [])


def test_a_code_that_is_used_up_says_where_another_one_is_made(
    run: Run, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def used_up(*_: str) -> Joined:
        raise JoinCodeWrong

    monkeypatch.setattr(following, "join", used_up)
    refused = follow_encrypted(run, tmp_path, "--passphrase-fd", "0")
    assert refused.code == 1
    assert "used up or too old. The lead makes another one at the first laptop" in refused.err
    assert "()" not in refused.err


def test_what_is_said_at_taking_over_is_said_once_though_no_station_can_be_served(
    laptop: Laptop, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    served: list[object] = []

    def serve(*_: object, stations: object, **__: object) -> None:
        # Whatever ends the serving is not told as a failure within that of the stations.
        assert sys.exc_info()[0] is None
        served.append(stations)

    monkeypatch.setattr(server, "serve", serve)
    monkeypatch.setattr(Chosen, "url", laptop.url)
    with socket.create_server(("127.0.0.1", 0)) as taken:
        place = f"127.0.0.1:{taken.getsockname()[1]}"
        options = Options("127.0.0.1", free_port(), stations=place, carbon=laptop.stick)
        go_on_recording(options, taken)
    told = capsys.readouterr()
    assert served == [None]
    for line in ("Second copy:", "NOT ENCRYPTED"):
        assert told.out.count(line) == 1, line
    for line in ("Going on without --stations", "on the same disk"):
        assert told.err.count(line) == 1, line
    with open_store(laptop.url, SystemClock()) as store:
        (found,) = store.read(all_irregularities)
    assert found.entry.body["code"] == "stations-not-served"


def test_a_taking_over_that_was_cut_short_is_settled_before_anything_is_served(
    run: Run, laptop: Laptop
) -> None:
    followed = Followed("https://192.0.2.7:8408", "", "secret")
    database = laptop.record
    follow(database, followed)
    keep_replaced(database, Replaced(followed, 1))
    # The act is not there: it follows as before.
    refused = run("--database", laptop.url, "serve", "--port", "1")
    assert (refused.code, "follows another laptop" in refused.err) == (1, True)
    assert replaced_by(database) is None
    keep_replaced(database, Replaced(followed, 1))
    engine = open_for_writing(laptop.url)
    writer = Writer(engine, SystemClock())
    writer.write(raise_epoch)
    writer.close()
    # The act is there: it follows nobody any more, and the other one is still to be told.
    refused = run("--database", laptop.url, "promote", "--reason", "gone")
    assert (refused.code, "follows nobody" in refused.err) == (1, True)
    assert followed_by(database) is None
    assert replaced_by(database) == Replaced(followed, 1)


def test_promoting_says_that_the_other_one_was_not_reached_and_keeps_whom_to_tell(
    run: Run, laptop: Laptop
) -> None:
    followed = Followed("http://127.0.0.1:1", "", "secret")
    follow(laptop.record, followed)
    done = run("--database", laptop.url, "promote", "--reason", "gone")
    assert (done.code, "IF IT STILL RUNS" in done.out) == (0, True)
    assert f"  tablebook --database {laptop.url} serve --port 8427\n" in done.out
    assert "with the --carbon and --stations that follow was given" in done.out
    assert replaced_by(laptop.record) == Replaced(followed, 1)
    assert verify_database(laptop.url).holds


def test_a_record_that_follows_nobody_is_not_promoted_or_followed_into(
    run: Run, laptop: Laptop
) -> None:
    refused = run("--database", laptop.url, "promote", "--reason", "gone")
    assert (refused.code, "follows nobody" in refused.err) == (1, True)
    at = ("--port", str(free_port()))
    refused = run("--database", laptop.url, "follow", "https://127.0.0.1:1", "--code", "x", *at)
    assert (refused.code, "holds a day already" in refused.err) == (1, True)
