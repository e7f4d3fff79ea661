"""What the API answers of lines: found ones, the open one, and the verdict on it."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from pydantic import BaseModel

from app.api.answers import (
    ActAnswer,
    Clockface,
    EntryAnswer,
    act_answer,
    act_fields,
    entry_answer,
)
from app.desk.finding import Hit, Hits
from app.desk.past_calls import Correction
from app.desk.reading import Sheet
from app.rules.line import Line, LineState, Mark
from app.rules.verdict import Coded, Reason, Step, Verdict


class CodedAnswer(BaseModel):
    code: str
    sentence: str
    facts: dict[str, Any]


class StepAnswer(CodedAnswer):
    settled_by: str


class ReasonAnswer(CodedAnswer):
    rule: str


class VerdictAnswer(BaseModel):
    outcome: str
    steps: list[StepAnswer]
    reasons: list[ReasonAnswer]
    options: list[CodedAnswer]
    if_not_done: list[CodedAnswer]
    ballot_button: int | None
    caution: str


class CheckAnswer(BaseModel):
    verdict: VerdictAnswer


class MatchAnswer(BaseModel):
    line_id: str
    voter_number: str
    name: str
    birth_date: str
    address: str
    address_protected: bool
    part: str
    outcome: str
    why: list[str]
    why_codes: list[str]
    look_alikes: int
    score: float
    probability: float


class FindAnswer(BaseModel):
    """`ask_for` is the one more fact that would leave the fewest lines, None for none."""

    matches: list[MatchAnswer]
    ignored: list[str]
    fits: int
    ask_for: str | None
    took_ms: float


class MarkAnswer(BaseModel):
    kind: str
    source: str
    initials: str
    act: ActAnswer | None


class StateAnswer(BaseModel):
    standing: str
    signature: ActAnswer | None
    marks: list[MarkAnswer]
    removed: ActAnswer | None
    address_confirmed: ActAnswer | None
    assistance: ActAnswer | None
    left: ActAnswer | None
    provisional: ActAnswer | None


class LineAnswer(BaseModel):
    line_id: str
    voter_number: str
    name: str
    last_name: str
    first_name: str
    middle_name: str
    suffix: str
    birth_date: str
    mothers_maiden_name: str
    street_address: str
    city: str
    postal_code: str
    party: str
    ballot_button: int | None
    assistance: bool
    address_confirmation: bool
    inactive: bool
    first_time_by_mail: bool
    address_protected: bool
    part: str


class LookAlikeAnswer(BaseModel):
    """Deliberately without the birth date: it is asked, not read off the screen.

    `same_birth_date`: twins; the birth date tells nobody apart, the first name must.
    """

    line_id: str
    name: str
    voter_number: str
    address: str
    address_protected: bool
    same_birth_date: bool


class CorrectionAnswer(ActAnswer):
    """A detail as it stood and as the registrar corrected it."""

    detail: str
    was: str | int | None
    now: str | int | None


class SheetAnswer(BaseModel):
    """`line` is as corrected; `corrections` say what is printed."""

    line: LineAnswer
    state: StateAnswer
    verdict: VerdictAnswer
    look_alikes: list[LookAlikeAnswer]
    history: list[EntryAnswer]
    corrections: list[CorrectionAnswer]


def verdict_answer(verdict: Verdict, caution: str) -> VerdictAnswer:
    return VerdictAnswer(
        outcome=verdict.outcome,
        steps=[_step(step) for step in verdict.steps],
        reasons=[_reason(reason) for reason in verdict.reasons],
        options=[CodedAnswer(**coded_fields(option)) for option in verdict.options],
        if_not_done=[CodedAnswer(**coded_fields(option)) for option in verdict.if_not_done],
        ballot_button=verdict.ballot_button,
        caution=caution,
    )


def find_answer(hits: Hits, took_ms: float) -> FindAnswer:
    return FindAnswer(
        matches=[match_answer(hit) for hit in hits.hits],
        ignored=list(hits.ignored),
        fits=hits.fits,
        ask_for=hits.ask_for,
        took_ms=round(took_ms, 3),
    )


def sheet_answer(sheet: Sheet, caution: str, clockface: Clockface) -> SheetAnswer:
    return SheetAnswer(
        line=_line(sheet.line),
        state=_state(sheet.state, clockface),
        verdict=verdict_answer(sheet.verdict, caution),
        look_alikes=[_look_alike(other, sheet.line) for other in sheet.look_alikes],
        history=[entry_answer(entry, clockface) for entry in sheet.history],
        corrections=[_correction(one, clockface) for one in sheet.corrections],
    )


def coded_fields(coded: Coded) -> dict[str, Any]:
    return {"code": coded.code, "sentence": coded.sentence, "facts": dict(coded.facts)}


def _step(step: Step) -> StepAnswer:
    return StepAnswer(**coded_fields(step), settled_by=step.settled_by)


def _reason(reason: Reason) -> ReasonAnswer:
    return ReasonAnswer(**coded_fields(reason), rule=reason.rule)


def _address(line: Line) -> str:
    printed = line.printed
    return ", ".join(part for part in (printed.street_address, printed.city) if part)


def match_answer(hit: Hit) -> MatchAnswer:
    printed = hit.line.printed
    return MatchAnswer(
        line_id=hit.line.line_id,
        voter_number=printed.voter_number,
        name=printed.name_last_first,
        birth_date=printed.birth_date.isoformat(),
        address=_address(hit.line),
        address_protected=printed.address_protected,
        part=printed.part,
        outcome=hit.outcome,
        why=[why.words for why in hit.match.why],
        why_codes=[why.code for why in hit.match.why],
        look_alikes=len(hit.line.look_alikes),
        score=round(hit.match.score, 4),
        probability=hit.match.probability,
    )


def _look_alike(line: Line, of: Line) -> LookAlikeAnswer:
    return LookAlikeAnswer(
        line_id=line.line_id,
        name=line.printed.name_last_first,
        voter_number=line.printed.voter_number,
        address=_address(line),
        address_protected=line.printed.address_protected,
        same_birth_date=line.printed.birth_date == of.printed.birth_date,
    )


def _line(line: Line) -> LineAnswer:
    printed = line.printed
    asked = set(LineAnswer.model_fields) - {"line_id", "name", "birth_date"}
    return LineAnswer(
        line_id=line.line_id,
        name=printed.name_last_first,
        birth_date=printed.birth_date.isoformat(),
        **{name: getattr(printed, name) for name in asked},
    )


def _marks(marks: Iterable[Mark], clockface: Clockface) -> list[MarkAnswer]:
    return [
        MarkAnswer(
            kind=mark.kind,
            source=mark.source,
            initials=mark.initials,
            act=act_answer(mark.act, clockface),
        )
        for mark in marks
    ]


def _correction(one: Correction, clockface: Clockface) -> CorrectionAnswer:
    fields: dict[str, Any] = {"detail": one.detail, "was": one.was, "now": one.now}
    return CorrectionAnswer(**act_fields(one.act, clockface), **fields)


def _state(state: LineState, clockface: Clockface) -> StateAnswer:
    return StateAnswer(
        standing=state.standing,
        signature=act_answer(state.signature, clockface),
        marks=_marks(state.marks, clockface),
        removed=act_answer(state.removed, clockface),
        address_confirmed=act_answer(state.address_confirmed, clockface),
        assistance=act_answer(state.assistance, clockface),
        left=act_answer(state.left, clockface),
        provisional=act_answer(state.provisional, clockface),
    )
