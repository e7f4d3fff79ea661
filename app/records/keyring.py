"""The keys of the records that this process has unlocked. In memory only, shown nowhere.

Beside an encrypted database stands its slots file; where that stands nothing is opened
without a key, and nothing that is not encrypted.
"""

from __future__ import annotations

from pathlib import Path

from app.trust.sealing import Sealer, Use, subkey

SLOTS_ENDING = ".keys"
TRIES_ENDING = ".keys.tries"


class _Keys(dict[Path, bytes]):
    """Never printed: a key must reach no log by accident."""

    def __repr__(self) -> str:
        return f"{len(self)} keys"

    __str__ = __repr__


_KEYS = _Keys()


def unlock(database: Path, key: bytes) -> None:
    """From now on this process opens the record at `database` with `key`."""
    _KEYS[_known_as(database)] = key


def lock(database: Path) -> None:
    """Forget the key. Connections that are open stay so."""
    _KEYS.pop(_known_as(database), None)


def is_unlocked(database: Path) -> bool:
    return _known_as(database) in _KEYS


def is_encrypted(database: Path) -> bool:
    """Whether the record at `database` has, or will have, its data encrypted."""
    return slots_path(database).exists() or is_unlocked(database)


def key_for(database: Path, use: Use) -> bytes | None:
    """The key of the record for one use; None where none was unlocked."""
    master = _KEYS.get(_known_as(database))
    return None if master is None else subkey(master, use)


def sealer_for(database: Path, use: Use) -> Sealer | None:
    """What seals files that stand outside the database; None where the record has no key."""
    key = key_for(database, use)
    return None if key is None else Sealer(key)


def master_of(database: Path) -> bytes | None:
    """The key itself: only to wrap it in a further slot, or for a copy of the record."""
    return _KEYS.get(_known_as(database))


def slots_path(database: Path) -> Path:
    return database.with_name(database.name + SLOTS_ENDING)


def tries_path(database: Path) -> Path:
    return database.with_name(database.name + TRIES_ENDING)


def _known_as(database: Path) -> Path:
    return database.absolute()
