"""Numbered seals: which are on what now, and what cannot be right about a number.

Pure. A seal's number is used once; what is broken must be what was put on. One thing may carry
several seals.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from typing import Literal

from app.rules.doubts import Doubt

SealOf = Literal[
    "register", "supplemental", "machine", "cartridge", "bag", "keys", "provisional", "other"
]
SealAct = Literal["read", "broken", "put_on"]


@dataclass(frozen=True, slots=True)
class Seal:
    """What was done with a seal. `agrees` False: it is not the number on the seal sheet."""

    of: SealOf
    where: str
    number: str
    act: SealAct
    agrees: bool | None = None
    seq: int = 0

    @property
    def key(self) -> str:
        """The number as it is compared: spaces, hyphens and small letters make no other number."""
        return "".join(letter for letter in self.number.upper() if letter.isalnum())

    @property
    def thing(self) -> tuple[str, str]:
        return self.of, " ".join(self.where.upper().split())


def doubts_about(new: Seal, history: Sequence[Seal]) -> list[Doubt]:
    """Everything that cannot be right about `new` beside what was written down before."""
    return [
        *_seen_elsewhere(new, history),
        *_put_on_twice(new, history),
        *_not_the_one(new, history),
    ]


def on_now(history: Iterable[Seal]) -> dict[tuple[str, str], list[Seal]]:
    """The seals that are on each thing, as far as anybody wrote down, oldest first."""
    found: dict[tuple[str, str], list[Seal]] = {}
    for seal in history:
        on = found.setdefault(seal.thing, [])
        on[:] = [other for other in on if other.key != seal.key]
        if seal.act != "broken":
            on.append(seal)
    return found


def _seen_elsewhere(new: Seal, history: Sequence[Seal]) -> Iterator[Doubt]:
    other = next((one for one in history if one.key == new.key and one.thing != new.thing), None)
    if other:
        facts = {"number": new.number, "of": other.of, "where": other.where, "seq": other.seq}
        yield Doubt("seal-seen-elsewhere", facts)


def _put_on_twice(new: Seal, history: Sequence[Seal]) -> Iterator[Doubt]:
    """Also a seal that was only read or broken here: it was used, and is used once."""
    if new.act != "put_on":
        return
    before = next((one for one in history if (one.key, one.thing) == (new.key, new.thing)), None)
    if before:
        yield Doubt("seal-put-on-twice", {"number": new.number, "seq": before.seq})


def _not_the_one(new: Seal, history: Sequence[Seal]) -> Iterator[Doubt]:
    """Another number than those that are on.

    Reading a second seal of a thing is no wonder where the first was only read: who put them on
    did so before the day.
    """
    if new.act != "put_on":
        on = on_now(history).get(new.thing, [])
        known = [one for one in on if new.act == "broken" or one.act == "put_on"]
        if known and new.key not in {one.key for one in on}:
            expected = [one.number for one in known]
            facts = {"expected": expected, "found": new.number, "seq": known[-1].seq}
            yield Doubt("seal-not-the-one", facts)
    if new.agrees is False:
        yield Doubt("seal-not-on-sheet", {"number": new.number})
