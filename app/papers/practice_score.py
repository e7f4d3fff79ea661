"""The score of those who practised, to be talked through afterwards; no certificate of anything."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from types import MappingProxyType

from app.papers.made import Form, Made, head_of, write_caution
from app.papers.pdf_stream import Write
from app.papers.sheets import Sheets
from app.papers.tables import Column, Row, Table
from app.papers.words import Language
from app.rules.setting import Setting

_ENGLISH = {
    "title": "Practice score",
    "lead": "What to talk through with each other. It says nothing about how long anybody took.",
    "nobody": "Nobody has practised yet.",
    "of": "{name} ({initials}): {right} of {all} right, {mended} put right, {wrong} not right",
    "number": "No.",
    "exercise": "Who came",
    "result": "How it ended",
    "wrong_actions": "Records too many",
    "result.right": "right",
    "result.mended": "put right in the end",
    "result.wrong": "not right",
    "result.none": "not done yet",
}
_SPANISH = {
    "title": "Puntuación de la práctica",
    "lead": "Para comentarlo entre todos. No dice nada de cuánto tardó nadie.",
    "nobody": "Nadie ha practicado todavía.",
    "of": "{name} ({initials}): {right} de {all} bien, {mended} corregidos, {wrong} mal",
    "number": "N.º",
    "exercise": "Quién vino",
    "result": "Cómo acabó",
    "wrong_actions": "Anotaciones de más",
    "result.right": "bien",
    "result.mended": "corregido al final",
    "result.wrong": "no estuvo bien",
    "result.none": "sin hacer todavía",
}
SCORE_WORDS: Mapping[Language, Mapping[str, str]] = MappingProxyType(
    {"en": MappingProxyType(_ENGLISH), "es": MappingProxyType(_SPANISH)}
)


@dataclass(frozen=True, slots=True)
class ScoreRow:
    """An exercise; `result` none where it was not done. `faults` are sentences."""

    number: int
    title: str
    result: str = "none"
    wrong_actions: int = 0
    faults: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class WorkerScore:
    name: str
    initials: str
    rows: tuple[ScoreRow, ...]

    def count(self, result: str) -> int:
        return sum(row.result == result for row in self.rows)


def write_scores(
    write: Write, setting: Setting, made: Made, workers: Sequence[WorkerScore], form: Form
) -> None:
    """A table for each worker."""
    words = SCORE_WORDS[form.language]
    head = head_of(setting, made, form.language, words["title"])
    sheets = Sheets(write, form.size, form.language, head, made.at)
    sheets.paragraph(words["lead"])
    for worker in workers:
        _write_worker(sheets, worker)
    if not workers:
        sheets.paragraph(words["nobody"])
    write_caution(sheets, setting)
    sheets.finish()


def _write_worker(sheets: Sheets, worker: WorkerScore) -> None:
    words = SCORE_WORDS[sheets.language]
    columns = (("number", 40), ("exercise", 240), ("result", 160), ("wrong_actions", 100))
    table = Table(sheets, [Column(words[key], share) for key, share in columns])

    def shown(row: ScoreRow) -> Row:
        result = words[f"result.{row.result}"]
        many = str(row.wrong_actions) if row.wrong_actions else ""
        return table.texts(str(row.number), row.title, result, many, notes=row.faults)

    counts = {result: worker.count(result) for result in ("right", "mended", "wrong")}
    heading = words["of"].format(
        name=worker.name, initials=worker.initials, all=len(worker.rows), **counts
    )
    table.write(map(shown, worker.rows), words["nobody"], heading)
