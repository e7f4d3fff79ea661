"""Provisional ballots: given where the rules offer one, each in its own envelope."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any, Literal

from sqlalchemy import Connection, insert, select

from app.desk.evidence import NOTHING_SAID, Said, evidence_about, evidence_of
from app.desk.outcomes import Recorded, Refused
from app.desk.roster import Roster
from app.desk.signing import Strokes, strokes_digest, strokes_text
from app.desk.written import check_button, kept_address
from app.records import personal, queries
from app.records.bodies import ProvisionalRecorded, ProvisionalWithdrawn
from app.records.entry import Actor, Entry
from app.records.fold import act_of
from app.records.unit import Unit
from app.rules import provisional
from app.rules.coded import Reason
from app.rules.faults import BadRequest, NotFound, TokenReused
from app.rules.line import Act, Line
from app.rules.moment import Evidence, Moment, Phase
from app.rules.verdict import Outcome, Verdict
from app.rules.ways_out import Situation

# For a person on no line here: found nowhere, registered elsewhere but voting here, or late.
WITHOUT_LINE = ("not-on-a-list", "registered-elsewhere", "extended-hours")
# An official says that the person may not vote; the note says what was said.
CHALLENGED = "challenged"
# The voter cannot or will not do what comes first; the note says what.
STEP_NOT_DONE = "step-not-done"


@dataclass(frozen=True, slots=True)
class Envelope:
    """What stands on the envelope and on the affirmation that the voter signs.

    `reason` is a code: one of WITHOUT_LINE, or of the line's own verdict, or CHALLENGED, or
    STEP_NOT_DONE.
    """

    envelope: str
    reason: str
    name: str
    line_id: str | None = None
    situation: Situation = field(default_factory=Situation)
    note: str = ""
    street_address: str = ""
    city: str = ""
    postal_code: str = ""
    address_protected: bool = False
    ballot_button: int | None = None
    how: Literal["drawn", "paper"] = "paper"
    strokes: Strokes | None = None
    said: Said = NOTHING_SAID


@dataclass(frozen=True, slots=True)
class ProvisionalBallot:
    """A recorded ballot with what was kept beside the log; `withdrawn` if it was a mistake."""

    entry: Entry
    name: str
    street_address: str
    city: str
    postal_code: str
    address_protected: bool
    withdrawn: Act | None


def record(
    unit: Unit, roster: Roster, actor: Actor, token: str, given: Envelope
) -> Recorded | Refused:
    """Record a provisional ballot; refused where none is on offer or an ordinary one is due.

    BadRequest where the reason does not fit, or something the envelope needs is missing.
    """
    connection = unit.connection
    asked = _asked(given)
    again = unit.already(token, ProvisionalRecorded.kind, given.line_id, **asked)
    line = queries.line(connection, given.line_id) if given.line_id else None
    if again:
        if personal.details_of(connection, again) != _details(line, given):
            raise TokenReused(seq=again.seq, kind=again.kind)
        return Recorded(again)
    evidence = _evidence(roster, line, given)
    moment = Moment(roster.setting, queries.day_state(connection), evidence)
    refusal = _refusal(connection, roster, line, moment, given)
    if refusal:
        return refusal
    check_button(roster.setting, given.ballot_button)
    details = personal.seal(_details(line, given))
    body = ProvisionalRecorded.model_validate(
        {
            **asked,
            "ballot_class": provisional.class_of(roster.setting.policy, moment),
            "details_sha256": details.digest,
        }
    )
    entry = unit.append(actor, token, body, given.line_id, strokes_text(given.strokes))
    personal.keep(unit, entry, details)
    row = {"envelope": given.envelope, "seq": entry.seq}
    connection.execute(insert(queries.envelopes), row)
    return Recorded(entry)


def withdraw(unit: Unit, actor: Actor, token: str, seq: int, reason: str) -> Recorded | Refused:
    """Take back the record of entry `seq`; NotFound where that is no provisional ballot."""
    given = queries.entry(unit.connection, seq)
    if given.kind != ProvisionalRecorded.kind:
        raise NotFound(what="provisional ballot")
    body = ProvisionalWithdrawn(provisional_seq=seq, reason=reason)
    again = unit.already(token, body.kind, given.line_id, **body.model_dump(mode="json"))
    if again:
        return _taken_back(given, again)
    if seq in _withdrawn(unit.connection):
        return Refused("nothing-to-withdraw")
    return _taken_back(given, unit.append(actor, token, body, given.line_id))


def _taken_back(given: Entry, entry: Entry) -> Recorded:
    return Recorded(entry, before={"provisional": act_of(given)}, after={"provisional": None})


def read_provisional(roster: Roster) -> list[ProvisionalBallot]:
    """Every provisional ballot, oldest first, those recorded by mistake among them."""
    return roster.store.read(all_ballots)


def all_ballots(connection: Connection) -> list[ProvisionalBallot]:
    withdrawn = _withdrawn(connection)
    entries = queries.entries_of(connection, ProvisionalRecorded.kind)
    return [_ballot(connection, entry, withdrawn) for entry in entries]


def ballot_of(connection: Connection, entry: Entry) -> ProvisionalBallot:
    """The ballot that this entry recorded."""
    return _ballot(connection, entry, _withdrawn(connection))


def _ballot(
    connection: Connection, entry: Entry, withdrawn: Mapping[int, Act]
) -> ProvisionalBallot:
    details = personal.details_of(connection, entry)
    return ProvisionalBallot(entry, withdrawn=withdrawn.get(entry.seq), **details)


def counts(connection: Connection) -> dict[provisional.BallotClass, int]:
    """How many stand, by class."""
    withdrawn = _withdrawn(connection)
    classes = [
        entry.body["ballot_class"]
        for entry in queries.entries_of(connection, ProvisionalRecorded.kind)
        if entry.seq not in withdrawn
    ]
    return {one: classes.count(one.value) for one in provisional.BallotClass}


def _withdrawn(connection: Connection) -> dict[int, Act]:
    entries = queries.entries_of(connection, ProvisionalWithdrawn.kind)
    return {entry.body["provisional_seq"]: act_of(entry) for entry in entries}


def _asked(given: Envelope) -> dict[str, Any]:
    return {
        "envelope": given.envelope,
        "reason": given.reason,
        "note": given.note,
        "ballot_button": given.ballot_button,
        "how": given.how,
        "strokes_sha256": strokes_digest(strokes_text(given.strokes)),
        "situation": given.situation.answers() if given.line_id is None else None,
    }


def _evidence(roster: Roster, line: Line | None, given: Envelope) -> Evidence:
    """On the way of somebody found nowhere, being in line is one of the answers."""
    if line:
        return evidence_about(roster, line, given.said)
    evidence = evidence_of(given.said, told_apart=None)
    if evidence.in_line_at_cut_off is not None:
        return evidence
    return Evidence(in_line_at_cut_off=given.situation.in_line_at_cut_off)


def _refusal(
    connection: Connection, roster: Roster, line: Line | None, moment: Moment, given: Envelope
) -> Refused | None:
    """Why no ballot may go into this envelope, None where one may."""
    used = queries.envelopes.c.envelope == given.envelope
    if connection.execute(select(queries.envelopes).where(used)).first():
        return Refused("envelope-used", {"envelope": given.envelope})
    early_or_late = _by_the_hour(roster, moment)
    if early_or_late:
        return early_or_late
    if line is None:
        _check_reason_without_line(roster, moment, given)
        return None
    state = queries.stored_state(connection, line.line_id).state
    verdict = roster.judge(line, state, moment.day, moment.evidence)
    return _by_the_line(verdict, given)


def _by_the_hour(roster: Roster, moment: Moment) -> Refused | None:
    """Too early, too late, not asked, or not known to this election."""
    policy, phase = roster.setting.policy, moment.day.phase
    is_late = provisional.is_late(policy, moment)
    if phase is Phase.NOT_OPEN:
        return Refused("polls-not-open", {"opens": f"{roster.setting.election.opens:%H:%M}"})
    if phase is Phase.CLOSED:
        return Refused("polls-closed", {"closes": f"{roster.setting.election.closes:%H:%M}"})
    if is_late and moment.day.extension is None:
        return Refused("line-cut-off")
    is_asked = policy.in_line_may_sign and moment.evidence.in_line_at_cut_off is None
    if phase is Phase.CUT_OFF and is_asked:
        return Refused("step-missing", {"steps": ["in-line-at-cut-off"]})
    if not provisional.is_on_offer(policy, moment):
        name = "extended_hours_provisional" if is_late else "provisional"
        return Refused("not-provided-for", {"setting": name})
    return None


def _by_the_line(verdict: Verdict, given: Envelope) -> Refused | None:
    codes = [reason.code for reason in verdict.reasons]
    if "provisional-recorded" in codes:
        return _has_one(verdict)
    is_stuck = given.reason == STEP_NOT_DONE and verdict.outcome is Outcome.FIRST
    if given.reason == CHALLENGED or is_stuck:
        if not given.note:
            raise BadRequest(missing=["note"])
        return None
    if verdict.outcome in (Outcome.SIGN, Outcome.FIRST):
        return Refused("ordinary-ballot-due", {"outcome": verdict.outcome.value}, verdict)
    if given.reason not in codes:
        raise BadRequest(field="reason", expected=", ".join((*codes, CHALLENGED)))
    return None


def _has_one(verdict: Verdict) -> Refused:
    reason: Reason = next(one for one in verdict.reasons if one.code == "provisional-recorded")
    return Refused(reason.code, reason.facts, verdict)


def _check_reason_without_line(roster: Roster, moment: Moment, given: Envelope) -> None:
    if given.reason not in WITHOUT_LINE:
        raise BadRequest(field="reason", expected=", ".join(WITHOUT_LINE))
    ballot_class = provisional.class_of(roster.setting.policy, moment)
    is_extended = ballot_class is provisional.BallotClass.EXTENDED_HOURS
    if given.reason == "extended-hours" and not is_extended:
        raise BadRequest(field="reason", expected="extended-hours only after an order")


def _details(line: Line | None, given: Envelope) -> dict[str, Any]:
    is_secret = given.address_protected or (line is not None and line.printed.address_protected)
    address = kept_address(given.street_address, given.city, given.postal_code, is_secret=is_secret)
    return {"name": given.name, "address_protected": is_secret, **address}
