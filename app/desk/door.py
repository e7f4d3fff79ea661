"""What is refused at the door: counted, written into the log, and shown to the lead.

A guesser makes thousands of tries: each kind is written down when it first comes, and after
that once a minute with how many there were. Addresses come from the connection, never from
what was sent.
"""

from __future__ import annotations

import time
from collections import Counter
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, field

from sqlalchemy import Connection

from app.records import queries
from app.records.bodies_stations import DoorLookedAt, DoorRefused, Refusal
from app.records.entry import Actor, Entry
from app.records.unit import Unit

# A line in the log for every try would bury the day's own entries.
WRITE_SECONDS = 60.0
# Somebody with many addresses must not fill the memory; beyond this they are only counted.
MOST_ADDRESSES = 1_000

ACTOR = Actor("door", "", "door")


@dataclass(slots=True)
class _Kind:
    written: float
    count: int = 0
    addresses: Counter[str] = field(default_factory=Counter)


class Refusals:
    """Counts what is refused. Used from one event loop."""

    def __init__(self, ticking: Callable[[], float] = time.monotonic) -> None:
        self._ticking = ticking
        self._kinds: dict[Refusal, _Kind] = {}

    def count(self, refusal: Refusal, address: str) -> None:
        """One more of this kind, from this address."""
        kind = self._kinds.setdefault(refusal, _Kind(-WRITE_SECONDS + self._ticking()))
        kind.count += 1
        if address in kind.addresses or len(kind.addresses) < MOST_ADDRESSES:
            kind.addresses[address] += 1

    def due(self, *, everything: bool = False) -> list[DoorRefused]:
        """What is to be written now: each kind once a minute, `everything` at the stop."""
        now = self._ticking()
        found = []
        for refusal, kind in self._kinds.items():
            if kind.count and (everything or now - kind.written >= WRITE_SECONDS):
                found.append(_body(refusal, kind))
                self._kinds[refusal] = _Kind(now)
        return found


def _body(refusal: Refusal, kind: _Kind) -> DoorRefused:
    ((address, _),) = kind.addresses.most_common(1)
    return DoorRefused(
        refused=refusal, count=kind.count, address=address, addresses=len(kind.addresses)
    )


def write(unit: Unit, bodies: Iterable[DoorRefused], token: Callable[[], str]) -> None:
    """An entry for each."""
    for body in bodies:
        unit.append(ACTOR, token(), body)


def looked_at(unit: Unit, actor: Actor, token: str, up_to_seq: int) -> Entry:
    """The lead has seen the refusals up to this entry."""
    before = unit.already(token, DoorLookedAt.kind, up_to_seq=up_to_seq)
    return before or unit.append(actor, token, DoorLookedAt(up_to_seq=up_to_seq))


def not_looked_at(connection: Connection) -> Sequence[Entry]:
    """The refusals that the lead has not seen yet, oldest first."""
    seen = 0
    found: list[Entry] = []
    for entry in queries.entries_of(connection, DoorRefused.kind, DoorLookedAt.kind):
        if entry.kind == DoorLookedAt.kind:
            seen = max(seen, entry.body["up_to_seq"])
        else:
            found.append(entry)
    return [entry for entry in found if entry.seq > seen]
