"""At a laptop that follows, the roster and every open page move along with the record."""

from __future__ import annotations

import threading
from collections.abc import Sequence
from dataclasses import replace
from typing import Any

from app.api.answers import Clockface
from app.api.answers_standby import standby_answer
from app.api.live import Live
from app.desk.attention_look import Watch
from app.desk.roster import Roster, opened_anew, take_in
from app.desk.standby_here import StandbyHere
from app.records import queries
from app.records.changes import Change
from app.records.entry import Entry, Head
from app.records.standby_record import Holds, entries_in


class MovingAlong:
    """Hears the follower, in its thread, for the app of `state`, which has the roster at `url`."""

    def __init__(self, state: Any, standby: StandbyHere, url: str) -> None:
        self._state, self._standby, self._url = state, standby, url
        self._moving = threading.Lock()
        self._roster: Roster | None = None
        self._is_anew = False
        # What is opened after this has at least everything up to here.
        self._before = standby.follower.held.head
        standby.hears = self

    def begin(self, roster: Roster) -> None:
        """The roster was opened, while the follower went on."""
        with self._moving:
            self._install(replace(roster, here=self._standby.sign_ons))
            if self._is_anew:
                self._open_anew()
            else:
                self._move(self._entries_after(self._before))

    def took(self, change: Change) -> None:
        with self._moving:
            self._move(entries_in(change))

    def took_all(self, before: Holds) -> None:
        with self._moving:
            self._is_anew = True
            self._open_anew()
            self._tell(self._entries_after(before.head))

    def turned(self, _state: str, _why: str) -> None:
        roster, live = self._roster, self._live
        if roster:
            head = roster.store.read(queries.head)
            clockface: Clockface = self._state.clockface
            live.turned(standby_answer(self._standby, head, clockface).model_dump())

    def _move(self, entries: Sequence[Entry]) -> None:
        if self._roster:
            take_in(self._roster, entries)
            self._tell(entries)

    def _open_anew(self) -> None:
        if self._roster:
            self._install(opened_anew(self._roster, self._url))
            self._state.watch = Watch(self._state.watch.stations)

    def _install(self, roster: Roster) -> None:
        setting = roster.setting
        self._roster = self._state.roster = roster
        self._state.clockface = Clockface(setting.election.time_zone)
        self._state.caution = setting.policy.caution

    def _entries_after(self, head: Head) -> list[Entry]:
        """Of the log that went on from there; none where it is another."""
        roster = self._roster
        if roster is None or not head.seq:
            return []
        entries = roster.store.read(
            lambda record: list(queries.entries_after(record, head.seq - 1))
        )
        goes_on = bool(entries) and entries[0].hash == head.hash
        return entries[1:] if goes_on else []

    def _tell(self, entries: Sequence[Entry]) -> None:
        if entries:
            self._live.announce(entries)

    @property
    def _live(self) -> Live:
        live: Live = self._state.live
        return live
