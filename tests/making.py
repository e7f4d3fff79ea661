"""Small, plain makers of settings, lines and moments for tests. All people are invented."""

from __future__ import annotations

import datetime
from typing import Any

from app.rules.line import Act, Line, PrintedLine
from app.rules.moment import DayState, Evidence, Moment, Phase
from app.rules.policy import Policy
from app.rules.setting import (
    Ballot,
    ChecklistItem,
    Election,
    Machine,
    PollingPlace,
    Precinct,
    Registrar,
    Setting,
)

# A place that requires no check, so that a test which is about something else opens by one call.
NOTHING_REQUIRED = (
    ChecklistItem("opening", "flag-out", "The flag is out.", required=False),
    ChecklistItem("closing", "flag-in", "The flag is in.", required=False),
)
NOON = datetime.datetime(2027, 3, 2, 17, 0, tzinfo=datetime.UTC)


def act(seq: int = 7, station: str = "Table 2", initials: str = "TB") -> Act:
    """Somebody did something at noon in Tern County (17:00 UTC)."""
    return Act(seq, NOON, station, initials)


def setting(
    *,
    federal: bool = True,
    buttons: tuple[int, ...] = (1, 2, 3),
    policy: Policy | None = None,
    machines: tuple[Machine, ...] = (),
    checklist: tuple[ChecklistItem, ...] = NOTHING_REQUIRED,
) -> Setting:
    """`checklist` empty means the checks that the program ships."""
    election = Election(
        id="tern-2027-03-02",
        name="Federal and Municipal Election",
        date=datetime.date(2027, 3, 2),
        federal=federal,
        opens=datetime.time(7),
        closes=datetime.time(20),
        time_zone="America/New_York",
    )
    ballots = tuple(Ballot(f"4-07 {button}", button) for button in buttons) or (Ballot("4-07"),)
    return Setting(
        election,
        Precinct("Tern County", "4-07"),
        PollingPlace("Wheelhouse Road School, gym"),
        Registrar("Tern County Registrar of Voters", "555-0142"),
        policy or Policy(),
        ballots,
        machines,
        checklist,
    )


def printed(number: int = 1, **columns: Any) -> PrintedLine:
    """A printed line with nothing special on it; `columns` changes what is named."""
    plain: dict[str, Any] = {
        "voter_number": f"{100_000_000 + number}",
        "last_name": "Quillfeather",
        "first_name": "Odette",
        "birth_date": datetime.date(1980, 5, 17),
        "street_address": "4 Ropewalk Lane",
        "city": "Ternhaven",
        "ballot_button": 1,
    }
    return PrintedLine(**{**plain, **columns})


def line(number: int = 1, look_alikes: tuple[str, ...] = (), **columns: Any) -> Line:
    return Line(f"line-{number}", printed(number, **columns), look_alikes)


def day(phase: Phase) -> DayState:
    """The day at `phase`, its turns taken in order."""
    turns = {Phase.NOT_OPEN: 0, Phase.OPEN: 1, Phase.CUT_OFF: 2, Phase.CLOSED: 3}[phase]
    acts = [act(seq) for seq in range(1, turns + 1)]
    return DayState(*acts)


def moment(
    phase: Phase = Phase.OPEN, evidence: Evidence | None = None, **of_setting: Any
) -> Moment:
    return Moment(setting(**of_setting), day(phase), evidence or Evidence())
