"""The manifest of a sealed bundle: what is in it, by SHA-256, and where the log ends.

Whoever has the files can write the manifest again and compare every byte: nothing in it is known
to the manifest alone.
"""

from __future__ import annotations

import hashlib
from collections.abc import Mapping
from dataclasses import dataclass

from app.papers.exports.json_text import json_bytes
from app.rules.setting import Setting

MANIFEST = "MANIFEST.json"
FORM = "tablebook hand-over 1"
# No program that reads bundles takes one of a practice day for a real one.
PRACTICE_FORM = "tablebook practice hand-over 1: nothing here counts"


@dataclass(frozen=True, slots=True)
class Sealed:
    """What the manifest says beside the digests. `made_at` is local, ISO 8601 with its zone.

    `withheld` counts what is left out because it would tell a protected address.
    """

    made_at: str
    version: str
    last_seq: int
    last_hash: str
    withheld: int


def manifest_json(setting: Setting, sealed: Sealed, files: Mapping[str, bytes]) -> bytes:
    """The manifest of `files`, which does not have itself among them."""
    election, precinct = setting.election, setting.precinct
    return json_bytes(
        {
            "form": PRACTICE_FORM if setting.is_practice else FORM,
            "version": sealed.version,
            "made_at": sealed.made_at,
            "election": {
                "id": election.id,
                "name": election.name,
                "date": election.date.isoformat(),
            },
            "precinct": {"county": precinct.county, "number": precinct.number},
            "first_seq": 1,
            "last_seq": sealed.last_seq,
            "last_hash": sealed.last_hash,
            "withheld": sealed.withheld,
            "files": {name: _digest(files[name]) for name in sorted(files)},
        }
    )


def _digest(data: bytes) -> dict[str, str | int]:
    return {"sha256": hashlib.sha256(data).hexdigest(), "bytes": len(data)}
