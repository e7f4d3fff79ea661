"""One look at the record for what needs the lead, and what is kept in memory from look to look."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from datetime import datetime
from functools import cached_property

from sqlalchemy import Connection

from app.desk.roster import Roster
from app.desk.stations import Stations
from app.records import late_lists, queries, waiting
from app.records.clock import from_text
from app.records.late_lists import KeptList
from app.records.waiting import Irregularities
from app.rules.line import Line, LineState
from app.rules.moment import DayState

_CONTRADICTION = "lists-contradict"


@dataclass
class Watch:
    """What is kept in memory for the lead's view of one open roster."""

    stations: Stations = field(default_factory=Stations)
    # Print never changes while a record is open, and reading it takes a while.
    printed_with_both_marks: Sequence[str] | None = None


@dataclass
class Look:
    """One look at the record, in one snapshot; what several sources need is read once."""

    connection: Connection
    roster: Roster
    watch: Watch
    now: datetime

    @cached_property
    def irregularities(self) -> Irregularities:
        return waiting.irregularities(self.connection)

    @cached_property
    def loaded(self) -> datetime:
        """When the package was loaded: since then what it prints contradicts itself."""
        return from_text(queries.entry(self.connection, 1).at)

    @cached_property
    def day(self) -> DayState:
        return queries.day_state(self.connection)

    @cached_property
    def lists(self) -> list[KeptList]:
        return late_lists.all_lists(self.connection)

    @cached_property
    def lines(self) -> dict[str, Line]:
        """Every line that an irregularity or the print itself makes doubtful."""
        if self.watch.printed_with_both_marks is None:
            self.watch.printed_with_both_marks = waiting.printed_with_both_marks(self.connection)
        named = (entry.line_id for entry in self.irregularities.recorded if entry.line_id)
        wanted = list(dict.fromkeys((*self.watch.printed_with_both_marks, *named)))
        return queries.lines_with(self.connection, wanted)

    @cached_property
    def contradicting(self) -> dict[str, tuple[LineState, Sequence[str]]]:
        """The lines whose verdict is that the lists contradict each other, with what stands."""
        found: dict[str, tuple[LineState, Sequence[str]]] = {}
        for line_id, stored in queries.stored_states(self.connection, list(self.lines)).items():
            verdict = self.roster.judge(self.lines[line_id], stored.state, self.day)
            first = verdict.reasons[0] if verdict.reasons else None
            if first and first.code == _CONTRADICTION:
                found[line_id] = stored.state, [reason.code for reason in verdict.reasons[1:]]
        return found

    def office(self) -> dict[str, object]:
        registrar = self.roster.setting.registrar
        return {"office": registrar.office, "phone": registrar.phone}
