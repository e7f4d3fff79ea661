"""Irregularities: what contradicts itself and what people write up, until the lead settles it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any

from sqlalchemy import Connection

from app.desk.outcomes import Recorded, Refused
from app.desk.roster import Roster
from app.records import personal, queries
from app.records.bodies_lists import IrregularityKind, IrregularityRecorded, IrregularitySettled
from app.records.entry import Actor, Entry
from app.records.fold import act_of
from app.records.unit import Unit
from app.rules.day_sentences import day_sentence
from app.rules.faults import BadRequest, NotFound, TokenReused
from app.rules.late_list import Contradiction
from app.rules.late_sentences import late_sentence
from app.rules.line import Act


@dataclass(frozen=True, slots=True)
class Written:
    """What a person writes up: what happened, who was told, what was done."""

    irregularity: IrregularityKind
    what: str
    told: str = ""
    done: str = ""
    line_id: str | None = None
    machine: str = ""


@dataclass(frozen=True, slots=True)
class Irregularity:
    """A recorded one. `settled` with `how` once the lead has settled it."""

    entry: Entry
    what: str
    told: str
    done: str
    settled: Act | None = None
    how: str = ""


def contradiction_body(
    contradiction: Contradiction, list_seq: int | None, row_number: int | None
) -> IrregularityRecorded:
    """Two facts of which at most one can be right, both written down; nobody's name in them."""
    facts = {"on_line": dict(contradiction.on_line), "on_list": dict(contradiction.on_list)}
    return IrregularityRecorded(
        irregularity="contradiction",
        code=contradiction.code,
        facts=facts,
        list_seq=list_seq,
        row_number=row_number,
        details_sha256=None,
    )


def write_up(unit: Unit, actor: Actor, token: str, written: Written) -> Recorded:
    """Record what somebody wrote up; NotFound for an unknown line.

    The words stand beside the log: people write names. A contradiction is found, not written.
    """
    if written.irregularity == "contradiction":
        raise BadRequest(field="irregularity", expected="a kind that is written by hand")
    words = {"what": written.what, "told": written.told, "done": written.done}
    machine = written.machine or None
    asked: Mapping[str, Any] = {"irregularity": written.irregularity, "machine": machine}
    again = unit.already(token, IrregularityRecorded.kind, written.line_id, **asked)
    if again:
        if personal.details_of(unit.connection, again) != words:
            raise TokenReused(seq=again.seq, kind=again.kind)
        return Recorded(again)
    if written.line_id is not None:
        queries.line_as_stored(unit.connection, written.line_id)
    sealed = personal.seal(words)
    body = IrregularityRecorded(
        irregularity=written.irregularity,
        code="",
        facts={},
        list_seq=None,
        row_number=None,
        details_sha256=sealed.digest,
        machine=machine,
    )
    entry = unit.append(actor, token, body, written.line_id)
    personal.keep(unit, entry, sealed)
    return Recorded(entry)


@dataclass(frozen=True, slots=True)
class Opened:
    """An irregularity that a task opens beside what it records: `what` in somebody's words."""

    irregularity: IrregularityKind
    code: str
    what: str
    facts: Mapping[str, Any] = field(default_factory=dict)
    machine: str | None = None
    line_id: str | None = None


def open_beside(unit: Unit, actor: Actor, token: str, opened: Opened) -> Entry:
    """Record it in the same transaction; `token` is the one of what it stands beside."""
    sealed = personal.seal({"what": opened.what, "told": "", "done": ""})
    body = IrregularityRecorded(
        irregularity=opened.irregularity,
        code=opened.code,
        facts=dict(opened.facts),
        list_seq=None,
        row_number=None,
        details_sha256=sealed.digest,
        machine=opened.machine,
    )
    entry = unit.append(actor, token_beside(token), body, opened.line_id)
    personal.keep(unit, entry, sealed)
    return entry


def opened_beside(unit: Unit, token: str, what: str) -> Entry | None:
    """The one that was opened with `token` before, None where none was.

    TokenReused where somebody said something else then.
    """
    entry = queries.entry_by_token(unit.connection, token_beside(token))
    if entry and personal.details_of(unit.connection, entry)["what"] != what:
        raise TokenReused(seq=entry.seq, kind=entry.kind)
    return entry


def token_beside(token: str) -> str:
    """No client can send one with a dot."""
    return f"{token}.i"


def settle(unit: Unit, actor: Actor, token: str, seq: int, how: str) -> Recorded | Refused:
    """The lead says how it was settled; NotFound where entry `seq` is no irregularity."""
    about = queries.entry(unit.connection, seq)
    if about.kind != IrregularityRecorded.kind:
        raise NotFound(what="irregularity")
    body = IrregularitySettled(irregularity_seq=seq, how=how)
    again = unit.already(token, body.kind, about.line_id, **body.model_dump(mode="json"))
    if again:
        return Recorded(again)
    if seq in settled_ones(unit.connection):
        return Refused("nothing-to-settle")
    return Recorded(unit.append(actor, token, body, about.line_id))


def read_irregularities(roster: Roster) -> list[Irregularity]:
    """Open ones first, then the settled; each in the order in which they were recorded."""
    return roster.store.read(all_irregularities)


def all_irregularities(connection: Connection) -> list[Irregularity]:
    settled = settled_ones(connection)
    found = [
        _irregularity(connection, entry, settled.get(entry.seq))
        for entry in queries.entries_of(connection, IrregularityRecorded.kind)
    ]
    return sorted(found, key=lambda one: (one.settled is not None, one.entry.seq))


def open_count(connection: Connection) -> int:
    recorded = queries.kind_count(connection, IrregularityRecorded.kind)
    return recorded - queries.kind_count(connection, IrregularitySettled.kind)


def _irregularity(connection: Connection, entry: Entry, settled: Entry | None) -> Irregularity:
    code = entry.body["code"]
    sentence = late_sentence(code) or day_sentence(code)
    words = {"what": sentence, "told": "", "done": "", **personal.details_of(connection, entry)}
    if settled is None:
        return Irregularity(entry, **words)
    return Irregularity(entry, **words, settled=act_of(settled), how=settled.body["how"])


def settled_ones(connection: Connection) -> dict[int, Entry]:
    """By the entry of an irregularity, the one that settled it."""
    entries = queries.entries_of(connection, IrregularitySettled.kind)
    return {entry.body["irregularity_seq"]: entry for entry in entries}
