"""What a late list would do now: its rows against the lines as they stand in one snapshot.

The rules are in `app.rules.late_list` and its neighbours; here the lines are fetched that a row
could mean, what persons decided is put in, and what the registrar withdrew today is asked again.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from typing import Any, Literal

from pydantic import TypeAdapter
from sqlalchemy import Connection, select

from app.intake.cells import voter_number_key
from app.intake.late_rows import LateRow
from app.matching.names import fold_suffix, glue
from app.records import actions, late_lists, queries
from app.records.corrected import all_details
from app.records.late_lists import KeptList, KeptRow
from app.records.taken_back import taken_back
from app.rules.late_agreement import Candidate, Keys
from app.rules.late_list import (
    APPLIES,
    MARK_OF,
    Effect,
    Listed,
    ListKind,
    Proposal,
    settle,
    settle_by_adding,
)
from app.rules.late_preview import preview
from app.rules.line import Line, LineState

KEYS = Keys(voter_number_key, glue, fold_suffix)

# What a mark names that came by telephone. A list that says the same says nothing else.
PHONE_IN = "phone-in"

# The row would put back what the registrar took off today.
MARK_WITHDRAWN = "mark-withdrawn"

_ROW = TypeAdapter(LateRow)
_PROPOSAL = TypeAdapter(Proposal)


@dataclass(frozen=True, slots=True)
class Decision:
    """What a person decided of a row. `line_id` is the line that is meant, where `how` is line."""

    how: Literal["line", "add", "refuse", "undone"]
    initials: str
    line_id: str | None = None
    reason: str = ""


@dataclass(frozen=True, slots=True)
class Prepared:
    """A list with its rows and the lines that they could mean, as of entry `at_seq`.

    Of a row that may be added, by its number: `alike` are the lines that it could be mistaken
    for, `alike_rows` the rows before it.
    """

    kept: KeptList
    listed: Listed
    rows: tuple[LateRow, ...]
    lines: tuple[Line, ...]
    at_seq: int
    alike: Mapping[int, tuple[str, ...]] = field(default_factory=dict)
    alike_rows: Mapping[int, tuple[int, ...]] = field(default_factory=dict)
    decisions: Mapping[int, Decision] = field(default_factory=dict)
    proposals: tuple[Proposal, ...] = ()


def row_as_text(row: LateRow) -> dict[str, Any]:
    """A row as plain JSON, blank columns left out."""
    kept: dict[str, Any] = _ROW.dump_python(row, mode="json", exclude_defaults=True)
    return kept


def row_from(kept: KeptRow) -> LateRow:
    return _ROW.validate_python(kept.row)


def proposal_as_text(proposal: Proposal) -> dict[str, Any]:
    kept: dict[str, Any] = _PROPOSAL.dump_python(proposal, mode="json")
    return kept


def proposal_from(result: Mapping[str, Any]) -> Proposal:
    return _PROPOSAL.validate_python(result["proposal"])


def decision_from(kept: KeptRow) -> Decision | None:
    return Decision(**kept.decision) if kept.decision else None


def chain(connection: Connection, kept: KeptList) -> list[KeptList]:
    """The lists that this one repeats or corrects, the latest first."""
    found: list[KeptList] = []
    while kept.corrects is not None:
        kept = late_lists.one(connection, kept.corrects)
        found.append(kept)
    return found


def listed_as(connection: Connection, kept: KeptList) -> Listed:
    """The list as the rules take it."""
    earlier = (one.name for one in chain(connection, kept))
    return Listed(kept.kind, kept.name, frozenset((PHONE_IN, *earlier)))


def prepare(connection: Connection, list_id: str) -> Prepared:
    """Everything that judging a list takes and that seldom changes while it is looked at."""
    kept = late_lists.one(connection, list_id)
    rows = tuple(map(row_from, late_lists.rows_of(connection, list_id)))
    return Prepared(
        kept,
        listed_as(connection, kept),
        rows,
        tuple(lines_meant(connection, rows)),
        queries.head(connection).seq,
    )


def lines_meant(connection: Connection, rows: Sequence[LateRow]) -> list[Line]:
    """Every line that a row could mean by number, or by birth date and the last name's letter."""
    gone = taken_back(connection)
    ids = [line_id for line_id in _ids_meant(connection, rows) if line_id not in gone]
    return _in_order(connection, ids)


def _ids_meant(connection: Connection, rows: Iterable[LateRow]) -> Iterator[str]:
    numbers: set[str] = set()
    letters: defaultdict[str, set[str]] = defaultdict(set)
    for row in rows:
        numbers.add(KEYS.number(row.voter_number))
        if row.birth_date is not None:
            letters[row.birth_date.isoformat()].add(KEYS.name(row.last_name)[:1])
    of = queries.lines.c
    columns = select(of.line_id, of.voter_number, of.birth_date, of.last_name)
    corrected = all_details(connection)
    for line_id, number, printed_born, printed_name in connection.execute(columns):
        now = corrected.get(line_id, {})
        born = now.get("birth_date", printed_born)
        last_name = now.get("last_name", printed_name)
        is_numbered = number and KEYS.number(number) in numbers
        if is_numbered or (born in letters and KEYS.name(last_name)[:1] in letters[born]):
            yield line_id


def _in_order(connection: Connection, line_ids: Sequence[str]) -> list[Line]:
    found = queries.lines_with(connection, line_ids)
    return [found[line_id] for line_id in line_ids]


def judge_whole(connection: Connection, prepared: Prepared) -> Prepared:
    """The same with its decisions, and a proposal for every row."""
    decided = late_lists.decided_rows(connection, prepared.kept.list_id)
    found = {row.row_number: decision_from(row) for row in decided}
    decisions = {number: decision for number, decision in found.items() if decision}
    return replace(
        prepared,
        decisions=decisions,
        proposals=judge(connection, prepared, decisions),
        at_seq=queries.head(connection).seq,
    )


def judge_again(connection: Connection, prepared: Prepared) -> Prepared:
    """As things stand in this transaction: judged anew unless nothing that counts has changed.

    A proposal follows from the row, its lines, their states and what persons decided; where
    none of these moved since, it is the same.
    """
    if is_stale(connection, prepared):
        again = replace(prepare(connection, prepared.kept.list_id), alike=prepared.alike)
        return judge_whole(connection, again)
    kept = late_lists.one(connection, prepared.kept.list_id)
    decided = late_lists.decided_rows(connection, kept.list_id)
    decisions = {row.row_number: decision_from(row) for row in decided}
    touched = actions.lines_after(connection, prepared.at_seq)
    meant = {line.line_id for line in prepared.lines}
    meant |= {each.line_id for each in prepared.decisions.values() if each.line_id}
    same = dict(prepared.decisions) == decisions and meant.isdisjoint(touched)
    fresh = replace(prepared, kept=kept)
    return fresh if same and prepared.proposals else judge_whole(connection, fresh)


def is_stale(connection: Connection, prepared: Prepared) -> bool:
    """Whether a line came, went or was corrected since: who is meant must be asked again."""
    changed = actions.kinds_after(connection, prepared.at_seq)
    return not changed.isdisjoint({"line.added", "line.corrected", "late_list.row_undone"})


def judge(
    connection: Connection,
    prepared: Prepared,
    decisions: Mapping[int, Decision],
    rows: Sequence[LateRow] | None = None,
) -> tuple[Proposal, ...]:
    """One proposal for every row, with what persons decided, as things stand now.

    `rows` are all of the list's unless given.
    """
    rows = prepared.rows if rows is None else rows
    candidates = _Candidates(connection, prepared.lines, decisions)
    proposals = preview(rows, prepared.lines, candidates.state, prepared.listed, KEYS)
    withdrawn = _withdrawn(connection, prepared.listed.kind)
    asked = (_asked_again(each, withdrawn) for each in proposals)
    settled = (
        _settled(each, decisions.get(each.row_number), candidates, prepared.listed)
        for each in asked
    )
    return tuple(_changed_once(settled))


class _Candidates:
    """Lines and states of one snapshot, those that persons chose among them."""

    def __init__(
        self, connection: Connection, lines: Sequence[Line], decisions: Mapping[int, Decision]
    ) -> None:
        chosen = {each.line_id for each in decisions.values() if each.line_id}
        self._lines = {line.line_id: line for line in lines}
        more = sorted(chosen - self._lines.keys())
        self._lines.update(queries.lines_with(connection, more))
        self._states = queries.stored_states(connection, list(self._lines))

    def state(self, line_id: str) -> LineState:
        return self._states[line_id].state

    def chosen(self, line_id: str) -> Candidate:
        return Candidate(self._lines[line_id], self.state(line_id))


def _settled(
    proposal: Proposal, decision: Decision | None, candidates: _Candidates, listed: Listed
) -> Proposal:
    if decision is None or proposal.effect is not Effect.SETTLE:
        return proposal
    if decision.how == "add":
        return settle_by_adding(proposal)
    chosen = candidates.chosen(decision.line_id) if decision.line_id else None
    return settle(proposal, chosen, listed)


def _withdrawn(connection: Connection, kind: ListKind) -> frozenset[str]:
    """The lines from which the registrar took such a mark by telephone."""
    mark = MARK_OF.get(kind)
    if mark is None:
        return frozenset()
    return frozenset(
        str(entry.line_id)
        for entry in queries.entries_of(connection, "mark.withdrawn")
        if entry.body["mark"] == mark and entry.body.get("phone_in_seq") is not None
    )


def _asked_again(proposal: Proposal, withdrawn: frozenset[str]) -> Proposal:
    """She said her mail ballot never came, and it was cancelled: no list may undo that silently."""
    if proposal.effect is not Effect.MARK or proposal.line_id not in withdrawn:
        return proposal
    reasons = (*proposal.reasons, MARK_WITHDRAWN)
    return replace(proposal, effect=Effect.SETTLE, reasons=reasons)


def _changed_once(proposals: Iterable[Proposal]) -> Iterator[Proposal]:
    """Two rows that persons gave to one line change it once."""
    changed: set[str] = set()
    for proposal in proposals:
        line_id = proposal.line_id
        if line_id is None or proposal.effect not in APPLIES:
            yield proposal
        elif line_id in changed:
            yield replace(proposal, effect=Effect.ALREADY, contradiction=None)
        else:
            changed.add(line_id)
            yield proposal
