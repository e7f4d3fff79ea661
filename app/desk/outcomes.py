"""What a task of the table answers: it was recorded, or it was refused and why.

Both are values: being told *already signed* is an everyday answer, not a fault.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from app.records.entry import Entry
from app.rules.coded import Flag
from app.rules.verdict import Outcome, Verdict


@dataclass(frozen=True, slots=True)
class Recorded:
    """It stands in the day log as `entry`.

    `flags`: what the lead should know all the same. `before` and `after` of a correction:
    what stood there and what stands there now, by name.
    """

    entry: Entry
    flags: tuple[Flag, ...] = ()
    before: Mapping[str, object] = field(default_factory=dict)
    after: Mapping[str, object] = field(default_factory=dict)

    @property
    def papers(self) -> tuple[str, ...]:
        """The papers that the person takes along, by their codes."""
        if self.entry.kind == "person.directed":
            return PAPERS_OF_WAY[self.entry.body["way"]]
        return PAPERS_OF_KIND.get(self.entry.kind, ())


PAPERS_OF_KIND: Mapping[str, tuple[str, ...]] = {
    "line.added": ("correction-affidavit",),
    "provisional.recorded": ("provisional-slip",),
    "form.given": ("registration-form",),
}
PAPERS_OF_WAY: Mapping[str, tuple[str, ...]] = {
    "elsewhere": ("direction-slip",),
    "registration_form": ("registration-form",),
    "left": (),
}


@dataclass(frozen=True, slots=True)
class Refused:
    """Nothing was recorded. `code` is stable; `verdict` says what may still be done."""

    code: str
    facts: Mapping[str, object] = field(default_factory=dict)
    verdict: Verdict | None = None


def refused_by(verdict: Verdict) -> Refused:
    """The refusal a verdict other than `sign` amounts to: its first reason, or its steps."""
    if verdict.outcome is Outcome.FIRST:
        steps = [step.code for step in verdict.steps]
        return Refused("step-missing", {"steps": steps}, verdict)
    reason = verdict.reasons[0]
    return Refused(reason.code, reason.facts, verdict)
