"""Voters whose registration is inactive, and voters who have moved.

An inactive voter is still registered and votes on affirming the address; whoever moved
inside the jurisdiction has a way to vote too (52 U.S.C. 20507(d)-(e)). Which way is the
policy's to say. An address that is merely spelled otherwise is no move and no question.
"""

from __future__ import annotations

from collections.abc import Iterable

from app.rules.coded import Reason, Step
from app.rules.line import PrintedLine
from app.rules.moment import Evidence, Moment
from app.rules.policy import Policy

_RULE = "52 U.S.C. 20507(d)-(e)"


def stops(printed: PrintedLine, policy: Policy, moment: Moment) -> Iterable[Reason]:
    """Reasons for which the voter does not sign this line today."""
    evidence = moment.evidence
    if evidence.moved == "within" and policy.moved_within == "provisional":
        yield Reason("moved-within", _county(moment), "policy: moved_within; " + _RULE)
    has_said = evidence.moved in ("no", "within")
    is_refused = evidence.address_affirmed is False and has_said
    if is_refused and _is_affirmation_due(printed, policy, evidence):
        yield Reason("address-not-affirmed", {}, _RULE)


def calls(policy: Policy, moment: Moment) -> Iterable[Reason]:
    """Reasons that only the registrar can judge."""
    moved = moment.evidence.moved
    if moved == "outside":
        yield Reason("moved-outside", _county(moment), _RULE)
    elif moved == "within" and policy.moved_within == "call":
        yield Reason("moved-within", _county(moment), "policy: moved_within; " + _RULE)


def step(printed: PrintedLine, policy: Policy, moment: Moment) -> Step | None:
    """What is to be affirmed or asked before signing, None where nothing is."""
    evidence = moment.evidence
    if not _is_affirmation_due(printed, policy, evidence):
        return None
    if evidence.address_affirmed is None:
        moved = evidence.moved or "no"
        return Step("affirm-address", {"moved": moved, "protected": printed.address_protected})
    if evidence.address_affirmed is False and evidence.moved is None:
        return Step("ask-moved", _county(moment))
    return None


def _is_affirmation_due(printed: PrintedLine, policy: Policy, evidence: Evidence) -> bool:
    if evidence.moved == "within":
        return policy.moved_within == "affirm"
    return printed.inactive and policy.inactive == "affirm" and evidence.moved != "outside"


def _county(moment: Moment) -> dict[str, object]:
    return {"county": moment.setting.precinct.county}
