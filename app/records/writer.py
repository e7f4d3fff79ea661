"""The one writer: a thread that owns the only write connection and commits in groups.

Up to GROUP requests share one durable commit, each in its own savepoint, so that
one request's fault undoes that request alone. A request is answered only after
the commit it is part of has returned: acknowledged means durable. Where a commit
fails nobody is told yes or no: the answer is `OutcomeUnknown`, and the client
asks again with the same token.

Where copies of the record are kept, each has the change too before its requests are answered,
or is known not to be in step: see `app.records.copies`.
"""

from __future__ import annotations

import queue
import secrets
import threading
from collections.abc import Callable, Sequence
from concurrent.futures import Future
from dataclasses import dataclass, field
from typing import Any, TypeVar

from sqlalchemy import Connection, Engine
from sqlalchemy.exc import DataError, DBAPIError, IntegrityError

from app.records import changes, postgresql, queries
from app.records.changes import Change
from app.records.clock import Clock
from app.records.clock_watch import ClockWatch
from app.records.copies import Copies
from app.records.engine import path_of, recover_after_failed_commit
from app.records.entry import PROGRAM, Entry, Head
from app.records.reserve import Reserve, is_full
from app.records.signed_heads import HeadSigner
from app.records.unit import LostRace, Unit
from app.rules.faults import OutcomeUnknown, TablebookFault

T = TypeVar("T")
Work = Callable[[Unit], T]
Announce = Callable[[Sequence[Entry]], None]

# Enough to keep the disk busy with one sync for all stations of a large hall;
# more would only make the first of a group wait longer.
GROUP = 64

# How often a request that lost a race against another process is tried again.
RACES = 8

# What the database says to one request, and not of itself.
_OF_ONE_REQUEST = (IntegrityError, DataError)


@dataclass(slots=True)
class _Request:
    work: Work[Any]
    future: Future[Any] = field(default_factory=Future)
    answer: Any = None
    fault: BaseException | None = None

    def settle(self) -> None:
        if self.fault is None:
            self.future.set_result(self.answer)
        else:
            self.future.set_exception(self.fault)


class Writer:
    """Serialises all writes. `announce` is called from the writer's thread after a commit."""

    def __init__(
        self,
        engine: Engine,
        clock: Clock,
        announce: Announce | None = None,
        copies: Copies | None = None,
    ) -> None:
        self._engine = engine
        self._clock = clock
        self._announce = announce
        self._copies = copies or Copies()
        self._change: Change | None = None
        # On a database server other programs write to the same log.
        self._is_shared = path_of(engine) is None
        self._refusal: TablebookFault | None = None
        self._signer = HeadSigner(path_of(engine))
        self._reserve = Reserve(path_of(engine))
        self._watch = ClockWatch(clock)
        self._requests: queue.SimpleQueue[_Request | None] = queue.SimpleQueue()
        self._must_recover = False
        self._is_closed = False
        # How many groups were committed: what was read before may be out of date.
        self.commits = 0
        self._thread = threading.Thread(target=self._run, name="writer", daemon=True)
        self._thread.start()

    def submit(self, work: Work[T]) -> Future[T]:
        """Queue `work`; the future holds its answer once it is durable, or its fault."""
        if self._is_closed:
            raise RuntimeError("the writer is closed")
        request = _Request(work)
        if self._refusal:
            request.future.set_exception(self._refusal)
            return request.future
        self._requests.put(request)
        return request.future

    def write(self, work: Work[T]) -> T:
        """`submit` and wait; for commands and tests, never for a route."""
        return self.submit(work).result()

    def refuse(self, why: TablebookFault) -> None:
        """From now on take nothing: whatever is submitted is answered with this fault."""
        self._refusal = why

    @property
    def refusal(self) -> TablebookFault | None:
        """Why nothing is taken, None while it is."""
        return self._refusal

    def finish(self) -> None:
        """Finish what is queued and take nothing more. Safe to call twice."""
        if not self._is_closed:
            self._is_closed = True
            self._requests.put(None)
        self._thread.join()

    def close(self) -> None:
        """Finish, and close the connection. Safe to call twice."""
        self.finish()
        self._engine.dispose()

    def _run(self) -> None:
        is_last = False
        while not is_last:
            group, is_last = self._next_group()
            if group:
                self._write(group)

    def _next_group(self) -> tuple[list[_Request], bool]:
        """Wait for one request, then take what else is there; True with the last group."""
        group: list[_Request] = []
        request = self._requests.get()
        while request is not None:
            # A request whose client has gone is dropped here or not at all.
            if request.future.set_running_or_notify_cancel():
                group.append(request)
            if len(group) == GROUP:
                return group, False
            try:
                request = self._requests.get_nowait()
            except queue.Empty:
                return group, False
        return group, True

    def _write(self, group: Sequence[_Request]) -> None:
        try:
            entries = self._commit_with_room(group)
        except Exception as error:  # noqa: BLE001 - whatever failed: nobody may hear yes or no
            self._fall_back()
            for request in group:
                unknown = OutcomeUnknown()
                unknown.__cause__ = error
                request.future.set_exception(unknown)
            return
        self.commits += 1
        if self._change:
            self._copies.write(self._change)
        for request in group:
            request.settle()
        if entries and self._announce:
            self._announce(entries)

    def _commit_with_room(self, group: Sequence[_Request]) -> list[Entry]:
        """On a full disk once more, with the room that was kept aside for it."""
        try:
            return self._commit(group)
        except Exception as error:
            if not (is_full(error) and self._reserve.release()):
                raise
        self._fall_back()
        for request in group:
            request.fault = None
        return self._commit(group)

    def _fall_back(self) -> None:
        self._must_recover = True
        self._signer.failed()
        self._engine.dispose()

    def _commit(self, group: Sequence[_Request]) -> list[Entry]:
        """One durable transaction for the group; answers the entries it appended."""
        if self._must_recover:
            recover_after_failed_commit(self._engine)
            self._must_recover = False
        entries: list[Entry] = []
        self._change = None
        change = None
        with self._engine.begin() as connection:
            if self._copies:
                changes.watch(connection)
            head = queries.head(connection)
            jump = self._note_jump(connection, head)
            has_worked, head = bool(jump.entries), jump.head
            entries.extend(jump.entries)
            for request in group:
                unit = self._attempt(connection, head, request)
                if unit:
                    has_worked, head = True, unit.head
                    entries.extend(unit.entries)
            if entries:
                self._signer.sign(connection, entries)
            if has_worked:
                no = changes.raise_no(connection)
                change = changes.collect(connection, no, head) if self._copies else None
                if self._is_shared:
                    postgresql.tell_others(connection)
        self._change = change
        self._signer.committed()
        self._watch.settle()
        return entries

    def _note_jump(self, connection: Connection, head: Head) -> Unit:
        """The unit that wrote down that the clock was set, where it was; entry 1 is the load."""
        unit = Unit(connection, self._clock, head)
        jumped = self._watch.jumped(connection)
        if jumped and head.seq:
            unit.append(PROGRAM, secrets.token_hex(16), jumped)
        return unit

    def _attempt(self, connection: Connection, head: Head, request: _Request) -> Unit | None:
        for _ in range(RACES):
            unit = Unit(connection, self._clock, head)
            savepoint = connection.begin_nested()
            try:
                request.answer = request.work(unit)
            except LostRace:
                savepoint.rollback()
                continue
            except Exception as fault:
                if isinstance(fault, DBAPIError) and not isinstance(fault, _OF_ONE_REQUEST):
                    raise
                savepoint.rollback()
                request.fault = fault
                return None
            savepoint.commit()
            return unit
        request.fault = OutcomeUnknown()
        return None
