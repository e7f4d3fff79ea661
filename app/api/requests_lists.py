"""What the API takes of late lists, calls of the registrar's office, and irregularities."""

from __future__ import annotations

import base64
from typing import Annotated, Literal, Self

from pydantic import Field, StringConstraints, model_validator

from app.api.requests import Asked, Identifier, ReasonAsked, ShortWords, Words
from app.api.requests_ways import Button, Code, Name
from app.desk.irregularities import Written
from app.desk.late_judging import Decision
from app.desk.late_lists import NewList
from app.desk.page_rows import PageRow
from app.desk.phone_ins import PhoneIn, ReadBack
from app.records.bodies_lists import IrregularityKind
from app.rules.faults import BadRequest
from app.rules.late_list import ListKind
from app.rules.phone_change import ChangeCode

_PLAIN = r"^[^\x00-\x1f\x7f]*$"
Number = Annotated[str, StringConstraints(strip_whitespace=True, max_length=32, pattern=_PLAIN)]
CalledNumber = Annotated[
    str, StringConstraints(strip_whitespace=True, min_length=1, max_length=40, pattern=_PLAIN)
]
Argument = Annotated[str, StringConstraints(strip_whitespace=True, max_length=200, pattern=_PLAIN)]
SaidCode = Annotated[str, StringConstraints(strip_whitespace=True, min_length=1, max_length=40)]
RowCount = Annotated[int, Field(ge=1, le=100_000)]


class ListAsked(Asked):
    """A list from a file, with its bytes, or on paper, with the total that is printed on it."""

    form: Literal["file", "paper"] = "file"
    kind: ListKind
    name: Annotated[ShortWords, Field(min_length=1)]
    content_base64: str | None = None
    corrects: Identifier | None = None
    printed_total: RowCount | None = None

    @model_validator(mode="after")
    def _has_what_its_form_needs(self) -> Self:
        is_file = self.form == "file"
        if is_file != (self.content_base64 is not None):
            raise ValueError("content_base64 belongs to a file, and to nothing else")
        if is_file == (self.printed_total is not None):
            raise ValueError("printed_total belongs to a list on paper, and to nothing else")
        if not is_file and self.corrects is not None:
            raise ValueError("a list on paper corrects none")
        return self

    def new_list(self) -> NewList:
        """BadRequest where the content is no base64."""
        try:
            content = base64.b64decode(self.content_base64 or "", validate=True)
        except ValueError:  # also of a character that no base64 has
            raise BadRequest(field="content_base64", expected="base64") from None
        return NewList(self.kind, self.name, content, self.corrects)


class RowSettlement(Asked):
    """Exactly one: the line that is meant, why the row is left off, that it is somebody else who
    is added, or that it is open again.
    """

    line_id: Identifier | None = None
    refuse: Annotated[Words, Field(min_length=1)] | None = None
    add: Literal[True] | None = None
    reopen: Literal[True] | None = None

    @model_validator(mode="after")
    def _says_one_thing(self) -> Self:
        said = [self.line_id, self.refuse, self.add, self.reopen]
        if sum(one is not None for one in said) != 1:
            raise ValueError("exactly one of line_id, refuse, add, reopen")
        return self

    def decision(self, initials: str) -> Decision | None:
        """None opens the row again."""
        if self.line_id is not None:
            return Decision("line", initials, self.line_id)
        if self.refuse is not None:
            return Decision("refuse", initials, reason=self.refuse)
        return Decision("add", initials) if self.add else None


class GoneSettlement(ReasonAsked):
    withdraw: bool


class WhyAsked(Asked):
    reason: Words = ""


class KeyedAsked(Asked):
    """`twice`: the paper names this line on more than one row."""

    line_id: Identifier
    twice: bool = False


class NotFoundAsked(Asked):
    number: Number = ""
    name: Name = ""


class PersonAsked(Asked):
    """One row of a supplemental page, the birth date as typed.

    `twice`: the page names this person on more than one row.
    """

    voter_number: Number = ""
    last_name: ShortWords = ""
    first_name: ShortWords = ""
    middle_name: ShortWords = ""
    suffix: Code = ""
    birth_date: Annotated[str, Field(max_length=40)] = ""
    street_address: Name = ""
    city: ShortWords = ""
    postal_code: Code = ""
    party: ShortWords = ""
    ballot_button: Button | None = None
    assistance: bool = False
    address_confirmation: bool = False
    address_protected: bool = False
    twice: bool = False

    def page_row(self) -> PageRow:
        return PageRow(**self.model_dump(exclude={"twice"}))


class ChangeAsked(Asked):
    what: ChangeCode
    argument: Argument = ""


class ReadBackAsked(Asked):
    voter_number: Number
    name: Name
    birth_year: Annotated[int, Field(ge=1800, le=2200)]


class PhoneInAsked(Asked):
    """`confirmed`: the office said that the voter read back is the one that is meant."""

    caller: Annotated[ShortWords, Field(min_length=1)]
    office: Annotated[ShortWords, Field(min_length=1)]
    number_called_back: CalledNumber
    asked: Annotated[Words, Field(min_length=1)]
    line_id: Identifier | None = None
    change: ChangeAsked
    read_back: ReadBackAsked | None = None
    confirmed: Literal[True]
    code: SaidCode | None = None

    def phone_in(self) -> PhoneIn:
        return PhoneIn(
            caller=self.caller,
            office=self.office,
            number_called_back=self.number_called_back,
            asked=self.asked,
            what=self.change.what.value,
            argument=self.change.argument,
            line_id=self.line_id,
            read_back=ReadBack(**self.read_back.model_dump()) if self.read_back else None,
            code=self.code,
        )


class UnlockAsked(ReasonAsked):
    number_called_back: CalledNumber


class IrregularityAsked(Asked):
    irregularity: IrregularityKind
    what: Annotated[Words, Field(min_length=1)]
    told: Words = ""
    done: Words = ""
    line_id: Identifier | None = None
    machine: ShortWords = ""

    def written(self) -> Written:
        return Written(**self.model_dump())


class HowAsked(Asked):
    how: Annotated[Words, Field(min_length=1)]
