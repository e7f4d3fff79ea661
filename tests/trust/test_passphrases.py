"""Slots: each opens the same key, nothing else does, and a changed slots file is refused."""

from __future__ import annotations

import json
import unicodedata
from collections.abc import Sequence
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.rules.faults import BadRequest, StorageRefused
from app.trust import passphrases
from app.trust.passphrases import (
    Slot,
    SlotKind,
    WrongPassphrase,
    add_slot,
    new_key,
    open_slots,
    read_slots,
    slots_from_text,
    slots_text,
    typed_secret,
    write_slots,
)
from app.trust.recovery_codes import ALPHABET, looks_like_code, new_code, read_code

HERONS = "eleven herons wade"
OFFICERS = ["north gate 7", "south gate 3"]


def slot(slots: Sequence[Slot], key: bytes, kind: SlotKind, parts: Sequence[str]) -> Slot:
    return add_slot(slots, key, kind, "", typed_secret(kind, parts))


@pytest.fixture(scope="module")
def key() -> bytes:
    return new_key()


@pytest.fixture(scope="module")
def code() -> str:
    return new_code()


@pytest.fixture(scope="module")
def slots(key: bytes, code: str) -> list[Slot]:
    """One of each kind."""
    made: list[Slot] = []
    for kind, parts in (
        (SlotKind.PASSPHRASE, [HERONS]),
        (SlotKind.TWO_OFFICERS, OFFICERS),
        (SlotKind.RECOVERY, [code]),
    ):
        made.append(slot(made, key, kind, parts))
    return made


def test_each_slot_opens_the_same_key(slots: list[Slot], key: bytes, code: str) -> None:
    for number, parts in enumerate(([HERONS], OFFICERS, [code]), 1):
        opened = open_slots(slots, parts)
        assert (opened.key, opened.slot.number) == (key, number)


@pytest.mark.parametrize(
    "parts",
    [
        ["eleven herons wadE"],
        ["eleven herons wade "],
        ["x"],
        [""],
        ["x" * 10_000],
        [OFFICERS[0]],
        ["".join(OFFICERS)],
        [OFFICERS[1], OFFICERS[0]],
        ["north gate 7s", "outh gate 3"],
        [HERONS, HERONS],
        [*OFFICERS, HERONS],
        [],
    ],
)
def test_nothing_else_opens_any(slots: list[Slot], parts: list[str]) -> None:
    with pytest.raises(WrongPassphrase):
        open_slots(slots, parts)


def test_another_recovery_code_opens_nothing(slots: list[Slot]) -> None:
    with pytest.raises(WrongPassphrase):
        open_slots(slots, [new_code()])


def test_accents_open_however_the_keyboard_composes_them(key: bytes) -> None:
    typed = "garças à beira do açude"
    made = [slot([], key, SlotKind.PASSPHRASE, [unicodedata.normalize("NFD", typed)])]
    assert open_slots(made, [unicodedata.normalize("NFC", typed)]).key == key


@pytest.mark.parametrize(
    ("kind", "parts"),
    [
        (SlotKind.PASSPHRASE, ["x" * 14]),
        (SlotKind.PASSPHRASE, ["x" * 257]),
        (SlotKind.PASSPHRASE, [new_code()]),
        (SlotKind.TWO_OFFICERS, ["x" * 7, "y" * 20]),
        (SlotKind.TWO_OFFICERS, ["x" * 20, "y" * 7]),
        (SlotKind.PASSPHRASE, ["\udcff" * 20]),
        (SlotKind.RECOVERY, ["eleven herons wade"]),
    ],
)
def test_what_is_too_short_too_long_or_another_kind_is_refused(
    kind: SlotKind, parts: list[str]
) -> None:
    with pytest.raises(BadRequest) as refused:
        typed_secret(kind, parts)
    assert not any(part in str(refused.value) for part in parts)


def test_fifteen_characters_and_twice_eight_are_enough() -> None:
    assert typed_secret(SlotKind.PASSPHRASE, ["x" * 15])
    assert typed_secret(SlotKind.TWO_OFFICERS, ["x" * 8, "y" * 8])


@given(st.lists(st.text(min_size=8, max_size=12), min_size=2, max_size=2))
def test_two_officers_parts_are_joined_so_that_no_others_join_to_the_same(
    parts: list[str],
) -> None:
    first, second = (unicodedata.normalize("NFC", part) for part in parts)
    if len(first) < 9 or min(map(len, (first, second))) < 8:
        return
    moved = [first[:-1], first[-1] + second]
    if [unicodedata.normalize("NFC", part) for part in moved] != moved:
        return
    assert typed_secret(SlotKind.TWO_OFFICERS, moved) != typed_secret(SlotKind.TWO_OFFICERS, parts)


def test_argon2id_costs_what_rfc_9106_asks_for_a_laptop(slots: list[Slot]) -> None:
    # RFC 9106, section 4, second recommended option: 64 MiB, 3 passes, 4 lanes, salt of 128 bits.
    for one in slots:
        assert (one.memory_kib, one.passes, one.lanes) == (65_536, 3, 4)
        assert len(bytes.fromhex(one.salt)) == 16
    assert len({one.salt for one in slots}) == len(slots)


def test_slots_are_written_and_read_back_for_their_owner_alone(
    slots: list[Slot], key: bytes, tmp_path: Path
) -> None:
    path = tmp_path / "day.db.keys"
    write_slots(path, slots)
    assert read_slots(path) == slots
    assert path.stat().st_mode & 0o077 == 0
    written = path.read_text(encoding="utf-8")
    assert HERONS not in written
    assert key.hex() not in written


@pytest.mark.parametrize(
    ("name", "value"),
    [("kind", "passphrase"), ("name", "somebody else's"), ("number", 9), ("passes", 4),
     ("salt", "00" * 16), ("memory_kib", 65_537), ("lanes", 2)],
)  # fmt: skip
def test_a_slot_of_which_anything_was_changed_opens_no_more(
    slots: list[Slot], name: str, value: object
) -> None:
    read = json.loads(slots_text(slots[1:2]))
    read["slots"][0][name] = value
    with pytest.raises((WrongPassphrase, StorageRefused)):
        open_slots(slots_from_text(json.dumps(read)), OFFICERS)


@pytest.mark.parametrize(
    "text",
    [
        "",
        "{",
        "[]",
        '{"version": 2, "slots": []}',
        '{"version": 1, "slots": []}',
        '{"version": 1, "slots": [{}]}',
        '{"version": 1, "slots": 7}',
        "[" * 100_000,
    ],
)
def test_a_slots_file_that_is_none_is_refused(text: str, tmp_path: Path) -> None:
    path = tmp_path / "day.db.keys"
    path.write_text(text, encoding="utf-8")
    with pytest.raises(StorageRefused) as refused:
        read_slots(path)
    assert "day.db.keys" in str(refused.value.facts["why"])


@pytest.mark.parametrize(
    ("name", "value"),
    [("memory_kib", 8), ("memory_kib", 2**31), ("passes", 1), ("passes", 10**6), ("lanes", 0),
     ("salt", ""), ("wrapped", ""), ("kind", "another")],
)  # fmt: skip
def test_slots_that_weaken_the_lock_or_fill_the_memory_are_refused(
    slots: list[Slot], name: str, value: object
) -> None:
    read = json.loads(slots_text(slots))
    read["slots"][0][name] = value
    with pytest.raises(StorageRefused):
        slots_from_text(json.dumps(read))


def test_there_are_at_most_sixteen_slots(
    slots: list[Slot], key: bytes, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(passphrases, "_MOST_SLOTS", 3)
    with pytest.raises(BadRequest):
        slot(slots, key, SlotKind.PASSPHRASE, [HERONS])


def test_no_key_is_shown(slots: list[Slot], key: bytes) -> None:
    opened = open_slots(slots, [HERONS])
    assert key.hex() not in repr(opened)
    assert repr(key) not in repr(opened)


def test_a_recovery_code_is_read_however_it_is_typed(code: str) -> None:
    for typed in (code.lower(), code.replace("-", ""), f" {code.replace('-', ' ')} "):
        assert looks_like_code(typed)
        assert read_code(typed) == read_code(code)


def test_a_slip_in_a_recovery_code_is_told_by_its_group() -> None:
    slips = found = 0
    for _ in range(40):
        code = new_code()
        groups = code.split("-")
        place = slips % len(groups)
        other = ALPHABET[(ALPHABET.index(groups[place][1]) + 1) % len(ALPHABET)]
        groups[place] = groups[place][0] + other + groups[place][2:]
        slips += 1
        try:
            read_code("-".join(groups))
        except BadRequest as refused:
            found += f"group {place + 1} " in str(refused.facts["expected"])
    # One character checks four: one slip in 32 passes, and then opens nothing.
    assert found >= slips * 0.8


def test_a_recovery_code_has_160_random_bits_and_no_character_that_looks_like_another() -> None:
    codes = {new_code() for _ in range(200)}
    assert len(codes) == 200
    assert not set("".join(codes)) & set("IO01")
    assert len(ALPHABET) == 32
    assert len(read_code(new_code())) == 32
