"""Wrong PINs that were typed at a laptop that follows: counted in a file beside its record.

Nothing is written into that record but what the other laptop sends, and a restart must forgive
nobody. What is counted here comes on top of what the record itself counts.
"""

from __future__ import annotations

import json
from collections.abc import Collection
from pathlib import Path

from app.records.people import MOST_UNKNOWN, WrongPins
from app.rules.faults import StorageRefused
from app.trust.durable_file import sync_folder, write_durably

ENDING = ".standby_tries"


class TriesBeside:
    """By initials, those of nobody too. Used by one thread at a time."""

    def __init__(self, database: Path) -> None:
        self._path = database.with_name(database.name + ENDING)
        self._kept = self._read()

    def of(self, initials: str) -> WrongPins:
        return self._kept.get(initials, WrongPins())

    def all(self) -> dict[str, WrongPins]:
        return dict(self._kept)

    def keep(self, initials: str, pins: WrongPins, known: Collection[str]) -> None:
        """Durably; where too many initials of nobody (not `known`) are kept, they are forgotten.

        StorageRefused where it cannot be written: then no PIN may be looked at.
        """
        kept = {**self._kept, initials: pins}
        if len(kept) > MOST_UNKNOWN:
            kept = {one: kept[one] for one in kept if one in known or one == initials}
        self._write({one: each for one, each in kept.items() if each != WrongPins()})

    def remove(self) -> None:
        """Counted elsewhere from now on. Safe to call twice."""
        self._kept = {}
        self._path.unlink(missing_ok=True)
        sync_folder(self._path.parent)

    def _write(self, kept: dict[str, WrongPins]) -> None:
        text = json.dumps({one: [pins.wrong, pins.recent] for one, pins in kept.items()})
        try:
            write_durably(self._path, [text.encode()])
        except OSError as error:
            raise StorageRefused(
                why=f"{self._path.name} cannot be written ({error.strerror}): without counting "
                "wrong PINs nobody is signed on"
            ) from None
        self._kept = kept

    def _read(self) -> dict[str, WrongPins]:
        try:
            said = json.loads(self._path.read_text(encoding="utf-8"))
            return {str(one): WrongPins(int(two[0]), int(two[1])) for one, two in said.items()}
        except FileNotFoundError:
            return {}
        except (OSError, ValueError, TypeError, AttributeError, IndexError):
            raise StorageRefused(
                why=f"{self._path.name} cannot be read; it counts wrong PINs. Keep it for the "
                "registrar, and only then take it away"
            ) from None
