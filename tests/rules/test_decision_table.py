"""Every combination of flags, judged by `decide` and by a slow, literal reading of the rules.

The reading below is written from the rules as a worker is taught them, one sentence
after another, over plain flags. It shares no code with `app.rules.verdict`.
"""

from __future__ import annotations

import itertools
from collections.abc import Iterator
from dataclasses import dataclass

import pytest

from app.rules.line import LineState, Mark, MarkKind
from app.rules.moment import Evidence, Phase
from app.rules.policy import Policy
from app.rules.verdict import decide
from tests.making import act, line, moment


@dataclass(frozen=True)
class Flags:
    """One situation at the table."""

    signed: bool
    early: bool
    mail: bool
    removed: bool
    card: str  # "", "due", "done"
    helper: str  # "", "due", "done"
    twin: bool
    birth_date: str  # "", "agrees", "differs"
    asks_id: str  # the policy
    shows_id: str  # "", "shown", "not_shown", "affirmed"
    buttons: str  # "one ballot", "known", "blank", "strange"
    phase: str
    in_line: str  # "", "yes", "no"


def literally(flags: Flags) -> tuple[str, list[str]]:  # noqa: C901 - a list of rules, read in order
    """The outcome and the codes of its steps or reasons, in the order a worker is taught."""
    on_the_line = []
    if flags.signed:
        on_the_line.append("already-signed")
    if flags.early:
        on_the_line.append("voted-early")
    if flags.mail:
        on_the_line.append("voted-by-mail")
    if flags.removed:
        on_the_line.append("removed")
    if len(on_the_line) >= 2:
        return "call", ["lists-contradict", *on_the_line]

    against = list(on_the_line)
    if flags.phase == "not_open":
        against.append("polls-not-open")
    if flags.phase == "closed":
        against.append("polls-closed")
    if flags.phase == "cut_off" and flags.in_line == "no":
        against.append("line-cut-off")
    if flags.birth_date == "differs":
        against.append("not-this-line")
    if flags.asks_id == "required" and flags.shows_id == "not_shown":
        against.append("identification-missing")
    if against:
        return "stop", against

    if flags.buttons in ("blank", "strange"):
        return "call", ["ballot-unknown"]

    first = []
    if flags.phase == "cut_off" and flags.in_line == "":
        first.append("in-line-at-cut-off")
    if flags.twin and flags.birth_date == "":
        first.append("tell-apart")
    if flags.asks_id != "none" and flags.shows_id == "":
        first.append("identification")
    if flags.card == "due":
        first.append("address-confirmation")
    if flags.helper == "due":
        first.append("assistance")
    if first:
        return "first", first
    return "sign", []


def every_combination() -> Iterator[Flags]:
    for values in itertools.product(
        (False, True),
        (False, True),
        (False, True),
        (False, True),
        ("", "due", "done"),
        ("", "due", "done"),
        (False, True),
        ("", "agrees", "differs"),
        ("none", "asked", "required"),
        ("", "shown", "not_shown", "affirmed"),
        ("one ballot", "known", "blank", "strange"),
        ("not_open", "open", "cut_off", "closed"),
        ("", "yes", "no"),
    ):
        yield Flags(*values)


LINES = {
    (card, helper, twin, buttons): line(
        address_confirmation=bool(card),
        assistance=bool(helper),
        look_alikes=("line-2",) if twin else (),
        ballot_button={"one ballot": None, "known": 2, "blank": None, "strange": 9}[buttons],
    )
    for card in ("", "due", "done")
    for helper in ("", "due", "done")
    for twin in (False, True)
    for buttons in ("one ballot", "known", "blank", "strange")
}
STATES = {
    (signed, early, mail, removed, card, helper): LineState(
        marks=tuple(
            Mark(kind, "register.csv", "GS")
            for kind, stands in ((MarkKind.VOTED_BY_MAIL, mail), (MarkKind.VOTED_EARLY, early))
            if stands
        ),
        signature=act() if signed else None,
        removed=act() if removed else None,
        address_confirmed=act() if card == "done" else None,
        assistance=act() if helper == "done" else None,
    )
    for signed, early, mail, removed in itertools.product((False, True), repeat=4)
    for card in ("", "due", "done")
    for helper in ("", "due", "done")
}
MOMENTS = {
    (birth_date, shows_id, in_line, phase, is_single): moment(
        Phase(phase),
        Evidence(
            {"": None, "agrees": True, "differs": False}[birth_date],
            shows_id or None,  # type: ignore[arg-type]
            {"": None, "yes": True, "no": False}[in_line],
        ),
        buttons=() if is_single else (1, 2, 3),
    )
    for birth_date in ("", "agrees", "differs")
    for shows_id in ("", "shown", "not_shown", "affirmed")
    for in_line in ("", "yes", "no")
    for phase in Phase
    for is_single in (False, True)
}


def judged(flags: Flags) -> tuple[str, list[str]]:
    verdict = decide(
        LINES[flags.card, flags.helper, flags.twin, flags.buttons],
        STATES[flags.signed, flags.early, flags.mail, flags.removed, flags.card, flags.helper],
        Policy(identification=flags.asks_id),  # type: ignore[arg-type]
        MOMENTS[
            flags.birth_date,
            flags.shows_id,
            flags.in_line,
            Phase(flags.phase),
            flags.buttons == "one ballot",
        ],
    )
    said = verdict.steps or verdict.reasons
    return verdict.outcome.value, [coded.code for coded in said]


def test_every_combination_of_flags_is_judged_as_the_rules_read() -> None:
    compared = 0
    for flags in every_combination():
        assert judged(flags) == literally(flags), flags
        compared += 1
    assert compared == 2**4 * 3 * 3 * 2 * 3 * 3 * 4 * 4 * 4 * 3


def test_the_comparison_notices_a_rule_read_otherwise() -> None:
    """The table is no mirror: a line that is signed must not come out as anything else."""
    signed = Flags(True, False, False, False, "", "", False, "", "none", "", "known", "open", "")
    assert literally(signed) == ("stop", ["already-signed"])
    assert judged(signed) != ("sign", [])


@pytest.mark.parametrize("outcome", ["sign", "first", "stop", "call"])
def test_every_outcome_occurs_in_the_table(outcome: str) -> None:
    assert any(literally(flags)[0] == outcome for flags in every_combination())
