"""The exercises of a practice day, as data: who comes, and how it ends right.

A new exercise is one more entry here, with its words in `app.rules.practice_words` and a role in
`app.rules.practice` where it is about somebody new.
"""

from __future__ import annotations

from dataclasses import dataclass

from app.rules.practice_judging import SIGNED, End, Wanted
from app.rules.provisional import BallotClass, is_given
from app.rules.setting import Setting


@dataclass(frozen=True, slots=True)
class Exercise:
    """`role` comes to the table; `ends` are the ways in which it ends right."""

    code: str
    role: str
    ends: tuple[End, ...]


def _offers_provisional(setting: Setting) -> bool:
    return is_given(BallotClass.ORDINARY, setting.policy, setting.election)


def _offers_none(setting: Setting) -> bool:
    return not _offers_provisional(setting)


def _signs(role: str, *first: Wanted) -> tuple[End, ...]:
    return (End((*first, Wanted(SIGNED, (role,)))),)


def _provisional(*roles: str) -> tuple[End, ...]:
    """A provisional ballot where this election has them, a reason written down where not."""
    return (
        End((Wanted("provisional.recorded", roles),), _offers_provisional),
        End((Wanted("person.directed", roles),), _offers_none),
    )


def _directed(way: str, *roles: str) -> tuple[End, ...]:
    return (End((Wanted("person.directed", roles, {"way": way}),)),)


_CARD = Wanted("address.confirmed", ("card",), setting="address_confirmation_first")
_HELPER = Wanted("assistance.recorded", ("helper",), {"wanted": True}, "assistance_first")

# In the order in which they come: the everyday first, what can go badly wrong later.
EXERCISES = (
    Exercise("plain", "plain", _signs("plain")),
    Exercise("number", "number", _signs("number")),
    Exercise("sound", "sound", _signs("sound")),
    Exercise("alike", "alike", _signs("alike")),
    Exercise("twin", "twin", _signs("twin")),
    Exercise("card", "card", _signs("card", _CARD)),
    Exercise("helper", "helper", _signs("helper", _HELPER)),
    Exercise("inactive", "inactive", _signs("inactive")),
    Exercise("mailed", "mailed", _provisional("mailed")),
    Exercise("early", "early", _directed("left", "early")),
    Exercise("contradiction", "contradiction", _provisional("contradiction")),
    Exercise("supplemental", "supplemental", _signs("supplemental")),
    Exercise("signed", "signed", _provisional("signed")),
    Exercise("date", "date", _directed("left", "date", "date-other")),
    Exercise("elsewhere", "elsewhere", _directed("elsewhere")),
    Exercise("nobody", "nobody", _provisional()),
)
EXERCISE = {exercise.code: exercise for exercise in EXERCISES}
