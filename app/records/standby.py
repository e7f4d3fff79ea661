"""The standby as the laptop that serves sees it: a second laptop that follows over the network.

It asks for the next change and says with it how far it holds the record; the answer to a change
is its next question. One follows at a time.
"""

from __future__ import annotations

import threading
import time
from collections.abc import Callable
from dataclasses import dataclass

from app.records import queries
from app.records.changes import Change, change_no
from app.records.copies import CopyFailed, Read, Why
from app.records.entry import Head

# Somebody waits at the table: after this the standby is reported out of step, and the action
# acknowledged without it.
PATIENCE_SECONDS = 1.0
# It asks again at least this often (`POLL_SECONDS` of the routes), with time to spare.
SILENT_SECONDS = 5.0
# One that has joined makes itself ready first.
JOINING_SECONDS = 15.0
# For a register of a hundred thousand lines over a slow network, with its index made anew.
WHOLE_SECONDS = 300.0
# How late it may be noticed that it has fallen silent meanwhile.
_LOOK_SECONDS = 0.5
NEW = (0, "")
# The row of `about` with the digest of the secret of the laptop that follows.
SECRET = "standby_secret"  # noqa: S105 - the name of a row, no secret


@dataclass(frozen=True, slots=True)
class ToDo:
    """What the one that follows is to do: fetch everything, apply this change, or keep what it has
    since that is more than there is here.
    """

    fetch_all: bool = False
    change: Change | None = None
    keep: bool = False


class Standby:
    """The copy on a second laptop. `woken` is called when there is something to do for it."""

    which = "standby"
    patience_seconds = PATIENCE_SECONDS

    def __init__(self) -> None:
        self.woken: Callable[[], None] = lambda: None
        self._read: Read | None = None
        self._moved = threading.Condition()
        self._heard_at = float("-inf")
        # How long it may be silent after what it said last.
        self._may_be_silent = SILENT_SECONDS
        # How far it holds the record, as it said itself: the number of the change and the head.
        self._holds = NEW
        # The whole record as it was sent: it has it once it says that it holds exactly this.
        self._sent: tuple[int, str] | None = None
        self._is_sending = False
        self._todo = ToDo()
        self._is_closed = False
        # Until a laptop has joined none is missing.
        self._has_joined = False

    def of(self, read: Read) -> Standby:
        """The same, for an open record: see `MakeCopy`."""
        self._read = read
        self._has_joined = read(lambda record: queries.about_text(record, SECRET)) is not None
        return self

    # What the one that follows says, from the routes

    def joined(self) -> None:
        """It was let in. Whoever let it in counts on it, though it never ask for anything."""
        with self._moved:
            self._has_joined = True
            self._hear(JOINING_SECONDS)

    def heard(self, no: int, head: str) -> None:
        """It asks, and holds the record up to change `no`, whose head is `head`."""
        with self._moved:
            self._has_joined = True
            self._hear(SILENT_SECONDS)
            if not self._is_sending:
                self._holds = (no, head)
            elif self._sent == (no, head):
                self._holds, self._todo = (no, head), ToDo()
            else:
                # It failed to fetch everything, and what it holds is of no account.
                self._todo = ToDo(fetch_all=True)
            self._moved.notify_all()

    def todo(self) -> ToDo | None:
        """What it is to do now, None for nothing."""
        with self._moved:
            todo = self._todo
            is_next = todo.change is not None and self._holds[0] == todo.change.no - 1
            return todo if todo.fetch_all or todo.keep or is_next else None

    def fetching(self) -> None:
        """It fetches everything now, which may take a while."""
        with self._moved:
            self._hear(WHOLE_SECONDS)
            self._todo = ToDo()

    def sent(self, no: int, head: str) -> None:
        """What it is sent is the whole record up to change `no`, whose head is `head`."""
        with self._moved:
            self._sent = (no, head)

    # `Copy`

    def resume(self) -> int | None:
        self._check_is_there()
        record = self._now()
        with self._moved:
            holds = self._holds
        if holds == record:
            return record[0]
        self._check_holds_no_more(holds[1])
        return None

    def start_over(self) -> int:
        self._check_is_there()
        with self._moved:
            self._holds, self._sent, self._is_sending = NEW, None, True
            try:
                self._set(ToDo(fetch_all=True))
                self._wait_until_it_holds()
                return self._holds[0]
            finally:
                self._is_sending, self._todo = False, ToDo()

    def _wait_until_it_holds(self) -> None:
        """CopyFailed where it falls silent. Woken by each question that it asks."""
        until = time.monotonic() + WHOLE_SECONDS
        while self._holds == NEW:
            # Silence wakes nobody: without a look now and then whoever is parted from the
            # second laptop would be told for minutes that it is catching up.
            self._moved.wait(_LOOK_SECONDS)
            if self._is_gone() or time.monotonic() > until:
                raise CopyFailed(Why.GONE)

    def _check_holds_no_more(self, head: str) -> None:
        """An older record in the place of this one must not take the newer one's place there."""
        read = self._read
        has_nothing = head in (NEW[1], Head().hash)
        is_known = has_nothing or (read and read(lambda record: queries.has_hash(record, head)))
        with self._moved:
            self._set(ToDo(keep=not is_known))
        if not is_known:
            raise CopyFailed(Why.HOLDS_MORE)

    def write(self, change: Change) -> None:
        with self._moved:
            self._set(ToDo(change=change))
            is_there = self._moved.wait_for(
                lambda: self._holds[0] >= change.no or self._is_closed, PATIENCE_SECONDS
            )
            self._todo = ToDo()
            if not is_there or self._is_closed:
                raise CopyFailed(Why.GONE if self._is_gone() else Why.SLOW)
            if self._holds != (change.no, change.head.hash):
                raise CopyFailed(Why.REFUSED)

    def close(self) -> None:
        with self._moved:
            self._is_closed = True
            self._moved.notify_all()

    def _now(self) -> tuple[int, str]:
        if self._read is None:
            raise CopyFailed(Why.FAILED)
        no, head = self._read(lambda record: (change_no(record), queries.head(record)))
        return no, head.hash

    def _set(self, todo: ToDo) -> None:
        self._todo = todo
        self.woken()

    def _check_is_there(self) -> None:
        with self._moved:
            if self._is_gone():
                raise CopyFailed(Why.GONE if self._has_joined else Why.AWAITED)

    def _hear(self, may_be_silent: float) -> None:
        self._heard_at, self._may_be_silent = time.monotonic(), may_be_silent

    def _is_gone(self) -> bool:
        return self._is_closed or time.monotonic() - self._heard_at > self._may_be_silent
