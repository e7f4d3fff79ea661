"""The steps that are recorded on the line before a voter signs: the card, the helper."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from app.desk.outcomes import Recorded, Refused, refused_by
from app.desk.roster import Roster
from app.desk.signing import Strokes, strokes_digest, strokes_text
from app.records import queries
from app.records.bodies import AddressConfirmed, AssistanceRecorded
from app.records.entry import Actor
from app.records.unit import Unit
from app.rules.faults import BadRequest
from app.rules.verdict import Outcome


@dataclass(frozen=True, slots=True)
class Assistance:
    """Whether help is wanted, who helps, and (where no Y is printed) why.

    `how` and `strokes` are the helper's signature; both None where no help is wanted.
    """

    wanted: bool
    helper_name: str = ""
    reason: str = ""
    how: Literal["drawn", "paper"] | None = None
    strokes: Strokes | None = None


def confirm_address(
    unit: Unit, roster: Roster, actor: Actor, token: str, line_id: str
) -> Recorded | Refused:
    """Record that the voter completed the address confirmation card."""
    before = unit.already(token, AddressConfirmed.kind, line_id)
    if before:
        return Recorded(before)
    verdict = roster.judge_now(unit.connection, queries.line(unit.connection, line_id))
    if verdict.outcome in (Outcome.STOP, Outcome.CALL):
        return refused_by(verdict)
    if not any(step.code == "address-confirmation" for step in verdict.steps):
        return Refused("nothing-to-record")
    return Recorded(unit.append(actor, token, AddressConfirmed(), line_id))


def record_assistance(
    unit: Unit, roster: Roster, actor: Actor, token: str, line_id: str, assistance: Assistance
) -> Recorded | Refused:
    """Record who helps this voter in the booth, or that nobody needs to.

    BadRequest where help is wanted and the helper's name or signature is missing,
    or the reason, where no Y is printed on the line.
    """
    strokes = strokes_text(assistance.strokes)
    body = AssistanceRecorded(
        wanted=assistance.wanted,
        helper_name=assistance.helper_name,
        reason=assistance.reason,
        how=assistance.how,
        strokes_sha256=strokes_digest(strokes),
    )
    before = unit.already(token, body.kind, line_id, **body.model_dump(mode="json"))
    if before:
        return Recorded(before)
    line = queries.line(unit.connection, line_id)
    _check_assistance(assistance, is_printed=line.printed.assistance)
    verdict = roster.judge_now(unit.connection, line)
    if verdict.outcome in (Outcome.STOP, Outcome.CALL):
        return refused_by(verdict)
    return Recorded(unit.append(actor, token, body, line_id, strokes))


def _check_assistance(assistance: Assistance, *, is_printed: bool) -> None:
    if not assistance.wanted:
        return
    needed = {"helper_name": assistance.helper_name.strip(), "how": assistance.how}
    if not is_printed:
        needed["reason"] = assistance.reason.strip()
    missing = [name for name, value in needed.items() if not value]
    if missing:
        raise BadRequest(missing=missing)
