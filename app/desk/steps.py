"""The step that is recorded on the line before a voter signs: the address confirmation card."""

from __future__ import annotations

from app.desk.outcomes import Recorded, Refused, refused_by
from app.desk.roster import Roster
from app.records import queries
from app.records.bodies import AddressConfirmed
from app.records.entry import Actor
from app.records.unit import Unit
from app.rules.verdict import Outcome


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
