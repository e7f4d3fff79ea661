"""The open roster: the record, the setting and the finder of one loaded day, held together."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, field, replace
from typing import Any

from sqlalchemy import Connection

from app.desk.elsewhere import ElsewhereFinder
from app.desk.index_file import CHANGING_KINDS, finder_of
from app.desk.pin_tries import PinTries
from app.desk.sessions import Sessions
from app.desk.standby_sign_ons import SignOnsHere
from app.matching.finder import Finder
from app.records import elsewhere, queries
from app.records.clock import Clock, SystemClock
from app.records.copies import MakeCopy
from app.records.entry import Entry
from app.records.loading import PHONE_SECRET
from app.records.store import Store
from app.records.writer import Announce
from app.rules.faults import StorageRefused
from app.rules.line import Line, LineState, as_shown
from app.rules.moment import DayState, Evidence, Moment
from app.rules.phone_code import read_secret
from app.rules.setting import Setting
from app.rules.verdict import Verdict, decide


@dataclass(frozen=True, slots=True)
class Roster:
    """Everything the tasks of one precinct need. Make it with `open_roster`."""

    store: Store
    setting: Setting
    finder: Finder
    elsewhere: ElsewhereFinder
    phone_secret: bytes | None = field(default=None, repr=False)
    # Views of late lists, by list_id: made again when the day has moved on.
    views: dict[str, Any] = field(default_factory=dict)
    # How many rows of a corrected list wait still, by list_id: see `late_open`.
    open_rows: dict[str, Any] = field(default_factory=dict)
    # How the day stands, with what it was made from.
    summaries: dict[str, Any] = field(default_factory=dict)
    # When PINs were tried, and how long sign-ons go on: by this server's own clock.
    tries: PinTries = field(default_factory=PinTries)
    sessions: Sessions = field(default_factory=Sessions)
    # Who is signed on at a laptop that follows; None where the record itself keeps it.
    here: SignOnsHere | None = None

    def judge(
        self, line: Line, state: LineState, day: DayState, evidence: Evidence | None = None
    ) -> Verdict:
        """The verdict on a line whose state and day were read together."""
        moment = Moment(self.setting, day, evidence or Evidence())
        return decide(line, state, self.setting.policy, moment)

    def judge_now(
        self, connection: Connection, line: Line, evidence: Evidence | None = None
    ) -> Verdict:
        """The verdict on a line as `connection` sees it."""
        state = queries.stored_state(connection, line.line_id).state
        return self.judge(line, state, queries.day_state(connection), evidence)

    def add_to_finder(self, line: Line) -> None:
        """Let a line that was added today be found. Safe to call twice."""
        self.finder.add(as_shown(line))


@contextmanager
def open_roster(
    url: str,
    clock: Clock | None = None,
    announce: Announce | None = None,
    copy_to: Sequence[MakeCopy] = (),
    *,
    is_practice: bool = False,
) -> Iterator[Roster]:
    """Open the day recorded at `url`, with its copies; DayNotLoaded where there is none.

    StorageRefused for a practice record, and where `is_practice` for any other.
    """
    store = Store(url, clock or SystemClock(), announce, copy_to)
    try:
        refuse_the_other_kind(store.read(queries.setting), is_practice=is_practice)
        # Before the lines are read: what comes meanwhile is heard of rather twice than never.
        since = store.read(queries.head).seq
        roster = _ready(store, url)
        store.hear(lambda entries: take_in(roster, entries), since)
        yield roster
    finally:
        store.close()


def refuse_the_other_kind(setting: Setting, *, is_practice: bool) -> None:
    """No practice day is ever taken for a real one, nor the other way round."""
    if setting.is_practice and not is_practice:
        raise StorageRefused(why="this is a practice record, where nothing counts; choose another")
    if is_practice and not setting.is_practice:
        raise StorageRefused(why="this record holds a real day; nobody practises on it")


def opened_anew(roster: Roster, url: str) -> Roster:
    """The same record after all of it was replaced; who is signed on stays."""
    fresh = _ready(roster.store, url)
    return replace(fresh, tries=roster.tries, sessions=roster.sessions, here=roster.here)


def take_in(roster: Roster, entries: Iterable[Entry]) -> None:
    """The record moved on with these entries, written by somebody else: a laptop that is followed,
    or another server on the same database.

    Call it after they are in the record, also where there are none.
    """
    # Nobody commits here meanwhile; what was read before is out of date all the same.
    roster.store.writer.commits += 1
    changed = [one.line_id for one in entries if one.line_id and one.kind in CHANGING_KINDS]
    if changed:
        lines = roster.store.read(lambda record: queries.lines_with(record, sorted(set(changed))))
        for line in lines.values():
            roster.add_to_finder(line)


def _ready(store: Store, url: str) -> Roster:
    setting = store.read(queries.setting)
    people = store.read(lambda connection: list(elsewhere.all_people(connection)))
    finder = finder_of(store, setting, url)
    text = store.read(lambda connection: queries.about_text(connection, PHONE_SECRET))
    secret = read_secret(text) if text else None
    return Roster(store, setting, finder, ElsewhereFinder(people, setting), secret)
