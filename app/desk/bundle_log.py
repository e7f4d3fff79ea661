"""The day log and what stands beside it, read back out of a bundle: no database, no server.

Every function raises `DoesNotHold` with the first thing that does not fit, named.
"""

from __future__ import annotations

import json
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

from pydantic import ValidationError

from app.desk import bundle_record
from app.records.bodies import BODY_OF_KIND
from app.records.entry import Entry, Head, canonical, sha256_hex
from app.records.late_lists import digest_of
from app.records.rows import setting_from_text
from app.records.signed_heads import SignaturesFollowed, SignedHead
from app.rules.setting import Setting

LOG = "day-log.jsonl"

# What reading of JSON that somebody else may have written can raise.
_UNREADABLE = (ValueError, KeyError, TypeError, AttributeError, RecursionError, ValidationError)


class DoesNotHold(Exception):
    """The first thing that does not fit; its text is a sentence without its full stop."""


@dataclass(frozen=True, slots=True)
class Beside:
    """What stood beside the log."""

    setting: Setting
    withheld: int


def read_log(data: bytes) -> list[Entry]:
    """The entries from the first on, every hash made again."""
    entries: list[Entry] = []
    head = Head()
    for entry in _entries(data):
        expected = head.seq + 1
        if entry.seq != expected:
            raise DoesNotHold(f"{LOG}: entry {expected} is missing")
        if entry.prev != head.hash:
            raise DoesNotHold(f"{LOG}: entry {expected} does not follow the entry before it")
        if entry.hash != entry.computed_hash():
            raise DoesNotHold(f"{LOG}: entry {expected} was changed: its hash does not fit")
        head = Head(entry.seq, entry.hash)
        entries.append(entry)
    if not entries or entries[0].kind != "package.loaded":
        raise DoesNotHold(f"{LOG}: it does not begin with package.loaded")
    return entries


def check_signatures(files: dict[str, bytes], entries: list[Entry]) -> None:
    """The laptop signed this log, and signed none that was longer."""
    name = bundle_record.SIGNATURES
    try:
        signed = [SignedHead(**json.loads(line)) for line in _lines(name, files[name])]
    except _UNREADABLE:
        raise DoesNotHold(f"{name}: it cannot be read") from None
    followed = SignaturesFollowed(signed)
    faults = [followed.fault_at(entry) for entry in entries]
    head = Head(entries[-1].seq, entries[-1].hash)
    fault = next(filter(None, faults), None) or followed.fault_at_end(head)
    if fault:
        raise DoesNotHold(f"{name}: {fault}")


def check_beside(files: dict[str, bytes], entries: list[Entry]) -> Beside:
    """Setting, workers, details, drawings and lists are those that the log speaks of."""
    setting = _setting(files, entries[0])
    _check_workers(files, entries)
    withheld = _check_details(files, entries) + _check_lists(files, entries)
    _check_drawings(files, entries)
    return Beside(setting, withheld)


def _entries(data: bytes) -> Iterator[Entry]:
    for number, line in enumerate(_lines(LOG, data), 1):
        try:
            entry = _entry(json.loads(line))
            BODY_OF_KIND[entry.kind].model_validate(entry.body, strict=False)
            written = canonical({"entry": entry.content, "hash": entry.hash, "prev": entry.prev})
        except _UNREADABLE:
            raise DoesNotHold(f"{LOG}: line {number} cannot be read") from None
        if written != line:
            raise DoesNotHold(f"{LOG}: line {number} is not in canonical form")
        yield entry


def _entry(row: dict[str, Any]) -> Entry:
    content = dict(row["entry"])
    worker = content.pop("worker")
    return Entry(
        **content,
        worker_id=worker["id"],
        initials=worker["initials"],
        prev=row["prev"],
        hash=row["hash"],
    )


def _setting(files: dict[str, bytes], loaded: Entry) -> Setting:
    name, data = bundle_record.SETTING, files[bundle_record.SETTING]
    if sha256_hex(data) != loaded.body["setting_sha256"]:
        raise DoesNotHold(f"{name}: it is not the setting that entry 1 loaded")
    try:
        setting = setting_from_text(data.decode())
    except _UNREADABLE:
        raise DoesNotHold(f"{name}: it cannot be read") from None
    known = (loaded.body["election_id"], loaded.body["precinct"])
    if (setting.election.id, setting.precinct.number) != known:
        raise DoesNotHold(f"{name}: election and precinct are not those of entry 1")
    return setting


def _check_workers(files: dict[str, bytes], entries: list[Entry]) -> None:
    name = bundle_record.WORKERS
    try:
        rows = json.loads(files[name])
        initials = {row["worker_id"]: row["initials"] for row in rows}
    except _UNREADABLE:
        raise DoesNotHold(f"{name}: it cannot be read") from None
    for entry in entries:
        if entry.initials and initials.get(entry.worker_id) != entry.initials:
            raise DoesNotHold(f"{name}: the worker of entry {entry.seq} is not there")


def _check_details(files: dict[str, bytes], entries: list[Entry]) -> int:
    """How many are withheld."""
    name = bundle_record.PERSONAL
    rows = _by_seq(name, files[name])
    said = _said(entries, "details_sha256")
    _check_same(name, rows.keys(), said.keys())
    for seq, digest in said.items():
        row = rows[seq]
        if set(row) == {"seq", "withheld"}:
            continue
        if sha256_hex(f"{row.get('salt')}{row.get('details')}".encode()) != digest:
            raise DoesNotHold(f"{name}: the details of entry {seq} are not those it speaks of")
    return sum("withheld" in row for row in rows.values())


def _check_drawings(files: dict[str, bytes], entries: list[Entry]) -> None:
    name = bundle_record.STROKES
    rows = _by_seq(name, files[name])
    said = _said(entries, "strokes_sha256")
    _check_same(name, rows.keys(), said.keys())
    for seq, digest in said.items():
        if sha256_hex(str(rows[seq].get("strokes")).encode()) != digest:
            raise DoesNotHold(f"{name}: the drawing of entry {seq} is not the one it speaks of")


def _check_lists(files: dict[str, bytes], entries: list[Entry]) -> int:
    """How many rows are withheld."""
    name = bundle_record.LISTS
    kept, withheld = {}, 0
    for line in _lines(name, files[name]):
        try:
            one = json.loads(line)
            kept[one["list"]["list_id"]] = one
            withheld += sum("withheld" in row for row in one["rows"])
        except _UNREADABLE:
            raise DoesNotHold(f"{name}: it cannot be read") from None
    for entry in entries:
        if entry.kind in ("late_list.applied", "late_list.started"):
            _check_list(name, entry, kept.get(entry.body["list_id"]))
    return withheld


def _check_list(name: str, entry: Entry, one: dict[str, Any] | None) -> None:
    if one is None:
        raise DoesNotHold(f"{name}: the list of entry {entry.seq} is missing")
    about, rows, body = one["list"], one["rows"], entry.body
    if (about.get("name"), about.get("kind")) != (body["name"], body["list_kind"]):
        raise DoesNotHold(f"{name}: the list of entry {entry.seq} is not the one it speaks of")
    if entry.kind == "late_list.started" or any("withheld" in row for row in rows):
        return
    if (
        digest_of(str(about.get("salt")), (str(row.get("row")) for row in rows))
        != body["rows_sha256"]
    ):
        raise DoesNotHold(f"{name}: the rows of the list of entry {entry.seq} are not its own")


def _said(entries: list[Entry], digest: str) -> dict[int, str]:
    """The digests of what stands beside the log, by the entries that speak of it."""
    return {one.seq: str(one.body[digest]) for one in entries if one.body.get(digest) is not None}


def _by_seq(name: str, data: bytes) -> dict[int, dict[str, Any]]:
    rows: dict[int, dict[str, Any]] = {}
    for number, line in enumerate(_lines(name, data), 1):
        try:
            row = json.loads(line)
            seq = int(row["seq"])
        except _UNREADABLE:
            raise DoesNotHold(f"{name}: line {number} cannot be read") from None
        if seq in rows:
            raise DoesNotHold(f"{name}: entry {seq} stands there twice")
        rows[seq] = row
    return rows


def _check_same(name: str, found: Any, said: Any) -> None:
    missing, extra = sorted(said - found), sorted(found - said)
    if missing:
        raise DoesNotHold(f"{name}: what entry {missing[0]} speaks of is missing")
    if extra:
        raise DoesNotHold(f"{name}: entry {extra[0]} speaks of nothing, and here it has something")


def _lines(name: str, data: bytes) -> list[str]:
    try:
        text = data.decode()
    except UnicodeDecodeError:
        raise DoesNotHold(f"{name}: it is not UTF-8") from None
    if text and not text.endswith("\n"):
        raise DoesNotHold(f"{name}: it ends in the middle of a line")
    return text.split("\n")[:-1]
