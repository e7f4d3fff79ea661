"""The score of a practice day as a paper: facts of the book in, pages out."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import datetime

from app.desk.practice_book import Score
from app.desk.roster import Roster
from app.papers.made import Form, Made
from app.papers.practice_score import ScoreRow, WorkerScore, write_scores
from app.records import queries
from app.rules.practice_exercises import EXERCISES
from app.rules.practice_judging import Judged
from app.rules.practice_words import PRACTICE_WORDS


def print_scores(roster: Roster, scores: Sequence[Score], now: datetime, form: Form) -> bytes:
    """One section for each worker; exercises that were not done stand there as not done."""
    head = roster.store.read(queries.head)
    pieces: list[bytes] = []
    workers = [_worker(score, PRACTICE_WORDS[form.language]) for score in scores]
    made = Made(now, head.seq, head.hash)
    write_scores(pieces.append, roster.setting, made, workers, form)
    return b"".join(pieces)


def _worker(score: Score, words: Mapping[str, str]) -> WorkerScore:
    rows = tuple(
        _row(number, words[f"{exercise.code}.title"], score.results.get(exercise.code), words)
        for number, exercise in enumerate(EXERCISES, 1)
    )
    return WorkerScore(score.name, score.initials, rows)


def _row(number: int, title: str, judged: Judged | None, words: Mapping[str, str]) -> ScoreRow:
    if judged is None:
        return ScoreRow(number, title)
    faults = tuple(words[f"fault.{code}"] for code in judged.faults)
    return ScoreRow(number, title, judged.result, judged.wrong_actions, faults)
