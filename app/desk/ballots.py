"""Counting ballots on paper, where a place counts them and no machine does."""

from __future__ import annotations

from dataclasses import dataclass

from sqlalchemy import Connection

from app.desk.outcomes import Recorded, Refused
from app.desk.roster import Roster
from app.records import queries
from app.records.bodies_day import BallotsCounted
from app.records.entry import Actor, Entry
from app.records.unit import Unit
from app.rules.balance import ballot_totals, counts_standing
from app.rules.day_facts import BallotCount
from app.rules.faults import BadRequest
from app.rules.paper_ballots import ADDED_UP, Counted


@dataclass(frozen=True, slots=True)
class BallotsRead:
    entries: tuple[Entry, ...]
    totals: dict[str, int | None]
    replaced_by: dict[int, int]


def record_count(
    unit: Unit,
    roster: Roster,
    actor: Actor,
    token: str,
    what: Counted,
    count: int,
    replaces: int | None,
    reason: str,
) -> Recorded | Refused:
    """Record a count. BadRequest where it stands in for no such count, or does not say why."""
    if roster.setting.policy.counted_by != "paper_ballots":
        return Refused("not-provided-for")
    body = BallotsCounted(what=what, count=count, replaces=replaces, reason=reason)
    again = unit.already(token, body.kind, **body.model_dump(mode="json"))
    if again:
        return Recorded(again)
    stands = [one for one in counts_standing(_counts(unit.connection)) if one.what == what]
    if replaces is None and stands and what not in ADDED_UP:
        return Refused("counted-already", {"seq": stands[-1].seq, "count": stands[-1].count})
    if replaces is not None and replaces not in {one.seq for one in stands}:
        raise BadRequest(field="replaces", expected="the entry of the count that stands")
    if replaces is not None and not reason:
        raise BadRequest(field="reason", expected="why the count is replaced")
    return Recorded(unit.append(actor, token, body))


def read_counts(roster: Roster) -> BallotsRead:
    def read(connection: Connection) -> BallotsRead:
        entries = _entries(connection)
        replaced = {one.body["replaces"]: one.seq for one in entries if one.body["replaces"]}
        return BallotsRead(tuple(entries), ballot_totals(_counts(connection)), replaced)

    return roster.store.read(read)


def _counts(connection: Connection) -> list[BallotCount]:
    return [
        BallotCount(one.body["what"], one.body["count"], one.seq, one.body["replaces"])
        for one in _entries(connection)
    ]


def _entries(connection: Connection) -> list[Entry]:
    return queries.entries_of(connection, BallotsCounted.kind)
