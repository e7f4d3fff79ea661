"""Heads of the log, signed by the laptop: how a log that was cut off or put back is noticed.

With every commit the newest head is signed, in the same transaction. It is also written
beside the database, after the commit and without a sync: it may be older than the record,
after a power cut, and never newer, unless somebody put an older record back.
"""

from __future__ import annotations

import contextlib
import json
import os
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from pathlib import Path

from sqlalchemy import Connection, bindparam, delete, insert, select

from app.records import queries
from app.records.bodies import PackageLoaded
from app.records.bodies_trust import LogKeyChanged
from app.records.entry import Entry, Head
from app.records.tables import HeadSignatureRow, table
from app.rules.faults import StorageRefused
from app.trust.log_key import LogKey, is_signed

head_signatures = table(HeadSignatureRow)

# The row of `about` that keeps the private half of the key.
LOG_KEY = "log_key"
# Kinds of entries that name the key from which on heads are signed.
KEY_KINDS = (PackageLoaded.kind, LogKeyChanged.kind)
ENDING = ".head"
# One older signature is kept for so many entries: enough to show what a log once was, and few
# enough that checking them all takes a blink for the longest day.
KEPT_EVERY = 256
# The file is written over in place, always this long: a number, two hashes and their names.
_FILE_BYTES = 320

_SIGN = insert(head_signatures)
_FORGET = delete(head_signatures).where(
    head_signatures.c.seq < bindparam("newest"), head_signatures.c.seq > bindparam("kept")
)
_NEWEST = select(head_signatures).order_by(head_signatures.c.seq.desc()).limit(1)


@dataclass(frozen=True, slots=True)
class SignedHead:
    seq: int
    hash: str
    signature: str

    def is_of(self, public_key: str) -> bool:
        return is_signed(public_key, self.seq, self.hash, self.signature)


class HeadSigner:
    """Signs for one writer. `database` None where the record is no file on this laptop."""

    def __init__(self, database: Path | None) -> None:
        self._path = None if database is None else path_beside(database)
        self._key: LogKey | None = None
        self._signed: SignedHead | None = None

    def sign(self, connection: Connection, entries: Sequence[Entry]) -> None:
        """Sign the head that `entries` made, inside the transaction that appended them."""
        # Where the record is no file, another program may have made a new key meanwhile.
        is_shared = self._path is None
        if self._key is None or is_shared or any(entry.kind in KEY_KINDS for entry in entries):
            self._key = _stored_key(connection)
        last = entries[-1]
        signature = self._key.sign(last.seq, last.hash)
        row = {"seq": last.seq, "hash": last.hash, "signature": signature}
        connection.execute(_SIGN, row)
        kept = (last.seq - 1) // KEPT_EVERY * KEPT_EVERY
        connection.execute(_FORGET, {"newest": last.seq, "kept": kept})
        self._signed = SignedHead(last.seq, last.hash, signature)

    def committed(self) -> None:
        """Write beside the database what was signed. Where it cannot be, nothing is lost."""
        if self._path is not None and self._signed is not None:
            with contextlib.suppress(OSError):
                _write(self._path, self._signed)
        self._signed = None

    def failed(self) -> None:
        """The commit is in doubt: the key is read again, and nothing is said of a head."""
        self._key = self._signed = None


def make_key(connection: Connection) -> str:
    """Make the key of this record, anew where it has one; its public half, for an entry."""
    key = LogKey.fresh()
    connection.execute(delete(queries.about).where(queries.about.c.name == LOG_KEY))
    connection.execute(insert(queries.about), {"name": LOG_KEY, "text": key.private_text})
    return key.public_text


def all_signed(connection: Connection) -> list[SignedHead]:
    """Every signature that is kept, by entry."""
    rows = connection.execute(select(head_signatures).order_by(head_signatures.c.seq))
    return [SignedHead(row.seq, row.hash, row.signature) for row in rows]


def newest_signed(connection: Connection) -> SignedHead | None:
    row = connection.execute(_NEWEST).first()
    return None if row is None else SignedHead(row.seq, row.hash, row.signature)


def key_named_in(entry: Entry) -> str:
    """The public key that an entry of KEY_KINDS names."""
    return str(entry.body["log_key"])


class SignaturesFollowed:
    """Compares signed heads with a log that is read from entry 1 on.

    `beside` is the newest head that was kept outside the record: where the key of this log did
    not sign it, it is another record's, or half written, and tells nothing.
    """

    def __init__(self, signed: Iterable[SignedHead], beside: SignedHead | None = None) -> None:
        self._signed = {one.seq: one for one in signed}
        self._beside = beside
        self._keys: list[str] = []

    def fault_at(self, entry: Entry) -> str | None:
        """What does not fit at this entry; entries come in order."""
        if entry.kind in KEY_KINDS:
            self._keys.append(key_named_in(entry))
        one, beside = self._signed.get(entry.seq), self._beside
        if one and (one.hash != entry.hash or not one.is_of(self._keys[-1])):
            return f"the signature of entry {entry.seq} is not this laptop's, or of another log"
        if (
            beside
            and beside.seq == entry.seq
            and beside.hash != entry.hash
            and self._is_own(beside)
        ):
            return _other(entry.seq)
        return None

    def fault_at_end(self, head: Head) -> str | None:
        """What does not fit once the last entry was read."""
        kept = [*self._signed.values(), *([self._beside] if self._beside else [])]
        newest = max((one for one in kept if self._is_own(one)), key=_seq, default=None)
        if newest is not None and newest.seq > head.seq:
            return _cut(head, newest)
        if head.seq not in self._signed:
            return f"the end of the log, entry {head.seq}, is not signed by this laptop"
        return None

    def _is_own(self, one: SignedHead) -> bool:
        return any(one.is_of(key) for key in self._keys)


def check_at_start(connection: Connection, database: Path | None) -> None:
    """StorageRefused where the log ended later once, or its end is not as it was signed.

    Only the end: everything before it is looked at by `verify`.
    """
    head = queries.head(connection)
    if head.seq == 0:
        return
    newest = newest_signed(connection)
    beside = None if database is None else read_beside(database)
    followed = SignaturesFollowed([newest] if newest else [], beside)
    looked_at = queries.entries_of(connection, *KEY_KINDS)
    seqs = {one.seq for one in (newest, beside) if one and one.seq <= head.seq}
    looked_at += [queries.entry(connection, seq) for seq in seqs]
    faults = [followed.fault_at(entry) for entry in sorted(looked_at, key=_seq)]
    fault = followed.fault_at_end(head) or next(filter(None, faults), None)
    if fault:
        raise StorageRefused(why=f"{fault}. {_what_to_do(database)}")


def path_beside(database: Path) -> Path:
    return database.with_name(database.name + ENDING)


def read_beside(database: Path) -> SignedHead | None:
    """The newest head written beside the database; None where it was not, or not whole."""
    try:
        with path_beside(database).open("rb") as file:
            read = json.loads(file.read(_FILE_BYTES))
        return SignedHead(int(read["seq"]), str(read["hash"]), str(read["signature"]))
    except (OSError, ValueError, KeyError, TypeError, RecursionError):
        return None


def _cut(head: Head, newest: SignedHead) -> str:
    return (
        f"the log ends with entry {head.seq}, but this laptop signed it up to entry "
        f"{newest.seq}: its end was cut off, or an older copy was put back"
    )


def _other(seq: int) -> str:
    return f"entry {seq} is not the one that this laptop signed: another record was put back"


def _seq(one: SignedHead | Entry) -> int:
    return one.seq


def _what_to_do(database: Path | None) -> str:
    beside = f", and only then take {path_beside(database).name} away" if database else ""
    return (
        "Keep every file as it is and call the registrar. Look for the newer record: a second "
        "copy, the other laptop. Where there is none the registrar decides whether to go on with "
        f"this one{beside}; write down who decided"
    )


def _stored_key(connection: Connection) -> LogKey:
    text = queries.about_text(connection, LOG_KEY)
    if text is None:
        raise StorageRefused(why="the record has no key to sign its log with")
    return LogKey.from_text(text)


def _write(path: Path, signed: SignedHead) -> None:
    said = json.dumps({"seq": signed.seq, "hash": signed.hash, "signature": signed.signature})
    flags = os.O_WRONLY | os.O_CREAT | getattr(os, "O_BINARY", 0)
    handle = os.open(path, flags, 0o600)
    try:
        os.write(handle, said.encode().ljust(_FILE_BYTES))
    finally:
        os.close(handle)
