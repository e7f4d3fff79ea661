"""The turns of the day, taken by the lead: polls open, line cut off, polls closed.

Also hours extended by an order, and a turn that was a mistake, taken back.
"""

from __future__ import annotations

from datetime import time

from sqlalchemy import Connection

from app.desk.outcomes import Recorded, Refused
from app.desk.roster import Roster
from app.records import queries
from app.records.bodies import DayClosed, DayOpened, HoursExtended, LineCutOff, Turn, TurnWithdrawn
from app.records.body import Body
from app.records.entry import Actor, Entry
from app.records.fold import DAY_KINDS, fold_day, turn_act
from app.records.unit import Unit
from app.rules.faults import BadRequest
from app.rules.moment import DayState, Phase

# Each turn with the phase it follows. Closing needs the end of the line marked
# first: whoever stands in it at the hour still votes.
_FOLLOWS: dict[type[Body], Phase] = {
    DayOpened: Phase.NOT_OPEN,
    LineCutOff: Phase.OPEN,
    DayClosed: Phase.CUT_OFF,
}

# The turn that made each phase: only that one can be taken back.
_LATEST: dict[Phase, Turn] = {
    Phase.OPEN: "day.opened",
    Phase.CUT_OFF: "line.cut_off",
    Phase.CLOSED: "day.closed",
}


def take_turn(unit: Unit, actor: Actor, token: str, turn: type[Body]) -> Recorded | Refused:
    """Record a turn of the day if it is the next one; the same token answers the same."""
    before = unit.already(token, turn.kind)
    if before:
        return Recorded(before)
    return out_of_turn(unit.connection, turn) or Recorded(unit.append(actor, token, turn()))


def out_of_turn(connection: Connection, turn: type[Body]) -> Refused | None:
    """The refusal of a turn that is not the next one, None for the next one.

    Opening and closing ask for more: see `app.desk.opening` and `app.desk.closing`.
    """
    phase = queries.day_state(connection).phase
    if phase is _FOLLOWS[turn]:
        return None
    return Refused("turn-out-of-order", {"phase": phase.value})


def extend_hours(
    unit: Unit, roster: Roster, actor: Actor, token: str, reference: str, until: time
) -> Recorded | Refused:
    """Record the order that keeps the polls open until `until`, a local time.

    BadRequest where that is no later than the ordinary closing.
    """
    if until <= roster.setting.election.closes:
        raise BadRequest(field="until", expected="a time after the ordinary closing")
    body = HoursExtended(reference=reference, until=until.strftime("%H:%M"))
    before = unit.already(token, body.kind, **body.model_dump(mode="json"))
    if before:
        return Recorded(before)
    phase = queries.day_state(unit.connection).phase
    if phase not in (Phase.OPEN, Phase.CUT_OFF):
        return Refused("turn-out-of-order", {"phase": phase.value})
    return Recorded(unit.append(actor, token, body))


def withdraw_turn(
    unit: Unit, actor: Actor, token: str, turn: Turn, reason: str
) -> Recorded | Refused:
    """Take back the latest turn, or the latest order; the entry says why."""
    again = unit.already(token, TurnWithdrawn.kind, turn=turn, reason=reason)
    if again:
        return _withdrawn(unit.connection, again)
    day = queries.day_state(unit.connection)
    act = turn_act(day, turn)
    if act is None or turn not in may_be_withdrawn(day):
        return Refused("turn-out-of-order", {"phase": day.phase.value})
    body = TurnWithdrawn(turn=turn, turn_seq=act.seq, reason=reason)
    return _withdrawn(unit.connection, unit.append(actor, token, body))


def may_be_withdrawn(day: DayState) -> tuple[Turn, ...]:
    """The turns that the lead can take back now."""
    latest = _LATEST.get(day.phase)
    turns: tuple[Turn, ...] = (latest,) if latest else ()
    return (*turns, "hours.extended") if day.extension else turns


def _withdrawn(connection: Connection, entry: Entry) -> Recorded:
    turns = [turn for turn in queries.entries_of(connection, *DAY_KINDS) if turn.seq <= entry.seq]
    return Recorded(entry, before=_shown(fold_day(turns[:-1])), after=_shown(fold_day(turns)))


def _shown(day: DayState) -> dict[str, object]:
    return {"phase": day.phase.value, "extended": day.extension is not None}
