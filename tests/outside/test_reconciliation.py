"""The close, against what is published about accounting for ballots.

- ACE Project, "Reconciliation" (aceproject.org, vog03a01 and vcb01a): ballots received, counted at
  the opening and adjusted for resupply; issued = voters marked; spoiled; unused; what does not
  balance is written down and never forced.
- Marin County, reconciling ballots and rosters (marincounty.org): ballots issued to the precinct =
  used + unused; signatures on the roster = voted ballots.

Neither gives figures; those here are made up and added up by hand.
"""

from __future__ import annotations

from app.rules.balance import Terms


def terms(**given: int | None) -> Terms:
    """A precinct that got 600 ballots and 100 more at noon, and gave 402 to 400 people."""
    stands: dict[str, int | None] = {
        "signatures_printed": 380,
        "signatures_listed": 12,
        "signatures_affidavit": 4,
        "left": 0,
        "provisional_recorded": 5,
        "provisional_withdrawn": 1,
        "machines": None,
        "received": 600,
        "resupplied": 100,
        "issued": 402,
        "spoiled": 3,
        "reissued": 2,
        "unused": 297,
    }
    return Terms("paper_ballots", **{**stands, **given})  # type: ignore[arg-type]


def test_received_and_resupplied_are_issued_spoiled_before_issue_and_unused() -> None:
    """ACE, steps 1 to 5. Of three spoiled two were given back and replaced; one was found bad."""
    found = terms()
    assert found.received is not None
    assert found.resupplied is not None
    spoiled_before_issue = 3 - 2
    assert found.received + found.resupplied == 402 + spoiled_before_issue + 297
    assert found.issued_difference == 0


def test_signatures_on_the_roster_are_voted_ballots() -> None:
    """Marin (c): 396 signed, and 396 ballots went to them; four lie in envelopes."""
    found = terms()
    assert (found.signatures, found.provisional, found.counted) == (396, 4, 396)
    assert found.difference == 0


def test_issued_to_the_precinct_is_used_and_unused() -> None:
    """Marin (b): whichever count is one off, so is the difference, and its sign tells which way."""
    assert terms(unused=296).difference == 1
    assert terms(received=599).difference == -1
    assert terms(spoiled=4).difference == -1
    assert terms(issued=403).issued_difference == 1


def test_who_left_without_voting_is_no_voted_ballot() -> None:
    """Common practice, no source: the signature stands, and the ballot that was given back is
    among the spoiled."""
    assert terms(left=1, spoiled=4).difference == 0
