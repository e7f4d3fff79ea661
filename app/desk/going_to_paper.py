"""The table goes to paper and comes back: when it began, and that everything is caught up.

One hour on paper is open at a time, so that everything that is keyed belongs to it. What is keyed
row by row is in `catching_up`, how the hours stand in `paper_hours`.
"""

from __future__ import annotations

from dataclasses import dataclass

from app.desk.irregularities import Opened, open_beside, opened_beside
from app.desk.outcomes import Refused
from app.desk.paper_hours import (
    local_time,
    open_hour,
    open_paper_hours,
    why_not_then,
    wrong_time,
)
from app.desk.roster import Roster
from app.records import queries
from app.records.bodies_paper import PaperBegun, PaperCaughtUp
from app.records.entry import Actor, Entry
from app.records.unit import Unit
from app.rules.faults import NotAllowed


@dataclass(frozen=True, slots=True)
class Begun:
    """What the lead says: why, from when until when, and what the printed register shows.

    `anyway`: it shows entries that this record does not have, and is right.
    """

    reason: str
    head_seq: int | None = None
    from_time: str = ""
    until_time: str = ""
    anyway: bool = False


@dataclass(frozen=True, slots=True)
class Went:
    """`irregularity` is what was opened with it."""

    entry: Entry
    irregularity: Entry | None = None


def begin(unit: Unit, roster: Roster, actor: Actor, token: str, begun: Begun) -> Went | Refused:
    """Record that the table works on paper, from now on or after the fact."""
    asked: dict[str, object] = {"reason": begun.reason, "head_seq": begun.head_seq}
    asked["until_time"] = begun.until_time
    if begun.from_time:
        asked["from_time"] = begun.from_time
    before = unit.already(token, PaperBegun.kind, None, **asked)
    if before:
        return Went(before, opened_beside(unit, token, begun.reason))
    refused = _why_not_begun(unit, roster, begun)
    if refused:
        return refused
    entry = unit.append(actor, token, _begun_body(unit, roster, begun))
    if begun.head_seq is None or begun.head_seq < entry.seq:
        return Went(entry)
    facts = {"head_seq": begun.head_seq, "log_seq": entry.seq - 1}
    return Went(
        entry,
        open_beside(unit, actor, token, Opened("other", "paper-newer", begun.reason, facts)),
    )


def _why_not_begun(unit: Unit, roster: Roster, begun: Begun) -> Refused | None:
    still_open = open_paper_hours(unit.connection)
    if still_open:
        last = still_open[-1]
        facts = {"begun_seq": last.seq, "from": last.body["from_time"]}
        return Refused("paper-begun-already", facts)
    if begun.head_seq is not None and begun.head_seq > unit.head.seq and not begun.anyway:
        facts = {"head_seq": begun.head_seq, "log_seq": unit.head.seq}
        return Refused("paper-newer", facts)
    return _wrong_time(unit, roster, begun)


def _wrong_time(unit: Unit, roster: Roster, begun: Begun) -> Refused | None:
    """The day may begin on paper, so a time before the opening is none that is wrong here."""
    for field in ("from", "until"):
        local = begun.from_time if field == "from" else begun.until_time
        why = why_not_then(unit, roster, local)
        if why in ("future", "after-closing"):
            return wrong_time(unit, roster, field, local, why)
    first = begun.from_time or local_time(unit, roster)
    if begun.until_time and begun.until_time < first:
        return wrong_time(unit, roster, "until", begun.until_time, "turned-round")
    return None


def _begun_body(unit: Unit, roster: Roster, begun: Begun) -> PaperBegun:
    seq = begun.head_seq
    is_here = seq is not None and seq <= unit.head.seq
    return PaperBegun(
        reason=begun.reason,
        head_seq=seq,
        head_hash=queries.entry(unit.connection, seq).hash if seq and is_here else None,
        from_time=begun.from_time or local_time(unit, roster),
        until_time=begun.until_time,
    )


def finish(
    unit: Unit, actor: Actor, token: str, counted: int, reason: str, *, is_lead: bool
) -> Entry | Refused:
    """Close the hour: as many rows as were counted on the paper, or the lead says why not."""
    before = unit.already(token, PaperCaughtUp.kind, counted=counted, reason=reason)
    if before:
        return before
    hour = open_hour(unit.connection)
    if hour is None:
        return Refused("no-paper-hour")
    found = hour.tally
    agrees = found.standing == counted and not found.waiting
    if not agrees and not reason:
        facts = {"counted": counted, "rows": found.standing, "waiting": hour.waiting}
        return Refused("paper-does-not-agree", facts)
    if not agrees and not is_lead:
        raise NotAllowed(role="worker")
    body = PaperCaughtUp(
        begun_seq=hour.begun.seq,
        lines=found.standing,
        duplicates=found.duplicates,
        waiting=found.waiting,
        counted=counted,
        reason=reason,
        no_line=found.no_line,
    )
    return unit.append(actor, token, body)
