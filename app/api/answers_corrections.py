"""What the API answers about corrections, flags, helpers and the papers that go along."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Any

from pydantic import BaseModel

from app.api.answers import ActAnswer, Clockface, Receipt, act_answer, receipt, receipt_fields
from app.api.answers_lines import CodedAnswer, coded_fields
from app.desk.moving import Moved, Stands
from app.desk.outcomes import Recorded
from app.rules.coded import Flag
from app.rules.line import Act


class PapersReceipt(Receipt):
    """`papers` are what the person takes along."""

    papers: list[str]


class FlaggedReceipt(Receipt):
    """`flags`: recorded all the same, and the lead should know."""

    flags: list[CodedAnswer]


class CorrectionReceipt(Receipt):
    """What stood there before the correction and what stands there after it."""

    before: dict[str, ActAnswer | str | bool | None]
    after: dict[str, ActAnswer | str | bool | None]


class StandsAnswer(BaseModel):
    line_id: str
    name: str
    ballot_button: int | None
    signature: ActAnswer | None


class MoveAnswer(BaseModel):
    withdrawn: Receipt
    recorded: Receipt
    flags: list[CodedAnswer]
    before: dict[str, StandsAnswer]
    after: dict[str, StandsAnswer]


class HelperAnswer(BaseModel):
    name: str
    helped: int
    over: bool


class HelpersAnswer(BaseModel):
    """`limit` 0 is no limit."""

    limit: int
    helpers: list[HelperAnswer]


def papers_receipt(recorded: Recorded, clockface: Clockface) -> PapersReceipt:
    fields = receipt_fields(recorded.entry, clockface)
    return PapersReceipt(**fields, papers=list(recorded.papers))


def flagged_receipt(recorded: Recorded, clockface: Clockface) -> FlaggedReceipt:
    fields = receipt_fields(recorded.entry, clockface)
    return FlaggedReceipt(**fields, flags=flag_answers(recorded.flags))


def correction_receipt(recorded: Recorded, clockface: Clockface) -> CorrectionReceipt:
    return CorrectionReceipt(
        **receipt_fields(recorded.entry, clockface),
        before=stood_fields(recorded.before, clockface),
        after=stood_fields(recorded.after, clockface),
    )


def move_answer(moved: Moved, clockface: Clockface) -> MoveAnswer:
    return MoveAnswer(
        withdrawn=receipt(moved.withdrawn, clockface),
        recorded=receipt(moved.recorded, clockface),
        flags=flag_answers(moved.flags),
        before={name: _stands(stands, clockface) for name, stands in moved.before.items()},
        after={name: _stands(stands, clockface) for name, stands in moved.after.items()},
    )


def flag_answers(flags: Iterable[Flag]) -> list[CodedAnswer]:
    return [CodedAnswer(**coded_fields(flag)) for flag in flags]


def stood_fields(stood: Mapping[str, object], clockface: Clockface) -> dict[str, Any]:
    return {
        name: act_answer(value, clockface) if isinstance(value, Act) else value
        for name, value in stood.items()
    }


def _stands(stands: Stands, clockface: Clockface) -> StandsAnswer:
    printed = stands.line.printed
    return StandsAnswer(
        line_id=stands.line.line_id,
        name=printed.name_last_first,
        ballot_button=printed.ballot_button,
        signature=act_answer(stands.signature, clockface),
    )
