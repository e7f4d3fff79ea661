"""Every combination of flags, judged by `decide` and by a slow, literal reading of the rules.

The reading below is written from the rules as a worker is taught them, one sentence
after another, over plain flags. It shares no code with `app.rules.verdict`.
"""

from __future__ import annotations

import itertools
from collections.abc import Iterator
from dataclasses import dataclass, replace
from functools import cache

import pytest

from app.rules.line import Line, LineState, Mark, MarkKind
from app.rules.moment import Evidence, Extension, Moment, Phase
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
    inactive: bool = False
    moved: str = ""  # "", "no", "within", "outside"
    affirms: str = ""  # the address: "", "yes", "no"
    who_moved: str = "affirm"  # the policy: "affirm", "provisional", "call"
    by_mail: bool = False  # registered by mail, votes for the first time
    paper: bool = True  # the policy: a paper stands in for a document
    order: bool = False  # a court extended the hours
    envelope: bool = False  # a provisional ballot was given on the line


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
        envelope = ["provisional-recorded"] if flags.envelope else []
        return "call", ["lists-contradict", *on_the_line, *envelope]

    against = list(on_the_line)
    if flags.envelope:
        against.append("provisional-recorded")
    if flags.phase == "not_open":
        against.append("polls-not-open")
    if flags.phase == "closed":
        against.append("polls-closed")
    if flags.phase == "cut_off" and flags.in_line == "no":
        against.append("extended-hours" if flags.order else "line-cut-off")
    if flags.birth_date == "differs":
        against.append("not-this-line")
    if flags.moved == "within" and flags.who_moved == "provisional":
        against.append("moved-within")
    must_affirm = (
        flags.who_moved == "affirm"
        if flags.moved == "within"
        else flags.inactive and flags.moved != "outside"
    )
    if must_affirm and flags.affirms == "no" and flags.moved in ("no", "within"):
        against.append("address-not-affirmed")
    if flags.asks_id == "required" or flags.by_mail:
        paper_does = flags.paper and not flags.by_mail
        if flags.shows_id == "not_shown" or (flags.shows_id == "affirmed" and not paper_does):
            against.append("identification-missing")

    for_the_registrar = []
    if flags.moved == "outside":
        for_the_registrar.append("moved-outside")
    if flags.moved == "within" and flags.who_moved == "call":
        for_the_registrar.append("moved-within")
    if against:
        return "stop", against + for_the_registrar
    if for_the_registrar:
        return "call", for_the_registrar

    if flags.buttons in ("blank", "strange"):
        return "call", ["ballot-unknown"]

    first = []
    if flags.phase == "cut_off" and flags.in_line == "":
        first.append("in-line-at-cut-off")
    if flags.twin and flags.birth_date == "":
        first.append("tell-apart")
    if must_affirm and flags.affirms == "":
        first.append("affirm-address")
    if must_affirm and flags.affirms == "no" and flags.moved == "":
        first.append("ask-moved")
    if (flags.asks_id != "none" or flags.by_mail) and flags.shows_id == "":
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


def every_combination_of_the_later_flags() -> Iterator[Flags]:
    """Address, first-time voters, extended hours and envelopes, with what touches them."""
    for signed, asks_id, shows_id, phase, in_line, *later in itertools.product(
        (False, True),
        ("none", "required"),
        ("", "shown", "not_shown", "affirmed"),
        ("not_open", "open", "cut_off", "closed"),
        ("", "yes", "no"),
        (False, True),
        ("", "no", "within", "outside"),
        ("", "yes", "no"),
        ("affirm", "provisional", "call"),
        (False, True),
        (False, True),
        (False, True),
        (False, True),
    ):
        yield Flags(
            signed, False, False, False, "", "", False, "", asks_id, shows_id, "known", phase,
            in_line, *later,
        )  # fmt: skip


BOOLEANS = {"": None, "yes": True, "no": False, "agrees": True, "differs": False}


@cache
def the_line(
    card: str, helper: str, twin: bool, buttons: str, inactive: bool, by_mail: bool
) -> Line:
    return line(
        address_confirmation=bool(card),
        assistance=bool(helper),
        look_alikes=("line-2",) if twin else (),
        ballot_button={"one ballot": None, "known": 2, "blank": None, "strange": 9}[buttons],
        inactive=inactive,
        first_time_by_mail=by_mail,
    )


@cache
def the_state(
    signed: bool, early: bool, mail: bool, removed: bool, card: str, helper: str, envelope: bool
) -> LineState:
    return LineState(
        marks=tuple(
            Mark(kind, "register.csv", "GS")
            for kind, stands in ((MarkKind.VOTED_BY_MAIL, mail), (MarkKind.VOTED_EARLY, early))
            if stands
        ),
        signature=act() if signed else None,
        removed=act() if removed else None,
        address_confirmed=act() if card == "done" else None,
        assistance=act() if helper == "done" else None,
        provisional=act() if envelope else None,
    )


@cache
def the_moment(phase: str, is_single: bool, order: bool, *said: str) -> Moment:
    birth_date, shows_id, in_line, affirms, moved = said
    evidence = Evidence(
        told_apart=BOOLEANS[birth_date],
        identification=shows_id or None,  # type: ignore[arg-type]
        in_line_at_cut_off=BOOLEANS[in_line],
        address_affirmed=BOOLEANS[affirms],
        moved=moved or None,  # type: ignore[arg-type]
    )
    plain = moment(Phase(phase), evidence, buttons=() if is_single else (1, 2, 3))
    extensions = (Extension(act(9), "Order 27-118", "21:00"),) if order else ()
    return replace(plain, day=replace(plain.day, extensions=extensions))


@cache
def the_policy(asks_id: str, paper: bool, who_moved: str) -> Policy:
    return Policy(
        identification=asks_id,  # type: ignore[arg-type]
        identification_affirmed=paper,
        moved_within=who_moved,  # type: ignore[arg-type]
    )


def judged(flags: Flags) -> tuple[str, list[str]]:
    verdict = decide(
        the_line(
            flags.card, flags.helper, flags.twin, flags.buttons, flags.inactive, flags.by_mail
        ),
        the_state(
            flags.signed, flags.early, flags.mail, flags.removed, flags.card, flags.helper,
            flags.envelope,
        ),
        the_policy(flags.asks_id, flags.paper, flags.who_moved),
        the_moment(
            flags.phase, flags.buttons == "one ballot", flags.order, flags.birth_date,
            flags.shows_id, flags.in_line, flags.affirms, flags.moved,
        ),
    )  # fmt: skip
    said = verdict.steps or verdict.reasons
    return verdict.outcome.value, [coded.code for coded in said]


def test_every_combination_of_flags_is_judged_as_the_rules_read() -> None:
    compared = 0
    for flags in every_combination():
        assert judged(flags) == literally(flags), flags
        compared += 1
    assert compared == 2**4 * 3 * 3 * 2 * 3 * 3 * 4 * 4 * 4 * 3


def test_every_combination_of_the_later_flags_is_judged_as_the_rules_read() -> None:
    compared = 0
    for flags in every_combination_of_the_later_flags():
        assert judged(flags) == literally(flags), flags
        compared += 1
    assert compared == 2 * 2 * 4 * 4 * 3 * 2 * 4 * 3 * 3 * 2**4


def test_the_comparison_notices_a_rule_read_otherwise() -> None:
    """The table is no mirror: a line that is signed must not come out as anything else."""
    signed = Flags(True, False, False, False, "", "", False, "", "none", "", "known", "open", "")
    assert literally(signed) == ("stop", ["already-signed"])
    assert judged(signed) != ("sign", [])


@pytest.mark.parametrize("outcome", ["sign", "first", "stop", "call"])
def test_every_outcome_occurs_in_the_table(outcome: str) -> None:
    assert any(literally(flags)[0] == outcome for flags in every_combination())
