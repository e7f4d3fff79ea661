"""What each paper of the day needs, read in one snapshot, and the paper written from it."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import TypeVar
from zoneinfo import ZoneInfo

from sqlalchemy import Connection

from app.desk.irregularities import Irregularity, all_irregularities
from app.desk.outcomes import Refused
from app.desk.provisional import ProvisionalBallot, all_ballots
from app.desk.register_reading import Reading
from app.desk.roster import Roster
from app.papers import day_lists
from app.papers.affidavit_form import write_affidavit_form
from app.papers.ballot_button import ballot_button_slip
from app.papers.log_head import write_log_head
from app.papers.made import Form, Made
from app.papers.pdf_stream import Write
from app.papers.register_pages import RegisterForm, Stamp, write_register
from app.records import queries
from app.records.bodies import AssistanceRecorded, LineAdded
from app.records.clock import from_text
from app.records.entry import Entry
from app.records.taken_back import taken_back
from app.rules.faults import NotFound
from app.rules.line import Line, Part
from app.rules.provisional import BallotClass

_ADDED = (Part.SUPPLEMENTAL, Part.AFFIDAVIT)


@dataclass(frozen=True, slots=True)
class Printing:
    """One snapshot of the record, out of which one paper is written."""

    roster: Roster
    connection: Connection
    made: Made
    write: Write

    def reading(self, *, as_loaded: bool = False) -> Reading:
        zone = ZoneInfo(self.roster.setting.election.time_zone)
        return Reading(self.connection, zone, as_loaded)

    def stamp_of(self, entry: Entry) -> Stamp:
        return Stamp(self.reading().local(from_text(entry.at)), entry.initials)


F = TypeVar("F", bound=Form)


def write_paper(
    roster: Roster, paper: Callable[[Printing, F], None], form: F, now: datetime, write: Write
) -> None:
    """Write one paper, piece by piece; what it says is all of one moment."""

    def written(connection: Connection) -> None:
        head = queries.head(connection)
        paper(Printing(roster, connection, Made(now, head.seq, head.hash), write), form)

    roster.store.read(written)


def register(printing: Printing, form: RegisterForm) -> None:
    """As it was printed beforehand: the package's own lines and marks."""
    rows = printing.reading(as_loaded=True).rows(Part.REGISTER)
    write_register(printing.write, printing.roster.setting, printing.made, rows, form)


def register_now(printing: Printing, form: RegisterForm) -> None:
    """With everything that stands on the lines now, and the added ones behind them."""
    reading, gone = printing.reading(), taken_back(printing.connection)
    write_register(
        printing.write,
        printing.roster.setting,
        printing.made,
        reading.rows(Part.REGISTER, without=gone),
        form,
        added=reading.rows(*_ADDED, without=gone),
        title="title.now",
        taken_back=len(gone),
    )


def supplemental(printing: Printing, form: RegisterForm) -> None:
    """The lines of supplemental lists and affidavits alone, as they stand now."""
    gone = taken_back(printing.connection)
    write_register(
        printing.write,
        printing.roster.setting,
        printing.made,
        printing.reading().rows(*_ADDED, without=gone),
        form,
        title="title.supplemental",
        taken_back=len(gone),
    )


def affidavits(printing: Printing, form: Form) -> None:
    entries = [
        entry
        for entry in queries.entries_of(printing.connection, LineAdded.kind)
        if entry.body["authorised_how"] != "list"
    ]
    lines = queries.lines_with(printing.connection, [str(entry.line_id) for entry in entries])
    listed = [_affidavit(printing, entry, lines[str(entry.line_id)]) for entry in entries]
    setting = printing.roster.setting
    day_lists.write_affidavits(printing.write, setting, printing.made, listed, form)


def _affidavit(printing: Printing, entry: Entry, line: Line) -> day_lists.AffidavitRow:
    connection, printed = printing.connection, line.printed
    act = queries.stored_state(connection, line.line_id).state.signature
    signature = printing.reading().signature_of(act) if act else None
    return day_lists.AffidavitRow(
        name=printed.name_last_first,
        voter_number=printed.voter_number,
        ballot_button=printed.ballot_button,
        authorised_by=entry.body["authorised_by"],
        authorised_how=entry.body["authorised_how"],
        by=printing.stamp_of(entry),
        signed=signature.how if signature else "none",
        strokes=signature.strokes if signature else None,
    )


def affidavit_form(printing: Printing, form: Form) -> None:
    write_affidavit_form(printing.write, printing.roster.setting, printing.made, form)


def why_no_affidavit_form(roster: Roster) -> Refused | None:
    """Refused where the policy does not know the affidavit."""
    if roster.setting.policy.correction_affidavit:
        return None
    return Refused("not-provided-for", {"setting": "correction_affidavit"})


def log_head(printing: Printing, form: Form) -> None:
    write_log_head(printing.write, printing.roster.setting, printing.made, form)


def assistance(printing: Printing, form: Form) -> None:
    """The last word on each voter, where it says that somebody helps, in the order given."""
    entries = queries.entries_of(printing.connection, AssistanceRecorded.kind)
    last = {str(entry.line_id): entry for entry in entries}
    helped = sorted(
        (entry for entry in last.values() if entry.body["wanted"]), key=lambda one: one.seq
    )
    lines = queries.lines_with(printing.connection, [str(entry.line_id) for entry in helped])
    rows = [_helped(printing, entry, lines[str(entry.line_id)]) for entry in helped]
    setting = printing.roster.setting
    day_lists.write_assistance(printing.write, setting, printing.made, rows, form)


def _helped(printing: Printing, entry: Entry, line: Line) -> day_lists.Helped:
    body = entry.body
    return day_lists.Helped(
        name=line.printed.name_last_first,
        voter_number=line.printed.voter_number,
        helper=body["helper_name"],
        reason=body["reason"],
        is_printed=line.printed.assistance,
        how=body["how"] or "",
        has_statement=body["statement_of_support"],
        by=printing.stamp_of(entry),
    )


def provisional(printing: Printing, form: Form) -> None:
    rows = [_envelope(printing, ballot) for ballot in all_ballots(printing.connection)]
    setting = printing.roster.setting
    day_lists.write_provisional(printing.write, setting, printing.made, rows, form)


def _envelope(printing: Printing, ballot: ProvisionalBallot) -> day_lists.ProvisionalRow:
    body, withdrawn = ballot.entry.body, ballot.withdrawn
    return day_lists.ProvisionalRow(
        envelope=body["envelope"],
        reason=body["reason"],
        note=body["note"],
        name=ballot.name,
        ballot_button=body["ballot_button"],
        is_extended_hours=body["ballot_class"] == BallotClass.EXTENDED_HOURS,
        by=printing.stamp_of(ballot.entry),
        withdrawn=printing.reading().stamp(withdrawn) if withdrawn else None,
    )


def irregularities(printing: Printing, form: Form) -> None:
    found = all_irregularities(printing.connection)
    ids = [one.entry.line_id for one in found if one.entry.line_id]
    lines = queries.lines_with(printing.connection, ids)
    rows = [_irregularity(printing, one, lines.get(one.entry.line_id or "")) for one in found]
    setting = printing.roster.setting
    day_lists.write_irregularities(printing.write, setting, printing.made, rows, form)


def _irregularity(
    printing: Printing, one: Irregularity, line: Line | None
) -> day_lists.IrregularityRow:
    body, settled = one.entry.body, one.settled
    who = line.printed if line else None
    return day_lists.IrregularityRow(
        seq=one.entry.seq,
        kind=body["irregularity"],
        code=body["code"],
        what=one.what,
        told=one.told,
        done=one.done,
        by=printing.stamp_of(one.entry),
        line=f"{who.name_last_first} {who.voter_number}".strip() if who else "",
        machine=body.get("machine") or "",
        settled=printing.reading().stamp(settled) if settled else None,
        how=one.how,
    )


def ballot_button(roster: Roster, button: int, form: Form) -> bytes:
    """The slip for the machine attendant; NotFound where no ballot has this button."""
    for ballot in roster.setting.ballots:
        if ballot.button == button:
            return ballot_button_slip(roster.setting, ballot, form)
    raise NotFound(what="ballot button")


# By the name that a route has for them.
PAPERS: Mapping[str, Callable[[Printing, Form], None]] = {
    "affidavits": affidavits,
    "affidavit-form": affidavit_form,
    "assistance": assistance,
    "provisional": provisional,
    "irregularities": irregularities,
    "log-head": log_head,
}
REGISTERS: Mapping[str, Callable[[Printing, RegisterForm], None]] = {
    "register": register,
    "register-now": register_now,
    "supplemental": supplemental,
}
