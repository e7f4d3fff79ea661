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

Moved = Literal["no", "within", "outside"]


class Phase(StrEnum):
    """Where the day stands."""

    NOT_OPEN = "not_open"
    OPEN = "open"
    CUT_OFF = "cut_off"
    CLOSED = "closed"


@dataclass(frozen=True, slots=True)
class Extension:
    """Hours extended by an order. `until` is a local time, `HH:MM`."""

    act: Act
    reference: str
    until: str


@dataclass(frozen=True, slots=True)
class DayState:
    """The turns of the day that have been taken; later ones outrank earlier ones.

    `extensions` are the orders that extended the hours, oldest first; they take no turn:
    the ordinary end of the line is marked all the same.
    """

    opened: Act | None = None
    cut_off: Act | None = None
    closed: Act | None = None
    extensions: tuple[Extension, ...] = ()

    @property
    def phase(self) -> Phase:
        if self.closed:
            return Phase.CLOSED
        if self.cut_off:
            return Phase.CUT_OFF
        return Phase.OPEN if self.opened else Phase.NOT_OPEN

    @property
    def extension(self) -> Extension | None:
        """The order that holds now, None where the hours are the ordinary ones."""
        return self.extensions[-1] if self.extensions else None


@dataclass(frozen=True, slots=True)
class Evidence:
    """What the person at the table said or showed just now. None means not asked yet.

    told_apart: the birth date they said is (True) or is not (False) the one on the line.
    identification: `affirmed` means they signed the paper for people without a document.
    in_line_at_cut_off: they stood in line when the lead marked its end.
    address_affirmed: they signed that they live at the address (after a move, the new one).
    moved: since they registered, not at all, inside the jurisdiction, or out of it.
    """

    told_apart: bool | None = None
    identification: Literal["shown", "not_shown", "affirmed"] | None = None
    in_line_at_cut_off: bool | None = None
    address_affirmed: bool | None = None
    moved: Moved | None = None


@dataclass(frozen=True, slots=True)
class Moment:
    """The setting of the election, how the day stands, and the evidence given."""

    setting: Setting
    day: DayState = field(default_factory=DayState)
    evidence: Evidence = field(default_factory=Evidence)

    def local_time(self, at: datetime) -> str:
        """`14:05` at the polling place, for an aware datetime."""
        return at.astimezone(ZoneInfo(self.setting.election.time_zone)).strftime("%H:%M")
