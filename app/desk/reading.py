"""What the table is shown of one line and of the day, read in one snapshot."""

from __future__ import annotations

from dataclasses import dataclass

from sqlalchemy import Connection

from app.desk import irregularities, provisional
from app.desk.evidence import NOTHING_SAID, Said, evidence_about
from app.desk.late_open import waiting_counts
from app.desk.past_calls import Correction, corrections
from app.desk.roster import Roster
from app.desk.spoken_codes import code_state
from app.desk.witness import with_witness
from app.records import queries
from app.records.entry import Entry, Head
from app.rules.line import Line, LineState, as_shown
from app.rules.moment import DayState
from app.rules.provisional import BallotClass
from app.rules.verdict import Verdict


@dataclass(frozen=True, slots=True)
class Sheet:
    """One line with everything that stands on it. `look_alikes` in print order."""

    line: Line
    state: LineState
    verdict: Verdict
    look_alikes: tuple[Line, ...]
    history: tuple[Entry, ...]
    corrections: tuple[Correction, ...] = ()


@dataclass(frozen=True, slots=True)
class DaySummary:
    """How the day stands.

    `counts` by standing, `lines` for all, `left` (of the signed), `added` (of the lines),
    `provisional` and `provisional_extended_hours`, `directed`; what waits for the lead:
    `irregularities_open`, `late_lists_draft`, `late_lists_keying`, `late_rows_open`.
    """

    day: DayState
    counts: dict[str, int]
    head: Head
    began: str
    code_tries_left: int


def read_sheet(roster: Roster, line_id: str) -> Sheet:
    """NotFound where there is no such line."""

    def sheet(connection: Connection) -> Sheet:
        line = queries.line(connection, line_id)
        state = queries.stored_state(connection, line_id).state
        others = queries.lines_with(connection, line.look_alikes)
        history = tuple(
            with_witness(connection, entry) for entry in queries.history(connection, line_id)
        )
        return Sheet(
            as_shown(line),
            state,
            roster.judge(line, state, queries.day_state(connection)),
            tuple(as_shown(others[other]) for other in line.look_alikes if other in others),
            history,
            tuple(corrections(connection, history)),
        )

    return roster.store.read(sheet)


def check(roster: Roster, line_id: str, said: Said) -> Verdict:
    """The verdict the line would have with what was said; nothing is recorded.

    NotFound where there is no such line, BirthDateUnreadable where the date typed is none.
    """

    def checked(connection: Connection) -> Verdict:
        line = queries.line(connection, line_id)
        return roster.judge_now(connection, line, evidence_about(roster, line, said))

    return roster.store.read(checked)


def verdict_now(roster: Roster, line_id: str) -> Verdict:
    """The verdict on the line as it stands, with nothing said yet; NotFound for no line."""
    return check(roster, line_id, NOTHING_SAID)


def read_day(roster: Roster) -> DaySummary:
    """How the day stands. Every page asks each second: it is made once for each commit."""
    commits = roster.store.writer.commits

    def summary(connection: Connection) -> DaySummary:
        head = queries.head(connection)
        # By the head as well: a command beside the server writes, too.
        kept = roster.summaries.get("day")
        if kept and kept[0] == (commits, head):
            known: DaySummary = kept[1]
            return known
        found = DaySummary(
            queries.day_state(connection),
            _counts(connection, roster),
            head,
            queries.began(connection),
            code_state(connection).tries_left,
        )
        roster.summaries["day"] = (commits, head), found
        return found

    return roster.store.read(summary)


def _counts(connection: Connection, roster: Roster) -> dict[str, int]:
    by_class = provisional.counts(connection)
    return {
        **queries.counts(connection),
        "left": queries.left_count(connection),
        "added": queries.kind_count(connection, "line.added"),
        "provisional": by_class[BallotClass.ORDINARY],
        "provisional_extended_hours": by_class[BallotClass.EXTENDED_HOURS],
        "directed": queries.kind_count(connection, "person.directed"),
        "irregularities_open": irregularities.open_count(connection),
        **waiting_counts(connection, roster),
    }
