"""Marks, lists and notices: who has voted before the day, who must do something first.

Nobody stands on two lists, except the one planted person whose lists contradict.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from datetime import date

from . import look_alike_cases, planted, twelve
from .draw import Draw, Weighted
from .person import Person, age_on

BY_MAIL = "voted by mail"
EARLY = "voted early"

_CLERKS = ("RM", "JT", "KL", "AB", "PO")  # initials beside the marks


@dataclass(frozen=True, slots=True)
class Lists:
    """Voter numbers with what the lists say of them.

    `printed` is mark and initials in the register; `mailed` and `early` are voter
    number and initials, in the order in which the ballots came in.
    """

    printed: dict[str, tuple[str, str]] = field(default_factory=dict)
    mailed: tuple[tuple[str, str], ...] = ()
    early: tuple[tuple[str, str], ...] = ()
    address_confirmation: frozenset[str] = frozenset()
    assistance: frozenset[str] = frozenset()
    inactive: frozenset[str] = frozenset()
    first_time_by_mail: frozenset[str] = frozenset()
    address_protected: frozenset[str] = frozenset()


@dataclass(frozen=True, slots=True)
class _Sizes:
    """How many people of the register, besides the planted ones."""

    printed_by_mail: int
    on_mail_list: int
    printed_early: int
    on_early_list: int
    address_confirmation: int
    assistance: int
    inactive: int
    first_time_by_mail: int


_MARCH = _Sizes(68, 36, 41, 29, 17, 17, 26, 9)
_MAY = _Sizes(30, 17, 9, 8, 11, 18, 24, 4)


def lists_for_march(people: Sequence[Person]) -> Lists:
    """The lists of the main sample; the planted people among them as their cases ask."""
    draw = Draw(302)
    number = {person.who: person.voter_number for person in people}
    drawn = _draw_lists(draw, people, _MARCH)
    contradiction = number[twelve.CONTRADICTION.who]
    printed = {
        number[planted.PRINTED_BY_MAIL.who]: (BY_MAIL, "RM"),
        number[twelve.EARLY.who]: (EARLY, "KL"),
        contradiction: (EARLY, "JT"),
        number[look_alike_cases.EARLY_TWIN.who]: (EARLY, "AB"),
    }
    mailed = (twelve.BY_MAIL, look_alike_cases.ON_MAIL_LIST_FATHER, twelve.CONTRADICTION)
    early = (planted.ON_EARLY_LIST,)
    return Lists(
        printed=printed | drawn.printed,
        mailed=_mixed_in(draw, drawn.mailed, [number[one.who] for one in mailed]),
        early=_mixed_in(draw, drawn.early, [number[one.who] for one in early]),
        address_confirmation=drawn.address_confirmation | {number[twelve.NEW_ADDRESS.who]},
        assistance=drawn.assistance | {number[twelve.HELPED.who]},
        inactive=drawn.inactive | {number[one.who] for one in planted.NOT_HEARD_FROM},
        first_time_by_mail=drawn.first_time_by_mail
        | {number[one.who] for one in planted.FIRST_TIME_BY_MAIL},
        address_protected=_protected(number),
    )


def lists_for_may(people: Sequence[Person]) -> Lists:
    """The lists of the one-ballot sample: of the planted people only protected ones have a note."""
    number = {person.who: person.voter_number for person in people}
    return replace(_draw_lists(Draw(504), people, _MAY), address_protected=_protected(number))


def _protected(number: dict[tuple[str, str, str, date], str]) -> frozenset[str]:
    """Nobody but those planted: a protected address is a rare thing."""
    return frozenset(number[one.who] for one in planted.PROTECTED)


def _draw_lists(draw: Draw, people: Sequence[Person], sizes: _Sizes) -> Lists:
    planted_who = {person.who for person in planted.everybody_planted()}
    others = [person for person in people if person.who not in planted_who]
    voted = _voted_before_the_day(draw, others, sizes)
    cuts = (sizes.printed_by_mail, sizes.on_mail_list, sizes.printed_early)
    first, second, third = cuts[0], cuts[0] + cuts[1], sum(cuts)
    printed = {number: (BY_MAIL, draw.pick(_CLERKS)) for number in voted[:first]}
    printed |= {number: (EARLY, draw.pick(_CLERKS)) for number in voted[second:third]}
    steps = draw.shuffled(one.voter_number for one in others if one.voter_number not in voted)
    cards, quiet = sizes.address_confirmation, sizes.address_confirmation + sizes.inactive
    helped = _likelier_with_age(draw, others, set(voted), sizes.assistance)
    return Lists(
        printed=printed,
        mailed=tuple((number, draw.pick(_CLERKS)) for number in voted[first:second]),
        early=tuple((number, draw.pick(_CLERKS)) for number in voted[third:]),
        address_confirmation=frozenset(steps[:cards]),
        inactive=frozenset(steps[cards:quiet]),
        first_time_by_mail=frozenset(steps[quiet : quiet + sizes.first_time_by_mail]),
        assistance=frozenset(helped),
    )


def _voted_before_the_day(draw: Draw, others: Sequence[Person], sizes: _Sizes) -> list[str]:
    count = sizes.printed_by_mail + sizes.on_mail_list + sizes.printed_early + sizes.on_early_list
    return _likelier_with_age(draw, others, set(), count)


def _likelier_with_age(
    draw: Draw, people: Sequence[Person], not_these: set[str], count: int
) -> list[str]:
    """`count` different voter numbers in drawn order; an old person comes up more often."""
    table = Weighted(
        (one.voter_number, max(4, age_on(one.birth_date) - 34))
        for one in people
        if one.voter_number not in not_these
    )
    chosen: dict[str, None] = {}
    while len(chosen) < count:
        chosen[draw.weighted(table)] = None
    return list(chosen)


def _mixed_in(
    draw: Draw, listed: tuple[tuple[str, str], ...], numbers: list[str]
) -> tuple[tuple[str, str], ...]:
    more = tuple((number, draw.pick(_CLERKS)) for number in numbers)
    return tuple(draw.shuffled(listed + more))
