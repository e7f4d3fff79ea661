"""The turns of the day, taken by the lead: polls open, line cut off, polls closed."""

from __future__ import annotations

from app.desk.outcomes import Recorded, Refused
from app.records import queries
from app.records.bodies import Body, DayClosed, DayOpened, LineCutOff
from app.records.entry import Actor
from app.records.unit import Unit
from app.rules.moment import Phase

# Each turn with the phase it follows. Closing needs the end of the line marked
# first: whoever stands in it at the hour still votes.
_FOLLOWS: dict[type[Body], Phase] = {
    DayOpened: Phase.NOT_OPEN,
    LineCutOff: Phase.OPEN,
    DayClosed: Phase.CUT_OFF,
}


def take_turn(unit: Unit, actor: Actor, token: str, turn: type[Body]) -> Recorded | Refused:
    """Record a turn of the day if it is the next one; the same token answers the same."""
    before = unit.already(token, turn.kind)
    if before:
        return Recorded(before)
    phase = queries.day_state(unit.connection).phase
    if phase is not _FOLLOWS[turn]:
        return Refused("turn-out-of-order", {"phase": phase.value})
    return Recorded(unit.append(actor, token, turn()))
