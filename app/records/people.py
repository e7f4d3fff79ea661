"""The workers and who is signed on where.

PINs are kept as Argon2id hashes and browser secrets as digests. A try is counted
before the PIN is looked at, so that no number of tries at once, and no restart,
gets more than MOST_TRIES evaluated.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from sqlalchemy import Connection, delete, func, insert, select, update

from app.records import queries
from app.records.queries import Worker
from app.records.tables import PinTryRow, table
from app.records.unit import Unit
from app.rules.faults import AlreadyThere, NotFound, PinLocked

# NIST SP 800-63B 5.2.2 allows 100; ten is plenty for a tired person and little for a guesser.
MOST_TRIES = 10

# Initials that nobody here has are counted like any others, so that no answer tells who
# exists; this many are remembered, which takes longer to type than an election day has.
MOST_UNKNOWN = 2_000

pin_tries = table(PinTryRow)


@dataclass(frozen=True, slots=True)
class NewWorker:
    worker_id: str
    name: str
    initials: str
    role: str
    pin_hash: str


@dataclass(frozen=True, slots=True)
class WrongPins:
    """Tries that were not right: since the last right one, and within the last hour."""

    wrong: int = 0
    recent: int = 0

    @property
    def is_locked(self) -> bool:
        return self.wrong >= MOST_TRIES or self.recent >= MOST_TRIES


@dataclass(frozen=True, slots=True)
class Kept:
    """A sign-on as it stands: `seq` is its entry."""

    seq: int
    at: str
    worker: Worker
    station: str
    device: str
    is_covered: bool
    secret_digest: str = field(repr=False)


def add_worker(unit: Unit, worker: NewWorker) -> None:
    """AlreadyThere where the initials are taken: initials on a line must mean one person."""
    if queries.worker_by_initials(unit.connection, worker.initials):
        raise AlreadyThere(what="initials", initials=worker.initials)
    row = {name: getattr(worker, name) for name in NewWorker.__dataclass_fields__}
    unit.connection.execute(insert(queries.workers), row)


def wrong_pins(connection: Connection, initials: str) -> WrongPins:
    """How often a wrong PIN was typed for these initials."""
    mine = select(pin_tries.c.wrong, pin_tries.c.recent).where(pin_tries.c.initials == initials)
    row = connection.execute(mine).first()
    return WrongPins(row.wrong, row.recent) if row else WrongPins()


def all_wrong_pins(connection: Connection) -> dict[str, WrongPins]:
    """By initials, those of people who are not here too."""
    return {
        row.initials: WrongPins(row.wrong, row.recent)
        for row in connection.execute(select(pin_tries))
    }


def count_try(unit: Unit, initials: str, recent: int) -> Worker | None:
    """Count one PIN try for these initials and answer the worker; None for unknown initials.

    `recent` is how many of the last hour the caller still counts. PinLocked where the tries
    are used up; the lead unlocks.
    """
    wrong = wrong_pins(unit.connection, initials).wrong
    if WrongPins(wrong, recent).is_locked:
        raise PinLocked
    worker = queries.worker_by_initials(unit.connection, initials)
    if wrong == 0 and worker is None:
        _make_room(unit.connection)
    keep_wrong(unit, initials, WrongPins(wrong + 1, recent + 1))
    return worker


def keep_wrong(unit: Unit, initials: str, pins: WrongPins) -> None:
    """Write down how many tries count; no row where there are none."""
    unit.connection.execute(delete(pin_tries).where(pin_tries.c.initials == initials))
    if pins != WrongPins():
        row = {"initials": initials, "wrong": pins.wrong, "recent": pins.recent}
        unit.connection.execute(insert(pin_tries), row)


def forgive_tries(unit: Unit, worker_id: str) -> Worker:
    """Start counting again, by the lead or the command; answers whose tries they were."""
    worker = worker_by_id(unit.connection, worker_id)
    keep_wrong(unit, worker.initials, WrongPins())
    return worker


def worker_by_id(connection: Connection, worker_id: str) -> Worker:
    """NotFound where nobody has this identifier."""
    mine = select(queries.workers).where(queries.workers.c.worker_id == worker_id)
    row = connection.execute(mine).mappings().first()
    if row is None:
        raise NotFound(what="worker")
    return Worker(**row)


def set_pin_hash(unit: Unit, initials: str, pin_hash: str) -> None:
    """NotFound where nobody has these initials."""
    mine = queries.workers.c.initials == initials
    changed = unit.connection.execute(update(queries.workers).where(mine).values(pin_hash=pin_hash))
    if changed.rowcount != 1:
        raise NotFound(what=f"worker {initials}")


def all_workers(connection: Connection) -> list[Worker]:
    """Everybody who may sign on, by initials."""
    rows = connection.execute(select(queries.workers).order_by(queries.workers.c.initials))
    return [Worker(**row) for row in rows.mappings()]


def find_worker(connection: Connection, initials: str) -> Worker | None:
    """The worker with these initials, in either case."""
    return queries.worker_by_initials(connection, initials.strip().upper())


def keep_sign_on(unit: Unit, *, token: str, row: Mapping[str, object]) -> None:
    """Remember the browser of a sign-on; the same token again replaces its secret.

    `row` has secret_digest, worker_id, station and device.
    """
    sign_ons = queries.sign_ons
    unit.connection.execute(delete(sign_ons).where(sign_ons.c.token == token))
    unit.connection.execute(insert(sign_ons), {"token": token, "is_covered": False, **row})


def cover_sign_on(unit: Unit, secret_digest: str) -> None:
    """Nothing more is answered to this browser until the PIN is typed. Safe to call twice."""
    sign_ons = queries.sign_ons
    mine = sign_ons.c.secret_digest == secret_digest
    unit.connection.execute(update(sign_ons).where(mine).values(is_covered=True))


def end_sign_on(unit: Unit, secret_digest: str) -> None:
    """Forget the browser. Safe to call twice."""
    sign_ons = queries.sign_ons
    unit.connection.execute(delete(sign_ons).where(sign_ons.c.secret_digest == secret_digest))


def end_sign_ons_at(unit: Unit, device: str) -> None:
    """Forget everybody who signed on at a joined station."""
    sign_ons = queries.sign_ons
    unit.connection.execute(delete(sign_ons).where(sign_ons.c.device == device))


def end_sign_on_of(unit: Unit, seq: int) -> Kept | None:
    """Forget the sign-on that entry `seq` made; answers it, None where it has ended."""
    found = next((one for one in all_sign_ons(unit.connection) if one.seq == seq), None)
    if found:
        end_sign_on(unit, found.secret_digest)
    return found


_ALL_SIGN_ONS = (
    select(
        queries.workers,
        queries.day_log.c.seq,
        queries.day_log.c.at,
        queries.sign_ons.c.station,
        queries.sign_ons.c.device,
        queries.sign_ons.c.is_covered,
        queries.sign_ons.c.secret_digest,
    )
    .join(queries.sign_ons, queries.sign_ons.c.worker_id == queries.workers.c.worker_id)
    .join(queries.day_log, queries.day_log.c.token == queries.sign_ons.c.token)
    .order_by(queries.day_log.c.seq)
)


_OWN = ("seq", "at", "station", "device", "is_covered", "secret_digest")


def all_sign_ons(connection: Connection) -> list[Kept]:
    """Every sign-on that has not ended, oldest first."""
    found = []
    for row in connection.execute(_ALL_SIGN_ONS).mappings():
        values = dict(row)
        own = {name: values.pop(name) for name in _OWN}
        found.append(Kept(worker=Worker(**values), **own))
    return found


def _make_room(connection: Connection) -> None:
    """Where more unknown initials were tried than are remembered, all of them are forgotten."""
    known = select(queries.workers.c.initials)
    unknown = pin_tries.c.initials.not_in(known)
    counted = select(func.count()).select_from(pin_tries).where(unknown)
    if connection.execute(counted).scalar_one() >= MOST_UNKNOWN:
        connection.execute(delete(pin_tries).where(unknown))
