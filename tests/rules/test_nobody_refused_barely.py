"""In a federal election nobody who says they are registered and eligible meets a bare refusal.

HAVA 302(a), 52 U.S.C. 21082(a): such a person may cast a provisional ballot. Every path of the
questions is walked, and every verdict that is about the person, not about the hour, is looked at.
"""

from __future__ import annotations

import itertools
from collections.abc import Iterator
from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from app.rules.line import LineState, Mark, MarkKind
from app.rules.moment import DayState, Evidence, Extension, Moment, Phase
from app.rules.options import OPTIONS_AFTER
from app.rules.policy import Policy
from app.rules.sentences import SENTENCES
from app.rules.verdict import Outcome, decide
from app.rules.ways_out import Answer, Situation, next_question, ways_out
from tests.making import act, day, line, setting

EXTENDED = (Extension(act(9), "Order 27-118", "21:00"),)

# About the hour, or already holding a ballot: no question of who may vote.
NOT_ABOUT_ELIGIBILITY = {
    "polls-not-open",
    "polls-closed",
    "line-cut-off",
    "provisional-recorded",
}

policies = st.builds(
    Policy,
    identification=st.sampled_from(["none", "asked", "required"]),
    provisional=st.sampled_from(["federal_only", "always"]),
    correction_affidavit=st.booleans(),
    address_confirmation_first=st.booleans(),
    assistance_first=st.booleans(),
    tell_look_alikes_apart=st.booleans(),
    in_line_may_sign=st.booleans(),
    identification_affirmed=st.booleans(),
    first_time_by_mail=st.sampled_from(["identification", "nothing"]),
    inactive=st.sampled_from(["affirm", "nothing"]),
    moved_within=st.sampled_from(["affirm", "provisional", "call"]),
    extended_hours_provisional=st.booleans(),
)
days = st.builds(
    lambda phase, extensions: replace(day(phase), extensions=extensions),
    st.sampled_from(Phase),
    st.sampled_from([(), EXTENDED]),
)
answers = st.none() | st.booleans()
evidences = st.builds(
    Evidence,
    told_apart=answers,
    identification=st.sampled_from([None, "shown", "not_shown", "affirmed"]),
    in_line_at_cut_off=answers,
    address_affirmed=answers,
    moved=st.sampled_from([None, "no", "within", "outside"]),
)
lines = st.builds(
    line,
    look_alikes=st.sampled_from([(), ("line-2",)]),
    ballot_button=st.sampled_from([None, 1, 9]),
    assistance=st.booleans(),
    address_confirmation=st.booleans(),
    inactive=st.booleans(),
    first_time_by_mail=st.booleans(),
    address_protected=st.booleans(),
)
marks = st.lists(
    st.sampled_from([Mark(kind, "register.csv", "") for kind in MarkKind]), max_size=2
).map(tuple)
acts = st.sampled_from([None, act()])
states = st.builds(
    LineState, marks=marks, signature=acts, removed=acts, left=acts, provisional=acts
)


def every_path(
    policy: Policy, the_day: DayState, situation: Situation | None = None
) -> Iterator[Situation]:
    """Every situation in which nothing is left to ask, by every answer to every question."""
    situation = situation or Situation()
    question = next_question(situation, policy, setting(policy=policy), the_day)
    if question is None:
        yield situation
        return
    for answer in question.answers:
        changed: dict[str, Answer] = {question.field: answer}
        yield from every_path(policy, the_day, replace(situation, **changed))  # type: ignore[arg-type]


def is_too_early_or_late(policy: Policy, the_day: DayState, in_line: bool | None) -> bool:
    if the_day.phase in (Phase.NOT_OPEN, Phase.CLOSED):
        return True
    is_late = the_day.phase is Phase.CUT_OFF and (in_line is False or not policy.in_line_may_sign)
    return is_late and not the_day.extensions


@settings(max_examples=300, deadline=None)
@given(policies, days)
def test_every_path_of_a_person_who_says_they_are_registered_offers_a_provisional_ballot(
    policy: Policy, the_day: DayState
) -> None:
    for situation in every_path(policy, the_day):
        options = ways_out(situation, policy, setting(policy=policy), the_day)
        codes = [option.code for option in options]
        assert codes, situation
        if is_too_early_or_late(policy, the_day, situation.in_line_at_cut_off):
            assert "provisional-ballot" not in codes
        elif situation.says_eligible == "yes":
            assert "provisional-ballot" in codes, situation


@settings(max_examples=2_000, deadline=None)
@given(lines, states, policies, days, evidences)
def test_every_verdict_about_the_person_offers_a_provisional_ballot(
    the_line: object, state: LineState, policy: Policy, the_day: DayState, evidence: Evidence
) -> None:
    moment = Moment(setting(policy=policy), the_day, evidence)
    verdict = decide(the_line, state, policy, moment)  # type: ignore[arg-type]
    codes = [option.code for option in verdict.options]
    reasons = {reason.code for reason in verdict.reasons}
    if verdict.outcome not in (Outcome.STOP, Outcome.CALL):
        # A voter who may sign and cannot write: that is no refusal, and the only option here.
        is_mark = verdict.outcome is Outcome.SIGN and policy.mark_and_witness == "allowed"
        assert codes == (["mark-and-witness"] if is_mark else [])
        otherwise = {option.code for option in verdict.if_not_done}
        # Not too early or too late here, or the outcome would be a stop.
        assert ("provisional-ballot" in otherwise) is (verdict.outcome is Outcome.FIRST)
        return
    assert codes
    if is_too_early_or_late(policy, the_day, evidence.in_line_at_cut_off):
        assert "provisional-ballot" not in codes
    elif "provisional-recorded" in reasons:
        # They have theirs: a second one would be two ballots of one person.
        assert "provisional-ballot" not in codes
    elif reasons - NOT_ABOUT_ELIGIBILITY:
        assert "provisional-ballot" in codes
        (offer,) = [option for option in verdict.options if option.code == "provisional-ballot"]
        is_extended = "extended-hours" in reasons
        assert (offer.facts["ballot_class"] == "extended_hours") >= is_extended


@pytest.mark.parametrize("provisional", ["federal_only", "always", "never"])
@pytest.mark.parametrize("federal", [True, False])
@pytest.mark.parametrize("extensions", [(), EXTENDED])
@pytest.mark.parametrize("affidavits", [True, False])
@pytest.mark.parametrize("phase", list(Phase))
def test_no_path_is_a_dead_end_and_every_end_is_a_ballot_a_paper_or_a_written_reason(
    provisional: str,
    federal: bool,
    extensions: tuple[Extension, ...],
    affidavits: bool,
    phase: Phase,
) -> None:
    policy = Policy(
        provisional=provisional,  # type: ignore[arg-type]
        correction_affidavit=affidavits,
    )
    the_day = replace(day(phase), extensions=extensions)
    the_setting = setting(policy=policy, federal=federal)
    paths = list(every_path(policy, the_day))
    for situation in paths:
        codes = [o.code for o in ways_out(situation, policy, the_setting, the_day)]
        assert codes[-1] == "write-down-why"
        assert ("correction-affidavit" in codes) <= affidavits
        if phase is Phase.OPEN:
            assert "call-registrar" in codes
    assert len(paths) == len(set(paths))
    assert (len(paths) > 8) is (phase in (Phase.OPEN, Phase.CUT_OFF))


def test_the_paths_of_an_open_day_are_those_that_can_be_counted_by_hand() -> None:
    """Says no: 1. Elsewhere yes: goes 1, stays 4. Elsewhere no or not known: three answers of the
    registrar end it, and `elsewhere` asks whether the person goes there: 3 + 2, twice.
    """
    policy = Policy()
    assert len(list(every_path(policy, day(Phase.OPEN)))) == 1 + (1 + 4) + 2 * (3 + 2)


def test_the_walk_would_notice_a_path_without_an_offer() -> None:
    """The same walk where the policy knows no provisional ballots finds paths without one."""
    policy = Policy(provisional="never")
    the_day = day(Phase.OPEN)
    ends = [
        [o.code for o in ways_out(s, policy, setting(policy=policy), the_day)]
        for s in every_path(policy, the_day)
        if s.says_eligible == "yes"
    ]
    assert ends
    assert all("provisional-ballot" not in codes for codes in ends)


def test_a_spelling_or_clerical_difference_is_no_reason() -> None:
    """52 U.S.C. 10101(a)(2)(B): there is no code by which it could refuse anybody."""
    words = ("spell", "name-", "clerical", "typing", "letter", "accent", "hyphen", "mismatch")
    assert not [code for code in OPTIONS_AFTER if any(word in code for word in words)]
    fields = {field for field in Evidence.__dataclass_fields__ if "name" in field}
    assert not fields, "nothing that is said of a name reaches the verdict"


def test_after_the_registrars_word_the_affidavit_comes_first() -> None:
    policy, the_day = Policy(), day(Phase.OPEN)
    authorised = Situation(
        spelled_otherwise="not_found",
        supplemental="not_found",
        says_eligible="yes",
        elsewhere="no",
        registrar="authorised",
    )
    codes = [o.code for o in ways_out(authorised, policy, setting(), the_day)]
    assert codes[:2] == ["correction-affidavit", "provisional-ballot"]


def test_in_a_federal_election_extended_hours_mean_a_provisional_ballot_whatever_the_policy() -> (
    None
):
    """52 U.S.C. 21082(c) leaves no choice; a place may choose for its own elections."""
    the_day = replace(day(Phase.CUT_OFF), extensions=EXTENDED)
    late = Evidence(in_line_at_cut_off=False)
    free = Policy(extended_hours_provisional=False, provisional="never")
    in_federal = decide(line(), LineState(), free, Moment(setting(), the_day, late))
    assert [reason.code for reason in in_federal.reasons] == ["extended-hours"]
    assert in_federal.options[0].facts["ballot_class"] == "extended_hours"
    in_town = decide(line(), LineState(), free, Moment(setting(federal=False), the_day, late))
    assert in_town.outcome is Outcome.SIGN


def test_every_question_has_a_sentence_and_only_answers_its_field_takes() -> None:
    the_day = replace(day(Phase.CUT_OFF), extensions=EXTENDED)
    seen = set()
    for phase, allowed in itertools.product((day(Phase.OPEN), the_day), (True, False)):
        policy = Policy(correction_affidavit=allowed)
        todo = [Situation()]
        while todo:
            situation = todo.pop()
            question = next_question(situation, policy, setting(policy=policy), phase)
            if question:
                seen.add(question.code)
                assert question.sentence
                assert question.code in SENTENCES
                for answer in question.answers:
                    changed: dict[str, Answer] = {question.field: answer}
                    todo.append(replace(situation, **changed))  # type: ignore[arg-type]
    assert len(seen) == 7
