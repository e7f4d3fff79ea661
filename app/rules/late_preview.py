"""A whole late list before anything changes: every row's proposal, and the sum that must be right.

What one row does is in `late_list`. Here: rows of one list that name the same person, and the
tally in which no row may be lost.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Collection, Hashable, Iterable, Sequence
from dataclasses import dataclass, fields, replace

from app.rules.late_agreement import Candidate, Keys, ListedRow, Lookup
from app.rules.late_list import APPLIES, Effect, Listed, ListKind, Proposal, propose
from app.rules.line import Line, LineState

LISTED_TWICE = "listed-twice"


def preview(
    rows: Sequence[ListedRow],
    lines: Iterable[Line],
    state_of: Callable[[str], LineState],
    listed: Listed,
    keys: Keys,
) -> tuple[Proposal, ...]:
    """One proposal for every row, in the order of the rows.

    `lines` are gone through once; `state_of` is asked by line_id for those that a row could
    mean, once for each row.
    """
    lookup = Lookup(rows, lines, keys)
    proposals = [
        propose(
            row,
            [Candidate(line, state_of(line.line_id)) for line in lookup.lines(row)],
            listed,
            keys,
        )
        for row in rows
    ]
    if listed.kind is ListKind.SUPPLEMENTAL:
        return tuple(_added_once(rows, proposals, keys))
    return tuple(_changed_once(proposals))


def _changed_once(proposals: Sequence[Proposal]) -> Iterable[Proposal]:
    """A second row for the same line finds done what the first will do."""
    changed: set[str] = set()
    for proposal in proposals:
        line_id = proposal.line_id
        if proposal.effect in APPLIES and line_id is not None:
            if line_id in changed:
                yield _as_twice(proposal, Effect.ALREADY)
                continue
            changed.add(line_id)
        yield proposal


def _added_once(
    rows: Sequence[ListedRow], proposals: Sequence[Proposal], keys: Keys
) -> Iterable[Proposal]:
    """Rows that would add one person, or one number, twice.

    Where two rows say exactly the same, the second has nothing to add. Where they differ in
    anything, nobody can say which is right, and neither is added by itself.
    """
    numbers: defaultdict[Hashable, set[Hashable]] = defaultdict(set)
    people: defaultdict[Hashable, set[Hashable]] = defaultdict(set)
    adds = [proposal.effect is Effect.ADD for proposal in proposals]
    for row, is_added in zip(rows, adds, strict=True):
        if is_added:
            numbers[keys.number(row.voter_number)].add(_person(row, keys))
            people[_person(row, keys)].add(keys.number(row.voter_number))
    added: set[Hashable] = set()
    for row, proposal, is_added in zip(rows, proposals, adds, strict=True):
        number, person = keys.number(row.voter_number), _person(row, keys)
        if not is_added:
            yield proposal
        elif len(numbers[number]) > 1 or len(people[person]) > 1:
            yield _as_twice(proposal, Effect.SETTLE)
        elif number in added:
            yield _as_twice(proposal, Effect.ALREADY)
        else:
            added.add(number)
            yield proposal


def _person(row: ListedRow, keys: Keys) -> Hashable:
    names = (row.last_name, row.first_name, row.middle_name)
    return (*map(keys.name, names), keys.suffix(row.suffix), row.birth_date)


def _as_twice(proposal: Proposal, effect: Effect) -> Proposal:
    reasons = (*proposal.reasons, LISTED_TWICE)
    return replace(proposal, effect=effect, contradiction=None, reasons=reasons)


class RowsLost(ValueError):
    """Rows in and rows out are not the same rows: nothing may be applied."""


@dataclass(frozen=True, slots=True)
class Tally:
    """How many rows of a list did what; every row counts once.

    applied: by themselves. already: stood there. settled: decided by a person, whichever way.
    refused: not applied, and nobody asked. open: wait for a person. Raises `RowsLost` where
    these do not add up to `rows`.
    """

    rows: int
    applied: int = 0
    already: int = 0
    settled: int = 0
    refused: int = 0
    open: int = 0

    def __post_init__(self) -> None:
        counts = [getattr(self, field.name) for field in fields(self)][1:]
        if min(counts) < 0 or sum(counts) != self.rows:
            raise RowsLost(f"{self.rows} rows in, {sum(counts)} rows out")

    @property
    def is_complete(self) -> bool:
        """Whether no row waits for a person."""
        return self.open == 0


def tally(
    rows: Sequence[ListedRow], proposals: Sequence[Proposal], settled: Collection[int] = ()
) -> Tally:
    """Count the proposals; `settled` are the row numbers that a person has decided.

    Raises `RowsLost` where a row has no proposal, or two, or a proposal has no row.
    """
    numbers = [row.row_number for row in rows]
    if numbers != [proposal.row_number for proposal in proposals]:
        raise RowsLost(f"{len(numbers)} rows in, {len(proposals)} proposals, not of the same rows")
    if len(set(numbers)) != len(numbers) or not set(settled) <= set(numbers):
        raise RowsLost("a row number that stands twice or is no row's")
    by_person = set(settled)
    counts = dict.fromkeys(("applied", "already", "settled", "refused", "open"), 0)
    for proposal in proposals:
        is_settled = proposal.row_number in by_person
        counts["settled" if is_settled else _COUNTED_AS[proposal.effect]] += 1
    return Tally(len(numbers), **counts)


_COUNTED_AS = {
    Effect.MARK: "applied",
    Effect.REMOVE: "applied",
    Effect.ADD: "applied",
    Effect.ALREADY: "already",
    Effect.SETTLE: "open",
    Effect.REFUSE: "refused",
}
