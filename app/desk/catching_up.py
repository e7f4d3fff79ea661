"""Keying what was signed on paper: one row, one action, acknowledged at once.

The voter has signed, so a row is never thrown away. Where the line is signed already no second
signature is recorded; what else contradicts the row stands beside its signature, and both facts
are written up. Somebody on no line waits for the lead.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field
from typing import Any

from sqlalchemy import Connection

from app.desk.irregularities import Opened, contradiction_body, open_beside, opened_beside
from app.desk.on_paper import OnPaper, PaperHelp, Place, is_refused, refused_then, verdict_then
from app.desk.outcomes import Refused
from app.desk.paper_hours import (
    KeyedRow,
    PaperHour,
    hour_of,
    open_hour,
    why_not_then,
    wrong_time,
)
from app.desk.roster import Roster
from app.desk.signing import signature_body
from app.records import personal, queries
from app.records.bodies import AddressConfirmed, AssistanceRecorded, SignatureRecorded
from app.records.bodies_paper import CaughtUp, PaperRowKeyed, PaperRowSettled, PaperRowUndone
from app.records.body import Body
from app.records.entry import Actor, Entry
from app.records.unit import Unit
from app.rules.catching_up import (
    Effect,
    Tally,
    doubts,
    tally,
)
from app.rules.coded import Coded
from app.rules.doubts import Doubt
from app.rules.faults import BadRequest, TokenReused
from app.rules.late_list import Contradiction, contradiction_with_paper
from app.rules.line import Line, LineState


@dataclass(frozen=True, slots=True)
class Caught:
    """The row as it stands, what it opened, what is odd about it, and the rows of the hour."""

    entry: Entry
    row: KeyedRow
    tally: Tally
    flags: tuple[Doubt, ...] = ()
    irregularities: tuple[Entry, ...] = field(default=())


def key_line(
    unit: Unit, roster: Roster, actor: Actor, token: str, line_id: str, on_paper: OnPaper
) -> Caught | Refused:
    """Record that the next signature of the paper stands on this line."""
    asked = {**_placed(on_paper.place), "twice": on_paper.is_twice}
    again = unit.already(token, PaperRowKeyed.kind, line_id, **asked)
    if again:
        must_be_same(unit, again, on_paper)
        return caught(unit, again)
    queries.line(unit.connection, line_id)
    hour = open_hour(unit.connection)
    if hour is None:
        return Refused("no-paper-hour")
    return put_on_line(
        unit,
        roster,
        actor,
        token,
        hour,
        line_id,
        on_paper,
        lambda effect: _body(hour, on_paper, effect),
    )


def put_on_line(
    unit: Unit,
    roster: Roster,
    actor: Actor,
    token: str,
    hour: PaperHour,
    line_id: str,
    on_paper: OnPaper,
    body_of: Callable[[Effect], Body],
) -> Caught | Refused:
    """Record the row as `body_of` its effect says, with its signature and what contradicts it."""
    line = queries.line(unit.connection, line_id)
    refused = _why_not_keyed(unit, roster, line_id, on_paper)
    if refused:
        return refused
    state = queries.stored_state(unit.connection, line_id).state
    effect: Effect = "duplicate" if state.signature else "signed"
    lacking: tuple[Coded, ...] = ()
    if effect == "signed":
        verdict = verdict_then(unit, roster, hour, line, state, on_paper)
        lacking = verdict.reasons or verdict.steps
        if is_refused(verdict, on_paper):
            return refused_then(verdict)
    entry = unit.append(actor, token, body_of(effect), line_id)
    if effect == "signed":
        _sign(unit, actor, entry, line, state, on_paper)
    _write_up(unit, actor, entry, state, on_paper, lacking)
    return caught(unit, entry)


def key_nobody(
    unit: Unit, roster: Roster, actor: Actor, token: str, name: str, number: str, place: Place
) -> Caught | Refused:
    """Keep a row whose person is on no line; it waits for the lead."""
    if not (name or number):
        raise BadRequest(missing=["line_id", "name", "number"])
    words = {"name": name, "number": number}
    again = unit.already(token, PaperRowKeyed.kind, **_placed(place))
    if again:
        if personal.details_of(unit.connection, again) != words:
            raise TokenReused(seq=again.seq, kind=again.kind)
        return caught(unit, again)
    hour = open_hour(unit.connection)
    refused = _wrong_time(unit, roster, place)
    if refused or hour is None:
        return refused or Refused("no-paper-hour")
    sealed = personal.seal(words)
    body = _body(hour, OnPaper(place), "waits", sealed.digest)
    keyed = unit.append(actor, token, body)
    personal.keep(unit, keyed, sealed)
    return caught(unit, keyed)


def caught(unit: Unit, entry: Entry) -> Caught:
    """The row of `entry` and its hour, also where the same was asked before.

    Flags are of the rows keyed before it, so that the same request is told the same.
    """
    connection = unit.connection
    hour = hour_of(connection, entry.body["begun_seq"])
    row = hour.rows[entry.body["row_number"] - 1]
    others = (one for one in hour.rows if one.row.number != row.row.number)
    before = [one.row for one in others if one.keyed.seq < row.decided.seq]
    alike: frozenset[str] = frozenset()
    if row.row.line_id:
        alike = frozenset(queries.line(connection, row.row.line_id).look_alikes)
    flags = tuple(doubts(row.row, before, alike, hour.hours))
    so_far = tally(one.row for one in hour.rows)
    tokens = (f"{row.decided.token}{end}" for end in (_CONTRADICTS, ".i"))
    opened = (queries.entry_by_token(connection, token) for token in tokens)
    return Caught(entry, row, so_far, flags, tuple(one for one in opened if one))


# Ends of the tokens of what is recorded with a row; no client can send one with a dot.
_SIGNED, _CARD, _HELP, _CONTRADICTS = ".s", ".a", ".h", ".c"


def signature_of(connection: Connection, decided: Entry) -> Entry | None:
    """The signature that the row recorded, None where it recorded none."""
    return queries.entry_by_token(connection, f"{decided.token}{_SIGNED}")


def contradiction_of(connection: Connection, decided: Entry) -> Entry | None:
    """The irregularity with the two facts that contradict each other, None where none do."""
    return queries.entry_by_token(connection, f"{decided.token}{_CONTRADICTS}")


def must_be_same(unit: Unit, again: Entry, on_paper: OnPaper) -> None:
    """TokenReused where the entry `again` came with another reason or other steps."""
    token = again.token
    opened_beside(unit, token, on_paper.anyway)
    signed = signature_of(unit.connection, again)
    evidence = on_paper.evidence
    names = ("told_apart", "identification", "in_line_at_cut_off", "address_affirmed", "moved")
    if signed and any(signed.body[name] != getattr(evidence, name) for name in names):
        raise TokenReused(seq=again.seq, kind=again.kind)
    help_given = queries.entry_by_token(unit.connection, f"{token}{_HELP}")
    if help_given and (on_paper.help is None or _is_other_help(help_given, on_paper.help)):
        raise TokenReused(seq=again.seq, kind=again.kind)


def _is_other_help(entry: Entry, given: PaperHelp) -> bool:
    names = ("wanted", "helper_name", "reason", "helper_is")
    return any(entry.body[name] != getattr(given, name) for name in names)


def _placed(place: Place) -> dict[str, Any]:
    return {"time": place.time, "page": place.page, "order": place.order}


def _why_not_keyed(unit: Unit, roster: Roster, line_id: str, on_paper: OnPaper) -> Refused | None:
    wrong = _wrong_time(unit, roster, on_paper.place)
    if wrong:
        return wrong
    return None if on_paper.is_twice else _keyed_before(unit.connection, line_id)


def _wrong_time(unit: Unit, roster: Roster, place: Place) -> Refused | None:
    why = why_not_then(unit, roster, place.time)
    return wrong_time(unit, roster, "time", place.time, why) if why else None


_ON_A_LINE = frozenset({PaperRowKeyed.kind, PaperRowSettled.kind})


def _keyed_before(connection: Connection, line_id: str) -> Refused | None:
    """The refusal that says which row of which hour has the line, and who put it there when."""
    history = queries.history(connection, line_id)
    undone = {one.body["keyed_seq"] for one in history if one.kind == PaperRowUndone.kind}
    for one in history:
        if one.kind in _ON_A_LINE and one.seq not in undone:
            facts = {name: one.body[name] for name in ("row_number", "begun_seq")}
            who = {"at": one.at, "initials": one.initials, "station": one.station}
            return Refused("keyed-already", {**facts, **who})
    return None


def _body(
    hour: PaperHour, on_paper: OnPaper, effect: Effect, digest: str | None = None
) -> PaperRowKeyed:
    return PaperRowKeyed(
        begun_seq=hour.begun.seq,
        row_number=len(hour.rows) + 1,
        effect=effect,
        twice=on_paper.is_twice,
        details_sha256=digest,
        **_placed(on_paper.place),
    )


def _sign(
    unit: Unit, actor: Actor, keyed: Entry, line: Line, state: LineState, on_paper: OnPaper
) -> None:
    """The steps that the paper shows, then the signature."""
    seq, line_id = keyed.seq, line.line_id
    is_card = on_paper.card_done and state.address_confirmed is None
    if is_card:
        unit.append(actor, keyed.token + _CARD, AddressConfirmed(row_seq=seq), line_id)
    if on_paper.help:
        unit.append(actor, keyed.token + _HELP, _help_body(on_paper.help, seq), line_id)
    place = on_paper.place
    caught_up = CaughtUp(at=place.time, order=place.order, page=place.page, row_seq=seq)
    body: SignatureRecorded = signature_body(
        line, on_paper.evidence, "paper", None, caught_up=caught_up
    )
    unit.append(actor, keyed.token + _SIGNED, body, line_id)


def _help_body(given: PaperHelp, row_seq: int) -> AssistanceRecorded:
    if given.wanted and not given.helper_name:
        raise BadRequest(missing=["helper_name"])
    return AssistanceRecorded(
        wanted=given.wanted,
        helper_name=given.helper_name,
        reason=given.reason,
        how="paper" if given.wanted else None,
        strokes_sha256=None,
        helper_is=given.helper_is,
        row_seq=row_seq,
    )


def _write_up(
    unit: Unit,
    actor: Actor,
    keyed: Entry,
    state: LineState,
    on_paper: OnPaper,
    lacking: tuple[Coded, ...],
) -> None:
    """What contradicts the row, and which steps the paper does not show."""
    contradiction = _contradiction(state, keyed, on_paper.place)
    if contradiction:
        body = contradiction_body(contradiction, None, keyed.body["row_number"])
        unit.append(actor, keyed.token + _CONTRADICTS, body, keyed.line_id)
    if lacking:
        facts = {"row_seq": keyed.seq, "steps": [one.code for one in lacking]}
        opened = Opened(
            "voter", "steps-not-on-paper", on_paper.anyway, facts, line_id=keyed.line_id
        )
        open_beside(unit, actor, keyed.token, opened)


def _contradiction(state: LineState, keyed: Entry, place: Place) -> Contradiction | None:
    row = {"kind": "paper", "row": keyed.body["row_number"], "row_seq": keyed.seq}
    return contradiction_with_paper(state, {**row, **_placed(place)})
