"""The workers and who is signed on where.

PINs are kept as Argon2id hashes and browser secrets as digests. A try is counted
before the PIN is looked at, so that no number of tries at once, and no restart,
gets more than MOST_TRIES evaluated.
"""

from __future__ import annotations

from dataclasses import dataclass

from sqlalchemy import Connection, delete, insert, select, update

from app.records import queries
from app.records.queries import Worker
from app.records.unit import Unit
from app.rules.faults import AlreadyThere, NotFound, PinLocked

# NIST SP 800-63B 5.2.2 allows 100; ten is plenty for a tired person and little for a guesser.
MOST_TRIES = 10


@dataclass(frozen=True, slots=True)
class NewWorker:
    worker_id: str
    name: str
    initials: str
    role: str
    pin_hash: str


def add_worker(unit: Unit, worker: NewWorker) -> None:
    """AlreadyThere where the initials are taken: initials on a line must mean one person."""
    if queries.worker_by_initials(unit.connection, worker.initials):
        raise AlreadyThere(what="initials", initials=worker.initials)
    row = {name: getattr(worker, name) for name in NewWorker.__dataclass_fields__}
    unit.connection.execute(insert(queries.workers), {**row, "wrong_pins": 0})


def count_try(unit: Unit, initials: str) -> Worker | None:
    """Count one PIN try against the worker and answer them; None for unknown initials.

    PinLocked where the tries are used up; the lead unlocks.
    """
    worker = queries.worker_by_initials(unit.connection, initials)
    if worker is None:
        return None
    if worker.wrong_pins >= MOST_TRIES:
        raise PinLocked
    _set_wrong_pins(unit, worker.worker_id, worker.wrong_pins + 1)
    return worker


def forgive_tries(unit: Unit, worker_id: str) -> None:
    """Start counting again: after a right PIN, or by the lead."""
    if _set_wrong_pins(unit, worker_id, 0) != 1:
        raise NotFound(what="worker")


def all_workers(connection: Connection) -> list[Worker]:
    """Everybody who may sign on, by initials."""
    rows = connection.execute(select(queries.workers).order_by(queries.workers.c.initials))
    return [Worker(**row) for row in rows.mappings()]


def find_worker(connection: Connection, initials: str) -> Worker | None:
    """The worker with these initials, in either case."""
    return queries.worker_by_initials(connection, initials.strip().upper())


def keep_sign_on(
    unit: Unit, *, secret_digest: str, token: str, worker_id: str, station: str
) -> None:
    """Remember the browser of a sign-on; the same token again replaces its secret."""
    sign_ons = queries.sign_ons
    unit.connection.execute(delete(sign_ons).where(sign_ons.c.token == token))
    row = {
        "secret_digest": secret_digest,
        "token": token,
        "worker_id": worker_id,
        "station": station,
    }
    unit.connection.execute(insert(sign_ons), row)


def end_sign_on(unit: Unit, secret_digest: str) -> None:
    """Forget the browser. Safe to call twice."""
    sign_ons = queries.sign_ons
    unit.connection.execute(delete(sign_ons).where(sign_ons.c.secret_digest == secret_digest))


def _set_wrong_pins(unit: Unit, worker_id: str, wrong_pins: int) -> int:
    workers = queries.workers
    mine = workers.c.worker_id == worker_id
    return unit.connection.execute(
        update(workers).where(mine).values(wrong_pins=wrong_pins)
    ).rowcount
