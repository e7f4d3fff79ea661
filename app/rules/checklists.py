"""The checks of the opening and the close: the package's, or those shipped here where it has none.

Pure. Which checks a place makes is data of its package; the shipped ones are common practice, no
source, and no substitute for the local manual. What a check is about decides which irregularity
a failed one opens.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Literal

from app.rules.setting import ChecklistItem, Setting

Stage = Literal["opening", "closing"]
About = Literal["machine", "ballot", "seal", "place", "other"]


@dataclass(frozen=True, slots=True)
class Readiness:
    """Required checks that nobody ticked, and those whose latest tick says that they failed."""

    missing: tuple[str, ...] = ()
    failed: tuple[str, ...] = ()

    @property
    def is_ready(self) -> bool:
        return not self.missing and not self.failed


def items_of(setting: Setting, stage: Stage) -> tuple[ChecklistItem, ...]:
    """The checks of a stage in the order in which they are made."""
    own = tuple(item for item in setting.checklist if item.stage == stage)
    return own or tuple(item for item in SHIPPED if item.stage == stage)


def is_shipped(setting: Setting, stage: Stage) -> bool:
    """Whether the package has no checks of this stage, so that the shipped ones are shown."""
    return not any(item.stage == stage for item in setting.checklist)


def readiness(items: Iterable[ChecklistItem], passed: Mapping[str, bool]) -> Readiness:
    """What is still to be done; `passed` is the latest tick of each code, absent for none."""
    required = [item.code for item in items if item.required]
    return Readiness(
        tuple(code for code in required if code not in passed),
        tuple(code for code in required if passed.get(code) is False),
    )


def about(code: str) -> About:
    """What a check is about, by the words of its code: the first word of the table that is there.

    A seal of a machine is a matter of seals; a package may name its checks as it likes.
    """
    words = set(code.split("-"))
    for subject, telling in _TELLING:
        if words & telling:
            return subject
    return "other"


_TELLING: tuple[tuple[About, frozenset[str]], ...] = (
    ("seal", frozenset({"seal", "seals", "sealed", "bag", "bagged"})),
    (
        "machine",
        frozenset(
            "machine machines zero counter counters tape tapes cartridge cartridges scanner".split()
        ),
    ),
    ("ballot", frozenset({"ballot", "ballots", "provisional"})),
    (
        "place",
        frozenset("walk ways way ramp parking signs posted place room doors booths light".split()),
    ),
)


def _items(stage: Stage, *lines: tuple[str, str, bool]) -> tuple[ChecklistItem, ...]:
    return tuple(ChecklistItem(stage, code, sentence, need) for code, sentence, need in lines)


# Whether one is required: what cannot be made good once voters are in the room is.
SHIPPED: tuple[ChecklistItem, ...] = (
    *_items(
        "opening",
        ("oath-taken", "Every worker has taken the oath and signed the oath sheet.", True),
        ("safety-walk", "Walk the room: cords taped down, mats flat, doors free.", True),
        ("ways-in", "Ramp, accessible entrance and parking are clear; signs point to them.", True),
        ("signs-posted", "Sample ballots, hours and voters' rights are posted.", True),
        (
            "seals-read",
            "Every seal is read aloud and compared with the seal sheet, then cut.",
            True,
        ),
        ("machines-powered", "Machines are plugged in, on, and in sight of the table.", True),
        ("zero-report", "Each zero report: time, serial and precinct right, all counts 0.", True),
        ("zero-signed", "All workers have signed the zero reports.", True),
        ("ballots-compared", "Sample ballot, machine and buttons of the register agree.", True),
        ("register-complete", "Register and supplemental pages are all there.", True),
        ("late-lists-worked", "The lists that came this morning are worked in.", True),
        ("forms-at-table", "Cards, affidavits, provisional envelopes and forms are there.", True),
        ("paper-register-ready", "A printed register and pens lie ready for a failure.", False),
        ("telephone-tried", "The registrar's number lies at the table and has been tried.", False),
    ),
    *_items(
        "closing",
        ("last-in-line-marked", "At the hour a worker stood behind the last in line.", True),
        ("counters-read", "Public and protective counter of each machine are written down.", True),
        ("signatures-compared", "Signatures and counters are compared; differences stand.", True),
        ("tapes-signed", "The result tapes are printed and signed by all workers.", True),
        ("provisional-sealed", "Provisional envelopes are counted unopened and sealed.", True),
        ("cartridges-bagged", "Cartridges are in their bag, sealed, the number noted.", True),
        ("machines-sealed", "Machines are off and sealed, the numbers noted.", True),
        ("register-sealed", "Register and supplemental pages are sealed.", True),
        ("keys-sealed", "Keys are in their envelope, sealed, to go back with the lead.", True),
        ("record-signed", "All workers have signed the record of the day.", True),
        ("room-as-found", "Signs are down, the room is as it was found.", False),
    ),
)
