"""What a verdict says beyond its outcome: who lifts it, what may still be done, which ballot."""

from __future__ import annotations

import string

import pytest

from app.rules.line import LineState, Mark, MarkKind
from app.rules.moment import Evidence, Phase
from app.rules.policy import Policy
from app.rules.sentences import SENTENCES
from app.rules.verdict import OPTIONS_AFTER, Outcome, Verdict, decide
from tests.making import act, line, moment

MAIL_PRINTED = Mark(MarkKind.VOTED_BY_MAIL, "mail-voted.csv", "GS")
MAIL_LISTED = Mark(MarkKind.VOTED_BY_MAIL, "mail-1400.csv", "LO", act())
MAIL = LineState(marks=(Mark(MarkKind.VOTED_BY_MAIL, "mail-voted.csv", "GS"),))


def codes(verdict: Verdict) -> list[str]:
    return [option.code for option in verdict.options]


def test_a_signed_line_says_when_where_and_by_whose_initials() -> None:
    verdict = decide(line(), LineState(signature=act()), Policy(), moment())
    assert verdict.reasons[0].sentence == (
        "This line was signed at 12:00 at Table 2 (TB). "
        "If that was a mistake, the lead can withdraw it."
    )


def test_the_time_is_the_polling_places_own() -> None:
    facts = decide(line(), LineState(signature=act()), Policy(), moment()).reasons[0].facts
    assert facts["local_time"] == "12:00"
    assert facts["at"] == "2027-03-02T17:00:00+00:00"


def test_a_person_marked_as_voted_by_mail_may_still_call_and_be_given_a_provisional_ballot() -> (
    None
):
    verdict = decide(line(), MAIL, Policy(), moment())
    assert codes(verdict) == ["call-registrar", "provisional-ballot", "write-down-why"]
    assert verdict.options[0].facts == {
        "office": "Tern County Registrar of Voters",
        "phone": "555-0142",
    }


@pytest.mark.parametrize(
    ("policy", "federal", "is_offered"),
    [
        ("federal_only", True, True),
        ("federal_only", False, False),
        ("always", False, True),
        ("never", True, False),
    ],
)
def test_provisional_ballots_are_offered_where_the_policy_says_so(
    policy: str, federal: bool, is_offered: bool
) -> None:
    verdict = decide(
        line(),
        MAIL,
        Policy(provisional=policy),  # type: ignore[arg-type]
        moment(federal=federal),
    )
    assert ("provisional-ballot" in codes(verdict)) is is_offered


def test_a_correction_affidavit_is_offered_only_where_the_policy_knows_it() -> None:
    removed = LineState(removed=act())
    assert "correction-affidavit" in codes(decide(line(), removed, Policy(), moment()))
    without = Policy(correction_affidavit=False)
    assert "correction-affidavit" not in codes(decide(line(), removed, without, moment()))


def test_the_same_mark_from_two_lists_is_one_reason_and_no_contradiction() -> None:
    twice = LineState(
        marks=(
            Mark(MarkKind.VOTED_BY_MAIL, "register.csv", ""),
            Mark(MarkKind.VOTED_BY_MAIL, "mail-voted.csv", ""),
        )
    )
    verdict = decide(line(), twice, Policy(), moment())
    assert verdict.outcome is Outcome.STOP
    assert [reason.code for reason in verdict.reasons] == ["voted-by-mail"]


def test_a_contradiction_names_both_facts() -> None:
    both = LineState(marks=MAIL.marks, signature=act())
    verdict = decide(line(), both, Policy(), moment())
    assert verdict.outcome is Outcome.CALL
    assert "already signed and voted by mail" in verdict.reasons[0].sentence


def test_whoever_has_an_envelope_is_offered_no_second_one_even_where_the_lists_contradict() -> None:
    state = LineState(marks=MAIL.marks, signature=act(), provisional=act())
    verdict = decide(line(), state, Policy(), moment())
    assert verdict.outcome is Outcome.CALL
    assert verdict.reasons[-1].code == "provisional-recorded"
    assert "provisional-ballot" not in codes(verdict)


def test_the_ballot_button_is_named_only_to_a_person_who_may_sign() -> None:
    second = line(ballot_button=2)
    assert decide(second, LineState(), Policy(), moment()).ballot_button == 2
    assert decide(second, MAIL, Policy(), moment()).ballot_button is None


@pytest.mark.parametrize(
    ("switched_off", "columns", "look_alikes"),
    [
        ({"address_confirmation_first": False}, {"address_confirmation": True}, ()),
        ({"assistance_first": False}, {"assistance": True}, ()),
        ({"tell_look_alikes_apart": False}, {}, ("line-2",)),
    ],
)
def test_a_step_that_the_policy_switches_off_is_not_asked(
    switched_off: dict[str, bool], columns: dict[str, bool], look_alikes: tuple[str, ...]
) -> None:
    person = line(look_alikes=look_alikes, **columns)
    assert decide(person, LineState(), Policy(), moment()).outcome is Outcome.FIRST
    policy = Policy(**switched_off)  # type: ignore[arg-type]
    assert decide(person, LineState(), policy, moment()).outcome is Outcome.SIGN


def test_where_the_place_stops_at_the_hour_nobody_signs_after_the_cut_off() -> None:
    strict = Policy(in_line_may_sign=False)
    was_in_line = moment(Phase.CUT_OFF, Evidence(in_line_at_cut_off=True))
    assert decide(line(), LineState(), strict, was_in_line).outcome is Outcome.STOP


def test_identification_that_is_only_asked_for_stops_nobody() -> None:
    without = moment(evidence=Evidence(identification="not_shown"))
    asked = Policy(identification="asked")
    assert decide(line(), LineState(), asked, without).outcome is Outcome.SIGN


def test_whoever_may_sign_and_cannot_write_is_offered_a_mark_and_a_witness() -> None:
    verdict = decide(line(), LineState(), Policy(), moment())
    assert (verdict.outcome, codes(verdict)) == (Outcome.SIGN, ["mark-and-witness"])
    off = decide(line(), LineState(), Policy(mark_and_witness="off"), moment())
    assert (off.outcome, codes(off)) == (Outcome.SIGN, [])


@pytest.mark.parametrize("phase", [Phase.NOT_OPEN, Phase.CLOSED])
def test_nobody_who_may_not_sign_is_offered_a_mark(phase: Phase) -> None:
    for state in (LineState(), MAIL, LineState(signature=act())):
        assert "mark-and-witness" not in codes(decide(line(), state, Policy(), moment(phase)))
    first = decide(line(assistance=True), LineState(), Policy(), moment())
    assert (first.outcome, codes(first)) == (Outcome.FIRST, [])


def test_no_refusal_ends_the_conversation() -> None:
    assert all(options for options in OPTIONS_AFTER.values())
    assert all(code in SENTENCES for options in OPTIONS_AFTER.values() for code in options)


def test_every_sentence_ends_as_a_sentence_and_names_only_facts() -> None:
    for code, words in SENTENCES.items():
        assert words[0].isupper(), code
        assert words.rstrip()[-1] in ".?", code
        assert all(name for _, name, _, _ in string.Formatter().parse(words) if name is not None)


@pytest.mark.parametrize(
    ("marks", "outcome"),
    [
        ((MAIL_PRINTED, MAIL_PRINTED), Outcome.STOP),
        ((MAIL_PRINTED,), Outcome.STOP),
        ((MAIL_LISTED,), Outcome.STOP),
        ((MAIL_LISTED, MAIL_LISTED), Outcome.CALL),
        ((MAIL_PRINTED, MAIL_LISTED), Outcome.CALL),
    ],
)
def test_a_mark_that_two_lists_brought_is_a_call_and_what_is_printed_twice_is_one_mark(
    marks: tuple[Mark, ...], outcome: Outcome
) -> None:
    verdict = decide(line(), LineState(marks=marks), Policy(), moment())
    assert verdict.outcome is outcome
    if outcome is Outcome.CALL:
        assert verdict.reasons[0].code == "lists-contradict"
        assert all(mark.source in verdict.reasons[0].sentence for mark in marks)
        assert "call-registrar" in codes(verdict)


def test_a_line_that_was_signed_and_removed_is_a_call() -> None:
    state = LineState(signature=act(), removed=act(8))
    verdict = decide(line(), state, Policy(), moment())
    assert verdict.outcome is Outcome.CALL
    assert verdict.reasons[0].facts["codes"] == ["already-signed", "removed"]
