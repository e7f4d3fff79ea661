"""What needs the lead of the laptop itself, its copies, its stations and its door."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import suppress
from datetime import timedelta
from pathlib import Path

from app.desk.attention_look import Look
from app.desk.door import not_looked_at
from app.records import queries, waiting
from app.records.bodies_copies import LaptopTookOver
from app.records.clock import from_text
from app.records.copies import Standing
from app.records.replaced import replaced_by, replaced_path
from app.records.reserve import in_megabytes, nearly_full
from app.rules.attention import Item, Need, is_quiet
from app.rules.faults import StorageRefused
from app.rules.moment import Phase

# Whoever stands in line at its end still votes, so a silent table matters until closing.
_TABLES_WORK = frozenset({Phase.OPEN, Phase.CUT_OFF})


def quiet_stations(look: Look) -> Iterator[Item]:
    if look.day.phase not in _TABLES_WORK:
        return
    # On a database server a station may be at another server, which hears it.
    is_shared = look.roster.store.path is None
    for station, initials in waiting.signed_on_at(look.connection).items():
        if is_shared and not look.watch.stations.was_heard(station):
            continue
        silent = look.watch.stations.silent_seconds(station)
        if is_quiet(silent):
            # Whole seconds of the wall clock, so that the same silence has the same beginning.
            since = (look.now - timedelta(seconds=silent)).replace(microsecond=0)
            facts = {"station": station, "initials": initials, "seconds": int(silent)}
            yield Item(Need.STATION_QUIET, since, station, facts, station=station)


def failing_copies(look: Look) -> Iterator[Item]:
    for state in look.roster.store.copies.states:
        if state.standing not in (Standing.IN_STEP, Standing.WAITING):
            facts = {"which": state.which, "why": state.why, **look.office()}
            yield Item(Need.COPY_FAILING, state.since, state.which, facts)


def old_laptop(look: Look) -> Iterator[Item]:
    """Until the one that was replaced has said that it gives way."""
    database = look.roster.store.path
    if database is None or not replaced_path(database).exists():
        return
    for taken in queries.entries_of(look.connection, LaptopTookOver.kind)[-1:]:
        facts = {"address": _address_of(database), **look.office()}
        yield Item(Need.OLD_LAPTOP_UNTOLD, from_text(taken.at), str(taken.seq), facts)


def _address_of(database: Path) -> str:
    """Where the replaced laptop was; nothing where that cannot be read any more."""
    with suppress(StorageRefused):
        replaced = replaced_by(database)
        return replaced.followed.url if replaced else ""
    return ""


def refused_at_the_door(look: Look) -> Iterator[Item]:
    """One thing, however many kinds there are: whoever looks sees them all."""
    entries = not_looked_at(look.connection)
    if entries:
        latest = entries[-1].body
        facts = {
            "n": sum(entry.body["count"] for entry in entries),
            "address": latest["address"],
            "refused": sorted({entry.body["refused"] for entry in entries}),
        }
        since = from_text(entries[0].at)
        yield Item(Need.REFUSED_AT_THE_DOOR, since, str(entries[0].seq), facts)


def nearly_full_disk(look: Look) -> Iterator[Item]:
    """Since when cannot be told: it is what the disk says now."""
    free = nearly_full(look.roster.store.path)
    if free is not None:
        facts = {"megabytes": in_megabytes(free)}
        yield Item(Need.DISK_NEARLY_FULL, look.now, "disk", facts)
