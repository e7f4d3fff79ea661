"""Several servers on one record: what one lets in or takes out, the doors of the others know."""

from __future__ import annotations

from collections.abc import Sequence

from app.api.door import Door
from app.api.live import Live
from app.records.bodies_stations import StationJoined, StationRevoked, WorkerSignOnEnded
from app.records.entry import Entry
from app.records.writer import Announce

_OF_STATIONS = frozenset({StationJoined.kind, StationRevoked.kind})
_LETS_GO = frozenset({StationRevoked.kind, WorkerSignOnEnded.kind})


def announcing(door: Door, live: Live) -> Announce:
    """What is told of entries: first to the door, where other servers write too, then to pages."""

    def announce(entries: Sequence[Entry]) -> None:
        if door.roster and door.roster.store.path is None:
            _know(door, live, {entry.kind for entry in entries})
        live.announce(entries)

    return announce


def _know(door: Door, live: Live, kinds: set[str]) -> None:
    if door.roster and kinds & _OF_STATIONS:
        door.let_in.load(door.roster)
    if kinds & _LETS_GO:
        # Which page it is only the server knows that let it in: whoever may, listens again.
        live.let_all_go()
