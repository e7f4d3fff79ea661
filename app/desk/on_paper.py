"""A row as it is keyed from paper, and what the rules say of it as of the time on paper."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Literal

from app.desk.evidence import NOTHING_SAID, Said, evidence_of
from app.desk.outcomes import Refused
from app.desk.paper_hours import PaperHour, moment_on_paper
from app.desk.roster import Roster
from app.records import queries
from app.records.fold import act_of
from app.records.unit import Unit
from app.rules.catching_up import NEVER_ANYWAY, day_then, without_what_stands
from app.rules.line import Line, LineState
from app.rules.moment import DayState, Evidence
from app.rules.verdict import Outcome, Verdict


@dataclass(frozen=True, slots=True)
class Place:
    """Where it stands on paper: the local time written there or blank, page, which signature."""

    time: str
    page: int
    order: int


@dataclass(frozen=True, slots=True)
class PaperHelp:
    """Help in the booth, as it was written on paper."""

    wanted: bool
    helper_name: str = ""
    reason: str = ""
    helper_is: Literal["other"] | None = None


@dataclass(frozen=True, slots=True)
class OnPaper:
    """A row as somebody keys it. `told_apart`, `said`, `card_done`, `help`: what the paper shows.

    `anyway`: why it is keyed although the paper does not show a step. `is_twice`: the paper has
    this line on two places.
    """

    place: Place
    told_apart: bool | None = None
    said: Said = NOTHING_SAID
    card_done: bool = False
    help: PaperHelp | None = None
    anyway: str = ""
    is_twice: bool = False

    @property
    def evidence(self) -> Evidence:
        return evidence_of(self.said, self.told_apart)


def verdict_then(
    unit: Unit, roster: Roster, hour: PaperHour, line: Line, state: LineState, on_paper: OnPaper
) -> Verdict:
    """What the rules say of the steps and of the day as it stood when the voter signed."""
    bare = without_what_stands(_with_steps(state, hour, on_paper))
    return roster.judge(line, bare, _day_then(unit, roster, hour, on_paper), on_paper.evidence)


def _with_steps(state: LineState, hour: PaperHour, on_paper: OnPaper) -> LineState:
    act = act_of(hour.begun)
    return replace(
        state,
        address_confirmed=act if on_paper.card_done else state.address_confirmed,
        assistance=act if on_paper.help else state.assistance,
    )


def _day_then(unit: Unit, roster: Roster, hour: PaperHour, on_paper: OnPaper) -> DayState:
    """With no time on paper, at the end of the hour at the latest; where that is open, unknown."""
    local = on_paper.place.time or hour.hours[1]
    moment = moment_on_paper(unit, roster, local) if local else None
    return day_then(queries.day_state(unit.connection), moment)


def is_refused(verdict: Verdict, on_paper: OnPaper) -> bool:
    if verdict.outcome is Outcome.SIGN:
        return False
    codes = {reason.code for reason in verdict.reasons}
    return not on_paper.anyway or bool(codes & NEVER_ANYWAY)


def refused_then(verdict: Verdict) -> Refused:
    """Without the verdict itself: nobody stands at the table who could choose another way."""
    if verdict.outcome is Outcome.FIRST:
        return Refused("step-missing", {"steps": [step.code for step in verdict.steps]})
    return Refused(verdict.reasons[0].code, verdict.reasons[0].facts)
