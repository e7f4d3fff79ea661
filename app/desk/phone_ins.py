"""Phone-ins: the registrar's office changes something by telephone, and the table proves it.

Nothing changes before the voter was read back and confirmed: number, name and birth year must be
those of the line. The call and what it changed are two entries of one transaction.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from typing import Any

from sqlalchemy import Connection

from app.desk.irregularities import contradiction_body
from app.desk.namesakes import ids_of_look_alikes_now
from app.desk.outcomes import Refused
from app.desk.phone_changes import Plan, plan, read_change
from app.desk.roster import Roster
from app.desk.spoken_codes import check_code, refused_before
from app.intake.cells import voter_number_key
from app.matching.names import fold
from app.records import corrected, personal, queries
from app.records.bodies import LineCorrected
from app.records.bodies_lists import PhoneInRecorded
from app.records.entry import Actor, Entry
from app.records.unit import Unit
from app.rules.faults import BadRequest, TokenReused
from app.rules.line import Line
from app.rules.phone_change import ChangeCode
from app.rules.verdict import Verdict

# What else may be mistaken for the line depends on these.
_TOLD_APART_BY = frozenset(
    {"last_name", "first_name", "suffix", "birth_date", "street_address", "postal_code"}
)


@dataclass(frozen=True, slots=True)
class ReadBack:
    """What was read out to the office and confirmed."""

    voter_number: str
    name: str
    birth_year: int


@dataclass(frozen=True, slots=True)
class PhoneIn:
    """A call. `argument` of a change as typed; `read_back` None only where there is no line."""

    caller: str
    office: str
    number_called_back: str
    asked: str
    what: str
    argument: str = ""
    line_id: str | None = None
    read_back: ReadBack | None = None
    code: str | None = None


@dataclass(frozen=True, slots=True)
class Called:
    """The entry of the call, and of what it changed. `line` and `verdict` as they are now."""

    call: Entry
    change: Entry | None = None
    irregularity: Entry | None = None
    before: Mapping[str, object] = field(default_factory=dict)
    after: Mapping[str, object] = field(default_factory=dict)
    line: Line | None = None
    verdict: Verdict | None = None


def look_alikes(roster: Roster, call: PhoneIn) -> tuple[str, ...]:
    """Whom a corrected line could be mistaken for; read before writing, since it takes long."""
    if call.what != ChangeCode.CORRECT_DETAIL or call.line_id is None:
        return ()
    change = read_change(roster, call.what, call.argument)
    detail = change.argument.partition("=")[0].strip()
    if detail not in _TOLD_APART_BY:
        return ()
    value = change.argument.partition("=")[2]

    def found(connection: Connection) -> tuple[str, ...]:
        line = queries.line(connection, str(call.line_id))
        now = corrected.as_corrected(line, {detail: " ".join(value.split())})
        told = {line.line_id, *line.look_alikes}
        return ids_of_look_alikes_now(connection, now.printed, told)

    return roster.store.read(found)


def record(
    unit: Unit,
    roster: Roster,
    actor: Actor,
    token: str,
    call: PhoneIn,
    alike: Sequence[str] = (),
) -> Called | Refused:
    """Record the call and what it changes, both or neither; the same token, the same answer.

    Refused where the voter read back is not the one on the line, the code is not right, or
    nothing of the kind stands there. BadRequest where line, argument or read-back do not fit.
    """
    connection = unit.connection
    again = refused_before(connection, token) or _before(unit, roster, token, call)
    if again:
        return again
    change = read_change(roster, call.what, call.argument)
    line, differs = _line_read_back(connection, call)
    if differs:
        return Refused("read-back-differs", {"fields": differs})
    is_authorising = change.code is ChangeCode.AUTHORISE_AFFIDAVIT
    if is_authorising and not roster.setting.policy.correction_affidavit:
        return Refused("not-provided-for", {"setting": "correction_affidavit"})
    planned = _plan(unit, roster, line, call)
    if isinstance(planned, Refused):
        return planned
    number = line.printed.voter_number if line else ""
    checked = check_code(unit, roster, actor, token, call.code, number, change, call.line_id)
    if isinstance(checked, Refused):
        return checked
    sealed = personal.seal({"asked": call.asked, "argument": call.argument})
    body = PhoneInRecorded(
        **_asked(call),
        effect="already" if planned.is_already and not is_authorising else "done",
        code_used=checked is not None,
        counter=checked,
        read_back=line is not None,
        details_sha256=sealed.digest,
    )
    entry = unit.append(actor, token, body, call.line_id)
    personal.keep(unit, entry, sealed)
    return _done(unit, roster, actor, token, entry, planned, alike)


def _done(
    unit: Unit,
    roster: Roster,
    actor: Actor,
    token: str,
    call: Entry,
    planned: Plan,
    alike: Sequence[str],
) -> Called:
    line_id, change, irregularity = call.line_id, None, None
    if planned.corrected:
        detail, value = planned.corrected
        change = _correct(unit, actor, f"{token}.1", call, detail, value, alike)
    elif planned.body:
        change = unit.append(actor, f"{token}.1", planned.body, line_id)
    if planned.contradiction and change:
        body = contradiction_body(planned.contradiction, None, None)
        irregularity = unit.append(actor, f"{token}.c", body, line_id)
    called = Called(call, change, irregularity, planned.before, planned.after)
    return _with_line(unit.connection, roster, called)


def _with_line(connection: Connection, roster: Roster, called: Called) -> Called:
    if called.call.line_id is None:
        return called
    line = queries.line(connection, called.call.line_id)
    return replace(called, line=line, verdict=roster.judge_now(connection, line))


def _correct(
    unit: Unit,
    actor: Actor,
    token: str,
    call: Entry,
    detail: str,
    value: object,
    alike: Sequence[str],
) -> Entry:
    line_id = str(call.line_id)
    was = corrected.as_kept(queries.line(unit.connection, line_id).printed, detail)
    details = {
        "detail": detail,
        "value": value,
        "was": was,
        "look_alikes": list(alike),
    }
    sealed = personal.seal(details)
    body = LineCorrected(detail=detail, phone_in_seq=call.seq, details_sha256=sealed.digest)
    entry = unit.append(actor, token, body, line_id)
    personal.keep(unit, entry, sealed)
    corrected.correct(unit.connection, line_id, detail, value)
    corrected.add_look_alikes(unit.connection, line_id, alike)
    return entry


def _asked(call: PhoneIn) -> dict[str, Any]:
    return {
        "caller": call.caller,
        "office": call.office,
        "number_called_back": call.number_called_back,
        "what": call.what,
    }


def _before(unit: Unit, roster: Roster, token: str, call: PhoneIn) -> Called | None:
    """The same answer again. What stood before is not told twice: the line shows what stands."""
    entry = unit.already(token, PhoneInRecorded.kind, call.line_id, **_asked(call))
    if entry is None:
        return None
    said = {"asked": call.asked, "argument": call.argument}
    if personal.details_of(unit.connection, entry) != said:
        raise TokenReused(seq=entry.seq, kind=entry.kind)
    change = queries.entry_by_token(unit.connection, f"{token}.1")
    irregularity = queries.entry_by_token(unit.connection, f"{token}.c")
    return _with_line(unit.connection, roster, Called(entry, change, irregularity))


def _line_read_back(connection: Connection, call: PhoneIn) -> tuple[Line | None, list[str]]:
    """The line that is meant, and in what it differs from what was read back."""
    if call.what == ChangeCode.AUTHORISE_AFFIDAVIT:
        if call.line_id is not None or call.read_back is not None:
            raise BadRequest(field="line_id", expected="no line, where an affidavit is authorised")
        return None, []
    if call.line_id is None or call.read_back is None:
        names = ("line_id", "read_back")
        raise BadRequest(missing=[name for name in names if getattr(call, name) is None])
    line = queries.line(connection, call.line_id)
    printed, said = line.printed, call.read_back
    agrees = {
        "voter_number": voter_number_key(said.voter_number.strip())
        == voter_number_key(printed.voter_number),
        "name": _is_name(said.name, line),
        "birth_year": said.birth_year == printed.birth_date.year,
    }
    return line, [name for name, is_same in agrees.items() if not is_same]


def _is_name(said: str, line: Line) -> bool:
    """First and last name in any order; middle names and suffix may be left out, nothing added."""
    printed = line.printed
    words = set(fold(said).split())
    needed = set(fold(f"{printed.first_name} {printed.last_name}").split())
    whole = needed | set(fold(f"{printed.middle_name} {printed.suffix}").split())
    return needed <= words <= whole


def _plan(unit: Unit, roster: Roster, line: Line | None, call: PhoneIn) -> Plan | Refused:
    if line is None:
        return Plan()
    change = read_change(roster, call.what, call.argument)
    state = queries.stored_state(unit.connection, line.line_id).state
    return plan(roster, line, state, change, unit.head.seq + 1)
