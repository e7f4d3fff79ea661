"""The way of a person who is found nowhere: one question at a time, and never a dead end.

`next_question` says what to ask now, `ways_out` what can be done once nothing is left
to ask. Both are pure. Every path ends in a ballot, a paper, or a reason written down;
and whoever says that they are registered and eligible finds a provisional ballot among
the ways wherever this election knows one (52 U.S.C. 21082(a)).
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, fields
from typing import Literal

from app.rules import provisional
from app.rules.coded import Coded, Option
from app.rules.moment import DayState, Evidence, Moment, Phase
from app.rules.options import allowed
from app.rules.policy import Policy
from app.rules.setting import Setting

Answer = str | bool


@dataclass(frozen=True, slots=True)
class Situation:
    """What has been asked so far and what was said; None means not asked yet.

    registrar: what the registrar said on the telephone, or that nobody was reached.
    """

    in_line_at_cut_off: bool | None = None
    spelled_otherwise: Literal["not_found"] | None = None
    supplemental: Literal["not_found"] | None = None
    says_eligible: Literal["yes", "no"] | None = None
    elsewhere: Literal["yes", "no", "not_known"] | None = None
    goes_there: Literal["yes", "no"] | None = None
    registrar: Literal["authorised", "not_authorised", "elsewhere", "not_reached"] | None = None

    def answers(self) -> dict[str, Answer]:
        """The answers given, by field."""
        named = ((one.name, getattr(self, one.name)) for one in fields(self))
        return {name: value for name, value in named if value is not None}


@dataclass(frozen=True, slots=True)
class Question(Coded):
    """What to ask now. `field` of the situation gets one of `answers`."""

    field: str = ""
    answers: tuple[Answer, ...] = ()


def next_question(
    situation: Situation, policy: Policy, setting: Setting, day: DayState
) -> Question | None:
    """The one question to ask now; None where `ways_out` has the answer."""
    moment = moment_of(situation, setting, day)
    if _is_over(policy, moment):
        return None
    return next(
        (
            _question(code, policy, moment)
            for code, name in _FIELDS.items()
            if getattr(situation, name) is None and _matters(code, situation, policy, moment)
        ),
        None,
    )


def ways_out(
    situation: Situation, policy: Policy, setting: Setting, day: DayState
) -> tuple[Option, ...]:
    """What can be done for this person, best first; never empty once nothing is left to ask."""
    if next_question(situation, policy, setting, day):
        return ()
    moment = moment_of(situation, setting, day)
    may_not_count = _is_registered_elsewhere(situation)
    codes = _ends(situation, policy, moment)
    return tuple(allowed(codes, policy, moment, may_not_count=may_not_count))


def may_have_provisional(
    situation: Situation, policy: Policy, setting: Setting, day: DayState
) -> bool:
    """Whether this person may ask for a provisional ballot at this point of the way."""
    moment = moment_of(situation, setting, day)
    return situation.says_eligible != "no" and provisional.is_on_offer(policy, moment)


def moment_of(situation: Situation, setting: Setting, day: DayState) -> Moment:
    return Moment(setting, day, Evidence(in_line_at_cut_off=situation.in_line_at_cut_off))


# The questions in the order asked, each with the field of the situation it fills.
_FIELDS: Mapping[str, str] = {
    "in-line-at-cut-off": "in_line_at_cut_off",
    "spelled-otherwise": "spelled_otherwise",
    "supplemental-pages": "supplemental",
    "says-eligible": "says_eligible",
    "where-registered": "elsewhere",
    "goes-there": "goes_there",
    "registrar-called": "registrar",
}

_ANSWERS: Mapping[str, tuple[Answer, ...]] = {
    "in-line-at-cut-off": (True, False),
    "spelled-otherwise": ("not_found",),
    "supplemental-pages": ("not_found",),
    "says-eligible": ("yes", "no"),
    "where-registered": ("yes", "no", "not_known"),
    "goes-there": ("yes", "no"),
    "registrar-called": ("authorised", "not_authorised", "elsewhere", "not_reached"),
}


def _matters(code: str, situation: Situation, policy: Policy, moment: Moment) -> bool:
    """Whether the answer could still change what happens."""
    if code == "in-line-at-cut-off":
        return moment.day.phase is Phase.CUT_OFF and policy.in_line_may_sign
    if situation.says_eligible == "no":
        return False
    if code == "goes-there":
        return _is_registered_elsewhere(situation)
    return code != "registrar-called" or situation.goes_there != "yes"


def _is_over(policy: Policy, moment: Moment) -> bool:
    """Too early or too late: nothing that could be asked would change it."""
    if moment.day.phase in (Phase.NOT_OPEN, Phase.CLOSED):
        return True
    return provisional.is_late(policy, moment) and moment.day.extension is None


def _is_registered_elsewhere(situation: Situation) -> bool:
    return situation.elsewhere == "yes" or situation.registrar == "elsewhere"


def _ends(situation: Situation, policy: Policy, moment: Moment) -> tuple[str, ...]:
    if moment.day.phase is Phase.NOT_OPEN:
        return ("wait-for-opening", "write-down-why")
    if _is_over(policy, moment):
        return ("ask-lead", "call-registrar", "write-down-why")
    if situation.says_eligible == "no":
        return ("registration-form", "call-registrar", "write-down-why")
    if situation.goes_there == "yes":
        return ("direct-elsewhere", "provisional-ballot", "call-registrar", "write-down-why")
    rest = ("provisional-ballot", "call-registrar", "ask-lead", "registration-form")
    if situation.registrar == "authorised" and not _needs_provisional(policy, moment):
        return ("correction-affidavit", *rest, "write-down-why")
    return (*rest, "write-down-why")


def _needs_provisional(policy: Policy, moment: Moment) -> bool:
    """After extended hours even an authorised person gets a provisional ballot."""
    late = provisional.class_of(policy, moment)
    return late is provisional.BallotClass.EXTENDED_HOURS and provisional.is_given(
        late, policy, moment.setting.election
    )


def _question(code: str, policy: Policy, moment: Moment) -> Question:
    answers = _ANSWERS[code]
    if code == "registrar-called" and not policy.correction_affidavit:
        answers = tuple(answer for answer in answers if answer != "authorised")
    setting, cut_off = moment.setting, moment.day.cut_off
    facts = {
        "county": setting.precinct.county,
        "office": setting.registrar.office,
        "phone": setting.registrar.phone,
        "local_time": moment.local_time(cut_off.at) if cut_off else "",
    }
    return Question(code, facts, _FIELDS[code], answers)
