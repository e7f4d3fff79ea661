"""Opening an encrypted record with what people type, and changing what opens it.

A try is counted on disk before it is looked at. Who may read the files can guess elsewhere and
is not counted: against them only the length of the passphrase helps.
"""

from __future__ import annotations

import contextlib
import json
import secrets
from collections.abc import Sequence
from dataclasses import asdict, dataclass, replace
from pathlib import Path

from app.records import keyring
from app.records.bodies_trust import StorageKeysChanged, StorageUnlocked
from app.records.entry import PROGRAM
from app.records.store import Store
from app.rules.faults import AlreadyThere, BadRequest, NotFound, StorageRefused
from app.trust import passphrases
from app.trust.durable_file import write_durably
from app.trust.passphrases import Slot, SlotKind, WrongPassphrase


@dataclass(frozen=True, slots=True)
class Tries:
    """Since an opening was last written into the log."""

    wrong: int = 0
    recoveries: int = 0


def slots_of(database: Path) -> list[Slot]:
    """What opens the record; empty where it is not encrypted."""
    path = keyring.slots_path(database)
    return passphrases.read_slots(path) if path.exists() else []


def unlock(database: Path, parts: Sequence[str]) -> Slot:
    """Unlock the record for this process; the slot that did.

    WrongPassphrase where nothing opens it, BadRequest for a recovery code with a slip in it,
    which counts for no try.
    """
    before = tries_of(database)
    _keep(database, replace(before, wrong=before.wrong + 1))
    try:
        opened = passphrases.open_slots(slots_of(database), parts)
    except WrongPassphrase:
        raise
    except BaseException:
        _keep(database, before)
        raise
    is_recovery = opened.slot.kind is SlotKind.RECOVERY
    _keep(database, replace(before, recoveries=before.recoveries + is_recovery))
    keyring.unlock(database, opened.key)
    return opened.slot


def tries_of(database: Path) -> Tries:
    """None counted where the file is not there or was tampered with: it guards nothing."""
    try:
        read = json.loads(keyring.tries_path(database).read_text(encoding="utf-8"))
        return Tries(int(read["wrong"]), int(read["recoveries"]))
    except (OSError, ValueError, KeyError, TypeError):
        return Tries()


def note_unlocked(store: Store, database: Path, slot: Slot) -> None:
    """Write into the log that the record was opened, and what was tried before."""
    tries = tries_of(database)
    body = StorageUnlocked(
        by=slot.kind.value,
        slot=slot.number,
        wrong_tries=tries.wrong,
        recovery_uses=tries.recoveries,
    )
    store.writer.write(lambda unit: unit.append(PROGRAM, secrets.token_hex(16), body))
    _keep(database, Tries())


def make_slots(database: Path, kind: SlotKind, name: str, parts: Sequence[str]) -> None:
    """A new key with its first slot, and the record unlocked with it: for one yet to be made.

    AlreadyThere where slots stand: they may be what opens a copy of another record.
    """
    path = keyring.slots_path(database)
    if path.exists():
        raise AlreadyThere(what="file", name=path.name)
    key = passphrases.new_key()
    secret = passphrases.typed_secret(kind, parts)
    passphrases.write_slots(path, [passphrases.add_slot([], key, kind, name, secret)])
    keyring.unlock(database, key)


def add_slot(store: Store, database: Path, kind: SlotKind, name: str, parts: Sequence[str]) -> Slot:
    """A further slot for an unlocked record, written down in its log."""
    key = keyring.master_of(database)
    if key is None:
        raise StorageRefused(why=f"{database.name} is not encrypted; run: tablebook encrypt")
    slots = slots_of(database)
    secret = passphrases.typed_secret(kind, parts)
    slot = passphrases.add_slot(slots, key, kind, name, secret)
    passphrases.write_slots(keyring.slots_path(database), [*slots, slot])
    _note_change(store, "added", slot)
    return slot


def remove_slot(store: Store, database: Path, number: int) -> Slot:
    """NotFound for a number that no slot has, BadRequest for the last one that is typed by heart.

    Without a passphrase the record would open by the sealed envelope alone.
    """
    slots = slots_of(database)
    slot = next((one for one in slots if one.number == number), None)
    if slot is None:
        raise NotFound(what=f"slot {number}; see: tablebook keys list")
    left = [one for one in slots if one is not slot]
    if all(one.kind is SlotKind.RECOVERY for one in left):
        raise BadRequest(
            field="slot", expected="one that is not the last passphrase; add one first"
        )
    passphrases.write_slots(keyring.slots_path(database), left)
    _note_change(store, "removed", slot)
    return slot


def note_encrypted(store: Store, slot: Slot) -> None:
    _note_change(store, "encrypted", slot)


def _note_change(store: Store, change: str, slot: Slot) -> None:
    body = StorageKeysChanged.model_validate(
        {"change": change, "by": slot.kind.value, "slot": slot.number}
    )
    store.writer.write(lambda unit: unit.append(PROGRAM, secrets.token_hex(16), body))


def _keep(database: Path, tries: Tries) -> None:
    """On a disk that cannot be written the record must still open to be read."""
    with contextlib.suppress(OSError):
        path = keyring.tries_path(database)
        if tries == Tries():
            path.unlink(missing_ok=True)
        else:
            write_durably(path, [json.dumps(asdict(tries)).encode()])
