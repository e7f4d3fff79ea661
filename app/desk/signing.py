"""Signing a line, and withdrawing a signature."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

from app.desk.evidence import NOTHING_SAID, Said, evidence_about
from app.desk.outcomes import Recorded, Refused, refused_by
from app.desk.roster import Roster
from app.desk.witness import Witness, details_of_witness, is_name_of, seal_witness
from app.matching.names import glue
from app.records import personal, queries
from app.records.bodies import How, MarkMade, SignatureRecorded, SignatureWithdrawn, SignedHow
from app.records.bodies_paper import CaughtUp
from app.records.entry import Actor, Entry, canonical, sha256_hex
from app.records.fold import act_of
from app.records.personal import Sealed
from app.records.unit import Unit
from app.rules.faults import TokenReused
from app.rules.line import Line
from app.rules.moment import Evidence
from app.rules.verdict import Outcome

# x, y from 0 to 10,000 over the signature box; milliseconds since the pen touched first.
Strokes = Sequence[Sequence[tuple[int, int, int]]]
Why = Literal["wrong_line", "spoiled", "other"]


@dataclass(frozen=True, slots=True)
class Signature:
    """`strokes` is None for a signature on paper.

    `how` mark: the voter cannot sign. Theirs was drawn, made on paper, or there is none and they
    say so; `witness` signs beside it.
    """

    how: SignedHow
    strokes: Strokes | None = None
    said: Said = NOTHING_SAID
    mark: MarkMade | None = None
    witness: Witness | None = None


def sign(
    unit: Unit, roster: Roster, actor: Actor, token: str, line_id: str, signature: Signature
) -> Recorded | Refused:
    """Record the voter's signature if the rules say sign; the same token answers the same.

    The verdict is decided here, in the transaction that records the signature:
    whatever the page showed a moment ago does not count.
    """
    line = queries.line(unit.connection, line_id)
    evidence = evidence_about(roster, line, signature.said)
    strokes = strokes_text(signature.strokes)
    sealed = seal_witness(signature.witness) if signature.witness else None
    body = _body(line, evidence, signature, strokes, sealed)
    before = _before(unit, token, line_id, body, signature.witness)
    if before:
        return Recorded(before)
    verdict = roster.judge_now(unit.connection, line, evidence)
    if verdict.outcome is not Outcome.SIGN:
        return refused_by(verdict)
    refused = _why_no_mark(roster, line, signature)
    if refused:
        return refused
    entry = unit.append(actor, token, body, line_id, strokes)
    if sealed:
        personal.keep(unit, entry, sealed)
    return Recorded(entry)


def _body(
    line: Line, evidence: Evidence, signature: Signature, strokes: str | None, sealed: Sealed | None
) -> SignatureRecorded:
    return signature_body(
        line,
        evidence,
        signature.how,
        strokes_digest(strokes),
        mark=signature.mark,
        witness_how=signature.witness.how if signature.witness else None,
        details_sha256=sealed.digest if sealed else None,
    )


def _before(
    unit: Unit, token: str, line_id: str, body: SignatureRecorded, witness: Witness | None
) -> Entry | None:
    """What this token recorded; its witness is compared by name, for the salt is another."""
    asked = body.model_dump(mode="json", exclude={"details_sha256"})
    before = unit.already(token, body.kind, line_id, **asked)
    if before and witness:
        kept = personal.details_of(unit.connection, before)
        if kept != details_of_witness(witness):
            raise TokenReused(seq=before.seq, kind=before.kind)
    return before


def _why_no_mark(roster: Roster, line: Line, signature: Signature) -> Refused | None:
    """Why a mark with this witness cannot stand for a signature; None where it can."""
    if signature.how != "mark":
        return None
    if roster.setting.policy.mark_and_witness == "off":
        return Refused("not-provided-for", {"setting": "mark_and_witness"})
    if signature.witness is None or not glue(signature.witness.name):
        return Refused("witness-missing")
    return Refused("witness-is-voter") if is_name_of(signature.witness.name, line) else None


def withdraw(
    unit: Unit, actor: Actor, token: str, line_id: str, reason: str, why: Why = "other"
) -> Recorded | Refused:
    """Withdraw the signature that stands on the line, by an entry that says why."""
    before = unit.already(
        token, SignatureWithdrawn.kind, line_id, reason=reason, why=why, moved_to=None
    )
    if before:
        return _withdrawn(unit, before)
    signature = queries.stored_state(unit.connection, line_id).state.signature
    if signature is None:
        return Refused("nothing-to-withdraw")
    body = SignatureWithdrawn(signature_seq=signature.seq, why=why, reason=reason)
    return _withdrawn(unit, unit.append(actor, token, body, line_id))


def _withdrawn(unit: Unit, entry: Entry) -> Recorded:
    signed = act_of(queries.entry(unit.connection, entry.body["signature_seq"]))
    return Recorded(entry, before={"signature": signed}, after={"signature": None})


def strokes_text(strokes: Strokes | None) -> str | None:
    """The canonical JSON that is kept and whose digest stands in the entry."""
    if strokes is None:
        return None
    return canonical([[list(point) for point in stroke] for stroke in strokes])


def strokes_digest(text: str | None) -> str | None:
    return None if text is None else sha256_hex(text.encode())


def signature_body(
    line: Line,
    evidence: Evidence,
    how: SignedHow,
    strokes_sha256: str | None,
    moved_from: str | None = None,
    *,
    mark: MarkMade | None = None,
    witness_how: How | None = None,
    details_sha256: str | None = None,
    caught_up: CaughtUp | None = None,
) -> SignatureRecorded:
    """What the entry of a signature on `line` says."""
    return SignatureRecorded(
        how=how,
        strokes_sha256=strokes_sha256,
        ballot_button=line.printed.ballot_button,
        told_apart=evidence.told_apart,
        identification=evidence.identification,
        in_line_at_cut_off=evidence.in_line_at_cut_off,
        address_affirmed=evidence.address_affirmed,
        moved=evidence.moved,
        moved_from=moved_from,
        mark=mark,
        witness_how=witness_how,
        details_sha256=details_sha256,
        caught_up=caught_up,
    )
