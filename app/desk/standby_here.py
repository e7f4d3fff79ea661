"""A laptop that follows, while it serves its page: how it stands, who is signed on, taking over."""

from __future__ import annotations

import threading
from collections.abc import Callable
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path

from app.desk import taking_over
from app.desk.following import Follower, Hears
from app.desk.standby_sign_ons import SignOnsHere
from app.desk.taking_over import Act
from app.records.changes import Change
from app.records.clock import Clock
from app.records.entry import Actor, Entry
from app.records.standby_record import Followed, Holds
from app.records.standby_tries import TriesBeside
from app.records.writer import Announce

IN_STEP, APART = "in-step", "apart"


@dataclass(frozen=True, slots=True)
class Standing:
    """`in-step` or `apart`, since when, and the code of why; empty where it was not asked yet.

    Apart since it was last in step for certain: what was recorded there later may not be here.
    After a start that is the time of the newest entry here.
    """

    state: str
    since: datetime
    why: str = ""


class Nobody:
    """Hears nothing: before the page is served."""

    def turned(self, state: str, why: str) -> None: ...

    def took(self, change: Change) -> None: ...

    def took_all(self, before: Holds) -> None: ...


class StandbyHere:
    """Follows into the record at `database`; `told` hears each turn, for the console."""

    def __init__(
        self,
        database: Path,
        followed: Followed,
        clock: Clock,
        told: Callable[[str, str], None] = lambda _state, _why: None,
    ) -> None:
        self.database, self.followed = database, followed
        self.sign_ons = SignOnsHere(database)
        # Who hears of it besides the console; set by whoever serves.
        self.hears: Hears = Nobody()
        # Whether it is known by now how things stand with the other laptop.
        self.was_asked = False
        self.taken: Entry | None = None
        self._clock, self._told = clock, told
        self._taking = threading.Lock()
        self.follower = Follower(database, followed, self, clock.now)
        self.standing = Standing(APART, self.follower.in_step_at or clock.now())

    @property
    def holds_a_record(self) -> bool:
        return self.follower.held.no > 0

    def follow(self) -> None:
        """Until it is closed; for a thread of its own."""
        try:
            self.follower.run()
        finally:
            self.follower.dispose()

    def turned(self, state: str, why: str) -> None:
        now = self._clock.now()
        since = now if state == IN_STEP else self.follower.in_step_at or now
        self.standing, self.was_asked = Standing(state, since, why), True
        self._told(state, why)
        self.hears.turned(state, why)

    def took(self, change: Change) -> None:
        self.hears.took(change)

    def took_all(self, before: Holds) -> None:
        self.hears.took_all(before)

    def take_over(
        self, actor: Actor, token: str, reason: str, announce: Announce | None = None
    ) -> Entry:
        """Follow no more and write the act; the same entry where it is written already.

        Where it cannot be written nothing is followed either: it may be asked for again.
        """
        with self._taking:
            if self.taken is None:
                self.follower.close()
                act = Act(actor, token, reason, self.sign_ons.wrong)
                self.taken = taking_over.take_over(self.database, self._clock, act, announce)
                # They stand in the record now.
                TriesBeside(self.database).remove()
            return self.taken

    def tell(self) -> bool:
        """Tell the other laptop, if it is there; whether it gives way."""
        return taking_over.tell(self.database)
