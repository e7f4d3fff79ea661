"""From what people know to the key of a record: slots, each of which opens the same key.

The key is random. It stands in no file but wrapped: once for each slot, under what Argon2id
makes of a passphrase, of two officers' parts, or of a recovery code on sealed paper. Whoever
has an old slots file and its passphrase can open the record still: taking a slot away
changes the lock, not the key.
"""

from __future__ import annotations

import json
import secrets
import unicodedata
from collections.abc import Iterable, Sequence
from dataclasses import asdict, dataclass, field, replace
from enum import StrEnum
from pathlib import Path
from typing import Any

from argon2.low_level import Type, hash_secret_raw

from app.rules.faults import BadRequest, StorageRefused
from app.trust.durable_file import write_durably
from app.trust.recovery_codes import looks_like_code, read_code
from app.trust.sealing import KEY_BYTES, SealBroken, Sealer, Use, subkey

VERSION = 1
# NIST SP 800-63B-4, 3.1.1.2: a passphrase that is the only factor has 15 characters or more.
# The second number is ours: nobody types more by hand, and Argon2id shall not be fed a book.
LEAST_CHARACTERS, MOST_CHARACTERS = 15, 256
# Of each of two parts: together more than one passphrase alone.
LEAST_OF_A_PART = 8
# RFC 9106, 4, second choice: 64 MiB, 3 passes, 4 lanes; a fifth of a second on a slow laptop.
MEMORY_KIB, PASSES, LANES = 64 * 1024, 3, 4
# A slots file that somebody changed shall neither weaken the lock nor fill the memory.
_MOST_MEMORY_KIB, _MOST_PASSES, _MOST_LANES = 1024 * 1024, 20, 16
_SALT_BYTES = 16
_MOST_SLOTS = 16


class SlotKind(StrEnum):
    PASSPHRASE = "passphrase"  # noqa: S105 - the name of a kind, no secret
    TWO_OFFICERS = "two-officers"
    RECOVERY = "recovery"


class WrongPassphrase(Exception):
    """None of the slots is opened by what was typed."""


@dataclass(frozen=True, slots=True)
class Slot:
    """One way to the key. `name` tells whose it is; it is no secret, and neither is the rest."""

    number: int
    kind: SlotKind
    name: str
    salt: str
    memory_kib: int
    passes: int
    lanes: int
    wrapped: str = ""

    @property
    def about(self) -> bytes:
        """What is bound to the wrapped key: everything else in the slot."""
        return json.dumps(asdict(replace(self, wrapped="")), sort_keys=True).encode()


@dataclass(frozen=True, slots=True)
class Opened:
    """The key of a record, and the slot that gave it."""

    key: bytes = field(repr=False)
    slot: Slot


def new_key() -> bytes:
    return secrets.token_bytes(KEY_BYTES)


def typed_secret(kind: SlotKind, parts: Sequence[str]) -> bytes:
    """What people typed as the bytes that Argon2id gets.

    The parts are told apart by their lengths, and the kind goes before: no two ways of typing
    make the same. BadRequest where a part is too short or too long, or a code is mistyped.
    """
    if kind is SlotKind.RECOVERY:
        return kind.value.encode() + b"\0" + read_code(parts[0])
    least = LEAST_CHARACTERS if kind is SlotKind.PASSPHRASE else LEAST_OF_A_PART
    if any(map(looks_like_code, parts)):
        raise BadRequest(field="passphrase", expected="something that is no recovery code")
    texts = [_normalised(part, least) for part in parts]
    lengths = b"".join(len(text).to_bytes(4, "big") for text in texts)
    return kind.value.encode() + b"\0" + lengths + b"".join(texts)


def add_slot(slots: Sequence[Slot], key: bytes, kind: SlotKind, name: str, secret: bytes) -> Slot:
    """A new slot for `key`, with the next number; `secret` is of `typed_secret`."""
    if len(slots) >= _MOST_SLOTS:
        raise BadRequest(field="slots", expected=f"at most {_MOST_SLOTS}; remove one first")
    number = max((slot.number for slot in slots), default=0) + 1
    salt = secrets.token_hex(_SALT_BYTES)
    slot = Slot(number, kind, name, salt, MEMORY_KIB, PASSES, LANES)
    return replace(slot, wrapped=_sealer(slot, secret).seal(key, slot.about).hex())


def open_slots(slots: Iterable[Slot], parts: Sequence[str]) -> Opened:
    """The key, by the first slot that these parts open. WrongPassphrase where none is.

    Every slot that could be meant costs one Argon2id: that is what makes guessing slow.
    """
    for slot in slots:
        secret = _meant(slot.kind, parts)
        if secret is None:
            continue
        try:
            return Opened(_sealer(slot, secret).open(bytes.fromhex(slot.wrapped), slot.about), slot)
        except SealBroken:
            continue
    raise WrongPassphrase


def write_slots(path: Path, slots: Sequence[Slot]) -> None:
    """Put the slots in place durably: whatever happens meanwhile, the old or the new ones stand."""
    try:
        write_durably(path, [slots_text(slots).encode()])
    except OSError as error:
        why = f"{path.name} could not be written: {error.strerror}"
        raise StorageRefused(why=why) from None


def read_slots(path: Path) -> list[Slot]:
    """The slots in the file at `path`. StorageRefused where it is none that this program made."""
    try:
        return slots_from_text(path.read_text(encoding="utf-8"))
    except (OSError, UnicodeDecodeError) as error:
        raise StorageRefused(why=f"{path.name} cannot be read: {error}") from None
    except StorageRefused as refused:
        raise StorageRefused(why=f"{path.name}: {refused.facts['why']}") from None


def slots_text(slots: Sequence[Slot]) -> str:
    return json.dumps({"version": VERSION, "slots": [asdict(slot) for slot in slots]}, indent=1)


def slots_from_text(text: str) -> list[Slot]:
    """The inverse of `slots_text`; StorageRefused for anything else."""
    try:
        read = json.loads(text)
        if read["version"] != VERSION:
            raise StorageRefused(why=f"slots of version {read['version']}; known: {VERSION}")
        slots = [_slot(one) for one in read["slots"]]
    except (ValueError, KeyError, TypeError, RecursionError):
        raise StorageRefused(why="it holds no slots that can be read") from None
    if not 0 < len(slots) <= _MOST_SLOTS:
        raise StorageRefused(why="it holds no slot, or too many")
    return slots


def _slot(one: dict[str, Any]) -> Slot:
    slot = Slot(**{**one, "kind": SlotKind(one["kind"])})
    is_known = (
        MEMORY_KIB <= slot.memory_kib <= _MOST_MEMORY_KIB
        and PASSES <= slot.passes <= _MOST_PASSES
        and 1 <= slot.lanes <= _MOST_LANES
        and len(bytes.fromhex(slot.salt)) == _SALT_BYTES
        and bytes.fromhex(slot.wrapped)
    )
    if not is_known:
        raise ValueError("a slot has not the form that this program gives it")
    return slot


def _sealer(slot: Slot, secret: bytes) -> Sealer:
    made = hash_secret_raw(
        secret=secret,
        salt=bytes.fromhex(slot.salt),
        time_cost=slot.passes,
        memory_cost=slot.memory_kib,
        parallelism=slot.lanes,
        hash_len=KEY_BYTES,
        type=Type.ID,
    )
    return Sealer(subkey(made, Use.SLOT))


def _meant(kind: SlotKind, parts: Sequence[str]) -> bytes | None:
    """The secret, if what was typed can be meant for a slot of this kind."""
    wanted = 2 if kind is SlotKind.TWO_OFFICERS else 1
    is_code = len(parts) == 1 and looks_like_code(parts[0])
    if len(parts) != wanted or (kind is SlotKind.RECOVERY) != is_code:
        return None
    try:
        return typed_secret(kind, parts)
    except BadRequest:
        if kind is SlotKind.RECOVERY:
            raise
        return None


def _normalised(part: str, least: int) -> bytes:
    """The same characters are the same bytes, however this keyboard composes them."""
    text = unicodedata.normalize("NFC", part)
    if not least <= len(text) <= MOST_CHARACTERS:
        raise BadRequest(field="passphrase", expected=f"{least} to {MOST_CHARACTERS} characters")
    try:
        return text.encode()
    except UnicodeEncodeError:
        # From None: the exception holds what was typed.
        raise BadRequest(field="passphrase", expected="text in UTF-8") from None
