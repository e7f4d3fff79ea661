"""Workers: added by whoever sets the laptop up, signed on with initials and a PIN."""

from __future__ import annotations

import hashlib
import secrets
import threading
from dataclasses import dataclass
from functools import cache

from argon2 import PasswordHasher
from argon2.exceptions import VerifyMismatchError
from sqlalchemy import Connection

from app.desk import station_names
from app.desk.roster import Roster
from app.records import people, queries, stations
from app.records.bodies import WorkerSignedOff, WorkerSignedOn
from app.records.bodies_stations import WorkerSignOnEnded, WorkerUnlocked
from app.records.entry import Actor, Entry
from app.records.people import MOST_TRIES, NewWorker, WrongPins
from app.records.queries import SignOn, Worker
from app.records.store import Store
from app.records.unit import Unit
from app.rules.faults import (
    AlreadyThere,
    BadRequest,
    NotFound,
    NotJoined,
    TokenReused,
    WrongPin,
)

ROLES = ("worker", "lead", "registrar")

# OWASP's smallest Argon2id setting: 19 MiB, two passes; about 50 ms on a small laptop.
_HASHER = PasswordHasher(time_cost=2, memory_cost=19_456, parallelism=1)

# Each takes 19 MiB and a core: a guesser with many connections must not have them all.
_HASHING = threading.BoundedSemaphore(2)

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
    _check_form(pin)
    if not (1 <= len(initials) <= 4 and initials.isalpha()):
        raise BadRequest(field="initials", expected="1 to 4 letters")
    if not name.strip():
        raise BadRequest(field="name", expected="the worker's name")
    worker = NewWorker(
        secrets.token_hex(4), name.strip(), initials.upper(), role, _HASHER.hash(pin)
    )
    store.writer.write(lambda unit: people.add_worker(unit, worker))
    return worker.worker_id


def set_pin(store: Store, *, initials: str, pin: str) -> None:
    """Give a worker another PIN; NotFound for unknown initials."""
    _check_form(pin)
    wanted, pin_hash = initials.strip().upper(), _HASHER.hash(pin)
    store.writer.write(lambda unit: people.set_pin_hash(unit, wanted, pin_hash))


def unusable_pin_hash() -> str:
    """The hash of a PIN that nobody knows: for workers whose PINs did not come along."""
    return _HASHER.hash(secrets.token_urlsafe(SECRET_BYTES))


def _check_form(pin: str) -> None:
    if not (pin.isdigit() and pin.isascii() and len(pin) in PIN_LENGTHS):
        raise BadRequest(field="pin", expected="6 to 12 digits")


def sign_on(
    roster: Roster,
    *,
    initials: str,
    pin: str,
    station: str,
    token: str,
    device: str = "",
    in_place_of: str | None = None,
) -> SignedOn:
    """Check the PIN and remember the browser. Takes tens of milliseconds: not for an event loop.

    At a laptop that follows in memory alone, and no entry says so.
    WrongPin (with the tries left), PinWait or PinLocked. The same token again, with the right
    PIN, gives a fresh secret for the same sign-on and no second entry, TokenReused once it has
    ended. `device` is the joined station, empty for the laptop; NotJoined where it was taken out,
    AlreadyThere where the laptop's browser would have a joined station's name. The sign-on of the
    secret `in_place_of` ends.
    """
    worker = check_pin(roster, initials.strip().upper(), pin, device)
    secret = secrets.token_urlsafe(SECRET_BYTES)

    def keep(unit: Unit) -> None:
        _keep(unit, worker, station, token, {"secret_digest": digest(secret), "device": device})
        if in_place_of:
            people.end_sign_on(unit, digest(in_place_of))

    if roster.here:
        roster.here.begin(digest(secret), worker, station, token, device)
        roster.here.end(digest(in_place_of or ""))
    else:
        roster.store.writer.write(keep)
    if in_place_of:
        roster.sessions.ended(digest(in_place_of))
    roster.sessions.began(digest(secret))
    return SignedOn(worker, station, secret)


def unlock(
    roster: Roster, actor: Actor, token: str, *, worker_id: str, pin: str, device: str = ""
) -> None:
    """Let a worker try their PIN again; the lead types their own `pin` for it.

    Faults as for `sign_on`; NotFound for no such worker. Not for an event loop.
    """
    check_pin(roster, actor.initials, pin, device)

    def forgive(unit: Unit) -> Worker:
        worker = people.forgive_tries(unit, worker_id)
        if not unit.already(token, WorkerUnlocked.kind, unlocked=worker.initials):
            unit.append(actor, token, WorkerUnlocked(unlocked=worker.initials))
        return worker

    roster.tries.forgiven(roster.store.writer.write(forgive).initials)


def end_sign_on(unit: Unit, actor: Actor, token: str, seq: int) -> str | None:
    """The lead ends the sign-on that entry `seq` made; NotFound where there is none.

    Answers the digest of its secret, None where it was ended before.
    """
    if unit.already(token, WorkerSignOnEnded.kind, sign_on_seq=seq):
        return None
    ended = people.end_sign_on_of(unit, seq)
    if ended is None:
        raise NotFound(what="sign-on")
    body = WorkerSignOnEnded(
        ended=ended.worker.initials, ended_station=ended.station, sign_on_seq=seq
    )
    unit.append(actor, token, body)
    return ended.secret_digest


def sign_off(unit: Unit, actor: Actor, token: str, secret: str) -> None:
    """End the sign-on of this browser. Safe to call twice."""
    if not unit.already(token, WorkerSignedOff.kind):
        unit.append(actor, token, WorkerSignedOff())
    people.end_sign_on(unit, digest(secret))


def cover(roster: Roster, secret: str) -> None:
    """Answer this browser nothing more until the PIN is typed. Nobody waits for it.

    The browser was silent for so long that its page may lie open somewhere; the record must
    remember it beyond a restart.
    """
    if roster.here:
        roster.here.cover(digest(secret))
    else:
        roster.store.writer.submit(lambda unit: people.cover_sign_on(unit, digest(secret)))


def who(roster: Roster, secret: str) -> SignOn | None:
    """Who is signed on with this browser secret, None for nobody or where the shift is over."""
    if roster.sessions.is_over(digest(secret)):
        return None
    if roster.here:
        return roster.here.who(roster.store, digest(secret))
    return roster.store.read(
        lambda connection: queries.sign_on_by_digest(connection, digest(secret))
    )


def digest(secret: str) -> str:
    return hashlib.sha256(secret.encode()).hexdigest()


def _keep(unit: Unit, worker: Worker, station: str, token: str, row: dict[str, str]) -> None:
    _check_station(unit.connection, station, row["device"])
    before = unit.already(token, WorkerSignedOn.kind, role=worker.role)
    if before is None:
        actor = Actor(worker.worker_id, worker.initials, station)
        unit.append(actor, token, WorkerSignedOn(role=worker.role))
    elif not _stands(unit.connection, before, worker, station, row["device"]):
        raise TokenReused(seq=before.seq, kind=before.kind)
    row = {"worker_id": worker.worker_id, "station": station, **row}
    people.keep_sign_on(unit, token=token, row=row)


def _check_station(connection: Connection, station: str, device: str) -> None:
    """Asked where it is written: a PIN may have been on its way while a station was taken out."""
    joined = [one for one, _ in stations.all_stations(connection) if one.revoked_seq is None]
    if device:
        if device not in [one.station_id for one in joined]:
            raise NotJoined
    elif any(station_names.is_same(station, one.name) for one in joined):
        raise AlreadyThere(what="station", station=station)


def _stands(
    connection: Connection, before: Entry, worker: Worker, station: str, device: str
) -> bool:
    """Whether what `before` says is this sign-on, and it has not ended."""
    kept = [one for one in people.all_sign_ons(connection) if one.seq == before.seq]
    return [(one.worker.worker_id, one.station, one.device) for one in kept] == [
        (worker.worker_id, station, device)
    ]


def check_pin(roster: Roster, initials: str, pin: str, device: str) -> Worker:
    """The worker whose PIN this is; the try is counted before it is looked at.

    Faults as for `sign_on`. Not for an event loop.
    """
    if roster.here:
        worker, counted = roster.here.count(roster.store, initials, device)
    else:
        worker, counted = _count(roster, initials, device)
    with _HASHING:
        is_right = _is_right(pin, worker.pin_hash if worker else _nobodys_hash())
    if worker is None or not is_right:
        raise WrongPin(tries_left=MOST_TRIES - max(counted.wrong, counted.recent))
    if roster.here:
        roster.here.right(roster.store, initials, device)
    else:
        _was_right(roster, initials, device)
    return worker


def _count(roster: Roster, initials: str, device: str) -> tuple[Worker | None, WrongPins]:
    tries, store = roster.tries, roster.store
    # Looked at before the writer is asked, who has signatures to record.
    tries.check(initials, store.read(lambda record: people.wrong_pins(record, initials)), device)

    def count(unit: Unit) -> tuple[Worker | None, WrongPins]:
        kept = people.wrong_pins(unit.connection, initials)
        recent = tries.check(initials, kept, device, is_deciding=True)
        worker = people.count_try(unit, initials, recent)
        tries.counted(initials, device)
        return worker, WrongPins(kept.wrong + 1, recent + 1)

    return store.writer.write(count)


def _was_right(roster: Roster, initials: str, device: str) -> None:
    """The wrong ones of this hour stay counted: whoever signs on often must not hand out tries."""
    roster.tries.right(initials, device)
    recent = roster.tries.recent(initials, WrongPins())
    roster.store.writer.write(lambda unit: people.keep_wrong(unit, initials, WrongPins(0, recent)))


def _is_right(pin: str, pin_hash: str) -> bool:
    try:
        return _HASHER.verify(pin_hash, pin)
    except VerifyMismatchError:
        return False


@cache
def _nobodys_hash() -> str:
    """Compared when the initials are unknown, so that both answers take the same time."""
    return _HASHER.hash(secrets.token_hex(16))
