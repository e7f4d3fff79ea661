"""What the rules say about one line now: sign, do this first, do not sign, or call.

`decide` is pure and total: every line, state, policy and moment has a verdict.
A person who is stopped is always told what they may still do.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from enum import StrEnum
from typing import Literal

from app.rules.line import Line, LineState, Mark, MarkKind
from app.rules.moment import Moment, Phase
from app.rules.policy import Policy
from app.rules.sentences import sentence


class Outcome(StrEnum):
    """The four answers a table worker can get."""

    SIGN = "sign"
    FIRST = "first"
    STOP = "stop"
    CALL = "call"


@dataclass(frozen=True, slots=True)
class Coded:
    """A stable code with the facts of the case."""

    code: str
    facts: Mapping[str, object] = field(default_factory=dict)

    @property
    def sentence(self) -> str:
        return sentence(self.code, self.facts)


@dataclass(frozen=True, slots=True)
class Reason(Coded):
    """Why the answer is not simply `sign`; `rule` names where the rule comes from."""

    rule: str = ""


@dataclass(frozen=True, slots=True)
class Step(Coded):
    """Something to do before signing.

    `evidence`: said or shown now, and sent with the signature.
    `entry`: recorded on the line once, by an entry of its own.
    """

    settled_by: Literal["evidence", "entry"] = "evidence"


@dataclass(frozen=True, slots=True)
class Option(Coded):
    """What a person who is stopped may still do."""


@dataclass(frozen=True, slots=True)
class Verdict:
    """`steps` in the order in which they are done; `reasons` the deciding one first.

    `ballot_button` is None where one ballot serves all, and where nobody may sign.
    """

    outcome: Outcome
    steps: tuple[Step, ...] = ()
    reasons: tuple[Reason, ...] = ()
    options: tuple[Option, ...] = ()
    ballot_button: int | None = None


# What a person may still do, by the reason that stops them, in the order offered.
# Which of these a place allows is for its policy to say: see `_is_allowed`.
OPTIONS_AFTER: Mapping[str, tuple[str, ...]] = {
    "already-signed": ("ask-lead", "call-registrar", "provisional-ballot"),
    "voted-by-mail": ("call-registrar", "provisional-ballot"),
    "voted-early": ("call-registrar", "provisional-ballot"),
    "removed": ("call-registrar", "correction-affidavit", "provisional-ballot"),
    "lists-contradict": ("call-registrar", "provisional-ballot"),
    "ballot-unknown": ("call-registrar",),
    "polls-not-open": ("wait-for-opening",),
    "polls-closed": ("ask-lead", "call-registrar", "provisional-ballot"),
    "line-cut-off": ("ask-lead", "call-registrar", "provisional-ballot"),
    "not-this-line": ("look-at-look-alikes", "call-registrar", "provisional-ballot"),
    "identification-missing": (
        "affirm-identity",
        "call-registrar",
        "provisional-ballot",
    ),
}

SIGNATURE_LINE = "one signature or mark on a line (common practice)"


def decide(line: Line, state: LineState, policy: Policy, moment: Moment) -> Verdict:
    """The verdict on `line` in `state` at `moment`."""
    standing = tuple(_what_stands(state, moment))
    contradiction = _contradiction(standing)
    if contradiction:
        return _refuse(Outcome.CALL, (contradiction, *standing), policy, moment)
    stops = (
        *standing,
        *_what_the_day_says(policy, moment),
        *_what_the_person_said(policy, moment),
    )
    if stops:
        return _refuse(Outcome.STOP, stops, policy, moment)
    if not _is_ballot_known(line, moment):
        unknown = Reason("ballot-unknown", rule="the register names the ballot (common practice)")
        return _refuse(Outcome.CALL, (unknown,), policy, moment)
    steps = tuple(_steps(line, state, policy, moment))
    outcome = Outcome.FIRST if steps else Outcome.SIGN
    return Verdict(outcome, steps=steps, ballot_button=line.printed.ballot_button)


def _what_stands(state: LineState, moment: Moment) -> Iterable[Reason]:
    """One reason for each different thing that stands on the line."""
    if state.signature:
        act = state.signature
        facts = {
            "at": act.at.isoformat(),
            "local_time": moment.local_time(act.at),
            "station": act.station,
            "initials": act.initials,
            "lifted_by": "lead",
        }
        yield Reason("already-signed", facts, SIGNATURE_LINE)
    for kind, code in _CODE_OF_MARK.items():
        mark = next((mark for mark in state.marks if mark.kind is kind), None)
        if mark:
            yield Reason(code, _mark_facts(mark, moment), SIGNATURE_LINE)
    if state.removed:
        act = state.removed
        facts = {
            "at": act.at.isoformat(),
            "local_time": moment.local_time(act.at),
            "initials": act.initials,
            "lifted_by": "registrar",
        }
        yield Reason("removed", facts, "the registrar removes lines (common practice)")


_CODE_OF_MARK: Mapping[MarkKind, str] = {
    MarkKind.VOTED_EARLY: "voted-early",
    MarkKind.VOTED_BY_MAIL: "voted-by-mail",
}


def _mark_facts(mark: Mark, moment: Moment) -> Mapping[str, object]:
    facts = {"source": mark.source, "initials": mark.initials, "lifted_by": "registrar"}
    if mark.act:
        facts["local_time"] = moment.local_time(mark.act.at)
    return facts


def _contradiction(standing: tuple[Reason, ...]) -> Reason | None:
    """Two different things on one line: nobody at the table can say which is true."""
    if len(standing) < 2:
        return None
    said = " and ".join(reason.code.replace("-", " ") for reason in standing)
    codes = [reason.code for reason in standing]
    return Reason("lists-contradict", {"codes": codes, "said": said}, SIGNATURE_LINE)


def _what_the_day_says(policy: Policy, moment: Moment) -> Iterable[Reason]:
    election = moment.setting.election
    phase = moment.day.phase
    if phase is Phase.NOT_OPEN:
        opens = election.opens.strftime("%H:%M")
        yield Reason("polls-not-open", {"opens": opens, "lifted_by": "lead"}, "hours of voting")
    elif phase is Phase.CLOSED:
        closes = election.closes.strftime("%H:%M")
        yield Reason("polls-closed", {"closes": closes}, "hours of voting")
    elif phase is Phase.CUT_OFF:
        turned_up_late = moment.evidence.in_line_at_cut_off is False
        if turned_up_late or not policy.in_line_may_sign:
            yield Reason("line-cut-off", _cut_off_facts(moment), "policy: in_line_may_sign")


def _cut_off_facts(moment: Moment) -> Mapping[str, object]:
    act = moment.day.cut_off
    return {"local_time": moment.local_time(act.at) if act else "", "lifted_by": "lead"}


def _what_the_person_said(policy: Policy, moment: Moment) -> Iterable[Reason]:
    if moment.evidence.told_apart is False:
        yield Reason("not-this-line", {}, "the voter signs on their own line (common practice)")
    if policy.identification == "required" and moment.evidence.identification == "not_shown":
        yield Reason("identification-missing", {}, "policy: identification")


def _is_ballot_known(line: Line, moment: Moment) -> bool:
    button = line.printed.ballot_button
    buttons = moment.setting.ballot_buttons
    return button in buttons if buttons else button is None


def _steps(line: Line, state: LineState, policy: Policy, moment: Moment) -> Iterable[Step]:
    evidence = moment.evidence
    if moment.day.phase is Phase.CUT_OFF and evidence.in_line_at_cut_off is None:
        yield Step("in-line-at-cut-off", _cut_off_facts(moment))
    if policy.tell_look_alikes_apart and line.look_alikes and evidence.told_apart is None:
        yield Step("tell-apart", {"look_alikes": len(line.look_alikes)})
    if policy.identification != "none" and evidence.identification is None:
        yield Step("identification", {"required": policy.identification == "required"})
    if _is_card_due(line, state, policy):
        yield Step("address-confirmation", settled_by="entry")
    if policy.assistance_first and line.printed.assistance and not state.assistance:
        yield Step("assistance", settled_by="entry")


def _is_card_due(line: Line, state: LineState, policy: Policy) -> bool:
    is_printed = line.printed.address_confirmation
    return policy.address_confirmation_first and is_printed and not state.address_confirmed


def _refuse(
    outcome: Outcome, reasons: tuple[Reason, ...], policy: Policy, moment: Moment
) -> Verdict:
    """A refusal with every way out that this place allows, each named once."""
    codes = dict.fromkeys(code for reason in reasons for code in OPTIONS_AFTER[reason.code])
    options = (
        Option(code, _option_facts(code, moment))
        for code in codes
        if _is_allowed(code, policy, moment)
    )
    return Verdict(outcome, reasons=reasons, options=tuple(options))


def _is_allowed(option: str, policy: Policy, moment: Moment) -> bool:
    if option == "provisional-ballot":
        return policy.provisional == "always" or (
            policy.provisional == "federal_only" and moment.setting.election.federal
        )
    if option == "correction-affidavit":
        return policy.correction_affidavit
    return True


def _option_facts(option: str, moment: Moment) -> Mapping[str, object]:
    if option == "call-registrar":
        registrar = moment.setting.registrar
        return {"office": registrar.office, "phone": registrar.phone}
    return {}
