"""The single errors that a day is planted with, each with the cause that must be found."""

from __future__ import annotations

from collections.abc import Callable
from datetime import timedelta

from app.rules.causes_of_counters import one_digit_other, swapped
from tests.rules.made_days import BUTTONS, PACKAGED, MadeDay


def list_row_missed(day: MadeDay) -> str:
    day.entries.remove(day.rng.choice(day.keyed))
    return "list-row-missed"


def keyed_twice(day: MadeDay) -> str:
    """Under the same number of the paper register, or at the same time on a look-alike's line."""
    of = day.rng.choice(day.paper)
    paper = dict(of.body["caught_up"])
    if day.rng.random() < 0.5:
        paper["order"] = len(day.paper) + 1
        day.pair(str(of.line_id), "twice-keyed")
    moment = of.moment + timedelta(minutes=day.rng.randint(1, 9))
    day.sign("twice-keyed", moment, votes=False, caught_up=paper)
    return "keyed-twice"


def digits_swapped(day: MadeDay) -> str:
    """Of a machine whose count has two neighbours that are not the same digit."""
    counts = {serial: sum(vote.serial == serial for vote in day.votes) for serial in PACKAGED}
    serial = day.rng.choice([serial for serial, count in counts.items() if swapped(count)])
    shown = day.rng.choice(swapped(counts[serial]))
    day.read[serial] = lambda _: shown
    return "digits-swapped"


def digit_misread(day: MadeDay) -> str:
    serial = day.rng.choice(tuple(PACKAGED))
    day.read[serial] = lambda count: day.rng.choice([other for other, _ in one_digit_other(count)])
    return "digit-misread"


def left_unrecorded(day: MadeDay) -> str:
    line = day.lone_voter()
    day.votes.remove(day.vote_of.pop(line))
    if day.rng.random() < 0.3:
        day.note(day.signed[line].moment + timedelta(minutes=20), "voter", line)
    return "left-unrecorded"


def voted_unsigned(day: MadeDay) -> str:
    vote = day.vote(day.any_time(), day.rng.choice(BUTTONS))
    if day.rng.random() < 0.3:
        day.add(vote.moment - timedelta(minutes=4), "address.confirmed", "past-the-table")
    return "voted-unsigned"


def machine_not_read(day: MadeDay) -> str:
    day.unread.add(day.rng.choice(tuple(PACKAGED)))
    return "machine-not-read"


def votes_before_opening(day: MadeDay) -> str:
    day.before[day.rng.choice(tuple(PACKAGED))] = day.rng.randint(1, 30)
    return "votes-before-opening"


def withdrawn_but_voted(day: MadeDay) -> str:
    line = day.lone_voter()
    moment = day.signed[line].moment + timedelta(minutes=day.rng.randint(1, 20))
    day.withdraw(line, moment, day.rng.choice(("other", "wrong_line", "spoiled")), None)
    return "withdrawn-but-voted"


def provisional_in_machine(day: MadeDay) -> str:
    made = day.rng.choice(day.provisional) if day.provisional else None
    if made is None:
        made = day.add(day.any_time(), "provisional.recorded", None, ballot_button=2)
    day.vote(made.moment + timedelta(minutes=5), 2)
    return "provisional-in-machine"


def signed_on_two_lines(day: MadeDay) -> str:
    """The namesake's line first; then the worker sees it, and the voter signs the right one."""
    moment = day.any_time()
    day.pair("namesake", "own-line")
    wrong = day.sign("namesake", moment, votes=False)
    right = day.sign("own-line", moment + timedelta(minutes=day.rng.randint(1, 4)))
    right.station = wrong.station
    return "signed-on-two-lines"


def button_given_wrongly(day: MadeDay) -> str:
    vote = day.vote_of[day.lone_voter()]
    vote.button = day.rng.choice([other for other in BUTTONS if other != vote.button])
    return "button-given-wrongly"


PLANTED: tuple[Callable[[MadeDay], str], ...] = (
    list_row_missed,
    keyed_twice,
    digits_swapped,
    digit_misread,
    left_unrecorded,
    voted_unsigned,
    machine_not_read,
    votes_before_opening,
    withdrawn_but_voted,
    provisional_in_machine,
    signed_on_two_lines,
    button_given_wrongly,
)

NEEDS_PAPER = frozenset({keyed_twice})
COUNTERS = frozenset({digits_swapped, digit_misread})
