"""The tables, as rows only: nothing is checked here (see `rules`, `intake`, `api`).

Types are portable on purpose: text, integers and booleans. Times and dates are
ISO text, since the hash of an entry is taken over exactly what is stored.
"""

from __future__ import annotations

from typing import cast

from sqlalchemy import Table
from sqlmodel import Field, SQLModel

SCHEMA_VERSION = "5"


def table(model: type[SQLModel]) -> Table:
    """The Core table behind a model: rows are read and written in Core, which is quicker."""
    return cast(Table, model.__table__)  # type: ignore[attr-defined]


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


class PersonalRow(SQLModel, table=True):
    """What an entry says of a person, kept beside the log; the entry has a salted digest of it.

    `details` is canonical JSON; None where it is the line that the entry added. Without the
    salt nobody can try names and birth dates against the log.
    """

    __tablename__ = "personal"

    seq: int = Field(primary_key=True, foreign_key="day_log.seq")
    salt: str
    details: str | None


class ElsewhereRow(SQLModel, table=True):
    """A person of another precinct: as much as is needed to send them there."""

    __tablename__ = "elsewhere"

    elsewhere_id: str = Field(primary_key=True)
    last_name: str
    first_name: str
    middle_name: str
    suffix: str
    birth_year: int
    precinct: str
    polling_place: str
    place_address: str


class EnvelopeRow(SQLModel, table=True):
    """The envelope numbers used, in upper case, so that no two ballots share one."""

    __tablename__ = "envelope"

    envelope: str = Field(primary_key=True)
    seq: int = Field(foreign_key="day_log.seq")


class LaterLookAlikeRow(SQLModel, table=True):
    """A line that was there first, and an added one that it can be mistaken for."""

    __tablename__ = "later_look_alike"

    line_id: str = Field(primary_key=True, foreign_key="line.line_id")
    added_id: str = Field(primary_key=True, foreign_key="line.line_id")


class LineRow(SQLModel, table=True):
    """A printed line. `marks` and `look_alikes` are JSON lists."""

    __tablename__ = "line"

    line_id: str = Field(primary_key=True)
    part: str = Field(index=True)
    voter_number: str = Field(index=True)
    last_name: str
    first_name: str
    middle_name: str
    suffix: str
    birth_date: str = Field(index=True)
    mothers_maiden_name: str
    street_address: str
    city: str
    postal_code: str
    party: str
    ballot_button: int | None
    assistance: bool
    address_confirmation: bool
    inactive: bool
    first_time_by_mail: bool
    address_protected: bool
    marks: str
    look_alikes: str


class LineStateRow(SQLModel, table=True):
    """The derived state of a line: folded from its print and its entries.

    `version` counts the entries folded in and is what compare-and-set compares.
    `state` is the whole `LineState` as JSON; `has_left` says of it whether the voter
    signed and left without voting, so that it can be counted.
    """

    __tablename__ = "line_state"

    line_id: str = Field(primary_key=True, foreign_key="line.line_id")
    standing: str = Field(index=True)
    has_left: bool
    version: int
    state: str


class CorrectedLineRow(SQLModel, table=True):
    """What the registrar corrected on a line, JSON by column; the printed row stays."""

    __tablename__ = "corrected_line"

    line_id: str = Field(primary_key=True, foreign_key="line.line_id")
    details: str


class LateListRow(SQLModel, table=True):
    """A late list, kept beside the log. `about` is JSON: how a file was read.

    `status` is draft, applied, keying, finished or dropped; `salt` goes before the rows in
    their digest. `started_seq` and `done_seq` are its entries.
    """

    __tablename__ = "late_list"

    place: int = Field(primary_key=True, sa_column_kwargs={"autoincrement": False})
    list_id: str = Field(unique=True)
    token: str = Field(unique=True)
    kind: str
    form: str
    name: str
    status: str
    digest: str | None
    salt: str
    printed_total: int | None
    corrects: str | None
    about: str
    brought_by: str
    brought_at: str
    started_seq: int | None
    done_seq: int | None
    reason: str


class LateListedRow(SQLModel, table=True):
    """One row of a late list, as read, what a person decided, and what it did; all JSON."""

    __tablename__ = "late_list_row"

    list_id: str = Field(primary_key=True, foreign_key="late_list.list_id")
    row_number: int = Field(primary_key=True)
    row: str
    decision: str | None
    result: str | None


class LateGoneRow(SQLModel, table=True):
    """A line that the corrected list no longer names. `undo_seq` is what the earlier one did."""

    __tablename__ = "late_list_gone"

    list_id: str = Field(primary_key=True, foreign_key="late_list.list_id")
    line_id: str = Field(primary_key=True, foreign_key="line.line_id")
    row_number: int
    undo_seq: int = Field(foreign_key="day_log.seq")
    decision: str | None


class WorkerRow(SQLModel, table=True):
    """Who may sign on."""

    __tablename__ = "worker"

    worker_id: str = Field(primary_key=True)
    name: str
    initials: str = Field(unique=True)
    role: str
    pin_hash: str


class SignOnRow(SQLModel, table=True):
    """A worker signed on at a station. Only the digest of the browser's secret is kept.

    `device` is the joined station that the browser is, empty for the laptop itself. While it
    is covered nothing is answered to it until the PIN has been typed.
    """

    __tablename__ = "sign_on"

    secret_digest: str = Field(primary_key=True)
    token: str = Field(unique=True)
    worker_id: str = Field(foreign_key="worker.worker_id")
    station: str
    device: str = ""
    is_covered: bool = False


class PinTryRow(SQLModel, table=True):
    """PIN tries that were not right, by the initials that were typed, known here or not.

    `wrong` counts since the last right PIN or unlocking, `recent` those of the last hour as far
    as the running server knows: after a restart they all count as just made.
    """

    __tablename__ = "pin_try"

    initials: str = Field(primary_key=True)
    wrong: int
    recent: int


class StationRow(SQLModel, table=True):
    """A browser of another device that was let in with a code.

    Only digests are kept of its secret and of what it calls itself. `revoked_seq` is the entry
    that took it out again.
    """

    __tablename__ = "station"

    station_id: str = Field(primary_key=True)
    name: str
    secret_digest: str = Field(unique=True)
    agent_digest: str
    address: str
    joined_seq: int = Field(foreign_key="day_log.seq")
    revoked_seq: int | None = Field(default=None, foreign_key="day_log.seq")


class HeadSignatureRow(SQLModel, table=True):
    """A head of the log, signed by the laptop: the newest, and some older ones."""

    __tablename__ = "head_signature"

    seq: int = Field(primary_key=True, sa_column_kwargs={"autoincrement": False})
    hash: str
    signature: str
