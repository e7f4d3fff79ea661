"""Who is signed on at a laptop that follows: kept in memory, with nothing written into the record.

A restart signs everybody off. PINs are those of the record, as the other laptop sent it.
"""

from __future__ import annotations

import threading
import time
from collections.abc import Callable
from dataclasses import dataclass, replace
from pathlib import Path

from sqlalchemy import Connection

from app.desk.pin_tries import PinTries
from app.records import people, queries
from app.records.people import WrongPins
from app.records.queries import SignOn, Worker
from app.records.standby_tries import TriesBeside
from app.records.store import Store
from app.rules.faults import NotFound


@dataclass(frozen=True, slots=True)
class _Here:
    worker_id: str
    station: str
    device: str
    token: str
    is_covered: bool = False


class SignOnsHere:
    """Of the record at `database`. Used from several threads."""

    def __init__(self, database: Path, ticking: Callable[[], float] = time.monotonic) -> None:
        self._beside = TriesBeside(database)
        self._tries = PinTries(ticking)
        self._signed_on: dict[str, _Here] = {}
        self._lock = threading.Lock()

    @property
    def wrong(self) -> dict[str, WrongPins]:
        """What was counted here, by initials."""
        with self._lock:
            return self._beside.all()

    def count(self, store: Store, initials: str, device: str) -> tuple[Worker | None, WrongPins]:
        """Count one PIN try, durably, before it is looked at: whose it is, and how many count.

        PinWait or PinLocked where none may be made now.
        """
        with self._lock:
            worker, in_record, known = store.read(lambda record: _known(record, initials))
            kept = self._beside.of(initials)
            recent = self._tries.check(
                initials, kept, device, is_deciding=True, elsewhere=in_record
            )
            counted = WrongPins(kept.wrong + 1, recent + 1)
            self._beside.keep(initials, counted, known)
            self._tries.counted(initials, device)
        both = WrongPins(counted.wrong + in_record.wrong, counted.recent + in_record.recent)
        return worker, both

    def right(self, store: Store, initials: str, device: str) -> None:
        """The try was right; the wrong ones of this hour stay counted."""
        known = store.read(_initials)
        with self._lock:
            self._tries.right(initials, device)
            recent = self._tries.recent(initials, WrongPins())
            self._beside.keep(initials, WrongPins(0, recent), known)

    def begin(
        self, secret_digest: str, worker: Worker, station: str, token: str, device: str
    ) -> None:
        """Remember the browser; the same token again replaces its secret."""
        with self._lock:
            others = {key: one for key, one in self._signed_on.items() if one.token != token}
            here = _Here(worker.worker_id, station, device, token)
            self._signed_on = {**others, secret_digest: here}

    def end(self, secret_digest: str) -> None:
        """Forget the browser. Safe to call twice."""
        with self._lock:
            self._signed_on.pop(secret_digest, None)

    def cover(self, secret_digest: str) -> None:
        """Answer this browser nothing more until the PIN is typed. Safe to call twice."""
        with self._lock:
            here = self._signed_on.get(secret_digest)
            if here:
                self._signed_on[secret_digest] = replace(here, is_covered=True)

    def who(self, store: Store, secret_digest: str) -> SignOn | None:
        """Whose browser it is, as the record knows them now; None for nobody's."""
        here = self._signed_on.get(secret_digest)
        if here is None:
            return None
        try:
            worker = store.read(lambda record: people.worker_by_id(record, here.worker_id))
        except NotFound:
            return None
        return SignOn(worker, here.station, here.device, here.is_covered)


def _known(
    connection: Connection, initials: str
) -> tuple[Worker | None, WrongPins, frozenset[str]]:
    worker = queries.worker_by_initials(connection, initials)
    return worker, people.wrong_pins(connection, initials), _initials(connection)


def _initials(connection: Connection) -> frozenset[str]:
    return frozenset(worker.initials for worker in people.all_workers(connection))
