"""When a provisional ballot may be given, and which class it belongs to.

Two classes, because ballots given after hours extended by an order are kept apart
from all others (52 U.S.C. 21082(c)). A place may give ordinary ones or not, by its
policy; to those of extended hours federal law leaves no choice in a federal election.
"""

from __future__ import annotations

from enum import StrEnum

from app.rules.moment import Moment, Phase
from app.rules.policy import Policy
from app.rules.setting import Election


class BallotClass(StrEnum):
    """How a provisional ballot is kept."""

    ORDINARY = "ordinary"
    EXTENDED_HOURS = "extended_hours"


def is_given(ballot_class: BallotClass, policy: Policy, election: Election) -> bool:
    """Whether this election knows provisional ballots of the class at all."""
    if ballot_class is BallotClass.EXTENDED_HOURS:
        return policy.extended_hours_provisional or election.federal
    return policy.provisional == "always" or (
        policy.provisional == "federal_only" and election.federal
    )


def is_late(policy: Policy, moment: Moment) -> bool:
    """Whether the person came after the ordinary end of the line; not asked is not late."""
    if moment.day.phase is not Phase.CUT_OFF:
        return False
    return moment.evidence.in_line_at_cut_off is False or not policy.in_line_may_sign


def class_of(policy: Policy, moment: Moment) -> BallotClass:
    """The class that a provisional ballot given to this person now belongs to."""
    is_extended = moment.day.extension is not None and is_late(policy, moment)
    return BallotClass.EXTENDED_HOURS if is_extended else BallotClass.ORDINARY


def is_on_offer(policy: Policy, moment: Moment) -> bool:
    """Whether a provisional ballot may be given to this person now.

    Nobody gets one before opening, after closing, or after the end of the line where
    no order extended the hours: lateness is no question of eligibility.
    """
    if moment.day.phase in (Phase.NOT_OPEN, Phase.CLOSED):
        return False
    if is_late(policy, moment) and moment.day.extension is None:
        return False
    return is_given(class_of(policy, moment), policy, moment.setting.election)
