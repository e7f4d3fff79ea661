"""The carbon: a copy in a file, durable before an answer, and the record it gives back."""

from __future__ import annotations

import json
import os
import shutil
import time
from collections.abc import Callable, Iterator
from pathlib import Path
from tempfile import TemporaryDirectory

import pytest
from sqlalchemy import Connection

from app.records import carbon, changes, copies, keyring, queries
from app.records.carbon import carbon_into
from app.records.carbon_file import CarbonBroken, Reading
from app.records.carbon_reading import held_by, put_together
from app.records.clock import SystemClock
from app.records.copies import Standing, Why
from app.records.engine import open_for_writing
from app.records.store import Store, open_store
from app.records.verify import verify
from app.rules.faults import CopyRefused, RecordBehindCarbon
from app.trust.passphrases import SlotKind, add_slot, new_key, typed_secret, write_slots
from app.trust.sealing import Sealer, Use, subkey
from tests.records.conftest import Loaded, load
from tests.records.test_changes import Dump, dump

PATIENCE = 20.0
NAME = "carbon-4-07-2027-03-02.jsonl"
PASSPHRASE = "the fourth heron of Tern County"


class Laptop:
    """A loaded record with a place for a stick beside it; encrypted where there is a `key`."""

    def __init__(self, folder: Path, key: bytes | None = None) -> None:
        self.record = folder / "laptop" / "day.db"
        self.stick = folder / "stick"
        self.record.parent.mkdir()
        self.stick.mkdir()
        self.url = f"sqlite:///{self.record.as_posix()}"
        if key:
            secret = typed_secret(SlotKind.PASSPHRASE, [PASSPHRASE])
            slot = add_slot([], key, SlotKind.PASSPHRASE, "x", secret)
            write_slots(keyring.slots_path(self.record), [slot])
            keyring.unlock(self.record, key)
        with open_store(self.url, SystemClock()) as store:
            self.lines = load(store)

    @property
    def file(self) -> Path:
        return self.stick / NAME

    def open(self) -> Store:
        return Store(self.url, SystemClock(), copy_to=[carbon_into(self.stick, self.record)])

    def sign(self, store: Store, *places: int) -> None:
        for place in places:
            Loaded(self.url, store, self.lines).sign(place)

    def day(self, *places: int) -> Dump:
        """Open, sign at these places, close; what the record then holds."""
        store = self.open()
        self.sign(store, *places)
        found = store.read(dump)
        store.close()
        return found


@pytest.fixture
def laptop(tmp_path: Path) -> Laptop:
    return Laptop(tmp_path)


@pytest.fixture
def quick(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(copies, "RETRY_SECONDS", 0.02)


@pytest.fixture
def elsewhere(tmp_path: Path) -> Iterator[Connection]:
    """An empty database on a laptop that never had the record."""
    engine = open_for_writing(f"sqlite:///{tmp_path.as_posix()}/elsewhere.db")
    with engine.connect() as connection:
        yield connection
        connection.rollback()
    engine.dispose()


def until(is_so: object) -> None:
    deadline = time.monotonic() + PATIENCE
    while not is_so():  # type: ignore[operator]
        assert time.monotonic() < deadline, "it never came"
        time.sleep(0.005)


def is_in_step(store: Store) -> bool:
    return store.copies.states[0].standing is Standing.IN_STEP


def test_the_whole_record_comes_back_from_the_file_alone(
    laptop: Laptop, elsewhere: Connection
) -> None:
    kept = laptop.day(0, 3, 5)
    put = put_together(elsewhere, laptop.file)
    assert dump(elsewhere) == kept
    assert verify(elsewhere).holds
    assert put.head == queries.head(elsewhere)
    assert not put.is_torn


def test_an_acknowledged_signature_is_in_the_file_when_it_is_acknowledged(laptop: Laptop) -> None:
    store = laptop.open()
    laptop.sign(store, 0)
    assert "token-for-line-0000" in laptop.file.read_text(encoding="utf-8")
    assert held_by(laptop.file).head == store.read(queries.head)
    store.close()


def test_the_sync_comes_before_the_answer(laptop: Laptop, monkeypatch: pytest.MonkeyPatch) -> None:
    """Seen in the order of calls: the write, its sync, and only then the answer."""
    store, calls = laptop.open(), list[str]()
    real_sync, real_write = os.fsync, os.write
    carbons = laptop.file.stat().st_ino

    def note(what: str, descriptor: int) -> None:
        if os.fstat(descriptor).st_ino == carbons:
            calls.append(what)

    def sync(descriptor: int) -> None:
        real_sync(descriptor)
        note("sync", descriptor)

    def write(descriptor: int, data: bytes) -> int:
        note("write", descriptor)
        return real_write(descriptor, data)

    monkeypatch.setattr(os, "fsync", sync)
    monkeypatch.setattr(os, "write", write)
    laptop.sign(store, 0)
    calls.append("answer")
    store.close()
    assert calls == ["write", "sync", "answer"]


def test_the_day_goes_on_in_the_same_file(laptop: Laptop, elsewhere: Connection) -> None:
    laptop.day(0)
    before = laptop.file.stat().st_ino
    kept = laptop.day(2)
    assert laptop.file.stat().st_ino == before
    put_together(elsewhere, laptop.file)
    assert dump(elsewhere) == kept


def test_a_file_that_is_behind_is_written_anew(laptop: Laptop, elsewhere: Connection) -> None:
    laptop.day(0)
    with open_store(laptop.url, SystemClock()) as store:
        laptop.sign(store, 2)
    kept = laptop.day(3)
    put_together(elsewhere, laptop.file)
    assert dump(elsewhere) == kept


def test_a_folder_that_is_taken_away_is_noticed_and_never_made_again_by_itself(
    laptop: Laptop, quick: None, elsewhere: Connection
) -> None:
    store = laptop.open()
    laptop.sign(store, 0)
    shutil.rmtree(laptop.stick)
    laptop.sign(store, 2)
    assert store.copies.states[0].why is Why.GONE
    time.sleep(0.1)
    assert not laptop.stick.exists()
    laptop.stick.mkdir()
    until(lambda: is_in_step(store))
    laptop.sign(store, 3)
    kept = store.read(dump)
    store.close()
    put_together(elsewhere, laptop.file)
    assert dump(elsewhere) == kept


def test_a_file_that_is_removed_while_it_is_open_is_noticed(laptop: Laptop, quick: None) -> None:
    """Writing goes on without any error then, into a file that nobody can ever open."""
    store = laptop.open()
    laptop.file.unlink()
    laptop.sign(store, 0)
    until(lambda: is_in_step(store))
    until(lambda: held_by(laptop.file).no == store.read(changes.change_no))
    kinds = {e.kind for e in store.read(lambda c: list(queries.entries_after(c, 0)))}
    assert "copy.failed" in kinds
    store.close()


@pytest.mark.parametrize("cut", [1, 2, 40, 300])
def test_a_torn_last_line_is_cut_off_and_everything_before_it_counts(
    laptop: Laptop, elsewhere: Connection, cut: int
) -> None:
    laptop.day(0)
    kept = laptop.file.read_bytes()
    laptop.day(2)
    longer = laptop.file.read_bytes()
    assert longer.startswith(kept)
    laptop.file.write_bytes(longer[:-cut])
    held = held_by(laptop.file)
    assert held.is_torn
    put = put_together(elsewhere, laptop.file)
    assert put.is_torn
    assert put.head.seq == 2
    assert verify(elsewhere).holds


def test_a_hole_in_the_last_line_is_a_torn_line_too(laptop: Laptop) -> None:
    """After a power cut the end of a write may be on the disk and its middle not."""
    laptop.day(0, 2)
    data = bytearray(laptop.file.read_bytes())
    data[-200:-100] = bytes(100)
    laptop.file.write_bytes(data)
    assert held_by(laptop.file).is_torn


def test_a_torn_carbon_is_written_anew_at_the_next_start(
    laptop: Laptop, elsewhere: Connection
) -> None:
    laptop.day(0, 2)
    laptop.file.write_bytes(laptop.file.read_bytes()[:-30])
    kept = laptop.day(3)
    put_together(elsewhere, laptop.file)
    assert dump(elsewhere) == kept


def test_an_older_record_that_was_put_back_is_not_served(laptop: Laptop) -> None:
    laptop.day(0)
    shutil.copy(laptop.record, laptop.record.with_name("older.db"))
    laptop.day(2)
    before = laptop.file.read_bytes()
    laptop.record.with_name("older.db").replace(laptop.record)
    laptop.record.with_name("day.db.head").unlink(missing_ok=True)
    with pytest.raises(RecordBehindCarbon) as refused:
        laptop.open()
    assert "tablebook recover" in str(refused.value.facts["why"])
    assert laptop.file.read_bytes() == before


def test_a_record_that_went_another_way_than_its_carbon_is_not_served(laptop: Laptop) -> None:
    """As many entries, but others: the head tells."""
    laptop.day(0)
    shutil.copy(laptop.record, laptop.record.with_name("older.db"))
    laptop.day(2)
    laptop.record.with_name("older.db").replace(laptop.record)
    laptop.record.with_name("day.db.head").unlink(missing_ok=True)
    with open_store(laptop.url, SystemClock()) as store:
        laptop.sign(store, 3, 4)
    with pytest.raises(RecordBehindCarbon):
        laptop.open()


def test_the_carbon_of_another_record_is_not_written_over(laptop: Laptop, tmp_path: Path) -> None:
    laptop.day(0)
    other = Laptop(_made(tmp_path / "other"))
    shutil.rmtree(other.stick)
    shutil.copytree(laptop.stick, other.stick)
    with pytest.raises(CopyRefused, match="another record"):
        other.open()
    assert other.file.read_bytes() == laptop.file.read_bytes()


def test_a_stick_with_another_record_put_in_during_the_day_is_refused_and_said(
    laptop: Laptop, tmp_path: Path, quick: None
) -> None:
    other = Laptop(_made(tmp_path / "other"))
    other.day(0)
    store = laptop.open()
    shutil.rmtree(laptop.stick)
    laptop.sign(store, 0)
    other.stick.rename(laptop.stick)
    until(lambda: store.copies.states[0].why is Why.REFUSED)
    store.close()
    with pytest.raises(CopyRefused):
        laptop.open()


# Cut while it is open


def cut(file: Path, at: int) -> None:
    """The device loses everything from there on, and no call says so."""
    os.truncate(file, at if at >= 0 else file.stat().st_size + at)


def told_of(store: Store) -> list[str | None]:
    """What the log says of the copy: why it failed, None where it was back."""
    entries = store.read(lambda record: queries.entries_of(record, "copy.failed", "copy.back"))
    return [entry.body.get("why") for entry in entries]


# In the middle of a line, before its end, behind a whole line, among the first rows, all of it.
CUTS = [-300, -1, "line", 700, 0]


@pytest.mark.parametrize("where", CUTS)
@pytest.mark.parametrize("key", [None, new_key()], ids=["clear", "sealed"])
def test_a_file_that_loses_its_end_while_it_is_open_is_out_of_step_at_once_and_written_anew(
    tmp_path: Path, quick: None, elsewhere: Connection, where: int | str, key: bytes | None
) -> None:
    laptop = Laptop(_made(tmp_path / "hall"), key)
    store = laptop.open()
    laptop.sign(store, 0, 2)
    lines = laptop.file.read_bytes().splitlines(keepends=True)
    cut(laptop.file, -len(lines[-1]) if isinstance(where, str) else where)
    laptop.sign(store, 3)
    until(lambda: told_of(store) == ["failed", None])
    laptop.sign(store, 4)
    assert is_in_step(store)
    kept = store.read(dump)
    store.close()
    keyring.lock(laptop.record)
    put_together(elsewhere, laptop.file, Sealer(subkey(key, Use.CARBON)) if key else None)
    assert dump(elsewhere) == kept
    assert [path.name for path in laptop.stick.iterdir()] == [NAME]


def test_what_is_left_before_a_cut_can_be_recovered_until_it_is_written_anew(
    laptop: Laptop, elsewhere: Connection, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Should the laptop die in that moment: a line behind the cut would make all of it look
    changed.
    """
    monkeypatch.setattr(copies, "RETRY_SECONDS", 600.0)
    store = laptop.open()
    laptop.sign(store, 0, 2, 3)
    whole = laptop.file.read_bytes()
    cut(laptop.file, -100)
    laptop.sign(store, 4)
    assert store.copies.states[0].why is Why.FAILED
    assert laptop.file.read_bytes() == whole[:-100]
    store.close()
    put = put_together(elsewhere, laptop.file)
    assert put.is_torn
    assert put.head.seq == 3
    assert verify(elsewhere).holds


def test_half_a_line_that_found_no_room_takes_nothing_of_what_stands_before_it(
    laptop: Laptop, elsewhere: Connection, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(copies, "RETRY_SECONDS", 600.0)
    store = laptop.open()
    laptop.sign(store, 0, 2)
    whole = laptop.file.read_bytes()

    def half(descriptor: int, data: bytes) -> None:
        os.write(descriptor, data[: len(data) // 2])
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(carbon, "_write_all", half)
    laptop.sign(store, 3)
    assert store.copies.states[0].why is Why.FULL
    assert laptop.file.read_bytes().startswith(whole)
    store.close()
    put = put_together(elsewhere, laptop.file)
    assert put.is_torn
    assert "token-for-line-0002" in whole.decode()
    assert put.head.seq == 3


def test_a_cut_file_is_written_anew_also_where_the_first_try_finds_no_room(
    laptop: Laptop, quick: None, monkeypatch: pytest.MonkeyPatch
) -> None:
    store, real, tries = laptop.open(), carbon._write_whole, list[str]()

    def full_at_first(*arguments: object) -> tuple[int, int]:
        tries.append("try")
        if len(tries) < 3:
            raise OSError(28, "No space left on device")
        return real(*arguments)  # type: ignore[arg-type]

    monkeypatch.setattr(carbon, "_write_whole", full_at_first)
    cut(laptop.file, 700)
    laptop.sign(store, 0)
    until(lambda: is_in_step(store))
    assert len(tries) >= 3
    store.close()
    assert "token-for-line-0000" in laptop.file.read_text(encoding="utf-8")


def test_a_cut_file_that_somebody_else_touched_since_is_left_as_it_is(
    laptop: Laptop, quick: None, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Nobody can say what it is then: it is kept for the registrar, and every page says so."""
    monkeypatch.setattr(carbon, "leave", _touched_after(carbon.leave))
    store = laptop.open()
    laptop.sign(store, 0)
    cut(laptop.file, 700)
    laptop.sign(store, 2)
    until(lambda: store.copies.states[0].why is Why.REFUSED)
    before = laptop.file.read_bytes()
    laptop.sign(store, 3)
    time.sleep(0.1)
    assert store.copies.states[0].why is Why.REFUSED
    assert laptop.file.read_bytes() == before
    assert before.endswith(b"somebody")
    store.close()


def _touched_after(leave: Callable[..., object]) -> Callable[..., object]:
    def left(descriptor: int, path: Path, *others: object) -> object:
        found = leave(descriptor, path, *others)
        with path.open("ab") as file:
            file.write(b"somebody")
        return found

    return left


def test_what_another_program_writes_into_the_open_file_is_noticed_and_left_as_it_is(
    laptop: Laptop, quick: None
) -> None:
    store = laptop.open()
    laptop.sign(store, 0)
    with laptop.file.open("ab") as file:
        file.write(b"{}\n")
    laptop.sign(store, 2)
    until(lambda: store.copies.states[0].why is Why.REFUSED)
    assert b"{}\n" in laptop.file.read_bytes()
    assert "token-for-line-0000" in laptop.file.read_text(encoding="utf-8")
    store.close()


def test_a_file_that_was_cut_while_nobody_had_it_open_is_left_for_the_registrar(
    laptop: Laptop,
) -> None:
    """So deep that it does not hold: nobody can say how that came about."""
    laptop.day(0)
    cut(laptop.file, 700)
    before = laptop.file.read_bytes()
    with pytest.raises(CopyRefused, match="keep it for the registrar"):
        laptop.open()
    assert laptop.file.read_bytes() == before


# Where the stick is mounted over a folder of the record's own disk


OTHER_DISK = Path("/dev/shm")


@pytest.mark.skipif(not OTHER_DISK.is_dir(), reason="needs a second file system")
@pytest.mark.parametrize("is_in_at_first", [True, False])
def test_once_the_copy_was_on_another_disk_the_record_s_own_is_not_taken_for_it(
    laptop: Laptop, quick: None, is_in_at_first: bool
) -> None:
    """A link in the place of the mount: the folder beneath it is on the record's disk."""
    with TemporaryDirectory(dir=OTHER_DISK) as other:
        beneath, stick = laptop.stick.with_name("beneath"), Path(other)
        if stick.stat().st_dev == laptop.record.stat().st_dev:
            pytest.skip("that is one and the same file system")
        beneath.mkdir()
        laptop.stick.rmdir()
        laptop.stick.symlink_to(stick if is_in_at_first else beneath)
        store = laptop.open()
        laptop.sign(store, 0)
        _lead_to(laptop.stick, stick)
        laptop.sign(store, 2)
        until(lambda: is_in_step(store))
        assert (stick / NAME).exists()
        before = [path.read_bytes() for path in beneath.iterdir()]
        _lead_to(laptop.stick, beneath)
        laptop.sign(store, 3)
        time.sleep(0.2)
        laptop.sign(store, 4)
        assert store.copies.states[0].why is Why.GONE
        assert [path.read_bytes() for path in beneath.iterdir()] == before
        _lead_to(laptop.stick, stick)
        until(lambda: held_by(stick / NAME).no == store.read(changes.change_no))
        assert is_in_step(store)
        store.close()


def test_a_copy_that_never_was_on_another_disk_is_kept_on_the_record_s_own(
    laptop: Laptop, quick: None
) -> None:
    """Taken away and put back there it goes on: somebody chose that place."""
    store = laptop.open()
    laptop.stick.rename(laptop.stick.with_name("away"))
    laptop.sign(store, 0)
    assert store.copies.states[0].why is Why.GONE
    laptop.stick.with_name("away").rename(laptop.stick)
    until(lambda: is_in_step(store))
    store.close()


def _lead_to(link: Path, folder: Path) -> None:
    """In one step, as a mount."""
    fresh = link.with_name("link")
    fresh.symlink_to(folder)
    fresh.replace(link)


def _made(folder: Path) -> Path:
    folder.mkdir()
    return folder


def test_the_record_s_own_folder_is_no_place_for_its_copy(laptop: Laptop) -> None:
    with pytest.raises(CopyRefused, match="another folder"):
        carbon_into(laptop.record.parent, laptop.record)
    with pytest.raises(CopyRefused, match="another folder"):
        carbon_into(laptop.record.parent / "x" / "..", laptop.record)


def test_half_a_new_file_never_takes_the_place_of_the_old_one(
    laptop: Laptop, monkeypatch: pytest.MonkeyPatch
) -> None:
    laptop.day(0)
    before = laptop.file.read_bytes()
    with open_store(laptop.url, SystemClock()) as store:
        laptop.sign(store, 2)

    def full(*_: object) -> object:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(carbon.os, "fsync", full)
    store = laptop.open()
    assert store.copies.states[0].why is Why.FULL
    store.close()
    assert laptop.file.read_bytes() == before
    assert [path.name for path in laptop.stick.iterdir()] == [NAME]


@pytest.mark.parametrize("where", range(12))
def test_a_changed_byte_is_refused_and_its_line_is_named(
    laptop: Laptop, elsewhere: Connection, where: int
) -> None:
    laptop.day(0, 2, 3)
    data = bytearray(laptop.file.read_bytes())
    place = len(data) * where // 12 + 5
    data[place] ^= 1
    laptop.file.write_bytes(data)
    line = bytes(data[:place]).count(b"\n") + 1
    with pytest.raises(CarbonBroken, match="line") as broken:
        put_together(elsewhere, laptop.file)
    named = int("".join(filter(str.isdigit, str(broken.value).split("line ")[1].split(" ")[0])))
    assert named == line


@pytest.mark.parametrize("gone", [0, 1, 5, -2])
def test_a_line_that_is_taken_out_is_noticed(
    laptop: Laptop, elsewhere: Connection, gone: int
) -> None:
    laptop.day(0, 2, 3)
    lines = laptop.file.read_bytes().splitlines(keepends=True)
    del lines[gone]
    laptop.file.write_bytes(b"".join(lines))
    with pytest.raises(CarbonBroken):
        put_together(elsewhere, laptop.file)


def test_lines_that_change_places_are_noticed(laptop: Laptop, elsewhere: Connection) -> None:
    laptop.day(0, 2, 3)
    lines = laptop.file.read_bytes().splitlines(keepends=True)
    lines[-2], lines[-1] = lines[-1], lines[-2]
    laptop.file.write_bytes(b"".join(lines))
    with pytest.raises(CarbonBroken):
        put_together(elsewhere, laptop.file)


def test_somebody_who_makes_every_digest_anew_is_found_by_the_log(
    laptop: Laptop, elsewhere: Connection
) -> None:
    """The chain of the file has no key; that of the log, and what stands beside it, still tells."""
    from app.records.carbon_file import Pen

    laptop.day(0, 2)
    said = [one.says for one in Reading(laptop.file).lines()]
    said = [one.replace("Table 1", "Table 9") for one in said]
    pen = Pen()
    laptop.file.write_bytes(b"".join(pen.line(one) for one in said))
    put_together(elsewhere, laptop.file)
    assert not verify(elsewhere).holds


@pytest.mark.parametrize("data", [b"", b"{}\n", b"\n", b"\xff\xfe\n", b"[1]\n" * 9, b"x" * 5000])
def test_what_is_no_carbon_is_refused(tmp_path: Path, elsewhere: Connection, data: bytes) -> None:
    file = tmp_path / "odd.jsonl"
    file.write_bytes(data)
    with pytest.raises(CarbonBroken):
        put_together(elsewhere, file)
    with pytest.raises(CarbonBroken):
        held_by(file)


def test_a_carbon_of_another_version_says_so(laptop: Laptop, elsewhere: Connection) -> None:
    from app.records.carbon_file import Pen

    laptop.day(0)
    said = [one.says for one in Reading(laptop.file).lines()]
    heading = json.loads(said[0])
    said[0] = said[0].replace(f'"schema":"{heading["schema"]}"', '"schema":"99"')
    pen = Pen()
    laptop.file.write_bytes(b"".join(pen.line(one) for one in said))
    with pytest.raises(CarbonBroken, match="version 99"):
        put_together(elsewhere, laptop.file)


def test_nobody_else_on_the_laptop_may_read_the_file(laptop: Laptop) -> None:
    laptop.day(0)
    if os.name == "posix":
        assert laptop.file.stat().st_mode & 0o077 == 0


# Sealed, where the record is


@pytest.fixture
def sealed(tmp_path: Path) -> Iterator[tuple[Laptop, bytes]]:
    key = new_key()
    laptop = Laptop(_made(tmp_path / "sealed"), key)
    yield laptop, key
    keyring.lock(laptop.record)


def test_of_an_encrypted_record_no_name_stands_in_the_carbon_and_it_comes_back_with_the_key(
    sealed: tuple[Laptop, bytes], elsewhere: Connection
) -> None:
    laptop, key = sealed
    kept = laptop.day(0, 2)
    data = laptop.file.read_bytes()
    for line in laptop.lines:
        assert line.printed.last_name.encode() not in data
        assert line.line_id.encode() not in data
    with pytest.raises(CarbonBroken, match="passphrase"):
        put_together(elsewhere, laptop.file)
    wrong = Sealer(subkey(new_key(), Use.CARBON))
    with pytest.raises(CarbonBroken, match="the key is another"):
        put_together(elsewhere, laptop.file, wrong)
    put_together(elsewhere, laptop.file, Sealer(subkey(key, Use.CARBON)))
    assert dump(elsewhere) == kept


def test_a_sealed_carbon_goes_on_is_torn_and_is_changed_like_any(
    sealed: tuple[Laptop, bytes], elsewhere: Connection
) -> None:
    laptop, key = sealed
    sealer = Sealer(subkey(key, Use.CARBON))
    laptop.day(0)
    inode = laptop.file.stat().st_ino
    laptop.day(2)
    assert laptop.file.stat().st_ino == inode
    whole = laptop.file.read_bytes()
    laptop.file.write_bytes(whole[:-50])
    assert held_by(laptop.file, sealer).is_torn
    changed = bytearray(whole)
    changed[len(whole) // 2] ^= 1
    laptop.file.write_bytes(changed)
    line = bytes(changed[: len(whole) // 2]).count(b"\n") + 1
    with pytest.raises(CarbonBroken, match=f"line {line} "):
        put_together(elsewhere, laptop.file, sealer)
