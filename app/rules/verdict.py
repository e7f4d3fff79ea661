"""What the rules say about one line now: sign, do this first, do not sign, or call.

`decide` is pure and total: every line, state, policy and moment has a verdict.
A person who is stopped is always told what they may still do.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from enum import StrEnum

from app.rules import address, identification, provisional
from app.rules.coded import Coded, Option, Reason, Step
from app.rules.line import Act, Line, LineState, Mark, MarkKind
from app.rules.moment import Moment, Phase
from app.rules.options import (
    OPTIONS_AFTER,
    options_after,
    options_if_not_done,
    options_where_signing,
)
from app.rules.policy import Policy


class Outcome(StrEnum):
    """The four answers a table worker can get."""

    SIGN = "sign"
    FIRST = "first"
    STOP = "stop"
    CALL = "call"


@dataclass(frozen=True, slots=True)
class Verdict:
    """`steps` in the order in which they are done; `reasons` the deciding one first.

    `options`: what a person may still do who is stopped, and how else one may sign who may sign.
    `if_not_done`: what a person may do who cannot or will not do a step that comes first.
    `ballot_button` is None where one ballot serves all, and where nobody may sign.
    """

    outcome: Outcome
    steps: tuple[Step, ...] = ()
    reasons: tuple[Reason, ...] = ()
    options: tuple[Option, ...] = ()
    ballot_button: int | None = None
    if_not_done: tuple[Option, ...] = ()


SIGNATURE_LINE = "one signature or mark on a line (common practice)"


def decide(line: Line, state: LineState, policy: Policy, moment: Moment) -> Verdict:
    """The verdict on `line` in `state` at `moment`."""
    standing = tuple(_what_stands(state, moment))
    contradiction = _contradiction(standing, state)
    given = tuple(_provisional_given(state, moment))
    if contradiction:
        return _refuse(Outcome.CALL, (contradiction, *standing, *given), policy, moment)
    stops = (
        *standing,
        *given,
        *_what_the_day_says(policy, moment),
        *_what_the_person_said(line, policy, moment),
    )
    calls = tuple(address.calls(policy, moment))
    if stops or calls:
        outcome = Outcome.STOP if stops else Outcome.CALL
        return _refuse(outcome, (*stops, *calls), policy, moment)
    if not _is_ballot_known(line, moment):
        unknown = Reason("ballot-unknown", rule="the register names the ballot (common practice)")
        return _refuse(Outcome.CALL, (unknown,), policy, moment)
    steps = tuple(_steps(line, state, policy, moment))
    if not steps:
        return Verdict(
            Outcome.SIGN,
            options=options_where_signing(policy),
            ballot_button=line.printed.ballot_button,
        )
    return Verdict(
        Outcome.FIRST,
        steps=steps,
        ballot_button=line.printed.ballot_button,
        if_not_done=options_if_not_done(policy, moment),
    )


def _what_stands(state: LineState, moment: Moment) -> Iterable[Reason]:
    """One reason for each different thing that stands on the line."""
    if state.signature:
        facts = _signed_facts(state.signature, moment)
        yield Reason("already-signed", {**facts, "left": state.left is not None}, SIGNATURE_LINE)
    if state.also_on_paper:
        facts = _signed_facts(state.also_on_paper[0], moment)
        yield Reason("already-signed", {**facts, "left": False, "on_paper": True}, SIGNATURE_LINE)
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


def _signed_facts(act: Act, moment: Moment) -> Mapping[str, object]:
    return {
        "at": act.at.isoformat(),
        "local_time": moment.local_time(act.at),
        "station": act.station,
        "initials": act.initials,
        "lifted_by": "lead",
    }


_CODE_OF_MARK: Mapping[MarkKind, str] = {
    MarkKind.VOTED_EARLY: "voted-early",
    MarkKind.VOTED_BY_MAIL: "voted-by-mail",
}


def _mark_facts(mark: Mark, moment: Moment) -> Mapping[str, object]:
    facts = {"source": mark.source, "initials": mark.initials, "lifted_by": "registrar"}
    if mark.act:
        facts["local_time"] = moment.local_time(mark.act.at)
    return facts


def _contradiction(standing: tuple[Reason, ...], state: LineState) -> Reason | None:
    """Two different things on one line: nobody at the table can say which is true.

    One mark from two lists that do not know of each other is two things as well, and so are a
    signature at the table and one on paper.
    """
    if len(standing) < 2 and not _is_marked_twice(state):
        return None
    said = " and ".join(_said(reason) for reason in standing)
    if len(standing) == 1:
        said += ", twice: from " + " and from ".join(mark.source for mark in state.marks)
    codes = [reason.code for reason in standing]
    return Reason("lists-contradict", {"codes": codes, "said": said}, SIGNATURE_LINE)


def _said(reason: Reason) -> str:
    said = reason.code.replace("-", " ")
    return f"{said} on paper" if reason.facts.get("on_paper") else said


def _is_marked_twice(state: LineState) -> bool:
    """Printed marks of one kind are one mark, however many files of the package have it."""
    return any(
        len([mark for mark in state.marks if mark.kind is kind]) > 1
        and any(mark.kind is kind and mark.act for mark in state.marks)
        for kind in MarkKind
    )


def _provisional_given(state: LineState, moment: Moment) -> Iterable[Reason]:
    """Whoever has a ballot in an envelope gets no second one in the box."""
    if state.provisional:
        act = state.provisional
        facts = {
            "local_time": moment.local_time(act.at),
            "station": act.station,
            "initials": act.initials,
            "lifted_by": "lead",
        }
        yield Reason("provisional-recorded", facts, "one ballot a person (common practice)")


def _what_the_day_says(policy: Policy, moment: Moment) -> Iterable[Reason]:
    election = moment.setting.election
    phase = moment.day.phase
    if phase is Phase.NOT_OPEN:
        opens = election.opens.strftime("%H:%M")
        yield Reason("polls-not-open", {"opens": opens, "lifted_by": "lead"}, "hours of voting")
    elif phase is Phase.CLOSED:
        closes = election.closes.strftime("%H:%M")
        yield Reason("polls-closed", {"closes": closes}, "hours of voting")
    elif provisional.is_late(policy, moment):
        yield from _too_late(policy, moment)


def _too_late(policy: Policy, moment: Moment) -> Iterable[Reason]:
    """After the ordinary end of the line: nobody, or by an order, and then how."""
    extension = moment.day.extension
    if extension is None:
        yield Reason("line-cut-off", _cut_off_facts(moment), "policy: in_line_may_sign")
    elif provisional.is_given(
        provisional.BallotClass.EXTENDED_HOURS, policy, moment.setting.election
    ):
        facts = {"reference": extension.reference, "until": extension.until}
        yield Reason("extended-hours", {**_cut_off_facts(moment), **facts}, "52 U.S.C. 21082(c)")


def _cut_off_facts(moment: Moment) -> Mapping[str, object]:
    act = moment.day.cut_off
    return {"local_time": moment.local_time(act.at) if act else "", "lifted_by": "lead"}


def _what_the_person_said(line: Line, policy: Policy, moment: Moment) -> Iterable[Reason]:
    if moment.evidence.told_apart is False:
        yield Reason("not-this-line", {}, "the voter signs on their own line (common practice)")
    yield from address.stops(line.printed, policy, moment)
    missing = identification.missing(line.printed, policy, moment.evidence)
    if missing:
        yield missing


def _is_ballot_known(line: Line, moment: Moment) -> bool:
    button = line.printed.ballot_button
    buttons = moment.setting.ballot_buttons
    return button in buttons if buttons else button is None


def _steps(line: Line, state: LineState, policy: Policy, moment: Moment) -> Iterable[Step]:
    evidence = moment.evidence
    is_asked = policy.in_line_may_sign and evidence.in_line_at_cut_off is None
    if moment.day.phase is Phase.CUT_OFF and is_asked:
        yield Step("in-line-at-cut-off", _cut_off_facts(moment))
    if policy.tell_look_alikes_apart and line.look_alikes and evidence.told_apart is None:
        yield Step("tell-apart", {"look_alikes": len(line.look_alikes)})
    shown = (
        address.step(line.printed, policy, moment),
        identification.step(line.printed, policy, evidence),
    )
    yield from (step for step in shown if step)
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
    """A refusal with every way out that this place allows."""
    return Verdict(outcome, reasons=reasons, options=options_after(reasons, policy, moment))


__all__ = ["OPTIONS_AFTER", "Coded", "Option", "Outcome", "Reason", "Step", "Verdict", "decide"]
