"""The process killed at each step of changing what opens a record: it opens still, old or new.

A kill is `os._exit` before one call to the system, in a child that was forked for it; what a
power cut leaves is held by the order of the calls: write, sync, rename, sync of the folder.
"""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

from _running_server import PROJECT
from app.records import keyring, unlocking
from app.records.clock import SystemClock
from app.records.engine import is_in_clear
from app.records.store import open_store, verify_database
from app.trust import passphrases
from app.trust.passphrases import SlotKind, WrongPassphrase
from tests.records.conftest import load

pytestmark = [
    pytest.mark.survival,
    pytest.mark.skipif(not hasattr(os, "fork"), reason="kills a forked child at each step"),
]

OLD, NEW = "eleven herons wade", "twelve egrets stand"

# Takes a folder with a record, and beside it makes one for each step at which the change dies.
DIES_AT_EACH_STEP = """
import os, shutil, sys
from pathlib import Path

import sqlcipher3.dbapi2 as sqlite
from app.records import encrypting, keyring, unlocking
from app.records.clock import SystemClock
from app.records.store import open_store
from app.trust import passphrases
from app.trust.passphrases import SlotKind

OLD, NEW = "eleven herons wade", "twelve egrets stand"
# What Argon2id costs is held elsewhere; here it is made for every step.
passphrases.MEMORY_KIB, passphrases.PASSES = 64, 1

def added(path, url):
    unlocking.unlock(path, [OLD])
    with open_store(url, SystemClock()) as store:
        unlocking.add_slot(store, path, SlotKind.PASSPHRASE, "new", [NEW])

def removed(path, url):
    unlocking.unlock(path, [OLD])
    with open_store(url, SystemClock()) as store:
        unlocking.remove_slot(store, path, 2)

def encrypted(path, url):
    unlocking.make_slots(path, SlotKind.PASSPHRASE, "first", [OLD])
    encrypting.encrypt(path)

def dying(die_at):
    calls = 0
    def counted(call):
        def run(*arguments, **named):
            nonlocal calls
            calls += 1
            if calls == die_at:
                os._exit(9)
            return call(*arguments, **named)
        return run
    for name in ("open", "fsync", "replace", "unlink", "write"):
        setattr(os, name, counted(getattr(os, name)))
    # SQLite writes by itself: that it is opened counts.
    sqlite.connect = counted(sqlite.connect)

whole, change = Path(sys.argv[1]), {"added": added, "removed": removed, "encrypted": encrypted}
change = change[sys.argv[2]]
for die_at in range(1, 100):
    folder = whole.with_name(f"step-{die_at:03}")
    shutil.copytree(whole, folder)
    child = os.fork()
    if child == 0:
        try:
            dying(die_at)
            path = folder / "day.db"
            change(path, f"sqlite:///{path.as_posix()}")
        except BaseException as fault:
            print(repr(fault), file=sys.stderr)
            os._exit(1)
        os._exit(0)
    code = os.waitstatus_to_exitcode(os.waitpid(child, 0)[1])
    if code != 9:
        sys.exit(code)
"""


def killed_at_each_step(whole: Path, change: str) -> list[Path]:
    """The record as each kill left it, in the order of the steps; the last one ran through."""
    code = [sys.executable, "-c", DIES_AT_EACH_STEP, str(whole), change]
    ran = subprocess.run(
        code, cwd=PROJECT, env={**os.environ, "PYTHONPATH": str(PROJECT)}, check=False
    )
    assert ran.returncode == 0
    return [folder / "day.db" for folder in sorted(whole.parent.glob("step-*"))]


def opens_with(path: Path, passphrase: str) -> bool:
    try:
        unlocking.unlock(path, [passphrase])
        found = verify_database(f"sqlite:///{path.as_posix()}")
    except WrongPassphrase:
        return False
    finally:
        keyring.lock(path)
    assert found.holds, found.fault
    return True


@pytest.fixture(autouse=True)
def quick(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(passphrases, "MEMORY_KIB", 64)
    monkeypatch.setattr(passphrases, "PASSES", 1)


def encrypted_day(folder: Path) -> Path:
    folder.mkdir()
    unlocking.make_slots(folder / "day.db", SlotKind.PASSPHRASE, "first", [OLD])
    loaded_day(folder)
    keyring.lock(folder / "day.db")
    return folder


def loaded_day(folder: Path) -> str:
    url = f"sqlite:///{(folder / 'day.db').as_posix()}"
    with open_store(url, SystemClock()) as store:
        load(store)
    return url


def test_a_record_opens_wherever_adding_a_passphrase_was_killed(tmp_path: Path) -> None:
    steps = killed_at_each_step(encrypted_day(tmp_path / "whole"), "added")
    assert len(steps) > 8
    assert all(opens_with(path, OLD) for path in steps)
    new = [opens_with(path, NEW) for path in steps]
    # Once it opens with the new one it does so ever after.
    assert new == sorted(new)
    assert (new[0], new[-1]) == (False, True)


def test_a_record_opens_wherever_removing_a_passphrase_was_killed(tmp_path: Path) -> None:
    added = killed_at_each_step(encrypted_day(tmp_path / "whole"), "added")[-1]
    again = tmp_path / "again"
    again.mkdir()
    shutil.copytree(added.parent, again / "whole")
    steps = killed_at_each_step(again / "whole", "removed")
    assert len(steps) > 8
    assert all(opens_with(path, OLD) for path in steps)
    new = [opens_with(path, NEW) for path in steps]
    assert new == sorted(new, reverse=True)
    assert (new[0], new[-1]) == (True, False)


def test_a_record_is_whole_wherever_encrypting_it_was_killed(tmp_path: Path) -> None:
    whole = tmp_path / "whole"
    whole.mkdir()
    entries = verify_database(loaded_day(whole)).entries
    steps = killed_at_each_step(whole, "encrypted")
    in_clear = [is_in_clear(path) for path in steps]
    assert in_clear == sorted(in_clear, reverse=True)
    assert (in_clear[0], in_clear[-1]) == (True, False)
    for path in steps:
        if not is_in_clear(path):
            assert opens_with(path, OLD)
            continue
        # The record itself is untouched; `tablebook encrypt` ends what was begun.
        keyring.slots_path(path).unlink(missing_ok=True)
        found = verify_database(f"sqlite:///{path.as_posix()}")
        assert (found.holds, found.entries) == (True, entries)
