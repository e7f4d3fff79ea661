"""What a machine's counters were read as, and what cannot be right about a reading.

Pure. The public counter counts this election and stands at 0 when the polls open; the protective
counter counts the machine's whole life and never goes back (common practice, no source). Both
move by one with every ballot.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import timedelta
from typing import Literal

from app.rules.doubts import Doubt
from app.rules.setting import Machine

AtMoment = Literal["opening", "during", "close"]

# Whoever signed so shortly before a reading may still wait for a machine or stand at it. Nothing
# explains a machine that is ahead of the table.
STILL_VOTING = timedelta(minutes=15)

# Machines are read one after the other on one walk through the room.
ONE_ROUND = timedelta(minutes=20)


@dataclass(frozen=True, slots=True)
class ZeroReport:
    """What was looked at on the zero report beside its counters.

    `protective_on_screen` None: the screen was not read.
    """

    time_right: bool
    serial_right: bool
    precinct_right: bool
    candidates_zero: bool
    protective_on_screen: int | None = None


@dataclass(frozen=True, slots=True)
class Reading:
    """`by_button` counts by ballot button. `replaces` is the entry of the reading it stands in for.

    `place` is the entry at whose point of the day it counts: its own, or that of the reading
    which it, or the one it stands in for, replaced.
    """

    serial: str
    at_moment: AtMoment
    public: int
    protective: int | None = None
    by_button: Mapping[str, int] | None = None
    zero_report: ZeroReport | None = None
    replaces: int | None = None
    seq: int = 0
    place: int = 0


def placed(readings: Iterable[Reading]) -> list[Reading]:
    """The same in order, each with its place; those that were replaced are left out."""
    places: dict[int, int] = {}
    found: dict[int, Reading] = {}
    for reading in readings:
        before = reading.replaces
        place = reading.seq if before is None else places.get(before, before)
        places[reading.seq] = place
        found[place] = replace(reading, place=place)
    return [found[place] for place in sorted(found)]


def standing(readings: Iterable[Reading], serial: str, moment: AtMoment) -> Reading | None:
    """The reading of a machine that counts at this moment; the last, were there several."""
    of = [one for one in readings if (one.serial, one.at_moment) == (serial, moment)]
    return of[-1] if of else None


def doubts_about(
    new: Reading, placed_before: Sequence[Reading], machine: Machine | None
) -> list[Doubt]:
    """Everything that cannot be right about `new` beside what stands; empty where all agrees.

    `machine` is as the package states it, None where it knows none of this serial.
    """
    mine = [one for one in placed_before if one.serial == new.serial and one.seq != new.replaces]
    # Of a reading that stands in for an earlier one, what came later is later still.
    place = _place_of(new, placed_before)
    earlier = [one for one in mine if place is None or one.place < place]
    later = [one for one in mine if place is not None and one.place > place]
    found: list[Doubt] = [] if machine else [Doubt("serial-unknown", {"serial": new.serial})]
    if new.at_moment == "opening":
        found += _at_opening(new, machine)
    found += _went_down(new, earlier, later)
    found += _moved_otherwise(new, earlier, machine)
    found += _buttons(new)
    return found


def off_by(machines: int, least: int, most: int) -> int:
    """How far the machines' sum lies outside what it must lie between, 0 where it does not.

    `least` have surely voted, `most` have signed: one ballot ahead of the table is told at once,
    one behind only when nobody can be on the way to a machine any more.
    """
    return machines - most if machines > most else min(machines - least, 0)


def _place_of(new: Reading, placed_before: Sequence[Reading]) -> int | None:
    return next((one.place for one in placed_before if one.seq == new.replaces), None)


def _at_opening(new: Reading, machine: Machine | None) -> Iterator[Doubt]:
    if new.public:
        yield Doubt("public-not-zero", {"public": new.public})
    if machine and new.protective not in (None, machine.protective_counter):
        facts = {"expected": machine.protective_counter, "found": new.protective}
        yield Doubt("protective-not-as-packaged", facts)
    report = new.zero_report
    if report is None:
        return
    if report.protective_on_screen not in (None, new.protective):
        screen = report.protective_on_screen
        yield Doubt("protective-not-on-screen", {"on_report": new.protective, "on_screen": screen})
    wrong = [what for what, is_right in _looked_at(report) if not is_right]
    if wrong:
        yield Doubt("zero-report-wrong", {"what": wrong})


def _looked_at(report: ZeroReport) -> tuple[tuple[str, bool], ...]:
    return (
        ("time", report.time_right),
        ("serial", report.serial_right),
        ("precinct", report.precinct_right),
        ("candidates", report.candidates_zero),
    )


def _went_down(
    new: Reading, earlier: Sequence[Reading], later: Sequence[Reading]
) -> Iterator[Doubt]:
    """Between the reading before and the reading after, each counter only grows."""
    for counter in ("public", "protective"):
        now = getattr(new, counter)
        known = [one for one in earlier if getattr(one, counter) is not None]
        if known and now is not None and now < getattr(known[-1], counter):
            yield _down(counter, getattr(known[-1], counter), now, known[-1].seq)
        after = [one for one in later if getattr(one, counter) is not None]
        if after and now is not None and now > getattr(after[0], counter):
            yield _down(counter, now, getattr(after[0], counter), after[0].seq)


def _down(counter: str, before: int, now: int, seq: int) -> Doubt:
    return Doubt(
        "counter-went-down", {"counter": counter, "before": before, "now": now, "seq": seq}
    )


def _moved_otherwise(
    new: Reading, earlier: Sequence[Reading], machine: Machine | None
) -> Iterator[Doubt]:
    """Since the reading before; where none stands, since the package, with nothing voted."""
    if new.protective is None or new.at_moment == "opening":
        return
    known = [one for one in earlier if one.protective is not None]
    if known and known[-1].protective is not None:
        since = known[-1].public, known[-1].protective
    elif machine:
        since = 0, machine.protective_counter
    else:
        return
    public_moved, protective_moved = new.public - since[0], new.protective - since[1]
    if public_moved != protective_moved:
        facts = {"public_moved": public_moved, "protective_moved": protective_moved}
        yield Doubt("protective-moved-otherwise", facts)


def _buttons(new: Reading) -> Iterator[Doubt]:
    if new.by_button is not None and sum(new.by_button.values()) != new.public:
        total = sum(new.by_button.values())
        yield Doubt("buttons-do-not-add-up", {"public": new.public, "sum": total})
