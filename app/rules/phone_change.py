"""What the registrar may change by telephone, and what one spoken code is bound to.

Both ends must make the same of what each typed for itself, so everything here has one form
that capitals, spaces, accents and hyphens do not change. The code itself: `phone_code`.
"""

from __future__ import annotations

import unicodedata
from dataclasses import dataclass
from enum import StrEnum

from app.rules.faults import BadRequest
from app.rules.line import MarkKind


class ChangeCode(StrEnum):
    """What the registrar may change by telephone."""

    MARK_BY_MAIL = "mark_by_mail"
    MARK_EARLY = "mark_early"
    WITHDRAW_MARK = "withdraw_mark"
    AUTHORISE_AFFIDAVIT = "authorise_affidavit"
    CORRECT_DETAIL = "correct_detail"
    SET_BUTTON = "set_button"
    REMOVE = "remove"
    RESTORE = "restore"


# What the registrar may correct on a line; a wrong voter number is another line.
DETAILS = (
    "last_name",
    "first_name",
    "middle_name",
    "suffix",
    "birth_date",
    "mothers_maiden_name",
    "street_address",
    "city",
    "postal_code",
    "party",
    "assistance",
)

# What may be said of `assistance`, as letters alone: a register has Y there, or nothing.
_YES, _NO = frozenset({"y", "yes", "si"}), frozenset({"", "n", "no"})


@dataclass(frozen=True, slots=True)
class Change:
    """A change and its argument; raises `BadRequest` where the two do not fit.

    withdraw_mark: the kind of mark, `voted_by_mail` or `voted_early`.
    set_button: the number of the button, 1 to 999.
    correct_detail: `last_name=O'Malley`, one of `DETAILS` and what it becomes, or nothing;
    `assistance=Y` where the voter is entitled to it, `assistance=` where the Y is a mistake.
    authorise_affidavit: name and birth year of a person on no line, `Odette Pell 1980`.
    The others take none. `canonical` is what both ends make of it however it was typed.
    """

    code: ChangeCode
    argument: str = ""

    def __post_init__(self) -> None:
        if not self._is_argument_right():
            raise BadRequest(field="argument", expected=_EXPECTED.get(self.code, "nothing"))

    @property
    def canonical(self) -> str:
        if self.code is ChangeCode.CORRECT_DETAIL:
            detail, _, value = self.argument.partition("=")
            return f"{detail.strip()}={_as_said(detail.strip(), value)}"
        if self.code is ChangeCode.SET_BUTTON:
            return str(int(self.argument))
        if self.code is ChangeCode.AUTHORISE_AFFIDAVIT:
            return _letters_and_digits(self.argument)
        return self.argument.strip()

    def _is_argument_right(self) -> bool:
        argument = self.argument.strip()
        if self.code is ChangeCode.WITHDRAW_MARK:
            return argument in tuple(MarkKind)
        if self.code is ChangeCode.SET_BUTTON:
            is_number = argument.isascii() and argument.isdigit()
            return is_number and len(argument) <= 3 and int(argument) > 0
        if self.code is ChangeCode.CORRECT_DETAIL:
            detail, equals, value = argument.partition("=")
            return bool(equals) and _is_value_of(detail.strip(), value)
        return self.code is ChangeCode.AUTHORISE_AFFIDAVIT or not argument


_EXPECTED = {
    ChangeCode.WITHDRAW_MARK: " or ".join(MarkKind),
    ChangeCode.SET_BUTTON: "a button from 1 to 999",
    ChangeCode.CORRECT_DETAIL: "detail=value, where detail is one of "
    + ", ".join(DETAILS)
    + "; of assistance the value is Y or blank",
}


@dataclass(frozen=True, slots=True)
class Binding:
    """What one code stands for: this change, for this voter, at this precinct, in this election.

    `voter_number` is blank only for an affidavit of somebody who has none; the argument of the
    change then names the person. Raises `BadRequest` where neither does.
    """

    election_id: str
    precinct: str
    voter_number: str
    change: Change

    def __post_init__(self) -> None:
        is_affidavit = self.change.code is ChangeCode.AUTHORISE_AFFIDAVIT
        if not self.voter_number.strip() and not (is_affidavit and self.change.canonical):
            raise BadRequest(field="voter_number", expected="the voter's number")

    def fields(self) -> tuple[str, ...]:
        """The same at both ends, however voter number and precinct were typed."""
        number = "".join(self.voter_number.split()).upper()
        precinct = " ".join(self.precinct.split()).upper()
        change = self.change
        return (self.election_id.strip(), precinct, number, change.code.value, change.canonical)


def says_yes(value: str) -> bool | None:
    """Whether a Y is to stand there; None where that was not said."""
    said = _letters_and_digits(value)
    if said in _YES:
        return True
    return False if said in _NO else None


def _is_value_of(detail: str, value: str) -> bool:
    return detail in DETAILS and (detail != "assistance" or says_yes(value) is not None)


def _as_said(detail: str, value: str) -> str:
    if detail == "assistance":
        return "y" if says_yes(value) else ""
    return _letters_and_digits(value)


def _letters_and_digits(text: str) -> str:
    # What is said on the telephone has no capitals, accents, hyphens or apostrophes.
    plain = unicodedata.normalize("NFKD", text).casefold()
    return "".join(each for each in plain if each.isalnum())
