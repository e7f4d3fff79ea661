"""What entries of the opening and the close say: checks, counters, seals, ballots on paper.

A later entry of the same thing stands in for an earlier one and says which: nothing is edited.
"""

from __future__ import annotations

from pydantic import BaseModel, ConfigDict

from app.records.body import Body
from app.rules.checklists import Stage
from app.rules.machine_readings import AtMoment
from app.rules.paper_ballots import Counted
from app.rules.seals import SealAct, SealOf


class ChecklistTicked(Body):
    """A check that was made; the latest entry of a code counts.

    `irregularity_seq` is the irregularity that a failed one opened, the entry before this one;
    what is wrong stands with it.
    """

    kind = "checklist.ticked"
    stage: Stage
    code: str
    passed: bool
    irregularity_seq: int | None


class ZeroReportSeen(BaseModel):
    """What was looked at on a zero report beside its counters."""

    model_config = ConfigDict(extra="forbid", frozen=True)
    time_right: bool
    serial_right: bool
    precinct_right: bool
    candidates_zero: bool
    protective_on_screen: int | None


class MachineCounted(Body):
    """A machine's counters as they were read. `replaces` is the reading it stands in for."""

    kind = "machine.counted"
    serial: str
    at_moment: AtMoment
    public: int
    protective: int | None
    by_button: dict[str, int] | None
    zero_report: ZeroReportSeen | None
    replaces: int | None
    reason: str


class SealRecorded(Body):
    """A seal that was read, broken or put on. `agrees`: with the seal sheet, None where there is
    none. `where` tells one from others of its kind, a machine by its serial.
    """

    kind = "seal.recorded"
    of: SealOf
    where: str
    number: str
    act: SealAct
    agrees: bool | None
    reason: str


class BallotsCounted(Body):
    """Ballots on paper. `replaces` is the count it stands in for."""

    kind = "ballots.counted"
    what: Counted
    count: int
    replaces: int | None
    reason: str


DAY_BODIES: tuple[type[Body], ...] = (
    ChecklistTicked,
    MachineCounted,
    SealRecorded,
    BallotsCounted,
)
