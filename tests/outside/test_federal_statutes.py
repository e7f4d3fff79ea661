"""What federal statutes ask of a sign-in table, clause by clause.

The clauses are paraphrased from the statutes named, in our own words; those marked "from memory"
were not compared with the text. No legal advice: local law and the registrar decide.
"""

from __future__ import annotations

from dataclasses import replace

import pytest

from app.rules.line import LineState, Mark, MarkKind
from app.rules.moment import Evidence, Extension, Moment, Phase
from app.rules.policy import Policy
from app.rules.verdict import Outcome, Verdict, decide
from app.rules.ways_out import Situation, ways_out
from tests.making import act, day, line, setting

EXTENSION = Extension(act(9), "Order 27-118", "21:00")
FOUND_NOWHERE = Situation(
    spelled_otherwise="not_found",
    supplemental="not_found",
    says_eligible="yes",
    elsewhere="no",
    registrar="not_authorised",
)


def options(verdict: Verdict) -> list[str]:
    return [option.code for option in verdict.options]


def test_21082_a_somebody_whose_name_is_not_on_the_list_is_told_of_a_provisional_ballot() -> None:
    """52 U.S.C. 21082(a): declares to be registered and eligible, name not on the list."""
    found = ways_out(FOUND_NOWHERE, Policy(), setting(), day(Phase.OPEN))
    assert found[0].code == "provisional-ballot"


@pytest.mark.parametrize(
    "state",
    [
        LineState(marks=(Mark(MarkKind.VOTED_BY_MAIL, "mail-voted.csv", ""),)),
        LineState(marks=(Mark(MarkKind.VOTED_EARLY, "early-voted.csv", ""),)),
        LineState(removed=act()),
        LineState(signature=act()),
    ],
)
def test_21082_a_so_is_somebody_of_whom_an_official_says_that_they_may_not_vote(
    state: LineState,
) -> None:
    """52 U.S.C. 21082(a): the other trigger is an official's word that the person may not vote."""
    moment = Moment(setting(), day(Phase.OPEN))
    assert "provisional-ballot" in options(decide(line(), state, Policy(), moment))


def test_21082_c_votes_after_hours_extended_by_an_order_are_provisional_and_kept_apart() -> None:
    """52 U.S.C. 21082(c): provisional only, held apart from other provisional ballots."""
    cut_off = replace(day(Phase.CUT_OFF), extensions=(EXTENSION,))
    late = Moment(setting(), cut_off, Evidence(in_line_at_cut_off=False))
    verdict = decide(line(), LineState(), Policy(), late)
    assert verdict.outcome is Outcome.STOP
    assert verdict.options[0].facts["ballot_class"] == "extended_hours"
    in_line = Moment(setting(), cut_off, Evidence(in_line_at_cut_off=True))
    assert decide(line(), LineState(), Policy(), in_line).outcome is Outcome.SIGN


@pytest.mark.parametrize("place_asks", ["none", "asked", "required"])
def test_21083_b_a_first_time_registrant_by_mail_shows_a_document_or_votes_provisionally(
    place_asks: str,
) -> None:
    """52 U.S.C. 21083(b)(1)-(2): a document, or the ballot of last resort of (b)(2)(B)."""
    policy = Policy(identification=place_asks)  # type: ignore[arg-type]
    first_time = line(first_time_by_mail=True)

    def with_(shown: str | None) -> Verdict:
        evidence = Evidence(identification=shown)  # type: ignore[arg-type]
        return decide(first_time, LineState(), policy, Moment(setting(), day(Phase.OPEN), evidence))

    assert with_(None).outcome is Outcome.FIRST
    assert with_("shown").outcome is Outcome.SIGN
    assert "provisional-ballot" in options(with_("not_shown"))
    assert with_("affirmed").outcome is Outcome.STOP


def test_21083_b_names_two_groups_of_documents_and_both_are_read_out() -> None:
    """52 U.S.C. 21083(b)(2)(A): a current photo card; or a bill, statement, cheque or paper."""
    card, papers = Policy().identification_kinds
    assert "photograph" in card
    assert all(word in papers for word in ("utility bill", "bank statement", "name and address"))


def test_20507_an_inactive_voter_votes_on_affirming_the_address() -> None:
    """52 U.S.C. 20507(d)-(e), from memory: inactive is still registered."""
    inactive = line(inactive=True)
    affirmed = Evidence(address_affirmed=True)
    opened = day(Phase.OPEN)
    asked = decide(inactive, LineState(), Policy(), Moment(setting(), opened))
    assert [step.code for step in asked.steps] == ["affirm-address"]
    signs = decide(inactive, LineState(), Policy(), Moment(setting(), opened, affirmed))
    assert signs.outcome is Outcome.SIGN


def test_20507_e_whoever_moved_inside_the_jurisdiction_has_a_way_to_vote_under_every_policy() -> (
    None
):
    """52 U.S.C. 20507(e), from memory: an unreported move inside does not cost the vote."""
    for way in ("affirm", "provisional", "call"):
        policy = Policy(moved_within=way)  # type: ignore[arg-type]
        moved = Evidence(moved="within", address_affirmed=True)
        verdict = decide(line(), LineState(), policy, Moment(setting(), day(Phase.OPEN), moved))
        assert verdict.outcome is Outcome.SIGN or "provisional-ballot" in options(verdict)
