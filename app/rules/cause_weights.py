"""How likely a cause is before anything speaks for it, and what each piece of evidence is worth.

Tables alone, our own judgement of the trade (common practice, no source), set on made-up days of
one seed and measured on another (`tests/rules/test_causes_planted.py`). Points are only compared
with each other.
"""

from __future__ import annotations

from collections.abc import Mapping

# Points of a cause by itself. What happens on most days stands first; causes that are looked for
# only where entries show them begin low.
PRIOR: Mapping[str, int] = {
    "machine-not-read": 60,
    "left-unrecorded": 30,
    "voted-unsigned": 30,
    "digits-swapped": 24,
    "digit-misread": 18,
    "counter-misread": 10,
    "protective-misread": 30,
    "votes-before-opening": 20,
    "test-votes": 8,
    "read-before-end": 10,
    "old-reading": 10,
    "withdrawn-but-voted": 32,
    "signed-on-two-lines": 12,
    "moved-and-signed-again": 12,
    "keyed-twice": 14,
    "page-not-caught-up": 8,
    "signed-and-provisional": 14,
    "provisional-in-machine": 24,
    "affidavit-and-line": 12,
    "signed-instead-of-marked": 12,
    "list-row-missed": 40,
    "list-row-twice": 36,
    "button-given-wrongly": 40,
    "ballots-miscounted": 16,
    "left-with-ballot": 22,
}

EVIDENCE: Mapping[str, int] = {
    # the counters themselves
    "protective-tells": 45,
    "protective-says-otherwise": -30,
    # Quickly looked at: the counter still stands there.
    "protective-unread": 16,
    "buttons-add-up-to-it": 30,
    "buttons-add-up-otherwise": -30,
    "difference-of-nines": 4,
    "digits-look-alike": 6,
    "seen-before-close": -30,
    "signed-after-reading": 25,
    "same-as-earlier": 25,
    "opening-not-zero": 50,
    "no-zero-report": 14,
    "protective-above-package": 30,
    "nothing-read": 20,
    # people
    "noted": 26,
    "said-back": 24,
    "in-window": 10,
    "out-of-window": -15,
    "before-long-gap": 4,
    "same-table-at-once": 22,
    "within-quarter-hour": 14,
    "same-day": -4,
    "same-order": 45,
    "same-paper-time": 36,
    "alike-on-paper": 16,
    "alike-not-on-paper": 4,
    "same-line": 44,
    "signed-again-soon": 28,
    "step-unsigned": 14,
    "nobody-signed-instead": 16,
    "never-signed-again": 12,
    "marked-and-signed": 30,
    "marked-at-once": 10,
    # paper, lists and ballots
    "paper-open": 40,
    "orders-missing": 44,
    "fewer-than-said": 36,
    "was-on-paper": 4,
    "total-says": 30,
    "list-not-finished": 10,
    "button-tells": 34,
    "ballot-noted": 16,
    "line-was-corrected": 12,
    "a-bundle": 14,
}

# A cause that accounts for the whole difference, beside one that leaves a rest.
WHOLLY = 20
PARTLY = 8

# One or two people slip through on any day; ten do not, and nobody signs for forty.
_PER_PERSON = ((1, 0), (2, -2), (3, -6), (5, -12), (10, -24))
_CROWD = -40
PEOPLE_AT_RANDOM = frozenset({"left-unrecorded", "voted-unsigned", "test-votes"})

# What its own evidence must be worth, so that a cause is told that accounts for less than half.
TELLING = 24


def for_people(count: int) -> int:
    """Points for so many people of whom nobody wrote anything down."""
    return next((points for most, points in _PER_PERSON if count <= most), _CROWD)


def worth(evidence: tuple[str, ...]) -> int:
    return sum(EVIDENCE[code] for code in evidence)
