"""The entries that rows of a late list make: how it was settled, what it does, what it contradicts.

Also the lines that a supplemental list adds. The tokens follow from the request's own, so that
the same request again finds every entry there.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

from sqlalchemy import Connection

from app.desk.irregularities import contradiction_body
from app.desk.late_judging import (
    Decision,
    Prepared,
)
from app.desk.namesakes import ids_of_look_alikes_of_each
from app.intake.late_lines import printed_line
from app.records import adding, personal, queries
from app.records.adding import AddedLine
from app.records.bodies import LineAdded, LineRemoved, MarkRecorded
from app.records.bodies_lists import LateListRowSettled
from app.records.body import Body
from app.records.entry import Entry
from app.records.named import named
from app.records.taken_back import taken_back
from app.records.unit import Pending, Unit
from app.rules.late_list import (
    MARK_OF,
    Effect,
    Listed,
    Proposal,
)
from app.rules.line import Line


@dataclass(frozen=True, slots=True)
class NewLine:
    line: Line
    sealed: personal.Sealed


@dataclass(frozen=True, slots=True)
class Work:
    """Turns proposals into entries. The tokens follow from the request's own."""

    listed: Listed
    list_seq: int
    token: str

    def of_row(
        self,
        proposal: Proposal,
        decision: Decision | None,
        new: NewLine | None,
        first_token: str | None = None,
    ) -> Iterator[Pending]:
        """How it was settled, what it does, and what that contradicts; nothing for other rows."""
        token = f"{self.token}.{proposal.row_number}"
        if decision:
            yield Pending(
                first_token or f"{token}.s",
                self._settled(proposal, decision),
                decision.line_id,
            )
        body = self._effect(proposal, new)
        if body is None:
            return
        line_id = new.line.line_id if new else proposal.line_id
        yield Pending(token, body, line_id)
        if proposal.contradiction:
            found = contradiction_body(proposal.contradiction, self.list_seq, proposal.row_number)
            yield Pending(f"{token}.c", found, line_id)

    def _settled(self, proposal: Proposal, decision: Decision) -> Body:
        how = "refuse" if decision.how == "undone" else decision.how
        return LateListRowSettled(
            list_seq=self.list_seq,
            row_number=proposal.row_number,
            how=how,
            reason=decision.reason,
            settled_by=decision.initials,
        )

    def _effect(self, proposal: Proposal, new: NewLine | None) -> Body | None:
        where: dict[str, int] = {"list_seq": self.list_seq, "row_number": proposal.row_number}
        if proposal.effect is Effect.MARK:
            mark = MARK_OF[self.listed.kind]
            return MarkRecorded(mark=mark, source=self.listed.source, **where)
        if proposal.effect is Effect.REMOVE:
            return LineRemoved(reason=self.listed.source, **where)
        if proposal.effect is Effect.ADD and new:
            return LineAdded(
                authorised_by=self.listed.source,
                authorised_how="list",
                somebody_else=False,
                ballot_button=new.line.printed.ballot_button,
                details_sha256=new.sealed.digest,
                **where,
            )
        return None


def new_lines_of(
    connection: Connection, prepared: Prepared, proposals: Iterable[Proposal]
) -> dict[int, NewLine]:
    """The lines to add, by row number; each knows those it could be mistaken for."""
    adds = {each.row_number for each in proposals if each.effect is Effect.ADD}
    if not adds:
        return {}
    gone = taken_back(connection)
    since = [line for line in queries.added_lines(connection) if line.line_id not in gone]
    rows = [row for row in prepared.rows if row.row_number in adds]
    new = {row.row_number: Line(adding.fresh_line_id(), printed_line(row)) for row in rows}
    came = [named(line) for line in since]
    alike = ids_of_look_alikes_of_each([line.printed for line in new.values()], came)
    found: dict[int, NewLine] = {}
    for (number, bare), of_since in zip(new.items(), alike, strict=True):
        of_rows = (new[row].line_id for row in prepared.alike_rows.get(number, ()) if row in new)
        together = dict.fromkeys((*prepared.alike.get(number, ()), *of_since, *of_rows))
        line = replace(bare, look_alikes=tuple(together))
        found[number] = NewLine(line, personal.seal_line(line))
    return found


def add_lines(unit: Unit, entries: Sequence[Entry], new: Mapping[int, NewLine]) -> None:
    """Write the lines that the entries add."""
    adding_ones = (entry for entry in entries if entry.kind == LineAdded.kind)
    added = ((entry, new[entry.body["row_number"]]) for entry in adding_ones)
    adding.write_lines(unit, [AddedLine(entry, one.line, one.sealed) for entry, one in added])
