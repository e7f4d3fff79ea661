"""Who practises what, and how it went: kept in memory, for as long as the practice day is served.

What a worker did is read from the log of the practice record; whether it was right is said by
`app.rules.practice_judging`. Nothing of it is written anywhere but on the paper with the score.
"""

from __future__ import annotations

import threading
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from datetime import date

from sqlalchemy import Connection

from app.desk.roster import Roster
from app.records import people, queries
from app.records.entry import Actor, Entry
from app.rules.faults import NotFound
from app.rules.practice import (
    LAST_NAMES,
    ROLE,
    ROLES,
    SETS,
    address_of,
    birth_date_of,
    envelope_of,
    number_of,
)
from app.rules.practice_exercises import EXERCISE, EXERCISES, Exercise
from app.rules.practice_judging import Deed, Judged, judge


@dataclass(frozen=True, slots=True)
class Visitor:
    """Who comes to the table in an exercise."""

    first_name: str
    last_name: str
    birth_date: date
    voter_number: str
    address: str
    envelope: str


@dataclass(slots=True)
class Round:
    """One worker's way through the exercises, with a set of people of their own.

    `began` is the number of the log's last entry when the exercise `now` began.
    """

    place: int
    now: str | None = None
    began: int = 0
    results: dict[str, Judged] = field(default_factory=dict)

    @property
    def next_code(self) -> str | None:
        """The first exercise that has no result yet, None once all have one."""
        return next((one.code for one in EXERCISES if one.code not in self.results), None)


@dataclass(frozen=True, slots=True)
class Score:
    """How a worker stands."""

    name: str
    initials: str
    results: Mapping[str, Judged]

    def count(self, result: str) -> int:
        return sum(one.result == result for one in self.results.values())

    @property
    def wrong_actions(self) -> int:
        return sum(one.wrong_actions for one in self.results.values())


class PracticeBook:
    """The rounds by worker. Safe to use from several threads."""

    def __init__(self) -> None:
        self._lock = threading.Lock()
        self._rounds: dict[str, Round] = {}
        self._sets = iter(range(SETS))

    def round_of(self, actor: Actor) -> Round:
        """The worker's round, begun where there is none; NotFound once no people are left."""
        with self._lock:
            if actor.worker_id not in self._rounds:
                self._rounds[actor.worker_id] = self._fresh()
            return self._rounds[actor.worker_id]

    def begin_again(self, actor: Actor) -> Round:
        """A new round with other people; the score begins anew."""
        with self._lock:
            self._rounds[actor.worker_id] = fresh = self._fresh()
            return fresh

    def begin(self, roster: Roster, actor: Actor) -> Round:
        """The next person comes. Safe to call twice: one who stands there stays."""
        practised = self.round_of(actor)
        with self._lock:
            code = practised.next_code
            if practised.now is None and code is not None:
                practised.began = roster.store.read(queries.head).seq
                practised.now = code
        return practised

    def end(self, roster: Roster, actor: Actor) -> Round:
        """The person has left the table; what was done is judged. Safe to call twice."""
        practised = self.round_of(actor)
        with self._lock:
            if practised.now is not None:
                exercise = EXERCISE[practised.now]
                deeds = roster.store.read(lambda each: _deeds(each, practised, actor))
                judged = judge(exercise.ends, deeds, roster.setting)
                practised.results[exercise.code] = judged
                practised.now = None
        return practised

    def scores(self, roster: Roster) -> list[Score]:
        """Of everybody who has practised, by initials."""
        workers = roster.store.read(people.all_workers)
        with self._lock:
            return [
                Score(one.name, one.initials, dict(self._rounds[one.worker_id].results))
                for one in workers
                if one.worker_id in self._rounds
            ]

    def _fresh(self) -> Round:
        place = next(self._sets, None)
        if place is None:
            raise NotFound(what="set of people left to practise on; start another practice day")
        return Round(place)


def visitor_of(roster: Roster, place: int, exercise: Exercise) -> Visitor:
    """Who comes in this exercise, of the set `place`."""
    role = ROLE[exercise.role]
    return Visitor(
        role.first_name,
        LAST_NAMES[place],
        birth_date_of(roster.setting, role.key),
        number_of(place, role.key),
        address_of(role.key),
        envelope_of(place, role.key),
    )


def _deeds(connection: Connection, practised: Round, actor: Actor) -> list[Deed]:
    """What this worker did since, and what anybody did on the lines of their people."""
    roles = {number_of(practised.place, role.key): role.key for role in ROLES}
    return [
        Deed(entry.kind, role, entry.body, entry.line_id is not None)
        for entry, role in _with_roles(connection, practised.began, roles)
        if role or entry.worker_id == actor.worker_id
    ]


def _with_roles(
    connection: Connection, after: int, roles: Mapping[str, str]
) -> Iterator[tuple[Entry, str]]:
    entries = list(queries.entries_after(connection, after))
    ids = sorted({one.line_id for one in entries if one.line_id is not None})
    lines = queries.lines_with(connection, ids)
    for entry in entries:
        line = lines.get(entry.line_id or "")
        yield entry, roles.get(line.printed.voter_number, "") if line else ""
