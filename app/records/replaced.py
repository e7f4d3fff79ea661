"""Whom this laptop has replaced, until that one has said that it gives way.

Kept beside the record, `<database>.replaced`, from just before the act is written: so that a
laptop that stops in between neither forgets to tell nor tells what has not happened. It holds the
secret with which this laptop followed, and is for its owner alone.
"""

from __future__ import annotations

import json
from dataclasses import asdict, dataclass
from pathlib import Path

from app.records.standby_record import Followed, follows_path
from app.rules.faults import StorageRefused
from app.trust.durable_file import sync_folder, write_durably

ENDING = ".replaced"


@dataclass(frozen=True, slots=True)
class Replaced:
    """The laptop that was followed, and the epoch with which it was replaced.

    `is_told`: it has said that it gives way, and only the entry is missing.
    """

    followed: Followed
    epoch: int
    is_told: bool = False


def replaced_path(database: Path) -> Path:
    return database.with_name(database.name + ENDING)


def replaced_by(database: Path) -> Replaced | None:
    """Whom the record at `database` has replaced and not told yet, None for nobody."""
    path = replaced_path(database)
    if not path.exists():
        return None
    try:
        said = json.loads(path.read_text(encoding="utf-8"))
        followed = Followed(**said["followed"])
        return Replaced(followed, int(said["epoch"]), bool(said["is_told"]))
    except (OSError, ValueError, TypeError, KeyError):
        raise StorageRefused(
            why=f"{path.name} cannot be read. Switch the laptop that had the record off by hand, "
            "then take that file away"
        ) from None


def keep_replaced(database: Path, replaced: Replaced) -> None:
    write_durably(replaced_path(database), [json.dumps(asdict(replaced)).encode()])


def forget_replaced(database: Path) -> None:
    """It has given way. Safe to call twice."""
    _remove(replaced_path(database))


def follow_nobody(database: Path) -> None:
    """From now on the record is nobody's standby. Safe to call twice."""
    _remove(follows_path(database))


def settle(database: Path, epoch: int) -> None:
    """Finish a taking over that was cut short, or undo what came before its act.

    `epoch` is that of the record: it goes up in the same transaction as the act.
    """
    replaced = replaced_by(database)
    if replaced is None or not follows_path(database).exists():
        return
    if epoch >= replaced.epoch:
        follow_nobody(database)
    else:
        forget_replaced(database)


def _remove(path: Path) -> None:
    path.unlink(missing_ok=True)
    sync_folder(path.parent)
