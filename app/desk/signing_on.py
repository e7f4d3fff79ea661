"""Workers: added by whoever sets the laptop up, signed on with initials and a PIN."""

from __future__ import annotations

import hashlib
import secrets
from dataclasses import dataclass
from functools import cache

from argon2 import PasswordHasher
from argon2.exceptions import VerifyMismatchError

from app.desk.roster import Roster
from app.records import people, queries
from app.records.bodies import WorkerSignedOff, WorkerSignedOn
from app.records.entry import Actor
from app.records.people import MOST_TRIES, NewWorker
from app.records.queries import SignOn, Worker
from app.records.store import Store
from app.records.unit import Unit
from app.rules.faults import BadRequest, TokenReused, WrongPin

ROLES = ("worker", "lead", "registrar")

# OWASP's smallest Argon2id setting: 19 MiB, two passes; about 50 ms on a small laptop.
_HASHER = PasswordHasher(time_cost=2, memory_cost=19_456, parallelism=1)

PIN_LENGTHS = range(6, 13)
SECRET_BYTES = 32


@dataclass(frozen=True, slots=True)
class SignedOn:
    """`secret` goes to the browser once and is kept nowhere here."""

    worker: Worker
    station: str
    secret: str


def add_worker(store: Store, *, name: str, initials: str, role: str, pin: str) -> str:
    """Add a worker and answer their worker_id; AlreadyThere where the initials are taken."""
    if role not in ROLES:
        raise BadRequest(field="role", expected=", ".join(ROLES))
    if not (pin.isdigit() and pin.isascii() and len(pin) in PIN_LENGTHS):
        raise BadRequest(field="pin", expected="6 to 12 digits")
    if not (1 <= len(initials) <= 4 and initials.isalpha()):
        raise BadRequest(field="initials", expected="1 to 4 letters")
    if not name.strip():
        raise BadRequest(field="name", expected="the worker's name")
    worker = NewWorker(
        secrets.token_hex(4), name.strip(), initials.upper(), role, _HASHER.hash(pin)
    )
    store.writer.write(lambda unit: people.add_worker(unit, worker))
    return worker.worker_id


def sign_on(roster: Roster, *, initials: str, pin: str, station: str, token: str) -> SignedOn:
    """Check the PIN and remember the browser. Takes tens of milliseconds: not for an event loop.

    WrongPin (with the tries left) or PinLocked. The same token again, with the right
    PIN, gives a fresh secret for the same sign-on and no second entry.
    """
    writer = roster.store.writer
    wanted = initials.strip().upper()
    worker = writer.write(lambda unit: people.count_try(unit, wanted))
    if not _is_right(pin, worker.pin_hash if worker else _nobodys_hash()) or worker is None:
        raise WrongPin(tries_left=_tries_left(worker))
    secret = secrets.token_urlsafe(SECRET_BYTES)
    writer.write(lambda unit: _keep(unit, worker, station, token, secret))
    return SignedOn(worker, station, secret)


def sign_off(unit: Unit, actor: Actor, token: str, secret: str) -> None:
    """End the sign-on of this browser. Safe to call twice."""
    if not unit.already(token, WorkerSignedOff.kind):
        unit.append(actor, token, WorkerSignedOff())
    people.end_sign_on(unit, digest(secret))


def who(roster: Roster, secret: str) -> SignOn | None:
    """Who is signed on with this browser secret, None for nobody."""
    return roster.store.read(
        lambda connection: queries.sign_on_by_digest(connection, digest(secret))
    )


def digest(secret: str) -> str:
    return hashlib.sha256(secret.encode()).hexdigest()


def _keep(unit: Unit, worker: Worker, station: str, token: str, secret: str) -> None:
    before = unit.already(token, WorkerSignedOn.kind, role=worker.role)
    if before is None:
        actor = Actor(worker.worker_id, worker.initials, station)
        unit.append(actor, token, WorkerSignedOn(role=worker.role))
    elif (before.worker_id, before.station) != (worker.worker_id, station):
        raise TokenReused(seq=before.seq, kind=before.kind)
    people.forgive_tries(unit, worker.worker_id)
    people.keep_sign_on(
        unit,
        secret_digest=digest(secret),
        token=token,
        worker_id=worker.worker_id,
        station=station,
    )


def _is_right(pin: str, pin_hash: str) -> bool:
    try:
        return _HASHER.verify(pin_hash, pin)
    except VerifyMismatchError:
        return False


@cache
def _nobodys_hash() -> str:
    """Compared when the initials are unknown, so that both answers take the same time."""
    return _HASHER.hash(secrets.token_hex(16))


def _tries_left(worker: Worker | None) -> int:
    """Also for unknown initials a number, so that the answer does not tell who exists."""
    return MOST_TRIES - 1 - (worker.wrong_pins if worker else 0)
