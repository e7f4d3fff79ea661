"""The words of the page in parts: what the first screen needs, and the rest when it is wanted.

A language is one file, `<language>.json`, of sections; which sections make up a part stands once
for all languages in `parts.json`. A section that it names in no part belongs to the first one, so
that none is ever missing.
"""

from __future__ import annotations

import hashlib
import json
import re
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from app.rules.faults import NotFound

PARTS_FILE = "parts.json"
# Also what keeps a path from leading out of the folder: nothing else is looked for.
_NAME = re.compile(r"[a-z]{2,8}(?:-[a-zA-Z]{2,8})?", re.ASCII)


@dataclass(frozen=True, slots=True)
class PartOfWords:
    """JSON as it is sent, and the tag that changes with it."""

    content: bytes
    etag: str


class WordsInParts:
    """The files of one folder, read anew each time: whoever mends a word sees it at once."""

    def __init__(self, folder: Path) -> None:
        self._folder = folder

    def part(self, language: str, part: str) -> PartOfWords:
        """NotFound for a language or a part that is not there."""
        if language not in self.languages or part not in self.parts:
            raise NotFound(what="words")
        words = self._read(f"{language}.json")
        chosen = {name: words[name] for name in self.sections(language)[part]}
        content = json.dumps(chosen, ensure_ascii=False, separators=(",", ":")).encode()
        return PartOfWords(content, f'"{hashlib.sha256(content).hexdigest()[:32]}"')

    @property
    def languages(self) -> list[str]:
        """Every language there is a file of."""
        names = (file.stem for file in self._folder.glob("*.json") if file.name != PARTS_FILE)
        return sorted(name for name in names if _NAME.fullmatch(name))

    @property
    def parts(self) -> list[str]:
        """The names of the parts, the first one first."""
        return list(self._table)

    def sections(self, language: str) -> dict[str, list[str]]:
        """The sections of each part, in the order of the file."""
        table = self._table
        part_of = {name: part for part, names in table.items() for name in names}
        found: dict[str, list[str]] = {part: [] for part in table}
        for name in self._read(f"{language}.json"):
            found[part_of.get(name, self.parts[0])].append(name)
        return found

    @property
    def _table(self) -> dict[str, list[str]]:
        table = self._read(PARTS_FILE)
        return {table["first"]: [], **table["parts"]}

    def _read(self, name: str) -> dict[str, Any]:
        found: dict[str, Any] = json.loads((self._folder / name).read_text(encoding="utf-8"))
        return found
