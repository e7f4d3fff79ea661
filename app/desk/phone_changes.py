"""What a call of the registrar's office changes on a line; `phone_ins` records it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any

from app.desk.evidence import read_typed_birth_date
from app.desk.late_judging import PHONE_IN
from app.desk.outcomes import Refused
from app.desk.roster import Roster
from app.desk.written import check_button
from app.records.bodies import LineRemoved, LineRestored, MarkRecorded, MarkWithdrawn
from app.records.body import Body
from app.records.corrected import as_kept
from app.rules.faults import BadRequest
from app.rules.late_agreement import Candidate
from app.rules.late_list import MARK_OF, Contradiction, Effect, Listed, ListKind, effect_on
from app.rules.line import Line, LineState, MarkKind
from app.rules.phone_change import Change, ChangeCode, says_yes

_ADDRESS = frozenset({"street_address", "city", "postal_code"})
# Bounds as those of an affidavit's fields.
_LONGEST = {"street_address": 120, "postal_code": 20, "suffix": 20}
_LONGEST_OTHERS = 80

_LIST_OF_MARK = {
    ChangeCode.MARK_BY_MAIL: ListKind.MAIL_VOTED,
    ChangeCode.MARK_EARLY: ListKind.EARLY_VOTED,
}


@dataclass(frozen=True, slots=True)
class Plan:
    """What would be recorded. No `body` and no `corrected`: it stands so already, or there is
    no line. `corrected` is the column and what it becomes, as JSON.
    """

    body: Body | None = None
    corrected: tuple[str, Any] | None = None
    contradiction: Contradiction | None = None
    before: Mapping[str, object] = field(default_factory=dict)
    after: Mapping[str, object] = field(default_factory=dict)

    @property
    def is_already(self) -> bool:
        return self.body is None and self.corrected is None


def read_change(roster: Roster, what: str, argument: str) -> Change:
    """The change as both ends write it: a birth date in ISO form. BadRequest where it is none.

    BirthDateUnreadable where the date typed is no date.
    """
    detail, equals, value = argument.partition("=")
    if what == ChangeCode.CORRECT_DETAIL and equals and detail.strip() == "birth_date":
        argument = f"birth_date={read_typed_birth_date(roster, value).isoformat()}"
    return Change(ChangeCode(what), argument)


def plan(roster: Roster, line: Line, state: LineState, change: Change, seq: int) -> Plan | Refused:
    """What the change comes to on this line; `seq` is the entry of the call itself."""
    code = change.code
    if code in _LIST_OF_MARK:
        return _marked(line, state, _LIST_OF_MARK[code], seq)
    if code is ChangeCode.WITHDRAW_MARK:
        return _mark_withdrawn(state, MarkKind(change.canonical), seq)
    if code is ChangeCode.REMOVE:
        return _removed(line, state, seq)
    if code is ChangeCode.RESTORE:
        if state.removed is None:
            return Refused("nothing-to-withdraw")
        body = LineRestored(reason=PHONE_IN, phone_in_seq=seq)
        return Plan(body, before={"removed": state.removed}, after={"removed": None})
    if code is ChangeCode.SET_BUTTON:
        check_button(roster.setting, int(change.canonical))
        return _corrected(line, "ballot_button", int(change.canonical))
    if code is ChangeCode.CORRECT_DETAIL:
        detail, _, value = change.argument.partition("=")
        return _corrected(line, detail.strip(), _checked(line, detail.strip(), value))
    raise BadRequest(field="line_id", expected="no line, where an affidavit is authorised")


def _marked(line: Line, state: LineState, kind: ListKind, seq: int) -> Plan:
    """The registrar's word is a source of its own, and says the same as a list that has it."""
    mark = MARK_OF[kind]
    had = [each.kind.value for each in state.marks]
    if mark in (each.kind for each in state.marks):
        return Plan(before={"marks": had}, after={"marks": had})
    _, contradiction = effect_on(Candidate(line, state), 0, Listed(kind, PHONE_IN))
    body = MarkRecorded(mark=mark, source=PHONE_IN, phone_in_seq=seq)
    return Plan(
        body,
        contradiction=contradiction,
        before={"marks": had},
        after={"marks": [*had, mark.value]},
    )


def _mark_withdrawn(state: LineState, mark: MarkKind, seq: int) -> Plan | Refused:
    had = [each.kind.value for each in state.marks]
    if mark.value not in had:
        return Refused("nothing-to-withdraw")
    body = MarkWithdrawn(mark=mark, reason=PHONE_IN, phone_in_seq=seq)
    after = [each for each in had if each != mark.value]
    return Plan(body, before={"marks": had}, after={"marks": after})


def _removed(line: Line, state: LineState, seq: int) -> Plan:
    if state.removed:
        return Plan(before={"removed": state.removed}, after={"removed": state.removed})
    effect, contradiction = effect_on(
        Candidate(line, state), 0, Listed(ListKind.REMOVALS, PHONE_IN)
    )
    body = LineRemoved(reason=PHONE_IN, phone_in_seq=seq) if effect is Effect.REMOVE else None
    return Plan(
        body, contradiction=contradiction, before={"removed": None}, after={"removed": True}
    )


def _corrected(line: Line, detail: str, value: object) -> Plan:
    shown = as_kept(line.printed, detail)
    if shown == value:
        return Plan(before={detail: shown}, after={detail: shown})
    return Plan(corrected=(detail, value), before={detail: shown}, after={detail: value})


def _checked(line: Line, detail: str, value: str) -> str:
    """A detail as it may stand on a line; BadRequest where it may not."""
    text = " ".join(value.split())
    if detail == "assistance":
        return "Y" if says_yes(value) else ""
    if detail in _ADDRESS and line.printed.address_protected:
        raise BadRequest(field="argument", expected="no address: it is kept secret")
    if detail == "last_name" and not text:
        raise BadRequest(field="argument", expected="a last name")
    longest = _LONGEST.get(detail, _LONGEST_OTHERS)
    if len(text) > longest:
        raise BadRequest(field="argument", expected=f"at most {longest} characters")
    return text
