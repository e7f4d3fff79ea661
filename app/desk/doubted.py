"""What a task answers that may open an irregularity: what was recorded, and what it opened.

Something doubted is refused first, so that a slip of the finger leaves no trace; who insists says
why, and both stand in the log.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from app.desk.irregularities import Opened, open_beside, opened_beside
from app.desk.outcomes import Refused
from app.records.bodies_lists import IrregularityKind
from app.records.body import Body
from app.records.entry import Actor, Entry
from app.records.unit import Unit
from app.rules.coded import Coded
from app.rules.doubts import Doubt
from app.rules.faults import BadRequest


@dataclass(frozen=True, slots=True)
class Insisted:
    """`anyway`: it is recorded although it is doubted, for `reason`."""

    anyway: bool = False
    reason: str = ""


@dataclass(frozen=True, slots=True)
class Kept:
    """`irregularity` is what was opened with it; `flags`: what the lead should know."""

    entry: Entry
    irregularity: Entry | None = None
    flags: tuple[Coded, ...] = ()


def kept_before(unit: Unit, token: str, body: Body, insisted: Insisted) -> Kept | None:
    """What this token recorded before, None if the token is new."""
    again = unit.already(token, body.kind, **body.model_dump(mode="json"))
    return Kept(again, opened_beside(unit, token, insisted.reason)) if again else None


def keep(
    unit: Unit,
    actor: Actor,
    token: str,
    body: Body,
    doubts: Sequence[Doubt],
    insisted: Insisted,
    *,
    about: IrregularityKind,
    refusal: str,
    machine: str | None = None,
) -> Kept | Refused:
    """Record `body`, and with doubts an irregularity `about` it; `refusal` where nobody insists."""
    if doubts and not insisted.anyway:
        return Refused(refusal, {"doubts": doubts_as_told(doubts)})
    if doubts and not insisted.reason:
        raise BadRequest(field="reason", expected="why it is recorded all the same")
    entry = unit.append(actor, token, body)
    if not doubts:
        return Kept(entry)
    facts = {"entry": entry.seq, "doubts": doubts_as_told(doubts)}
    opened = Opened(about, doubts[0].code, insisted.reason, facts, machine)
    return Kept(entry, open_beside(unit, actor, token, opened))


def doubts_as_told(doubts: Sequence[Coded]) -> list[dict[str, Any]]:
    return [
        {"code": one.code, "sentence": one.sentence, "facts": _plain(one.facts)} for one in doubts
    ]


def _plain(facts: Mapping[str, object]) -> dict[str, Any]:
    return {name: list(v) if isinstance(v, tuple) else v for name, v in facts.items()}
