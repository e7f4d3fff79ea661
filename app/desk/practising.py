"""Making a practice record: the same place and rules, and people who cannot exist.

It is a record of its own in a folder of its own, and bears the mark of practice in its setting,
by which every command and every server knows it. Nothing is read here but the package.
"""

from __future__ import annotations

import secrets
from dataclasses import dataclass
from pathlib import Path

from app.desk.evidence import NOTHING_SAID, evidence_of
from app.desk.opening import open_polls
from app.desk.outcomes import Refused
from app.desk.roster import Roster, open_roster
from app.desk.signing import signature_body
from app.desk.signing_on import add_worker
from app.intake.package import Package
from app.matching.look_alikes import find_look_alikes
from app.records import loading, people, queries
from app.records.clock import Clock
from app.records.engine import exists, sqlite_path
from app.records.entry import Actor
from app.records.store import open_store
from app.records.unit import Unit
from app.rules.faults import StorageRefused
from app.rules.practice import (
    ROLES,
    SETS,
    number_of,
    practice_elsewhere,
    practice_lines,
    practice_setting,
    precinct_and_day,
)
from app.rules.setting import Setting

PROGRAM = Actor(worker_id="practice", initials="", station="command line")
# Why the polls of a practice day are open although nobody made the checks.
OPENED_BECAUSE = "Practice: opened by the program, nothing here counts."
# The table at which the people sign who have signed already.
EARLIER_TABLE = "Practice table 2"


@dataclass(frozen=True, slots=True)
class PracticeWorker:
    """Somebody to sign on as; everybody may know the PIN, for it opens nothing real."""

    initials: str
    name: str
    role: str
    pin: str


WORKERS = (
    PracticeWorker("PA", "Practice Worker A", "worker", "111111"),
    PracticeWorker("PB", "Practice Worker B", "worker", "222222"),
    PracticeWorker("PC", "Practice Worker C", "worker", "333333"),
    PracticeWorker("PL", "Practice Lead", "lead", "999999"),
)


@dataclass(frozen=True, slots=True)
class PracticeDay:
    """Where it is kept, and whether it was there already."""

    path: Path
    is_new: bool

    @property
    def url(self) -> str:
        return f"sqlite:///{self.path.absolute().as_posix()}"


def make_practice_day(
    package: Package, folder: Path, real_url: str, clock: Clock, *, is_open: bool = True
) -> PracticeDay:
    """Make the practice record of `package` in `folder`, or find the one that is there.

    StorageRefused where that file is the record named by `real_url`, or is no practice record
    of this election: then it is left as it is.
    """
    setting = practice_setting(package.setting)
    day = PracticeDay(folder / f"practice-{precinct_and_day(setting)}.db", is_new=True)
    _refuse_the_real_one(day.path, real_url)
    if exists(day.url):
        _refuse_another(day, setting, clock)
        return PracticeDay(day.path, is_new=False)
    try:
        _fill(day.url, setting, clock, is_open=is_open)
    except BaseException:
        # Half a practice day would be taken for a whole one the next time.
        for left in folder.glob(f"{day.path.name}*"):
            left.unlink(missing_ok=True)
        raise
    return day


def _refuse_the_real_one(path: Path, real_url: str) -> None:
    real = sqlite_path(real_url)
    if real is not None and real.absolute().resolve() == path.absolute().resolve():
        why = f"{path.name} is the record named by --database; practise in another folder: --keep"
        raise StorageRefused(why=why)


def _refuse_another(day: PracticeDay, setting: Setting, clock: Clock) -> None:
    with open_roster(day.url, clock, is_practice=True) as roster:
        if roster.setting != setting:
            why = f"{day.path.name} is of another package; practise in another folder: --keep"
            raise StorageRefused(why=why)


def _fill(url: str, setting: Setting, clock: Clock, *, is_open: bool) -> None:
    printed = practice_lines(setting)
    key = loading.fresh_line_key()
    lines = loading.identified(printed, find_look_alikes(printed), key)
    with open_store(url, clock) as store:
        store.writer.write(
            lambda unit: loading.store(
                unit,
                PROGRAM,
                setting=setting,
                lines=lines,
                files={},
                line_key=key,
                elsewhere_lines=practice_elsewhere(setting),
            )
        )
        for one in WORKERS:
            add_worker(store, name=one.name, initials=one.initials, role=one.role, pin=one.pin)
    with open_roster(url, clock, is_practice=True) as roster:
        if is_open:
            roster.store.writer.write(lambda unit: _open(unit, roster))
        roster.store.writer.write(lambda unit: _sign_earlier(unit, key))


def _open(unit: Unit, roster: Roster) -> None:
    opened = open_polls(unit, roster, _lead(unit), secrets.token_hex(16), OPENED_BECAUSE)
    assert not isinstance(opened, Refused)  # noqa: S101 - a new day is always opened first


def _sign_earlier(unit: Unit, line_key: str) -> None:
    """The people of whom the exercises say that their line is signed already."""
    lead = _lead(unit)
    signed = [number_of(at, one.key) for at in range(SETS) for one in ROLES if one.is_signed]
    for number in signed:
        line = queries.line(unit.connection, loading.line_id_of(line_key, number))
        body = signature_body(line, evidence_of(NOTHING_SAID, None), "paper", None)
        actor = Actor(lead.worker_id, lead.initials, EARLIER_TABLE)
        unit.append(actor, secrets.token_hex(16), body, line.line_id)


def _lead(unit: Unit) -> Actor:
    lead = people.find_worker(unit.connection, "PL")
    assert lead is not None  # noqa: S101 - added a moment ago
    return Actor(lead.worker_id, lead.initials, "command line")
