"""Copies of the record that are written before an action is acknowledged.

The writer hands every change to each copy and waits until it is durable there. A copy that fails,
or takes too long, never fails the action: it is marked at once, told to every station, tried again
in the background, and in step again once it has caught up.
"""

from __future__ import annotations

import threading
from collections import deque
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import datetime
from enum import StrEnum
from typing import Protocol, TypeVar

from sqlalchemy import Connection

from app.records.changes import Change
from app.rules.faults import RecordBehindCarbon, TablebookFault

T = TypeVar("T")

# A stick that is put back is noticed soon; one that is broken is not asked so often that it slows
# everything else.
RETRY_SECONDS = 2.0


class Why(StrEnum):
    """Why a copy is not written."""

    GONE = "gone"
    FULL = "full"
    READ_ONLY = "read-only"
    SLOW = "slow"
    REFUSED = "refused"
    # It has entries that this record does not have: an older one was put in its place here.
    HOLDS_MORE = "holds-more"
    # No reason: nothing has ever been there that could be missing now.
    AWAITED = "awaited"
    FAILED = "failed"


class Standing(StrEnum):
    WAITING = "waiting"
    IN_STEP = "in-step"
    CATCHING_UP = "catching-up"
    FAILING = "failing"


# As long as one of these is so, changes are kept for nobody, and the copy is asked again.
_NOT_THERE = frozenset({Standing.WAITING, Standing.FAILING})


class CopyFailed(Exception):
    """The copy could not be written; `why` says why."""

    def __init__(self, why: Why) -> None:
        super().__init__(why.value)
        self.why = why


def why_refused(fault: TablebookFault) -> Why:
    """Why a copy is not written that was refused with this fault."""
    return Why.HOLDS_MORE if isinstance(fault, RecordBehindCarbon) else Why.REFUSED


@dataclass(frozen=True, slots=True)
class CopyState:
    """How one copy stands, and since when; `why` is None where it is in step.

    It is waiting where nobody has ever joined who would keep it: nothing is missing anywhere.
    """

    which: str
    standing: Standing
    since: datetime
    why: Why | None = None


class Copy(Protocol):
    """Somewhere else the record is kept. Called from one thread at a time."""

    which: str
    # How long an action waits for this copy before it is reported as slow.
    patience_seconds: float

    def resume(self) -> int | None:
        """The number of the last change that the copy holds; None where it must start over.

        CopyFailed where it cannot be reached now.
        """
        ...

    def start_over(self) -> int:
        """Copy the whole record as it stands; the number of its last change."""
        ...

    def write(self, change: Change) -> None:
        """Return once the next change is durable; CopyFailed where it is not."""
        ...

    def close(self) -> None: ...


class Read(Protocol):
    """Runs a query on the open record, which the copy is of."""

    def __call__(self, query: Callable[[Connection], T], /) -> T: ...


MakeCopy = Callable[[Read], Copy]


class Keeper:
    """One copy, the thread that writes it, and how it stands.

    `turned` is called, from whichever thread notices, when it fails and when it is back.
    """

    def __init__(
        self, copy: Copy, now: Callable[[], datetime], turned: Callable[[CopyState], None]
    ) -> None:
        self._copy, self._now, self._turned = copy, now, turned
        self._moved = threading.Condition()
        self._waiting: deque[Change] = deque()
        self._state = CopyState(copy.which, Standing.CATCHING_UP, now())
        self._holds = 0
        # Whether changes are kept for the copy: not while it cannot be reached.
        self._takes = True
        self._is_closing = False
        self._thread = threading.Thread(target=self._run, name=copy.which, daemon=True)

    @property
    def state(self) -> CopyState:
        return self._state

    def start(self) -> None:
        """Bring the copy into step before anything is written, or mark it failing."""
        try:
            held = self._copy.resume()
            self._hold(self._copy.start_over() if held is None else held)
            self._stand(Standing.IN_STEP)
        except CopyFailed as failed:
            self._fail(failed.why)
        self._thread.start()

    def hand(self, change: Change) -> None:
        """Give the copy the next change."""
        with self._moved:
            if self._takes:
                self._waiting.append(change)
                self._moved.notify_all()

    def settle(self, no: int) -> None:
        """Return once the copy holds change `no`, or is known not to be in step."""
        with self._moved:
            is_known = self._moved.wait_for(
                lambda: self._holds >= no or self._state.standing is not Standing.IN_STEP,
                self._copy.patience_seconds,
            )
        if not is_known:
            self._fail(Why.SLOW)

    def close(self) -> None:
        """Stop; what was handed over and settled is written. Safe to call twice."""
        with self._moved:
            self._is_closing = True
            self._moved.notify_all()
        if self._thread.ident is not None:
            # Not for ever: a device that hangs must not keep the program from ending.
            self._thread.join(self._copy.patience_seconds)

    def _run(self) -> None:
        while not self._is_closing:
            if self._state.standing in _NOT_THERE:
                self._rest()
            try:
                self._work()
            except CopyFailed as failed:
                self._fail(failed.why)
            except TablebookFault as refused:
                self._fail(why_refused(refused))
            except Exception:  # noqa: BLE001 - a copy that is written no more must never look well
                self._fail(Why.FAILED)
        self._copy.close()

    def _rest(self) -> None:
        with self._moved:
            self._moved.wait_for(lambda: self._is_closing, RETRY_SECONDS)

    def _work(self) -> None:
        if self._is_closing:
            return
        if self._state.standing in _NOT_THERE:
            self._catch_up()
            return
        with self._moved:
            # Whoever waited too long for it may mark it failing while nothing is on its way.
            self._moved.wait_for(lambda: self._waiting or self._is_closing or not self._takes)
            change = self._waiting.popleft() if self._waiting else None
        if change:
            self._write(change)

    def _catch_up(self) -> None:
        """Changes that come meanwhile wait, and are written behind the whole."""
        with self._moved:
            self._takes = True
        held = self._copy.resume()
        self._stand(Standing.CATCHING_UP)
        self._hold(self._copy.start_over() if held is None else held)
        while change := self._next_or_in_step():
            self._write(change)

    def _next_or_in_step(self) -> Change | None:
        """In step is said in the same moment in which nothing waits any more."""
        with self._moved:
            if self._waiting:
                return self._waiting.popleft()
            self._stand(Standing.IN_STEP)
            return None

    def _write(self, change: Change) -> None:
        if change.no <= self._holds:
            return
        if change.no == self._holds + 1:
            self._copy.write(change)
            self._hold(change.no)
        else:
            # Another program wrote into the record, or a commit failed after it was durable.
            self._hold(self._copy.start_over())

    def _hold(self, no: int) -> None:
        with self._moved:
            self._holds = no
            self._moved.notify_all()

    def _fail(self, why: Why) -> None:
        if why is Why.AWAITED:
            self._stand(Standing.WAITING)
        else:
            self._stand(Standing.FAILING, why)

    def _stand(self, standing: Standing, why: Why | None = None) -> None:
        with self._moved:
            before = self._state
            if standing in _NOT_THERE:
                self._takes = False
                self._waiting.clear()
            if (before.standing, before.why) == (standing, why):
                return
            # While it fails for whatever reason, and catches up after, it is one and the same gap.
            is_gap = before.why is not None and standing is not Standing.IN_STEP
            since = before.since if is_gap else self._now()
            # What holds more may be put away: what it holds is missing here all the same.
            stays = standing is Standing.CATCHING_UP or (is_gap and before.why is Why.HOLDS_MORE)
            reason = before.why if stays else why
            self._state = CopyState(before.which, standing, since, reason)
            self._moved.notify_all()
        has_failed = standing is Standing.FAILING and before.why is None
        is_back = standing is Standing.IN_STEP and before.why is not None
        if has_failed or is_back:
            self._turned(self._state)


class Copies:
    """Every copy of one record."""

    def __init__(self, keepers: Sequence[Keeper] = ()) -> None:
        self._keepers = tuple(keepers)

    def __bool__(self) -> bool:
        return bool(self._keepers)

    @property
    def states(self) -> list[CopyState]:
        return [keeper.state for keeper in self._keepers]

    def start(self) -> None:
        for keeper in self._keepers:
            keeper.start()

    def write(self, change: Change) -> None:
        """Return once every copy that is in step holds the change."""
        for keeper in self._keepers:
            keeper.hand(change)
        for keeper in self._keepers:
            keeper.settle(change.no)

    def close(self) -> None:
        for keeper in self._keepers:
            keeper.close()
