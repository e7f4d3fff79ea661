"""What the log says of the laptop itself, refolded: its key, its epoch, who is let in or on.

Rows that are missing are no fault here: sign-ons end, and stations do not come along with a bundle.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field

from sqlalchemy import Connection, select

from app.records import queries
from app.records.entry import Entry
from app.records.signed_heads import LOG_KEY, key_named_in
from app.records.standby_epoch import epoch_of, newer_than_own
from app.records.stations import stations
from app.records.unreadable import UNREADABLE, short
from app.trust.log_key import LogKey


@dataclass(slots=True)
class LaptopSoFar:
    """`took_over` is the last entry of that kind. Stations by identifier: the entries that let
    them in and took them out. Sign-ons by token.
    """

    key: Entry | None = None
    took_over: Entry | None = None
    joined: dict[str, set[int]] = field(default_factory=lambda: defaultdict(set))
    revoked: dict[str, set[int]] = field(default_factory=lambda: defaultdict(set))
    sign_ons: dict[str, Entry] = field(default_factory=dict)

    def fold(self, entry: Entry) -> None:
        """Any entry, from the first on."""
        change = _CHANGES.get(entry.kind)
        if change:
            change(self, entry)

    def fault(self, connection: Connection) -> str | None:
        """What is kept of the laptop and is not what the log says; None where all agrees."""
        for what, fault_of in _FAULTS.items():
            try:
                fault = fault_of(self, connection)
            except UNREADABLE as error:
                return f"{what} cannot be read: {short(error)}"
            if fault:
                return fault
        return None


def _key_named(laptop: LaptopSoFar, entry: Entry) -> None:
    laptop.key = entry


def _took_over(laptop: LaptopSoFar, entry: Entry) -> None:
    laptop.took_over = entry


def _joined(laptop: LaptopSoFar, entry: Entry) -> None:
    laptop.joined[entry.body["station_id"]].add(entry.seq)


def _revoked(laptop: LaptopSoFar, entry: Entry) -> None:
    laptop.revoked[entry.body["station_id"]].add(entry.seq)


def _signed_on(laptop: LaptopSoFar, entry: Entry) -> None:
    laptop.sign_ons[entry.token] = entry


_CHANGES: Mapping[str, Callable[[LaptopSoFar, Entry], None]] = {
    "package.loaded": _key_named,
    "log.key_changed": _key_named,
    "laptop.took_over": _took_over,
    "station.joined": _joined,
    "station.revoked": _revoked,
    "worker.signed_on": _signed_on,
}


def _key_fault(laptop: LaptopSoFar, connection: Connection) -> str | None:
    """Whoever has another key here could go on with another log."""
    if laptop.key is None:
        return None
    kept = queries.about_text(connection, LOG_KEY)
    if kept is None:
        return "the key that signs the log is missing"
    if LogKey.from_text(kept).public_text != key_named_in(laptop.key):
        return f"the key that signs the log is not the one that entry {laptop.key.seq} names"
    return None


def _epoch_fault(laptop: LaptopSoFar, connection: Connection) -> str | None:
    """An epoch that this laptop only heard of stands in no entry."""
    epoch, _ = epoch_of(connection), newer_than_own(connection)
    last = laptop.took_over
    said = 0 if last is None else last.body["epoch"]
    if epoch == said:
        return None
    by = "no laptop took over" if last is None else f"entry {last.seq} says {said}"
    return f"the record is kept as that of epoch {epoch}, and {by}"


def _station_fault(laptop: LaptopSoFar, connection: Connection) -> str | None:
    for row in connection.execute(select(stations).order_by(stations.c.joined_seq)):
        if row.joined_seq not in laptop.joined.get(row.station_id, ()):
            return f"the station {row.name} is kept as let in, and no entry let it in"
        revoked = laptop.revoked.get(row.station_id, ())
        if row.revoked_seq not in (revoked or (None,)):
            by = f"entry {max(revoked)} took it out" if revoked else "no entry took it out"
            return f"the station of entry {row.joined_seq} stands otherwise: {by}"
    return None


def _sign_on_fault(laptop: LaptopSoFar, connection: Connection) -> str | None:
    for row in connection.execute(select(queries.sign_ons)):
        entry = laptop.sign_ons.get(row.token)
        if entry is None:
            return f"somebody is kept as signed on at {row.station}, and no entry signed them on"
        if (entry.worker_id, entry.station) != (row.worker_id, row.station):
            return f"the sign-on of entry {entry.seq} is kept for another worker or table"
    return None


_FAULTS: Mapping[str, Callable[[LaptopSoFar, Connection], str | None]] = {
    "the key that signs the log": _key_fault,
    "the epoch of the record": _epoch_fault,
    "a station": _station_fault,
    "a sign-on": _sign_on_fault,
}
