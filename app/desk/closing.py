"""Closing the polls: the counts agree, or the lead writes why they do not."""

from __future__ import annotations

from app.desk.balance import facts_of, reconcile
from app.desk.day import out_of_turn
from app.desk.doubted import doubts_as_told
from app.desk.irregularities import Opened, open_beside
from app.desk.outcomes import Recorded, Refused
from app.desk.roster import Roster
from app.records.bodies import DayClosed
from app.records.entry import Actor
from app.records.unit import Unit
from app.rules.balance import Balance, balance_of

# What a tired lead reads at once; all of them stand in the reconciliation.
CAUSES_AT_ONCE = 3
DOES_NOT_BALANCE = "does-not-balance"


def close_polls(
    unit: Unit, roster: Roster, actor: Actor, token: str, reason: str
) -> Recorded | Refused:
    """Close, and keep the balance as it stands; a difference only with a reason.

    That reason is then an irregularity.
    """
    before = unit.already(token, DayClosed.kind, reason=reason)
    if before:
        return Recorded(before)
    refused = out_of_turn(unit.connection, DayClosed)
    if refused:
        return refused
    balance = balance_of(facts_of(unit.connection), roster.setting)
    if not balance.balances and not reason:
        return Refused(DOES_NOT_BALANCE, _facts(balance))
    body = DayClosed(balance=balance.terms.as_body(), difference=balance.difference, reason=reason)
    entry = unit.append(actor, token, body)
    if not balance.balances:
        opened = Opened("other", "closed-with-difference", reason, _facts(balance))
        open_beside(unit, actor, token, opened)
    return Recorded(entry)


def with_causes(roster: Roster, refused: Refused) -> Refused:
    """The refusal with the causes that fit; looked for while the writer works for others."""
    if refused.code != DOES_NOT_BALANCE:
        return refused
    found = reconcile(roster).causes[:CAUSES_AT_ONCE]
    return Refused(refused.code, {**refused.facts, "causes": doubts_as_told(found)})


def _facts(balance: Balance) -> dict[str, object]:
    missing = [{"what": one.what, "name": one.name} for one in balance.missing]
    return {"difference": balance.difference, "so_far": balance.so_far, "missing": missing}
