"""What the log says of the opening and the close, refolded: is each entry one that could follow?

`Beside` gathers the same facts as the balance does, so that the terms in `day.closed` are counted
again by `verify`.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field

from app.records.entry import Entry
from app.records.fold import DoesNotFit
from app.rules.balance import terms_of
from app.rules.day_facts import DayFacts
from app.rules.day_gathering import gather


@dataclass(slots=True)
class DaySoFar:
    """`stands_for`: readings and counts by entry, what each is of; `irregularities` by entry."""

    facts: DayFacts = field(default_factory=DayFacts)
    stands_for: dict[int, tuple[str, ...]] = field(default_factory=dict)
    irregularities: set[int] = field(default_factory=set)

    def fold(self, entry: Entry) -> None:
        """DoesNotFit where the entry cannot follow those before it."""
        check = _CHECKS.get(entry.kind)
        if check:
            check(self, entry)
        gather(self.facts, entry)


def _counted(day: DaySoFar, entry: Entry) -> None:
    body = entry.body
    of = (body["serial"], body["at_moment"]) if "serial" in body else (body["what"],)
    replaces = body["replaces"]
    if replaces is not None and day.stands_for.get(replaces) != of:
        raise DoesNotFit(f"it stands in for entry {replaces}, which is no such count")
    day.stands_for[entry.seq] = of


def _ticked(day: DaySoFar, entry: Entry) -> None:
    seq = entry.body["irregularity_seq"]
    if entry.body["passed"] == (seq is not None):
        raise DoesNotFit("a failed check opens an irregularity, and no other does")
    if seq is not None and seq not in day.irregularities:
        raise DoesNotFit(f"entry {seq} is no irregularity")


def _irregularity(day: DaySoFar, entry: Entry) -> None:
    day.irregularities.add(entry.seq)


def _closed(day: DaySoFar, entry: Entry) -> None:
    """Old entries have no balance."""
    balance, difference = entry.body["balance"], entry.body["difference"]
    if balance is None:
        return
    terms = terms_of(day.facts, balance["counted_by"])
    if terms.as_body() != balance:
        raise DoesNotFit("the balance is not what the entries before it add up to")
    if difference not in (None, terms.difference):
        raise DoesNotFit("the difference is not the one of its own balance")
    if difference and not entry.body["reason"]:
        raise DoesNotFit("the counts do not agree, and nobody says why")


_CHECKS: Mapping[str, Callable[[DaySoFar, Entry], None]] = {
    "machine.counted": _counted,
    "ballots.counted": _counted,
    "checklist.ticked": _ticked,
    "irregularity.recorded": _irregularity,
    "day.closed": _closed,
}
