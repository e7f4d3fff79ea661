"""A row of paper that waits, settled by the lead: it is this line, or it stays without one.

On its line it is judged as if it had been keyed there at once. Without one it counts with a
reason, which is written up: somebody signed who is on no line.
"""

from __future__ import annotations

from dataclasses import replace

from app.desk.catching_up import Caught, caught, must_be_same, put_on_line
from app.desk.irregularities import Opened, open_beside, opened_beside
from app.desk.on_paper import OnPaper, Place
from app.desk.outcomes import Refused
from app.desk.paper_hours import KeyedRow, PaperHour, open_hour
from app.desk.roster import Roster
from app.records.bodies_paper import PaperRowSettled
from app.records.entry import Actor
from app.records.unit import Unit
from app.rules.catching_up import Effect
from app.rules.faults import NotFound


def settle_on_line(
    unit: Unit,
    roster: Roster,
    actor: Actor,
    token: str,
    row_number: int,
    line_id: str,
    on_paper: OnPaper,
) -> Caught | Refused:
    """The row is this line; its place is the one that was keyed, whatever `on_paper` says."""
    asked = {"row_number": row_number, "twice": on_paper.is_twice}
    again = unit.already(token, PaperRowSettled.kind, line_id, **asked)
    if again:
        must_be_same(unit, again, on_paper)
        return caught(unit, again)
    found = _that_waits(unit, row_number)
    if isinstance(found, Refused):
        return found
    hour, one = found
    placed = replace(on_paper, place=Place(one.row.time, one.row.page, one.row.order))
    return put_on_line(
        unit,
        roster,
        actor,
        token,
        hour,
        line_id,
        placed,
        lambda effect: _body(hour, one, effect, is_twice=placed.is_twice),
    )


def settle_without_line(
    unit: Unit, actor: Actor, token: str, row_number: int, reason: str
) -> Caught | Refused:
    """The row stays without a line and waits no more."""
    asked = {"row_number": row_number, "reason": reason}
    again = unit.already(token, PaperRowSettled.kind, None, **asked)
    if again:
        opened_beside(unit, token, reason)
        return caught(unit, again)
    found = _that_waits(unit, row_number)
    if isinstance(found, Refused):
        return found
    hour, one = found
    entry = unit.append(actor, token, _body(hour, one, "no_line", reason=reason))
    facts = {"row_seq": entry.seq, "page": one.row.page, "order": one.row.order}
    open_beside(unit, actor, token, Opened("voter", "paper-on-no-line", reason, facts))
    return caught(unit, entry)


def _that_waits(unit: Unit, row_number: int) -> tuple[PaperHour, KeyedRow] | Refused:
    """NotFound where the hour has no such row."""
    hour = open_hour(unit.connection)
    if hour is None:
        return Refused("no-paper-hour")
    if not 1 <= row_number <= len(hour.rows):
        raise NotFound(what="row of the paper")
    one = hour.rows[row_number - 1]
    if one.row.effect != "waits" or one.row.is_undone:
        return Refused("nothing-to-settle")
    return hour, one


def _body(
    hour: PaperHour, one: KeyedRow, effect: Effect, *, is_twice: bool = False, reason: str = ""
) -> PaperRowSettled:
    return PaperRowSettled(
        begun_seq=hour.begun.seq,
        row_number=one.row.number,
        keyed_seq=one.keyed.seq,
        effect=effect,
        twice=is_twice,
        reason=reason,
    )
