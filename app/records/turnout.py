"""Counting signatures, provisional ballots and marks in the log: numbers, and nobody's name.

The database counts by the minute, so that fifty thousand signatures are a few hundred rows; what
was withdrawn or moved is then taken out one by one.
"""

from __future__ import annotations

import json
from collections import Counter
from datetime import UTC, datetime
from typing import Any

from sqlalchemy import Connection, func, select

from app.records import queries
from app.records.bodies import (
    MarkRecorded,
    MarkWithdrawn,
    ProvisionalRecorded,
    ProvisionalWithdrawn,
    SignatureRecorded,
    SignatureWithdrawn,
)
from app.records.bodies_paper import PaperBegun
from app.records.rows import entry_from_row
from app.rules.line import Part
from app.rules.turnout import Counts

day_log, lines = queries.day_log, queries.lines

# `2027-03-02T14:05`: what of a recorded time says the minute.
_MINUTE = func.substr(day_log.c.at, 1, 16).label("minute")
_AFFIDAVIT = select(lines.c.line_id).where(lines.c.part == Part.AFFIDAVIT.value)
_SIGNED = (
    select(_MINUTE, func.count().label("signed"))
    .where(day_log.c.kind == SignatureRecorded.kind)
    .group_by(_MINUTE)
)

# A mark: its kind and where it is from.
MarkSource = tuple[str, str]


def counts_by_minute(connection: Connection) -> dict[datetime, Counts]:
    """What stands: signatures by the minute in which the voter signed, and provisional ballots."""
    every = _minutes(connection, _SIGNED)
    affidavit = _minutes(connection, _SIGNED.where(day_log.c.line_id.in_(_AFFIDAVIT)))
    ordinary = every.copy()
    ordinary.subtract(affidavit)
    _take_out_withdrawn(connection, ordinary, affidavit)
    provisional = _provisional(connection)
    found = {
        _moment(minute): Counts(ordinary[minute], affidavit[minute], provisional[minute])
        for minute in sorted({*ordinary, *affidavit, *provisional})
    }
    return {at: counts for at, counts in found.items() if counts != Counts()}


def caught_up_by_minute(connection: Connection) -> Counter[tuple[datetime, str, bool]]:
    """Signatures that stand and were keyed from paper with a time: when keyed, the time, affidavit?

    One that was moved since counts, as all do, from the minute in which it was first recorded.
    """
    found: Counter[tuple[datetime, str, bool]] = Counter()
    if not queries.kind_count(connection, PaperBegun.kind):
        return found
    is_paper = day_log.c.body.contains('"caught_up":{')
    mine = select(day_log).where(day_log.c.kind == SignatureRecorded.kind, is_paper)
    rows = connection.execute(mine.order_by(day_log.c.seq)).mappings()
    entries = [entry_from_row(dict(row)) for row in rows]
    first: dict[int, str] = {}
    on_affidavits = set(connection.execute(_AFFIDAVIT).scalars())
    states = queries.stored_states(connection, list({str(one.line_id) for one in entries}))
    for entry in entries:
        caught_up, line_id = entry.body["caught_up"], str(entry.line_id)
        minute = first.setdefault(caught_up["row_seq"], entry.at[:16])
        stands = states[line_id].state.signature
        if caught_up["at"] and stands and stands.seq == entry.seq:
            found[_moment(minute), caught_up["at"], line_id in on_affidavits] += 1
    return found


def _minutes(connection: Connection, statement: Any) -> Counter[str]:
    return Counter({row.minute: row.signed for row in connection.execute(statement)})


def _moment(minute: str) -> datetime:
    return datetime.fromisoformat(minute).replace(tzinfo=UTC)


def _take_out_withdrawn(
    connection: Connection, ordinary: Counter[str], affidavit: Counter[str]
) -> None:
    """Withdrawn signatures count no more; a moved one counts when the voter signed.

    The signature on the right line is the entry after the withdrawal, in the same transaction.
    """
    withdrawals = queries.entries_of(connection, SignatureWithdrawn.kind)
    if not withdrawals:
        return
    on_affidavits = set(connection.execute(_AFFIDAVIT).scalars())
    spoken_of = {entry.body["signature_seq"] for entry in withdrawals}
    spoken_of |= {entry.seq + 1 for entry in withdrawals if entry.body["moved_to"]}
    recorded = _recorded(connection, sorted(spoken_of))
    signed_in: dict[int, str] = {}
    for entry in withdrawals:
        seq = entry.body["signature_seq"]
        minute, line_id = recorded[seq]
        minute = signed_in.get(seq, minute)
        (affidavit if line_id in on_affidavits else ordinary)[minute] -= 1
        if entry.body["moved_to"]:
            signed_in[entry.seq + 1] = minute
            own, right = recorded[entry.seq + 1]
            counted = affidavit if right in on_affidavits else ordinary
            counted[own] -= 1
            counted[minute] += 1


def _recorded(connection: Connection, seqs: list[int]) -> dict[int, tuple[str, str]]:
    """Minute and line of the entries with these numbers."""
    found = {}
    for start in range(0, len(seqs), queries.IDS_AT_ONCE):
        some = seqs[start : start + queries.IDS_AT_ONCE]
        mine = select(day_log.c.seq, _MINUTE, day_log.c.line_id).where(day_log.c.seq.in_(some))
        found.update({row.seq: (row.minute, row.line_id) for row in connection.execute(mine)})
    return found


def _provisional(connection: Connection) -> Counter[str]:
    entries = queries.entries_of(connection, ProvisionalRecorded.kind, ProvisionalWithdrawn.kind)
    mistakes = {
        entry.body["provisional_seq"]
        for entry in entries
        if entry.kind == ProvisionalWithdrawn.kind
    }
    return Counter(
        entry.at[:16]
        for entry in entries
        if entry.kind == ProvisionalRecorded.kind and entry.seq not in mistakes
    )


def marks_by_source(connection: Connection) -> dict[MarkSource, int]:
    """The marks that stand, printed or from a list or a call, by kind and source.

    Of a line from which a mark was withdrawn the derived state says what stands.
    """
    of = day_log.c
    withdrawn = select(of.line_id).where(of.kind == MarkWithdrawn.kind).distinct()
    touched = [str(line_id) for line_id in connection.execute(withdrawn).scalars()]
    found: Counter[MarkSource] = Counter()
    printed = select(lines.c.marks, func.count().label("bearing")).group_by(lines.c.marks)
    for row in connection.execute(
        printed.where(lines.c.marks != "[]", lines.c.line_id.not_in(withdrawn))
    ):
        for mark in json.loads(row.marks):
            found[mark["kind"], mark["source"]] += row.bearing
    recorded = select(of.body).where(of.kind == MarkRecorded.kind, of.line_id.not_in(withdrawn))
    for text in connection.execute(recorded).scalars():
        body = json.loads(text)
        found[body["mark"], body["source"]] += 1
    for stored in queries.stored_states(connection, touched).values():
        found.update((mark.kind.value, mark.source) for mark in stored.state.marks)
    return dict(sorted(found.items()))
