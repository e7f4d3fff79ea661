"""The exports of a bundle beside its log: the same people, the same numbers, the same hashes."""

from __future__ import annotations

import csv
import io
import json
from collections import Counter
from collections.abc import Mapping
from typing import Any

from app.desk.bundle_log import DoesNotHold
from app.papers.exports import participation as exported
from app.records.entry import Entry
from app.records.fold import DAY_KINDS, fold_day
from app.records.loading import line_id_of
from app.rules.balance import terms_of
from app.rules.day_facts import DayFacts
from app.rules.day_gathering import gathered
from app.rules.moment import Phase
from app.rules.register_columns import REGISTER_COLUMNS, STANDING_COLUMNS
from app.rules.spreadsheet_cells import as_written

PARTICIPATION, VOTER_RECORDS, EVENTS = "participation.csv", "participation.json", "events.json"
REGISTERS = ("register.csv", "supplemental.csv", "affidavits.csv")

Row = Mapping[str, str]


def check_counts(files: Mapping[str, bytes], entries: list[Entry]) -> None:
    """DoesNotHold where an export says something else than the log."""
    _check_closed(entries)
    facts = gathered(entries)
    people = _rows(PARTICIPATION, files, exported.HEADINGS)
    _check_participation(people, facts, {one.seq: one for one in entries})
    _check_voter_records(files, people)
    _check_registers(files, facts, str(entries[0].body["line_key"]))


def check_events(files: Mapping[str, bytes], entries: list[Entry]) -> tuple[str, str]:
    """When the bundle was made and by which version, as the export says."""
    try:
        log = json.loads(files[EVENTS])
        (device,) = log["Device"]
        said = [(one["Sequence"], one["Id"], one["Hash"]) for one in device["Event"]]
        made_at, version = str(log["GeneratedTime"]), str(device["Version"])
    except (ValueError, KeyError, TypeError, RecursionError):
        raise DoesNotHold(f"{EVENTS}: it cannot be read") from None
    if said != [(str(one.seq), one.kind, one.hash) for one in entries]:
        raise DoesNotHold(f"{EVENTS}: its events are not the entries of the log")
    return made_at, version


def _check_closed(entries: list[Entry]) -> None:
    """The polls are closed, and the balance is the one that the log amounts to."""
    if fold_day(one for one in entries if one.kind in DAY_KINDS).phase is not Phase.CLOSED:
        raise DoesNotHold("day-log.jsonl: the polls are not closed")
    closed = [one for one in entries if one.kind == "day.closed"][-1]
    balance = closed.body.get("balance")
    if balance is None:
        return
    facts = gathered(one for one in entries if one.seq < closed.seq)
    now = terms_of(facts, balance["counted_by"]).as_body()
    if any(now[name] != value for name, value in balance.items() if name in now):
        raise DoesNotHold(
            f"day-log.jsonl: the balance of entry {closed.seq} is not what the log amounts to"
        )


def _check_participation(people: list[Row], facts: DayFacts, entries: dict[int, Entry]) -> None:
    signed = {one.seq: line_id for line_id, one in facts.signed.items()}
    given = set(facts.provisional)
    line_key = str(entries[1].body["line_key"])
    for place, row in enumerate(people, 2):
        seq = int(row["entry"]) if row["entry"].isdecimal() else 0
        known = given if row["how"] == "provisional" else signed.keys()
        if seq not in known:
            raise DoesNotHold(f"{PARTICIPATION}: row {place} is not in the log, or there twice")
        if row["how"] == "provisional":
            given.discard(seq)
        else:
            _check_signed(place, row, signed.pop(seq), facts, line_key)
        _check_entry(place, row, entries[seq])
    left_out = sorted({*signed, *given})
    if left_out:
        raise DoesNotHold(f"{PARTICIPATION}: entry {left_out[0]} of the log is not in it")


def _check_signed(place: int, row: Row, line_id: str, facts: DayFacts, line_key: str) -> None:
    """How it is said to be is how it is; the number is that of the line that was signed."""
    by = facts.added.get(line_id)
    how = "affidavit" if by == "affidavit" else "signed"
    if row["how"] != ("left" if line_id in facts.left else how):
        raise DoesNotHold(f"{PARTICIPATION}: row {place} says another way than the log")
    if by is None and line_id_of(line_key, as_written(row["voter_number"])) != line_id:
        raise DoesNotHold(f"{PARTICIPATION}: row {place} is another voter than the one who signed")


def _check_entry(place: int, row: Row, entry: Entry) -> None:
    button, envelope = entry.body["ballot_button"], entry.body.get("envelope", "")
    said = (entry.initials, entry.station, "" if button is None else str(button), envelope)
    names = ("initials", "station", "ballot_button", "envelope")
    if tuple(as_written(row[name]) for name in names) != said:
        raise DoesNotHold(f"{PARTICIPATION}: row {place} is not what entry {entry.seq} says")


def _check_voter_records(files: Mapping[str, bytes], people: list[Row]) -> None:
    try:
        records = json.loads(files[VOTER_RECORDS])["VoterRecord"]
        found = Counter(_number(record["Voter"]) for record in records)
    except (ValueError, KeyError, TypeError, IndexError, RecursionError):
        raise DoesNotHold(f"{VOTER_RECORDS}: it cannot be read") from None
    counted = (row for row in people if row["how"] in exported.COUNTED)
    if found != Counter(as_written(row["voter_number"]) for row in counted):
        raise DoesNotHold(f"{VOTER_RECORDS}: its voters are not those of {PARTICIPATION}")


def _number(voter: dict[str, Any]) -> str:
    numbers = voter.get("VoterId", [])
    return str(numbers[0]["StringValue"]) if numbers else ""


def _check_registers(files: Mapping[str, bytes], facts: DayFacts, line_key: str) -> None:
    """Those who signed are signed there, and nobody else is."""
    headings = (*REGISTER_COLUMNS, *STANDING_COLUMNS)
    by_file = {name: _rows(name, files, headings) for name in REGISTERS}
    for name, rows in by_file.items():
        for place, row in enumerate(rows, 2):
            has_signed = bool(row["signed_at"])
            if (row["standing"] == "signed") != (has_signed and not row["removed_at"]):
                raise DoesNotHold(f"{name}: row {place} contradicts itself")
            line_id = line_id_of(line_key, as_written(row["voter_number"]))
            if line_id in facts.signed and not has_signed:
                raise DoesNotHold(f"{name}: row {place} is signed in the log, and not here")
    signed = sum(bool(row["signed_at"]) for rows in by_file.values() for row in rows)
    if signed != len(facts.signed):
        raise DoesNotHold(f"{', '.join(REGISTERS)}: as many are not signed there as in the log")


def _rows(name: str, files: Mapping[str, bytes], headings: tuple[str, ...]) -> list[Row]:
    try:
        reader = csv.reader(io.StringIO(files[name].decode(), newline=""), strict=True)
        first, *rows = reader
        found: list[Row] = [dict(zip(headings, row, strict=True)) for row in rows]
    except (ValueError, csv.Error):
        raise DoesNotHold(f"{name}: it cannot be read") from None
    if tuple(first) != headings:
        raise DoesNotHold(f"{name}: its headings are not those of this export")
    return found
