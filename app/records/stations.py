"""The stations that were let in: browsers on other devices, each bound to its secret."""

from __future__ import annotations

from dataclasses import asdict, dataclass

from sqlalchemy import Connection, insert, select, update

from app.records import queries
from app.records.tables import StationRow, table
from app.records.unit import Unit

stations = table(StationRow)


@dataclass(frozen=True, slots=True)
class Station:
    """A joined station; `revoked_seq` is None while it is let in."""

    station_id: str
    name: str
    secret_digest: str
    agent_digest: str
    address: str
    joined_seq: int
    revoked_seq: int | None = None


def keep_station(unit: Unit, station: Station) -> None:
    """Remember a station; the same one again replaces its secret."""
    kept = update(stations).where(stations.c.station_id == station.station_id)
    if not unit.connection.execute(kept.values(asdict(station))).rowcount:
        unit.connection.execute(insert(stations), asdict(station))


def revoke_station(unit: Unit, station_id: str, seq: int) -> None:
    """Entry `seq` takes it out."""
    mine = stations.c.station_id == station_id
    unit.connection.execute(update(stations).where(mine).values(revoked_seq=seq))


def all_stations(connection: Connection) -> list[tuple[Station, str]]:
    """Every station that ever joined and when, in the order of joining."""
    joined = queries.day_log.c.seq == stations.c.joined_seq
    rows = select(stations, queries.day_log.c.at).join(queries.day_log, joined)
    found = []
    for row in connection.execute(rows.order_by(stations.c.joined_seq)).mappings():
        values = dict(row)
        at = values.pop("at")
        found.append((Station(**values), str(at)))
    return found
