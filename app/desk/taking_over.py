"""A laptop that followed takes over: the written act, and telling the one that it has replaced.

Whom it replaces is written beside the record first, then the act with the epoch in one
transaction, and only then it follows nobody any more: see `app.records.replaced.settle`.
"""

from __future__ import annotations

import secrets
from collections.abc import Mapping
from dataclasses import dataclass, replace
from pathlib import Path

from app.desk import joining
from app.desk.following import tell_that_this_one_took_over
from app.desk.irregularities import Opened, open_beside
from app.desk.standing_by import forget_secret
from app.records import people, queries, stations
from app.records.bodies_copies import LaptopGaveWay, LaptopTookOver
from app.records.clock import Clock
from app.records.engine import open_for_writing
from app.records.entry import PROGRAM, Actor, Entry
from app.records.people import WrongPins
from app.records.replaced import (
    Replaced,
    follow_nobody,
    forget_replaced,
    keep_replaced,
    replaced_by,
)
from app.records.standby_epoch import epoch_of, raise_epoch
from app.records.standby_record import followed_by
from app.records.store import Store
from app.records.unit import Unit
from app.records.writer import Announce, Writer
from app.rules.faults import NoStandby


@dataclass(frozen=True, slots=True)
class Act:
    """Who takes over, why, and the token that makes it safe to repeat.

    `wrong` are PINs that were typed wrong here while it followed: they count on.
    """

    actor: Actor
    token: str
    reason: str
    wrong: Mapping[str, WrongPins]


def take_over(database: Path, clock: Clock, act: Act, announce: Announce | None = None) -> Entry:
    """From now on the record at `database` is the one that is written; the entry that says so.

    Nothing may follow into it any more. NoStandby where it follows nobody.
    """
    followed = followed_by(database)
    if followed is None:
        raise NoStandby
    # No store: it is read-only as long as the record follows.
    engine = open_for_writing(f"sqlite:///{database.as_posix()}")
    with engine.connect() as connection:
        epoch = epoch_of(connection) + 1
    keep_replaced(database, Replaced(followed, epoch))
    writer = Writer(engine, clock, announce)
    try:
        entry = writer.write(lambda unit: _write(unit, act))
    finally:
        writer.close()
    follow_nobody(database)
    return entry


def tell(database: Path) -> bool:
    """Tell the laptop that was replaced; whether it gives way, or has said so before."""
    replaced = replaced_by(database)
    if replaced is None or replaced.is_told:
        return True
    if not tell_that_this_one_took_over(replaced.followed, replaced.epoch):
        return False
    keep_replaced(database, replace(replaced, is_told=True))
    return True


def tell_and_write_down(store: Store) -> bool:
    """As `tell`, and an entry once it gives way; True where nobody has to be told any more."""
    database = store.path
    replaced = None if database is None else replaced_by(database)
    if database is None or replaced is None:
        return True
    if not tell(database):
        return False
    store.writer.write(lambda unit: _write_down(unit, replaced.epoch))
    forget_replaced(database)
    return True


def write_up_no_stations(store: Store, place: str) -> None:
    """The lead is told that no other device is let in at `place`, where it should have been."""
    opened = Opened("other", "stations-not-served", "", {"place": place})
    token = secrets.token_hex(16)
    store.writer.write(lambda unit: open_beside(unit, PROGRAM, token, opened))


def _write(unit: Unit, act: Act) -> Entry:
    before = unit.already(act.token, LaptopTookOver.kind, reason=act.reason)
    if before:
        return before
    forget_secret(unit)
    for initials, here in act.wrong.items():
        kept = people.wrong_pins(unit.connection, initials)
        both = WrongPins(kept.wrong + here.wrong, kept.recent + here.recent)
        people.keep_wrong(unit, initials, both)
    _take_stations_out(unit, act)
    body = LaptopTookOver(epoch=raise_epoch(unit), reason=act.reason)
    return unit.append(act.actor, act.token, body)


def _take_stations_out(unit: Unit, act: Act) -> None:
    """They were let in at the other laptop's address; here they may have their names anew."""
    for station, _ in stations.all_stations(unit.connection):
        if station.revoked_seq is None:
            token = f"{act.token}.{station.station_id}"
            joining.revoke(unit, act.actor, token, station.station_id)


def _write_down(unit: Unit, epoch: int) -> None:
    said = queries.entries_of(unit.connection, LaptopGaveWay.kind)
    if all(entry.body["epoch"] != epoch for entry in said):
        unit.append(PROGRAM, secrets.token_hex(16), LaptopGaveWay(epoch=epoch))
