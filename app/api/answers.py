"""What the API answers most often: receipts, entries, who did what and when."""

from __future__ import annotations

from typing import Any
from zoneinfo import ZoneInfo

from pydantic import BaseModel

from app.records.clock import from_text
from app.records.entry import Entry
from app.records.queries import Worker
from app.rules.line import Act


class Clockface:
    """Turns recorded times into the time at the polling place, for showing."""

    def __init__(self, time_zone: str) -> None:
        self.zone = ZoneInfo(time_zone)

    def __call__(self, at: str) -> str:
        return from_text(at).astimezone(self.zone).strftime("%H:%M")


class HeadAnswer(BaseModel):
    seq: int
    hash: str


class Receipt(BaseModel):
    """Proof that an action stands in the day log."""

    seq: int
    at: str
    local_time: str
    kind: str
    line_id: str | None
    station: str
    initials: str
    hash: str


class EntryAnswer(Receipt):
    """An entry with what it says."""

    body: dict[str, Any]


class LogAnswer(BaseModel):
    entries: list[EntryAnswer]
    head: HeadAnswer


class WorkerAnswer(BaseModel):
    worker_id: str
    name: str
    initials: str
    role: str


class SignOnAnswer(BaseModel):
    worker: WorkerAnswer
    station: str


class ActAnswer(BaseModel):
    seq: int
    at: str
    local_time: str
    station: str
    initials: str


def receipt(entry: Entry, clockface: Clockface) -> Receipt:
    return Receipt(**receipt_fields(entry, clockface))


def entry_answer(entry: Entry, clockface: Clockface) -> EntryAnswer:
    return EntryAnswer(**receipt_fields(entry, clockface), body=dict(entry.body))


def worker_answer(worker: Worker) -> WorkerAnswer:
    return WorkerAnswer(
        worker_id=worker.worker_id, name=worker.name, initials=worker.initials, role=worker.role
    )


def receipt_fields(entry: Entry, clockface: Clockface) -> dict[str, Any]:
    kept = {name: getattr(entry, name) for name in Receipt.model_fields if name != "local_time"}
    return {**kept, "local_time": clockface(entry.at)}


def stamp_fields(entry: Entry, clockface: Clockface) -> dict[str, Any]:
    """When, where and by whom an entry was recorded, for an answer that is no receipt."""
    kept = {name: getattr(entry, name) for name in ("seq", "at", "station", "initials")}
    return {**kept, "local_time": clockface(entry.at)}


def act_answer(act: Act | None, clockface: Clockface) -> ActAnswer | None:
    return None if act is None else ActAnswer(**act_fields(act, clockface))


def act_fields(act: Act, clockface: Clockface) -> dict[str, Any]:
    at = act.at.isoformat(timespec="milliseconds")
    return {
        "seq": act.seq,
        "at": at,
        "local_time": clockface(at),
        "station": act.station,
        "initials": act.initials,
    }
