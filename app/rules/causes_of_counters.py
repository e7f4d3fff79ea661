"""Causes of a difference that lie in the machines' counters and how they were read.

Pure. A counter whose protective fellow agrees with it was read rightly: it is not looked at
again. Where the protective counter tells another number, that number is what to look for; the
same with what the ballots of each button add up to.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator

from app.rules.balance import MachineBalance
from app.rules.cause_scene import Found, Scene, Span
from app.rules.machine_readings import Reading, standing

# Digits that are taken for each other on a display or in handwriting. Common practice, no source.
_LOOK_ALIKE_DIGITS = frozenset(
    map(frozenset, ("17", "38", "56", "08", "68", "49", "06", "89", "27"))
)


def machine_not_read(scene: Scene) -> Iterator[Found]:
    """Its ballots are missing from the sum, all of them."""
    serials = tuple(one.name for one in scene.balance.missing if one.what == "machine")
    if serials and scene.difference < 0:
        yield Found(
            "machine-not-read",
            "machines",
            scene.difference,
            ("nothing-read",),
            {"serials": list(serials), "expected_there": -scene.difference},
            serials=serials,
        )


def digits_swapped(scene: Scene) -> Iterator[Found]:
    """4 5 7 written as 4 7 5: the difference is divisible by nine."""
    for machine, reading in _doubtful(scene):
        for likely in swapped(reading.public):
            evidence = ("difference-of-nines",)
            yield from _misread(scene, "digits-swapped", machine, reading, likely, evidence)


def digit_misread(scene: Scene) -> Iterator[Found]:
    """One digit taken for another: the difference is one digit and noughts."""
    for machine, reading in _doubtful(scene):
        for likely, is_alike in one_digit_other(reading.public):
            evidence = ("digits-look-alike",) if is_alike else ()
            yield from _misread(scene, "digit-misread", machine, reading, likely, evidence)


def counter_misread(scene: Scene) -> Iterator[Found]:
    """The protective counter tells a count, however the public one came to be written."""
    for machine, reading in _doubtful(scene):
        likely = told(machine)
        if likely is not None:
            yield from _misread(scene, "counter-misread", machine, reading, likely, ())


def protective_misread(scene: Scene) -> Iterator[Found]:
    """The public counters balance as they are, or would balance less by the protective one."""
    for machine in scene.balance.machines:
        public, protective = machine.public_moved, machine.protective_moved
        if public is None or protective is None or public == protective:
            continue
        if abs(scene.difference + protective - public) >= abs(scene.difference):
            yield Found(
                "protective-misread",
                "protective",
                protective - public,
                (),
                {"serial": machine.serial, "public": public, "protective": protective},
                serials=(machine.serial,),
                about=machine.serial,
            )


def read_before_end(scene: Scene) -> Iterator[Found]:
    """Voters signed after the closing reading: the machine has counted on."""
    live = [one for one in scene.voting if one.caught_up is None and one.moved_from is None]
    for machine, reading in _closed(scene):
        if machine.agrees is False:
            continue
        after = [one for one in live if one.seq > reading.place]
        if after and scene.difference < 0:
            yield Found(
                "read-before-end",
                "machines",
                -min(len(after), -scene.difference),
                ("signed-after-reading",),
                {"serial": machine.serial, "signed_after": len(after)},
                lines=tuple(one.line_id for one in after),
                serials=(machine.serial,),
                entries=(reading.seq,),
                times=(Span(scene.read_at(reading), None),),
            )


def old_reading(scene: Scene) -> Iterator[Found]:
    """The number is the one of a reading hours ago, copied from the sheet."""
    for machine, reading in _closed(scene):
        same = [one for one in _during(scene, machine.serial) if one.public == reading.public]
        if not same or scene.difference >= 0 or not reading.public:
            continue
        likely = reading.public - scene.difference
        since = sum(change.by for change in scene.facts.changes if change.seq > same[0].place)
        if since >= -scene.difference:
            yield Found(
                "old-reading",
                "machines",
                scene.difference,
                ("same-as-earlier", *_fresh(machine, likely)),
                {
                    "serial": machine.serial,
                    "read": reading.public,
                    "likely": likely,
                    "signed_since": since,
                },
                serials=(machine.serial,),
                entries=(same[0].seq, reading.seq),
                times=(Span(scene.read_at(same[0]), scene.read_at(reading)),),
            )


def votes_before_opening(scene: Scene) -> Iterator[Found]:
    """What stood on the public counter at the opening stands on it at the close.

    A zero report that was only read once voters had signed shows their ballots.
    """
    first = min((change.seq for change in scene.facts.changes), default=None)
    early = [
        one
        for one in scene.readings
        if one.at_moment == "opening" and one.public and (first is None or one.place < first)
    ]
    for delta in sorted({sum(one.public for one in early), *(one.public for one in early)} - {0}):
        yield Found(
            "votes-before-opening",
            "machines",
            delta,
            ("opening-not-zero",),
            {"serials": [one.serial for one in early], "public": delta},
            serials=tuple(one.serial for one in early),
            entries=tuple(one.seq for one in early),
        )


def test_votes(scene: Scene) -> Iterator[Found]:
    """Votes of a test that nobody took off: no zero report stands, or the protective counter
    was above the package's by as much.
    """
    if scene.difference <= 0:
        return
    for machine in scene.balance.machines:
        opening = standing(scene.readings, machine.serial, "opening")
        packaged = scene.packaged.get(machine.serial)
        if opening is None:
            evidence: tuple[str, ...] = ("no-zero-report",)
        elif opening.protective is None or packaged != opening.protective - scene.difference:
            continue
        else:
            evidence = ("protective-above-package",)
        if machine.public_close is not None and machine.public_close >= scene.difference:
            yield Found(
                "test-votes",
                "machines",
                scene.difference,
                evidence,
                {"serial": machine.serial, "votes": scene.difference},
                serials=(machine.serial,),
            )


def swapped(number: int) -> list[int]:
    """The numbers of as many digits that become this one by swapping two neighbours."""
    digits = str(number)
    found = []
    for place in range(len(digits) - 1):
        first, second = digits[place], digits[place + 1]
        other = digits[:place] + second + first + digits[place + 2 :]
        if first != second and other[0] != "0":
            found.append(int(other))
    return found


def one_digit_other(number: int) -> list[tuple[int, bool]]:
    """The numbers of as many digits with one digit other, and whether the two look alike."""
    digits = str(number)
    found = []
    for place, is_ in enumerate(digits):
        for other in "0123456789":
            written = digits[:place] + other + digits[place + 1 :]
            if other != is_ and (written[0] != "0" or len(written) == 1):
                found.append((int(written), frozenset((is_, other)) in _LOOK_ALIKE_DIGITS))
    return found


def told(machine: MachineBalance) -> int | None:
    """The closing count that the protective counter tells; None where it was not read."""
    if machine.protective_moved is None:
        return None
    return machine.protective_moved + (machine.public_opening or 0)


def _misread(
    scene: Scene,
    code: str,
    machine: MachineBalance,
    reading: Reading,
    likely: int,
    evidence: tuple[str, ...],
) -> Iterator[Found]:
    """Only where the whole difference is gone with it, or the protective counter tells it."""
    delta = reading.public - likely
    is_told = told(machine) == likely
    if not delta or (delta != scene.difference and not is_told) or _too_low(scene, reading, likely):
        return
    seen = ("seen-before-close",) if scene.window.ends is not None else ()
    yield Found(
        code,
        "machines",
        delta,
        (*evidence, *_protective(machine, likely), *_buttons(reading, likely), *seen),
        {"serial": machine.serial, "read": reading.public, "likely": likely},
        serials=(machine.serial,),
        entries=(reading.seq,),
    )


def _protective(machine: MachineBalance, likely: int) -> tuple[str, ...]:
    known = told(machine)
    if known is None:
        return ("protective-unread",)
    return ("protective-tells",) if known == likely else ("protective-says-otherwise",)


def _buttons(reading: Reading, likely: int) -> tuple[str, ...]:
    """What the counts by ballot button of the same tape add up to."""
    if reading.by_button is None:
        return ()
    is_told = sum(reading.by_button.values()) == likely
    return ("buttons-add-up-to-it",) if is_told else ("buttons-add-up-otherwise",)


def _fresh(machine: MachineBalance, likely: int) -> tuple[str, ...]:
    """What the protective counter tells, unless it was copied along with the public one."""
    return () if machine.agrees else _protective(machine, likely)


def _too_low(scene: Scene, reading: Reading, likely: int) -> bool:
    """A counter cannot have been higher during the day than at the close."""
    earlier = [one.public for one in _during(scene, reading.serial)]
    return bool(earlier) and likely < max(earlier)


def _doubtful(scene: Scene) -> Iterator[tuple[MachineBalance, Reading]]:
    """The closing readings that the protective counter does not confirm."""
    return ((machine, one) for machine, one in _closed(scene) if not machine.agrees)


def _closed(scene: Scene) -> Iterator[tuple[MachineBalance, Reading]]:
    for machine in scene.balance.machines:
        reading = standing(scene.readings, machine.serial, "close")
        if reading:
            yield machine, reading


def _during(scene: Scene, serial: str) -> list[Reading]:
    return [one for one in scene.readings if one.serial == serial and one.at_moment == "during"]


FINDERS: tuple[Callable[[Scene], Iterator[Found]], ...] = (
    machine_not_read,
    digits_swapped,
    digit_misread,
    counter_misread,
    protective_misread,
    read_before_end,
    old_reading,
    votes_before_opening,
    test_votes,
)
