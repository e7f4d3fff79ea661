"""The spoken code of a phone-in: asked or not, right or wrong, and how many tries are left.

Nothing is kept for it but the log: used running numbers stand in `phone_in.recorded`, wrong codes
in `phone_code.refused`. After five wrong codes in a row none is taken until the lead has called
the office back; no clock decides.
"""

from __future__ import annotations

from dataclasses import dataclass

from sqlalchemy import Connection

from app.desk.outcomes import Recorded, Refused
from app.desk.roster import Roster
from app.records import queries
from app.records.bodies_lists import PhoneCodeRefused, PhoneCodeUnlocked, PhoneInRecorded
from app.records.entry import Actor
from app.records.unit import Unit
from app.rules.phone_change import Binding, Change
from app.rules.phone_code import Counters, Refusal, tries_left, verify_code
from app.rules.policy import PhoneCode

_CODE_OF_REFUSAL = {
    Refusal.UNREADABLE: "code-unreadable",
    Refusal.MISHEARD: "code-misheard",
    Refusal.USED_ALREADY: "code-used-already",
    Refusal.WRONG_CODE: "code-wrong",
}


@dataclass(frozen=True, slots=True)
class CodeState:
    """Which running numbers were used, and how many codes in a row were wrong."""

    counters: Counters
    wrong_codes: int

    @property
    def tries_left(self) -> int:
        return tries_left(self.wrong_codes)


def asked_here(roster: Roster) -> PhoneCode:
    """Whether a code is asked for: never where the package brought no secret."""
    return roster.setting.policy.phone_code if roster.phone_secret else "off"


def code_state(connection: Connection) -> CodeState:
    """What the log says of codes so far."""
    counters, wrong_codes = Counters(), 0
    kinds = (PhoneInRecorded.kind, PhoneCodeRefused.kind, PhoneCodeUnlocked.kind)
    for entry in queries.entries_of(connection, *kinds):
        if entry.kind == PhoneCodeRefused.kind:
            wrong_codes += 1
        elif entry.kind == PhoneCodeUnlocked.kind:
            wrong_codes = 0
        elif entry.body["counter"] is not None:
            counters, wrong_codes = counters.after(entry.body["counter"]), 0
    return CodeState(counters, wrong_codes)


def check_code(
    unit: Unit,
    roster: Roster,
    actor: Actor,
    token: str,
    code: str | None,
    voter_number: str,
    change: Change,
    line_id: str | None,
) -> int | Refused | None:
    """The running number of a right code, None where none is needed and none was given.

    A wrong code is written into the log: tries are limited, also over a restart.
    """
    asked = asked_here(roster)
    if code is None:
        return Refused("code-missing") if roster.setting.policy.phone_code == "required" else None
    if asked == "off" or roster.phone_secret is None:
        return Refused("not-provided-for", {"setting": "phone_code"})
    state = code_state(unit.connection)
    if state.tries_left == 0:
        return Refused("code-locked")
    setting = roster.setting
    binding = Binding(setting.election.id, setting.precinct.number, voter_number, change)
    checked = verify_code(code, roster.phone_secret, binding, state.counters)
    if checked.refusal is None:
        return checked.counter
    left = state.tries_left
    if checked.refusal is Refusal.WRONG_CODE:
        unit.append(actor, token, PhoneCodeRefused(what=change.code.value), line_id)
        left -= 1
    return Refused(_CODE_OF_REFUSAL[checked.refusal], {"tries_left": left})


def refused_before(connection: Connection, token: str) -> Refused | None:
    """The same refusal again, where this token's code was wrong before."""
    entry = queries.entry_by_token(connection, token)
    if entry is None or entry.kind != PhoneCodeRefused.kind:
        return None
    return Refused("code-wrong", {"tries_left": code_state(connection).tries_left})


def unlock(
    unit: Unit, actor: Actor, token: str, number_called_back: str, reason: str
) -> Recorded | Refused:
    """Take codes again: the lead has called the office back at a number that is known."""
    body = PhoneCodeUnlocked(number_called_back=number_called_back, reason=reason)
    again = unit.already(token, body.kind, **body.model_dump(mode="json"))
    if again:
        return Recorded(again)
    if code_state(unit.connection).wrong_codes == 0:
        return Refused("nothing-to-record")
    return Recorded(unit.append(actor, token, body))
