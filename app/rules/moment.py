"""What is true in the room at the moment a line is judged: the day, and what the voter just said.

Evidence belongs to the person at the table now, so it is never kept on the line:
it comes with the signature and is written into the signature's own entry.
Otherwise a birth date said at nine would open the line to a namesake at ten.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import datetime
from enum import StrEnum
from typing import Literal
from zoneinfo import ZoneInfo

from app.rules.line import Act
from app.rules.setting import Setting


class Phase(StrEnum):
    """Where the day stands."""

    NOT_OPEN = "not_open"
    OPEN = "open"
    CUT_OFF = "cut_off"
    CLOSED = "closed"


@dataclass(frozen=True, slots=True)
class DayState:
    """The turns of the day that have been taken; later ones outrank earlier ones."""

    opened: Act | None = None
    cut_off: Act | None = None
    closed: Act | None = None

    @property
    def phase(self) -> Phase:
        if self.closed:
            return Phase.CLOSED
        if self.cut_off:
            return Phase.CUT_OFF
        return Phase.OPEN if self.opened else Phase.NOT_OPEN


@dataclass(frozen=True, slots=True)
class Evidence:
    """What the person at the table said or showed just now. None means not asked yet.

    told_apart: the birth date they said is (True) or is not (False) the one on the line.
    identification: `affirmed` means they signed the paper for people without a document.
    in_line_at_cut_off: they stood in line when the lead marked its end.
    """

    told_apart: bool | None = None
    identification: Literal["shown", "not_shown", "affirmed"] | None = None
    in_line_at_cut_off: bool | None = None


@dataclass(frozen=True, slots=True)
class Moment:
    """The setting of the election, how the day stands, and the evidence given."""

    setting: Setting
    day: DayState = field(default_factory=DayState)
    evidence: Evidence = field(default_factory=Evidence)

    def local_time(self, at: datetime) -> str:
        """`14:05` at the polling place, for an aware datetime."""
        return at.astimezone(ZoneInfo(self.setting.election.time_zone)).strftime("%H:%M")
