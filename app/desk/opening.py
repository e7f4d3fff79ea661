"""The checks of the opening and the close, and opening the polls once they are made."""

from __future__ import annotations

from dataclasses import dataclass

from sqlalchemy import Connection

from app.desk.day import out_of_turn
from app.desk.doubted import Kept
from app.desk.irregularities import Opened, open_beside, opened_beside
from app.desk.outcomes import Recorded, Refused
from app.desk.roster import Roster
from app.records import personal, queries
from app.records.bodies import DayOpened
from app.records.bodies_day import ChecklistTicked
from app.records.entry import Actor, Entry
from app.records.unit import Unit
from app.rules.checklists import About, Readiness, Stage, about, is_shipped, items_of, readiness
from app.rules.faults import BadRequest, NotFound
from app.rules.setting import ChecklistItem, Setting


@dataclass(frozen=True, slots=True)
class Check:
    """A check and its latest tick; `note` says what is wrong where it failed."""

    item: ChecklistItem
    about: About
    tick: Entry | None
    note: str = ""


@dataclass(frozen=True, slots=True)
class Checklist:
    checks: tuple[Check, ...]
    readiness: Readiness
    is_shipped: bool


def read_checklist(roster: Roster, stage: Stage) -> Checklist:
    """The checks of a stage with who ticked each, and when."""

    def read(connection: Connection) -> Checklist:
        ticks = _latest_ticks(connection, stage)
        items = items_of(roster.setting, stage)
        checks = tuple(_check(connection, item, ticks.get(item.code)) for item in items)
        shipped = is_shipped(roster.setting, stage)
        return Checklist(checks, _readiness(connection, roster.setting, stage), shipped)

    return roster.store.read(read)


def tick(
    unit: Unit,
    roster: Roster,
    actor: Actor,
    token: str,
    stage: Stage,
    code: str,
    *,
    passed: bool,
    note: str,
) -> Kept:
    """Record that a check was made; one that failed opens an irregularity with it.

    NotFound for a check that is not on the list. BadRequest where a failed one has no note, or
    one that passed has one: it would be kept nowhere.
    """
    if code not in {item.code for item in items_of(roster.setting, stage)}:
        raise NotFound(what="check")
    again = unit.already(token, ChecklistTicked.kind, stage=stage, code=code, passed=passed)
    if again:
        return Kept(again, opened_beside(unit, token, note))
    _check_note(passed=passed, note=note)
    opened = None
    if not passed:
        facts = {"stage": stage, "check": code}
        opened = open_beside(unit, actor, token, Opened(about(code), "check-failed", note, facts))
    seq = opened.seq if opened else None
    body = ChecklistTicked(stage=stage, code=code, passed=passed, irregularity_seq=seq)
    return Kept(unit.append(actor, token, body), opened)


def open_polls(
    unit: Unit, roster: Roster, actor: Actor, token: str, anyway: str
) -> Recorded | Refused:
    """Open the polls where every required check passed, or for the reason `anyway`.

    That reason is then an irregularity.
    """
    before = unit.already(token, DayOpened.kind)
    if before:
        opened_beside(unit, token, anyway)
        return Recorded(before)
    refused = out_of_turn(unit.connection, DayOpened)
    if refused:
        return refused
    ready = _readiness(unit.connection, roster.setting, "opening")
    facts = {"missing": list(ready.missing), "failed": list(ready.failed)}
    if not ready.is_ready and not anyway:
        return Refused("opening-not-ready", facts)
    entry = unit.append(actor, token, DayOpened())
    if not ready.is_ready:
        open_beside(unit, actor, token, Opened("other", "opened-before-ready", anyway, facts))
    return Recorded(entry)


def _check_note(*, passed: bool, note: str) -> None:
    if passed and note:
        raise BadRequest(field="note", expected="no note where the check passed")
    if not passed and not note:
        raise BadRequest(field="note", expected="what is wrong")


def _latest_ticks(connection: Connection, stage: Stage) -> dict[str, Entry]:
    entries = queries.entries_of(connection, ChecklistTicked.kind)
    return {one.body["code"]: one for one in entries if one.body["stage"] == stage}


def _readiness(connection: Connection, setting: Setting, stage: Stage) -> Readiness:
    ticks = _latest_ticks(connection, stage)
    passed = {code: bool(entry.body["passed"]) for code, entry in ticks.items()}
    return readiness(items_of(setting, stage), passed)


def _check(connection: Connection, item: ChecklistItem, ticked: Entry | None) -> Check:
    seq = ticked.body["irregularity_seq"] if ticked else None
    if seq is None:
        return Check(item, about(item.code), ticked)
    words = personal.details_of(connection, queries.entry(connection, seq))
    return Check(item, about(item.code), ticked, words.get("what", ""))
