"""Correction affidavits: a line for a person on no list whom the registrar authorises.

The voter signs once, on the affidavit. That signature is the one on the new line: the
line is signed from the moment it is there, and nobody signs it again.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

from sqlalchemy import Connection

from app.desk.evidence import NOTHING_SAID, Said, evidence_of, read_typed_birth_date
from app.desk.moving import second_token
from app.desk.namesakes import (
    ids_of_look_alikes,
    ids_of_look_alikes_now,
    line_of_same_person,
)
from app.desk.outcomes import Refused, refused_by
from app.desk.past_calls import check_authorisation
from app.desk.provisional import all_ballots
from app.desk.roster import Roster
from app.desk.signing import Strokes, signature_body, strokes_digest, strokes_text
from app.desk.written import check_button, kept_address
from app.matching.names import glue
from app.records import adding, personal, queries
from app.records.bodies import LineAdded
from app.records.entry import Actor, Entry
from app.records.unit import Unit
from app.rules.coded import Flag
from app.rules.faults import TokenReused
from app.rules.line import Line, LineState, Part, PrintedLine
from app.rules.moment import Evidence
from app.rules.verdict import Outcome, Verdict

# Refused where the policy does not know the affidavit at all.
NOT_USED = Refused("not-provided-for", {"setting": "correction_affidavit"})


@dataclass(frozen=True, slots=True)
class Affidavit:
    """What is written on the paper, the birth date as typed.

    `how` None: only checked, not signed. `somebody_else`: not the person of the same name
    and birth date who is on a line already.
    """

    last_name: str
    birth_date: str
    authorised_by: str
    authorised_how: Literal["phone", "in_person", "writing"]
    first_name: str = ""
    middle_name: str = ""
    suffix: str = ""
    street_address: str = ""
    city: str = ""
    postal_code: str = ""
    address_protected: bool = False
    voter_number: str = ""
    ballot_button: int | None = None
    somebody_else: bool = False
    authorisation_seq: int | None = None
    how: Literal["drawn", "paper"] = "paper"
    strokes: Strokes | None = None
    said: Said = NOTHING_SAID


@dataclass(frozen=True, slots=True)
class Added:
    """The new line and its two entries."""

    line: Line
    added: Entry
    signed: Entry
    flags: tuple[Flag, ...] = ()


@dataclass(frozen=True, slots=True)
class Checked:
    """What the affidavit would meet: its verdict, and the line its person is on already."""

    verdict: Verdict
    already_on: Line | None


def check(roster: Roster, affidavit: Affidavit) -> Checked | Refused:
    """As `add`, without recording anything."""
    if not roster.setting.policy.correction_affidavit:
        return NOT_USED
    line = _line(roster, affidavit, ())

    def checked(connection: Connection) -> Checked:
        same = line_of_same_person(connection, line.printed)
        return Checked(_verdict(connection, roster, line, affidavit.said), same)

    return roster.store.read(checked)


def look_alikes(roster: Roster, affidavit: Affidavit) -> tuple[str, ...]:
    """The lines the new one could be mistaken for; read before writing, since it takes long."""
    printed = _printed(roster, affidavit)
    return roster.store.read(lambda connection: ids_of_look_alikes_now(connection, printed))


def add(
    unit: Unit,
    roster: Roster,
    actor: Actor,
    token: str,
    affidavit: Affidavit,
    alike: Sequence[str] = (),
) -> Added | Refused:
    """Record the affidavit: the line is added and signed, both or neither.

    `alike` is what `look_alikes` answered a moment ago; lines added since are compared here.
    BadRequest where address or ballot button is missing; BirthDateUnreadable where the date
    is none; TokenReused where the token came with somebody else's affidavit.
    """
    strokes = strokes_text(affidavit.strokes)
    asked = _asked(affidavit)
    again = queries.entry_by_token(unit.connection, token)
    if again:
        unit.already(token, LineAdded.kind, again.line_id, **asked)
        return _as_before(unit, roster, token, again, affidavit)
    if not roster.setting.policy.correction_affidavit:
        return NOT_USED
    check_authorisation(unit.connection, affidavit.authorisation_seq)
    line = _line(roster, affidavit, alike, queries.added_lines(unit.connection))
    same = line_of_same_person(unit.connection, line.printed)
    if same and not affidavit.somebody_else:
        return already_on(same)
    verdict = _verdict(unit.connection, roster, line, affidavit.said)
    if verdict.outcome is not Outcome.SIGN:
        return refused_by(verdict)
    sealed = personal.seal_line(line)
    body = LineAdded(**asked, details_sha256=sealed.digest)
    added = adding.add_line(unit, actor, token, body, line, sealed)
    evidence = evidence_of(affidavit.said, told_apart=None)
    signature = signature_body(line, evidence, affidavit.how, strokes_digest(strokes))
    signed = unit.append(actor, second_token(token), signature, line.line_id, strokes)
    return _added(unit.connection, line, added, signed)


def already_on(line: Line) -> Refused:
    """The refusal that points at the line the person is on."""
    facts = {
        "line_id": line.line_id,
        "name": line.printed.name_last_first,
        "voter_number": line.printed.voter_number,
    }
    return Refused("already-on-a-line", facts)


def _asked(affidavit: Affidavit) -> dict[str, object]:
    return {
        "authorised_by": affidavit.authorised_by,
        "authorised_how": affidavit.authorised_how,
        "somebody_else": affidavit.somebody_else,
        "ballot_button": affidavit.ballot_button,
        "authorisation_seq": affidavit.authorisation_seq,
    }


def _as_before(unit: Unit, roster: Roster, token: str, added: Entry, affidavit: Affidavit) -> Added:
    """TokenReused where the same key came with another person's affidavit."""
    line = queries.line_as_stored(unit.connection, str(added.line_id))
    signed = queries.entry_by_token(unit.connection, second_token(token))
    if signed is None or line.printed != _printed(roster, affidavit):
        raise TokenReused(seq=added.seq, kind=added.kind)
    return _added(unit.connection, line, added, signed)


def _added(connection: Connection, line: Line, added: Entry, signed: Entry) -> Added:
    flags = tuple(
        Flag("provisional-same-name", {"envelope": ballot.entry.body["envelope"]})
        for ballot in all_ballots(connection)
        if ballot.withdrawn is None and ballot.entry.seq < added.seq
        if _words(line.printed.name_last_first) <= _words(ballot.name)
    )
    return Added(line, added, signed, flags)


def _words(name: str) -> set[str]:
    return {glue(word) for word in name.split()}


def _line(
    roster: Roster, affidavit: Affidavit, alike: Sequence[str], others: Sequence[Line] = ()
) -> Line:
    printed = _printed(roster, affidavit)
    together = dict.fromkeys((*alike, *ids_of_look_alikes(printed, others)))
    return Line(adding.fresh_line_id(), printed, tuple(together))


def _printed(roster: Roster, affidavit: Affidavit) -> PrintedLine:
    address = kept_address(
        affidavit.street_address,
        affidavit.city,
        affidavit.postal_code,
        is_secret=affidavit.address_protected,
    )
    check_button(roster.setting, affidavit.ballot_button)
    return PrintedLine(
        voter_number=affidavit.voter_number,
        last_name=affidavit.last_name,
        first_name=affidavit.first_name,
        birth_date=read_typed_birth_date(roster, affidavit.birth_date),
        middle_name=affidavit.middle_name,
        suffix=affidavit.suffix,
        ballot_button=affidavit.ballot_button,
        address_protected=affidavit.address_protected,
        part=Part.AFFIDAVIT,
        street_address=address["street_address"],
        city=address["city"],
        postal_code=address["postal_code"],
    )


def _verdict(connection: Connection, roster: Roster, line: Line, said: Said) -> Verdict:
    """The birth date is the one on the paper: nobody needs to be told apart."""
    evidence: Evidence = evidence_of(said, told_apart=True)
    return roster.judge(line, LineState(), queries.day_state(connection), evidence)
