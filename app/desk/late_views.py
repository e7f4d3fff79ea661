"""A late list as it is looked at: every row with what it would do or did, in one snapshot.

What a whole list comes to is kept until the day moves on: pages of it are asked for in turn.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from sqlalchemy import Connection

from app.desk.late_differences import Difference, Gone, difference, gone_rows, resembling
from app.desk.late_judging import (
    Decision,
    decision_from,
    judge,
    prepare,
    proposal_from,
    row_from,
)
from app.desk.roster import Roster
from app.intake.late_rows import LateRow
from app.records import late_lists, queries
from app.records.entry import Entry
from app.records.fold import act_of
from app.records.late_lists import KeptList, KeptRow
from app.rules.late_list import Effect, Proposal, settle_by_adding
from app.rules.late_preview import Tally, tally
from app.rules.line import Act

# The answer to a question about every row of a list, kept until the day moves on.
MOST_VIEWS = 4


@dataclass(frozen=True, slots=True)
class RowView:
    """One row with what it would do, or did. `status` is the word it is counted under."""

    row: LateRow
    proposal: Proposal
    decision: Decision | None
    status: str
    change: str | None = None
    seq: int | None = None

    @property
    def may_be_added(self) -> bool:
        return settle_by_adding(self.proposal).effect is Effect.ADD


@dataclass(frozen=True, slots=True)
class ListView:
    """A whole list in one snapshot. `gone`: lines that the list it corrects named, and it does not.

    `resembles` is an applied list that most rows repeat, and how many they are. `taken_back`:
    rows of a list on paper that were keyed by mistake.
    """

    kept: KeptList
    rows: tuple[RowView, ...]
    tally: Tally
    done: Act | None = None
    corrects: KeptList | None = None
    difference: Difference | None = None
    gone: tuple[Gone, ...] = ()
    resembles: tuple[KeptList, int] | None = None
    taken_back: int = 0

    @property
    def count(self) -> int:
        """How many rows stand: of a list on paper without those that were taken back."""
        return self.tally.rows - self.taken_back


def all_kept(roster: Roster) -> list[ListView]:
    """Every list, newest first, with its count of rows but without the rows."""

    def read(connection: Connection) -> list[ListView]:
        kept = late_lists.all_lists(connection)
        return [_summary(connection, roster, one) for one in reversed(kept)]

    return roster.store.read(read)


def _summary(connection: Connection, roster: Roster, kept: KeptList) -> ListView:
    """Of an applied list the entry has the counts: its rows need not be read."""
    if kept.status != "applied" or kept.done_seq is None:
        return replace(view(connection, roster, kept.list_id), rows=())
    entry = queries.entry(connection, kept.done_seq)
    counts = {name: entry.body[name] for name in ("applied", "already", "settled", "refused")}
    decided = late_lists.decided_count(connection, kept.list_id)
    still_open = entry.body["open"] - (decided - counts["settled"])
    counted = Tally(entry.body["rows"], **{**counts, "settled": decided, "open": still_open})
    corrected = late_lists.one(connection, kept.corrects) if kept.corrects else None
    return ListView(kept, (), counted, act_of(entry), corrected)


def read_list(roster: Roster, list_id: str) -> ListView:
    """The list as things stand now; NotFound where there is none."""
    return roster.store.read(lambda connection: view(connection, roster, list_id))


def view(connection: Connection, roster: Roster, list_id: str) -> ListView:
    """As `read_list`, in a snapshot that is open; kept until the next entry or decision."""
    kept = late_lists.one(connection, list_id)
    decided = late_lists.decision_texts(connection, list_id)
    at = (queries.head(connection).seq, kept.status, decided)
    remembered = roster.views.get(list_id)
    if remembered and remembered[0] == at:
        found: ListView = remembered[1]
        return found
    made = _as_paper(connection, kept) if kept.form == "paper" else _as_file(connection, list_id)
    for oldest in list(roster.views)[: 1 - MOST_VIEWS]:
        roster.views.pop(oldest, None)
    roster.views[list_id] = (at, made)
    return made


def _as_file(connection: Connection, list_id: str) -> ListView:
    prepared = prepare(connection, list_id)
    kept = prepared.kept
    kept_rows = late_lists.rows_of(connection, list_id)
    decisions = decisions_of(kept_rows)
    results = {each.row_number: each.result for each in kept_rows if each.result}
    undone = [row for row in prepared.rows if row.row_number not in results]
    now = {each.row_number: each for each in judge(connection, prepared, decisions, undone)}
    proposals = [
        now[row.row_number] if row.row_number in now else proposal_from(results[row.row_number])
        for row in prepared.rows
    ]
    corrected = late_lists.one(connection, kept.corrects) if kept.corrects else None
    against = difference(connection, kept, prepared.rows) if corrected else None
    rows = tuple(
        RowView(
            row,
            proposal,
            decisions.get(row.row_number),
            _status(proposal, decisions.get(row.row_number)),
            against.of_row[row.row_number] if against else None,
            results.get(row.row_number, {}).get("seq"),
        )
        for row, proposal in zip(prepared.rows, proposals, strict=True)
    )
    gone = gone_rows(connection, kept, proposals)
    done = act_of(queries.entry(connection, kept.done_seq)) if kept.done_seq else None
    counted = tally(prepared.rows, proposals, decisions)
    similar = None if corrected or kept.status != "draft" else resembling(connection, proposals)
    if against:
        against = replace(against, gone=len(gone))
    return ListView(kept, rows, counted, done, corrected, against, tuple(gone), similar)


def _as_paper(connection: Connection, kept: KeptList) -> ListView:
    kept_rows = late_lists.rows_of(connection, kept.list_id)
    rows = tuple(paper_row(one) for one in kept_rows)
    statuses = [row.status for row in rows]
    counts = {
        name: statuses.count(name) for name in ("applied", "already", "settled", "refused", "open")
    }
    done = act_of(queries.entry(connection, kept.done_seq)) if kept.done_seq else None
    undone = sum(row.is_taken_back for row in kept_rows)
    return ListView(kept, rows, Tally(len(rows), **counts), done, taken_back=undone)


def paper_row(kept: KeptRow) -> RowView:
    """A row that was keyed: those taken back count as settled, people on no line as refused."""
    decision = decision_from(kept)
    result = kept.result or {}
    proposal = proposal_from(result)
    return RowView(
        row_from(kept), proposal, decision, _status(proposal, decision), seq=result.get("seq")
    )


def decisions_of(rows: Sequence[KeptRow]) -> dict[int, Decision]:
    """What persons decided, by row number."""
    found = {row.row_number: decision_from(row) for row in rows}
    return {number: decision for number, decision in found.items() if decision}


_STATUS: Mapping[Effect, str] = {
    Effect.MARK: "applied",
    Effect.REMOVE: "applied",
    Effect.ADD: "applied",
    Effect.ALREADY: "already",
    Effect.SETTLE: "open",
    Effect.REFUSE: "refused",
}


def _status(proposal: Proposal, decision: Decision | None) -> str:
    return "settled" if decision else _STATUS[proposal.effect]


def done_by(entry: Entry) -> Act:
    """Who applied or finished a list."""
    return act_of(entry)
