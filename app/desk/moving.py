"""A signature on the wrong line, moved to the right one: one action, two entries."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Any

from app.desk.evidence import Said, evidence_about
from app.desk.outcomes import Refused, refused_by
from app.desk.roster import Roster
from app.desk.signing import signature_body
from app.desk.witness import is_name_of
from app.records import personal, queries
from app.records.bodies import SignatureRecorded, SignatureWithdrawn
from app.records.bodies_paper import CaughtUp
from app.records.entry import Actor, Entry
from app.records.fold import act_of
from app.records.unit import Unit
from app.rules.coded import Flag
from app.rules.faults import BadRequest
from app.rules.line import Act, Line
from app.rules.moment import DayState, Evidence
from app.rules.verdict import Outcome


@dataclass(frozen=True, slots=True)
class Stands:
    """One line of a move and the signature on it, at one moment."""

    line: Line
    signature: Act | None


@dataclass(frozen=True, slots=True)
class Moved:
    """`before` and `after` hold the lines the signature came `from` and went `to`."""

    withdrawn: Entry
    recorded: Entry
    before: Mapping[str, Stands]
    after: Mapping[str, Stands]
    flags: tuple[Flag, ...] = ()


def move(
    unit: Unit,
    roster: Roster,
    actor: Actor,
    token: str,
    line_id: str,
    to_line_id: str,
    reason: str,
    said: Said,
) -> Moved | Refused:
    """Withdraw the signature on `line_id` and record it on `to_line_id`, both or neither.

    The right line is judged as if the polls were open: the voter signed while they were,
    and the mistake may come to light at the count. What was shown then counts now.
    BadRequest where both lines are the same.
    """
    asked = {"reason": reason, "why": "wrong_line", "moved_to": to_line_id}
    again = unit.already(token, SignatureWithdrawn.kind, line_id, **asked)
    if again:
        return _moved(unit, again, _entry(unit, second_token(token)))
    if line_id == to_line_id:
        raise BadRequest(field="to_line_id", expected="another line")
    right = queries.line(unit.connection, to_line_id)
    signature = queries.stored_state(unit.connection, line_id).state.signature
    if signature is None:
        return Refused("nothing-to-withdraw")
    signed = queries.entry(unit.connection, signature.seq)
    evidence = evidence_about(roster, right, _with_what_was_shown(said, signed.body))
    state = queries.stored_state(unit.connection, to_line_id).state
    verdict = roster.judge(right, state, DayState(opened=signature), evidence)
    if verdict.outcome is not Outcome.SIGN:
        return refused_by(verdict)
    witness = personal.details_of(unit.connection, signed)
    if witness and is_name_of(witness["witness_name"], right):
        return Refused("witness-is-voter")
    withdrawal = SignatureWithdrawn(signature_seq=signed.seq, **asked)
    withdrawn = unit.append(actor, token, withdrawal, line_id)
    recorded = _record(unit, actor, token, signed, right, evidence, witness)
    return _moved(unit, withdrawn, recorded)


def _record(
    unit: Unit,
    actor: Actor,
    token: str,
    signed: Entry,
    right: Line,
    evidence: Evidence,
    witness: Mapping[str, Any],
) -> Entry:
    """The signature as it was given, on the right line, with its drawing and its witness."""
    sealed = personal.seal(witness) if witness else None
    given = signed.body
    body = signature_body(
        right,
        evidence,
        given["how"],
        given["strokes_sha256"],
        moved_from=signed.line_id,
        mark=given.get("mark"),
        witness_how=given.get("witness_how"),
        details_sha256=sealed.digest if sealed else None,
        caught_up=CaughtUp(**given["caught_up"]) if given.get("caught_up") else None,
    )
    strokes = queries.strokes(unit.connection, signed.seq)
    recorded = unit.append(actor, second_token(token), body, right.line_id, strokes)
    if sealed:
        personal.keep(unit, recorded, sealed)
    return recorded


def second_token(token: str) -> str:
    """The token of a second entry of the same action; no client can send one with a dot."""
    return f"{token}.2"


def _entry(unit: Unit, token: str) -> Entry:
    entry = queries.entry_by_token(unit.connection, token)
    if entry is None or entry.kind != SignatureRecorded.kind:
        raise BadRequest(field="Idempotency-Key", expected="the key of a move")
    return entry


def _with_what_was_shown(said: Said, body: Mapping[str, Any]) -> Said:
    shown = said.identification or body["identification"]
    in_line = said.in_line_at_cut_off
    return replace(
        said,
        identification=shown,
        in_line_at_cut_off=body["in_line_at_cut_off"] if in_line is None else in_line,
    )


def _moved(unit: Unit, withdrawn: Entry, recorded: Entry) -> Moved:
    """The same again for the same two entries, whenever it is asked."""
    signed = queries.entry(unit.connection, withdrawn.body["signature_seq"])
    wrong = queries.line(unit.connection, str(withdrawn.line_id))
    right = queries.line(unit.connection, str(recorded.line_id))
    was, now = signed.body["ballot_button"], recorded.body["ballot_button"]
    flags = (Flag("ballot-differs", {"was": was, "is": now}),) if was != now else ()
    return Moved(
        withdrawn,
        recorded,
        before={"from": Stands(wrong, act_of(signed)), "to": Stands(right, None)},
        after={"from": Stands(wrong, None), "to": Stands(right, act_of(recorded))},
        flags=flags,
    )
