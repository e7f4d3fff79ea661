"""Times on paper, how the day stood then, and what a signature on paper contradicts."""

from __future__ import annotations

import datetime
from dataclasses import replace
from zoneinfo import ZoneInfo

import pytest

from app.rules.catching_up import (
    Effect,
    Row,
    bounds,
    day_then,
    doubts,
    moment_of,
    tally,
    without_what_stands,
)
from app.rules.late_list import contradiction_with_paper
from app.rules.line import Act, LineState, Mark, MarkKind
from app.rules.moment import DayState, Moment, Phase
from app.rules.verdict import Outcome, decide
from tests.making import act, line, setting

ZONE = ZoneInfo("America/New_York")
ON = datetime.date(2027, 3, 2)
MAIL = Mark(MarkKind.VOTED_BY_MAIL, "mail-1400.csv", "LO", act(9))


def at(local: str, seq: int = 5) -> Act:
    return replace(act(seq), at=moment_of(ON, local, ZONE))


def row(number: int, line_id: str | None = "a", time: str = "14:20", order: int = 1) -> Row:
    return Row(number, line_id, time, 1, order, "signed")


@pytest.mark.parametrize(
    ("opened", "closed", "now", "local", "why"),
    [
        ("06:58", None, "15:10", "14:20", None),
        ("06:58", None, "15:10", "15:10", None),
        ("06:58", None, "15:10", "15:11", "future"),
        ("06:58", None, "15:10", "06:58", None),
        ("06:58", None, "15:10", "06:57", "before-opening"),
        ("09:30", None, "15:10", "07:05", None),  # opened on paper, the record says so later
        ("09:30", None, "15:10", "06:59", "before-opening"),
        (None, None, "07:20", "07:05", None),
        ("06:58", "20:05", "21:00", "20:05", None),
        ("06:58", "20:05", "21:00", "20:06", "after-closing"),
    ],
)
def test_when_somebody_can_have_signed_on_paper(
    opened: str | None, closed: str | None, now: str, local: str, why: str | None
) -> None:
    day = DayState(opened=at(opened) if opened else None, closed=at(closed, 8) if closed else None)
    found = bounds(setting().election, day, ZONE, moment_of(ON, now, ZONE))
    assert found.why_not(moment_of(ON, local, ZONE)) == why


def test_a_row_that_is_keyed_after_midnight_is_still_of_the_day_that_was_opened() -> None:
    after = datetime.datetime(2027, 3, 3, 5, 30, tzinfo=datetime.UTC)
    found = bounds(setting().election, DayState(opened=at("07:00")), ZONE, after)
    assert found.why_not(moment_of(ON, "19:50", ZONE)) is None


@pytest.mark.parametrize(
    ("local", "phase"),
    [
        ("19:59", Phase.OPEN),
        ("20:00", Phase.OPEN),
        ("20:01", Phase.CUT_OFF),
        (None, Phase.CUT_OFF),
    ],
)
def test_the_day_stands_as_it_stood_when_the_voter_signed(local: str | None, phase: Phase) -> None:
    cut_off = replace(at("20:00", 6), at=at("20:00").at + datetime.timedelta(seconds=40))
    day = DayState(opened=at("07:00"), cut_off=cut_off, closed=at("20:30", 7))
    moment = moment_of(ON, local, ZONE) if local else None
    assert day_then(day, moment).phase is phase
    assert day_then(replace(day, cut_off=None), moment).phase is Phase.OPEN


@pytest.mark.parametrize(
    ("state", "code"),
    [
        (LineState(), None),
        (LineState(signature=act()), "paper-and-signed"),
        (LineState(also_on_paper=(act(),)), "paper-and-signed"),
        (LineState(marks=(MAIL,)), "paper-and-marked"),
        (LineState(removed=act()), "paper-and-removed"),
        (LineState(provisional=act()), "paper-and-provisional"),
        (LineState(signature=act(), marks=(MAIL,), removed=act()), "paper-and-signed"),
        (LineState(address_confirmed=act(), assistance=act()), None),
    ],
)
def test_what_a_signature_on_paper_contradicts(state: LineState, code: str | None) -> None:
    found = contradiction_with_paper(state, {"time": "14:20"})
    assert (found.code if found else None) == code
    bare = without_what_stands(state)
    assert contradiction_with_paper(bare, {}) is None
    assert (bare.address_confirmed, bare.assistance) == (state.address_confirmed, state.assistance)


@pytest.mark.parametrize(
    ("state", "outcome", "codes"),
    [
        (LineState(signature=act(), also_on_paper=(act(9),)), Outcome.CALL, "lists-contradict"),
        (LineState(also_on_paper=(act(9),)), Outcome.STOP, "already-signed"),
        (LineState(also_on_paper=(act(9),), marks=(MAIL,)), Outcome.CALL, "lists-contradict"),
    ],
)
def test_a_line_signed_at_the_table_and_on_paper_calls_the_registrar(
    state: LineState, outcome: Outcome, codes: str
) -> None:
    here = setting()
    verdict = decide(line(), state, here.policy, Moment(here, DayState(opened=act(2))))
    assert (verdict.outcome, verdict.reasons[0].code) == (outcome, codes)
    if state.signature:
        assert verdict.reasons[0].facts["said"] == "already signed and already signed on paper"


@pytest.mark.parametrize(
    ("other", "told"),
    [
        (row(1, "b", "14:20", 9), ["alike-keyed"]),
        (row(1, "b", "14:21", 2), ["place-keyed", "alike-keyed"]),
        (row(1, "c", "14:20", 9), []),
        (row(1, "c", "14:20", 2), ["place-keyed"]),
        (row(1, "b", "", 9), []),
        (replace(row(1, "b", "14:20", 2), is_undone=True), []),
        (row(1, "a", "14:20", 2), []),
        (row(1, None, "14:20", 2), ["place-keyed"]),
    ],
)
def test_look_alikes_and_one_place_keyed_twice_are_told(other: Row, told: list[str]) -> None:
    found = list(doubts(row(2, "a", "14:20", 2), [other], {"b"}, ("", "")))
    assert [doubt.code for doubt in found] == told
    assert all(doubt.sentence for doubt in found)


def test_blank_times_are_no_same_time() -> None:
    mine, other = row(2, "a", "", 2), row(1, "b", "", 3)
    assert list(doubts(mine, [other], {"b"}, ("14:10", "15:05"))) == []


@pytest.mark.parametrize(
    ("time", "told"), [("14:09", True), ("14:10", False), ("15:05", False), ("15:06", True)]
)
def test_a_time_outside_the_hour_is_told(time: str, told: bool) -> None:
    found = list(doubts(row(1, "a", time), [], (), ("14:10", "15:05")))
    assert [doubt.code for doubt in found] == (["outside-paper-hours"] if told else [])


def test_every_row_is_signed_a_duplicate_waiting_or_undone() -> None:
    effects: list[Effect] = ["signed", "duplicate", "waits", "signed"]
    rows = [replace(row(n), effect=effect) for n, effect in enumerate(effects, 1)]
    rows[3] = replace(rows[3], is_undone=True)
    found = tally(rows)
    assert (found.signed, found.duplicates, found.waiting, found.undone) == (1, 1, 1, 1)
    assert (found.keyed, found.standing) == (4, 3)
