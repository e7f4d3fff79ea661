"""Who is asked for identification, what counts, and when a paper will do instead."""

from __future__ import annotations

from dataclasses import dataclass

from app.rules.coded import Reason, Step
from app.rules.line import PrintedLine
from app.rules.moment import Evidence
from app.rules.policy import Policy


@dataclass(frozen=True, slots=True)
class Asked:
    """What one voter is asked for.

    `first_time_by_mail`: registered by mail and votes for the first time, so that a
    document is needed whatever the place asks of others (52 U.S.C. 21083(b)).
    """

    is_required: bool
    may_affirm: bool
    first_time_by_mail: bool


def asked_of(printed: PrintedLine, policy: Policy) -> Asked | None:
    """What this voter is asked for, None where nobody asks."""
    is_first = printed.first_time_by_mail and policy.first_time_by_mail == "identification"
    if policy.identification == "none" and not is_first:
        return None
    return Asked(
        is_required=is_first or policy.identification == "required",
        may_affirm=policy.identification_affirmed and not is_first,
        first_time_by_mail=is_first,
    )


def missing(printed: PrintedLine, policy: Policy, evidence: Evidence) -> Reason | None:
    """The reason where a required document was not shown and no paper stands in for it."""
    asked = asked_of(printed, policy)
    if asked is None or not asked.is_required:
        return None
    is_missing = evidence.identification == "not_shown" or (
        evidence.identification == "affirmed" and not asked.may_affirm
    )
    if not is_missing:
        return None
    facts = {"first_time_by_mail": asked.first_time_by_mail, "may_affirm": asked.may_affirm}
    rule = "52 U.S.C. 21083(b)" if asked.first_time_by_mail else "policy: identification"
    return Reason("identification-missing", facts, rule)


def step(printed: PrintedLine, policy: Policy, evidence: Evidence) -> Step | None:
    """The question, where it is due and has not been asked yet."""
    asked = asked_of(printed, policy)
    if asked is None or evidence.identification is not None:
        return None
    return Step(
        "identification",
        {
            "required": asked.is_required,
            "kinds": list(policy.identification_kinds),
            "may_affirm": asked.may_affirm,
            "first_time_by_mail": asked.first_time_by_mail,
        },
    )
