"""The tables, as rows only: nothing is checked here (see `rules`, `intake`, `api`).

Types are portable on purpose: text, integers and booleans. Times and dates are
ISO text, since the hash of an entry is taken over exactly what is stored.
"""

from __future__ import annotations

from sqlmodel import Field, SQLModel

SCHEMA_VERSION = "1"


class AboutRow(SQLModel, table=True):
    """Facts about the database itself: `schema_version`, `setting`."""

    __tablename__ = "about"

    name: str = Field(primary_key=True)
    text: str


class EntryRow(SQLModel, table=True):
    """One entry of the day log. `body` is canonical JSON; hashes are lower-case hex."""

    __tablename__ = "day_log"

    seq: int = Field(primary_key=True, sa_column_kwargs={"autoincrement": False})
    at: str
    station: str
    worker_id: str
    initials: str
    token: str = Field(unique=True)
    kind: str = Field(index=True)
    line_id: str | None = Field(default=None, index=True)
    body: str
    nonce: str
    prev: str
    hash: str


class DrawingRow(SQLModel, table=True):
    """The pen strokes behind an entry; the entry itself keeps only their digest."""

    __tablename__ = "drawing"

    seq: int = Field(primary_key=True, foreign_key="day_log.seq")
    strokes: str


class LineRow(SQLModel, table=True):
    """A printed line. `marks` and `look_alikes` are JSON lists."""

    __tablename__ = "line"

    line_id: str = Field(primary_key=True)
    part: str
    voter_number: str = Field(index=True)
    last_name: str
    first_name: str
    middle_name: str
    suffix: str
    birth_date: str
    mothers_maiden_name: str
    street_address: str
    city: str
    postal_code: str
    party: str
    ballot_button: int | None
    assistance: bool
    address_confirmation: bool
    marks: str
    look_alikes: str


class LineStateRow(SQLModel, table=True):
    """The derived state of a line: folded from its print and its entries.

    `version` counts the entries folded in and is what compare-and-set compares.
    `state` is the whole `LineState` as JSON.
    """

    __tablename__ = "line_state"

    line_id: str = Field(primary_key=True, foreign_key="line.line_id")
    standing: str = Field(index=True)
    version: int
    state: str


class WorkerRow(SQLModel, table=True):
    """Who may sign on. `wrong_pins` counts tries since the last right one."""

    __tablename__ = "worker"

    worker_id: str = Field(primary_key=True)
    name: str
    initials: str = Field(unique=True)
    role: str
    pin_hash: str
    wrong_pins: int = 0


class SignOnRow(SQLModel, table=True):
    """A worker signed on at a station. Only the digest of the browser's secret is kept."""

    __tablename__ = "sign_on"

    secret_digest: str = Field(primary_key=True)
    token: str = Field(unique=True)
    worker_id: str = Field(foreign_key="worker.worker_id")
    station: str
