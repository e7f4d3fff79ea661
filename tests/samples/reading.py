"""The sample packages as they lie in the project, read with nothing of the product."""

from __future__ import annotations

import csv
import json
import tomllib
from dataclasses import dataclass
from pathlib import Path
from typing import Any

PROJECT = Path(__file__).resolve().parents[2]
Row = dict[str, str]


@dataclass(frozen=True)
class Sample:
    folder: Path
    setting: dict[str, Any]
    manifest: dict[str, Any]
    register: list[Row]
    supplemental: list[Row]
    mailed: list[Row]
    early: list[Row]
    elsewhere: list[Row]

    @property
    def everybody(self) -> list[Row]:
        return self.register + self.supplemental

    @property
    def by_number(self) -> dict[str, Row]:
        return {row["voter_number"]: row for row in self.everybody}

    def voted(self) -> dict[str, list[str]]:
        """For each voter number that has voted before the day: where it says so."""
        says: dict[str, list[str]] = {}
        for row in self.everybody:
            if row["mark"]:
                says.setdefault(row["voter_number"], []).append(row["mark"])
        for name, rows in (("mail-voted", self.mailed), ("early-voted", self.early)):
            for row in rows:
                says.setdefault(row["voter_number"], []).append(name)
        return says


def read_rows(path: Path) -> list[Row]:
    with path.open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


def read_sample(name: str) -> Sample:
    folder = PROJECT / "sample_rosters" / name
    return Sample(
        folder,
        tomllib.loads((folder / "election.toml").read_text(encoding="utf-8")),
        json.loads((folder / "MANIFEST.json").read_text(encoding="utf-8")),
        read_rows(folder / "register.csv"),
        read_rows(folder / "supplemental.csv"),
        read_rows(folder / "mail-voted.csv"),
        read_rows(folder / "early-voted.csv"),
        read_rows(folder / "elsewhere.csv") if (folder / "elsewhere.csv").exists() else [],
    )
