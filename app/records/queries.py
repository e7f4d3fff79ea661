"""Reading the tables. Every function takes an open connection, inside or outside a write."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from datetime import date
from typing import Any

from sqlalchemy import Connection, bindparam, func, select

from app.records.corrected import all_as_corrected, all_details, as_corrected, details_of
from app.records.entry import Entry, Head
from app.records.fold import DAY_KINDS, fold_day
from app.records.rows import (
    entry_from_row,
    line_from_row,
    setting_from_text,
    state_from_text,
)
from app.records.tables import (
    AboutRow,
    DrawingRow,
    ElsewhereRow,
    EntryRow,
    EnvelopeRow,
    LaterLookAlikeRow,
    LineRow,
    LineStateRow,
    PersonalRow,
    SignOnRow,
    WorkerRow,
    table,
)
from app.rules.faults import DayNotLoaded, NotFound
from app.rules.line import Line, LineState, Standing
from app.rules.moment import DayState
from app.rules.setting import Setting

about, day_log, drawing = table(AboutRow), table(EntryRow), table(DrawingRow)
lines, line_states = table(LineRow), table(LineStateRow)
later_look_alikes, personal = table(LaterLookAlikeRow), table(PersonalRow)
elsewhere, envelopes = table(ElsewhereRow), table(EnvelopeRow)
workers, sign_ons = table(WorkerRow), table(SignOnRow)

# Every signature asks these: built once, since building a statement costs more than running it.
_NEWEST = select(day_log.c.seq, day_log.c.hash).order_by(day_log.c.seq.desc()).limit(1)
_BEGAN = select(day_log.c.hash).where(day_log.c.seq == 1)
_LINE = select(lines).where(lines.c.line_id == bindparam("line_id"))
_ADDED_ALIKE = select(later_look_alikes.c.added_id).where(
    later_look_alikes.c.line_id == bindparam("line_id")
)
_STATE = select(line_states).where(line_states.c.line_id == bindparam("line_id"))
_BY_TOKEN = select(day_log).where(day_log.c.token == bindparam("token"))
_OF_LINE = select(day_log).where(day_log.c.line_id == bindparam("line_id")).order_by(day_log.c.seq)
_TURNS = select(day_log).where(day_log.c.kind.in_(list(DAY_KINDS))).order_by(day_log.c.seq)
_SIGN_ON = (
    select(workers, sign_ons.c.station, sign_ons.c.device, sign_ons.c.is_covered)
    .join(sign_ons, sign_ons.c.worker_id == workers.c.worker_id)
    .where(sign_ons.c.secret_digest == bindparam("secret_digest"))
)

# An integer of PostgreSQL has four bytes, and no log two thousand million entries.
_BEYOND_ANY_LOG = 1 << 31
# SQLite allows 32,766 parameters in a statement, PostgreSQL 65,535: stay well below.
IDS_AT_ONCE = 10_000
# Rows a statement that inserts: large enough for speed, small enough for the same limits.
ROWS_AT_ONCE = 500


@dataclass(frozen=True, slots=True)
class StoredState:
    """A line's derived state with the version that compare-and-set compares."""

    state: LineState
    version: int


@dataclass(frozen=True, slots=True)
class Worker:
    worker_id: str
    name: str
    initials: str
    role: str
    pin_hash: str


@dataclass(frozen=True, slots=True)
class SignOn:
    """`device` is the joined station, empty for the laptop itself."""

    worker: Worker
    station: str
    device: str = ""
    is_covered: bool = False


def head(connection: Connection) -> Head:
    """The newest entry's number and hash."""
    row = connection.execute(_NEWEST).first()
    return Head(row.seq, row.hash) if row else Head()


def began(connection: Connection) -> str:
    """The hash of entry 1, by which one record is told from another; empty before there is any."""
    return connection.execute(_BEGAN).scalar() or ""


def has_hash(connection: Connection, entry_hash: str) -> bool:
    """Whether an entry has this hash; looks through the whole log."""
    found = select(day_log.c.seq).where(day_log.c.hash == entry_hash).limit(1)
    return connection.execute(found).first() is not None


def has_head(connection: Connection, head: Head) -> bool:
    """Whether the log has the entry that `head` names: the same number with the same hash."""
    try:
        return entry(connection, head.seq).hash == head.hash
    except NotFound:
        return False


def about_text(connection: Connection, name: str) -> str | None:
    """A fact about the database itself, None where it is not there."""
    row = connection.execute(select(about.c.text).where(about.c.name == name)).first()
    return None if row is None else str(row.text)


def setting(connection: Connection) -> Setting:
    """The setting of the loaded day; DayNotLoaded where none is."""
    text = about_text(connection, "setting")
    if text is None:
        raise DayNotLoaded
    return setting_from_text(text)


def line(connection: Connection, line_id: str) -> Line:
    """The line as it stands now: corrected, with all its look-alikes.

    NotFound where there is none with this identifier.
    """
    stored = as_corrected(line_as_stored(connection, line_id), details_of(connection, line_id))
    added = connection.execute(_ADDED_ALIKE, {"line_id": line_id}).scalars()
    return _with_added(stored, [str(other) for other in added])


def line_as_stored(connection: Connection, line_id: str) -> Line:
    """The line as its own row has it: without corrections, or look-alikes that came later."""
    row = connection.execute(_LINE, {"line_id": line_id}).mappings().first()
    if row is None:
        raise NotFound(what="line")
    return line_from_row(dict(row))


def all_lines(connection: Connection) -> Iterator[Line]:
    """Every line, by line_id, each as its own row has it."""
    for row in connection.execute(select(lines).order_by(lines.c.line_id)).mappings():
        yield line_from_row(dict(row))


def all_lines_now(connection: Connection) -> Iterator[Line]:
    """Every line as it stands now, but without the look-alikes that came later."""
    return all_as_corrected(connection, all_lines(connection))


def lines_born_on(connection: Connection, birth_date: date) -> list[Line]:
    """The lines with this birth date, as printed or as corrected; each as it stands now."""
    born = select(lines).where(lines.c.birth_date == birth_date.isoformat())
    found = [line_from_row(dict(row)) for row in connection.execute(born).mappings()]
    corrected = [
        line_as_stored(connection, line_id)
        for line_id, details in all_details(connection).items()
        if details.get("birth_date") == birth_date.isoformat()
    ]
    together = {line.line_id: line for line in (*found, *corrected)}
    return list(all_as_corrected(connection, together.values()))


def lines_numbered(connection: Connection, voter_number: str) -> list[Line]:
    """The lines with this voter number, each as it stands now."""
    numbered = select(lines).where(lines.c.voter_number == voter_number)
    found = (line_from_row(dict(row)) for row in connection.execute(numbered).mappings())
    return list(all_as_corrected(connection, found))


def added_lines(connection: Connection) -> list[Line]:
    """The lines that were added today, each as its own row has it."""
    ids = sorted(ids_of_added_lines(connection))
    return [
        line_from_row(dict(row))
        for some in _in_parts(ids)
        for row in connection.execute(select(lines).where(lines.c.line_id.in_(some))).mappings()
    ]


def ids_of_added_lines(connection: Connection) -> set[str]:
    """The identifiers of the lines that the log says were added."""
    ids = select(day_log.c.line_id).where(day_log.c.kind == "line.added")
    return set(connection.execute(ids).scalars())


def lines_with(connection: Connection, line_ids: Sequence[str]) -> dict[str, Line]:
    """The lines among `line_ids` that exist, by identifier, as they stand now."""
    corrected = all_details(connection)
    found = {
        row["line_id"]: as_corrected(line_from_row(dict(row)), corrected.get(row["line_id"], {}))
        for some in _in_parts(line_ids)
        for row in connection.execute(select(lines).where(lines.c.line_id.in_(some))).mappings()
    }
    added: dict[str, list[str]] = {}
    pairs = later_look_alikes
    for some in _in_parts(line_ids):
        for row in connection.execute(select(pairs).where(pairs.c.line_id.in_(some))):
            added.setdefault(row.line_id, []).append(row.added_id)
    return {
        line_id: _with_added(stored, added.get(line_id, [])) for line_id, stored in found.items()
    }


def _with_added(stored: Line, added: list[str]) -> Line:
    if not added:
        return stored
    together = dict.fromkeys((*stored.look_alikes, *sorted(added)))
    return replace(stored, look_alikes=tuple(together))


def stored_state(connection: Connection, line_id: str) -> StoredState:
    """The derived state of one line; NotFound where there is no such line."""
    row = connection.execute(_STATE, {"line_id": line_id}).first()
    if row is None:
        raise NotFound(what="line")
    return StoredState(state_from_text(row.state), row.version)


def stored_states(connection: Connection, line_ids: Sequence[str]) -> dict[str, StoredState]:
    """The derived states of the lines among `line_ids` that exist."""
    return {
        row.line_id: StoredState(state_from_text(row.state), row.version)
        for some in _in_parts(line_ids)
        for row in connection.execute(select(line_states).where(line_states.c.line_id.in_(some)))
    }


def counts(connection: Connection) -> dict[str, int]:
    """How many lines stand how: a count for each `Standing`, and `lines` for all."""
    by_standing = select(line_states.c.standing, func.count()).group_by(line_states.c.standing)
    found = {str(row[0]): int(row[1]) for row in connection.execute(by_standing)}
    return {
        "lines": sum(found.values()),
        **{standing.value: found.get(standing.value, 0) for standing in Standing},
    }


def left_count(connection: Connection) -> int:
    """How many of the signed left without voting."""
    left = select(func.count()).select_from(line_states).where(line_states.c.has_left)
    return int(connection.execute(left).scalar_one())


def kind_count(connection: Connection, kind: str) -> int:
    """How many entries of a kind the log has."""
    of_kind = select(func.count()).select_from(day_log).where(day_log.c.kind == kind)
    return int(connection.execute(of_kind).scalar_one())


def day_state(connection: Connection) -> DayState:
    """Which turns of the day have been taken."""
    return fold_day(_entries(connection, _TURNS))


def entry_by_token(connection: Connection, token: str) -> Entry | None:
    row = connection.execute(_BY_TOKEN, {"token": token}).mappings().first()
    return entry_from_row(dict(row)) if row else None


def entries_after(connection: Connection, seq: int, limit: int | None = None) -> Iterator[Entry]:
    """The entries whose number is above `seq`, in order."""
    after = min(seq, _BEYOND_ANY_LOG - 1)
    newer = select(day_log).where(day_log.c.seq > after).order_by(day_log.c.seq).limit(limit)
    return _entries(connection, newer)


def entries_of(connection: Connection, *kinds: str) -> list[Entry]:
    """Every entry of these kinds, oldest first."""
    of_kind = select(day_log).where(day_log.c.kind.in_(kinds)).order_by(day_log.c.seq)
    return list(_entries(connection, of_kind))


def entry(connection: Connection, seq: int) -> Entry:
    """NotFound where the log has no such entry, also for numbers that no log can reach."""
    if not 0 < seq < _BEYOND_ANY_LOG:
        raise NotFound(what="entry")
    row = connection.execute(select(day_log).where(day_log.c.seq == seq)).mappings().first()
    if row is None:
        raise NotFound(what="entry")
    return entry_from_row(dict(row))


def history(connection: Connection, line_id: str) -> list[Entry]:
    """Everything the log says of one line, oldest first."""
    return list(_entries(connection, _OF_LINE, {"line_id": line_id}))


def strokes(connection: Connection, seq: int) -> str | None:
    """The pen strokes kept beside entry `seq`, as canonical JSON."""
    row = connection.execute(select(drawing.c.strokes).where(drawing.c.seq == seq)).first()
    return None if row is None else str(row.strokes)


def worker_by_initials(connection: Connection, initials: str) -> Worker | None:
    found = connection.execute(select(workers).where(workers.c.initials == initials))
    row = found.mappings().first()
    return Worker(**row) if row else None


def sign_on_by_digest(connection: Connection, secret_digest: str) -> SignOn | None:
    """Who is signed on with the browser secret of this digest, and at which station."""
    row = connection.execute(_SIGN_ON, {"secret_digest": secret_digest}).mappings().first()
    if row is None:
        return None
    values = dict(row)
    where = {name: values.pop(name) for name in ("station", "device", "is_covered")}
    return SignOn(Worker(**values), **where)


def _entries(
    connection: Connection, statement: Any, values: dict[str, Any] | None = None
) -> Iterator[Entry]:
    for row in connection.execute(statement, values).mappings():
        yield entry_from_row(dict(row))


def _in_parts(ids: Sequence[str]) -> Iterable[Sequence[str]]:
    return (ids[start : start + IDS_AT_ONCE] for start in range(0, len(ids), IDS_AT_ONCE))
