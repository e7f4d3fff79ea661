"""The entries of one action, and what has happened since an entry: for what is written in bulk."""

from __future__ import annotations

from typing import Any

from sqlalchemy import Connection, func, select

from app.records.entry import Entry
from app.records.queries import day_log
from app.records.rows import entry_from_row


def entries_of_token(connection: Connection, token: str) -> list[Entry]:
    """The entries of one action: its token's own, and those whose tokens follow from it."""
    mine = (day_log.c.token == token) | _follows(token)
    ordered = select(day_log).where(mine).order_by(day_log.c.seq)
    return [entry_from_row(dict(row)) for row in connection.execute(ordered).mappings()]


def kinds_of_token(connection: Connection, token: str) -> dict[str, int]:
    """How many entries of each kind one action wrote."""
    mine = (day_log.c.token == token) | _follows(token)
    counted = select(day_log.c.kind, func.count()).where(mine).group_by(day_log.c.kind)
    return {str(row[0]): int(row[1]) for row in connection.execute(counted)}


def _follows(token: str) -> Any:
    # A range, which the index of tokens serves; `/` comes after `.`, and no client sends either.
    return day_log.c.token.between(f"{token}.", f"{token}/")


def lines_after(connection: Connection, seq: int) -> set[str]:
    """The lines that entries whose number is above `seq` speak of."""
    newer = select(day_log.c.line_id).where(day_log.c.seq > seq, day_log.c.line_id.is_not(None))
    return set(connection.execute(newer).scalars())


def kinds_after(connection: Connection, seq: int) -> set[str]:
    """The kinds of the entries whose number is above `seq`."""
    newer = select(day_log.c.kind).where(day_log.c.seq > seq).distinct()
    return set(connection.execute(newer).scalars())
