"""What the API takes: one model for each body, with the bounds of every field."""

from __future__ import annotations

import datetime
from typing import Annotated, Literal, Self

from pydantic import (
    AfterValidator,
    BaseModel,
    ConfigDict,
    Field,
    StringConstraints,
    model_validator,
)

from app.desk import station_names
from app.desk.assisting import Assistance
from app.desk.evidence import Said
from app.desk.signing import Signature, Why
from app.desk.witness import Witness
from app.records.bodies import Turn
from app.rules.moment import Moved

# A signature at 60 points a second for 20 s is 1,200 points; 3,000 fit the 64 kB body cap.
MOST_POINTS = 3_000

# Control characters have no place in anything a person types here, and would break printed lists.
_PLAIN = r"^[^\x00-\x1f\x7f]*$"
Words = Annotated[str, StringConstraints(strip_whitespace=True, max_length=500, pattern=_PLAIN)]
ShortWords = Annotated[str, StringConstraints(strip_whitespace=True, max_length=80, pattern=_PLAIN)]
Identifier = Annotated[str, StringConstraints(min_length=1, max_length=64, pattern=_PLAIN)]
StationName = Annotated[
    ShortWords,
    Field(min_length=1, max_length=station_names.NAME_LENGTHS.stop - 1),
    AfterValidator(station_names.tidied),
]
Coordinate = Annotated[int, Field(ge=0, le=10_000)]
Milliseconds = Annotated[int, Field(ge=0, le=600_000)]
Point = tuple[Coordinate, Coordinate, Milliseconds]
Stroke = Annotated[list[Point], Field(min_length=1)]


class Asked(BaseModel):
    """Base of every body: unknown fields are refused, not ignored."""

    model_config = ConfigDict(extra="forbid")


class Nothing(Asked):
    """An empty object."""


class SignOnAsked(Asked):
    initials: Annotated[ShortWords, Field(min_length=1, max_length=4)]
    pin: Annotated[str, Field(min_length=1, max_length=64)]
    station: StationName


class FindAsked(Asked):
    """`text` is whatever stands in the box: the finder cuts it at 200, but not a licence."""

    text: Annotated[str, Field(max_length=2_000)]
    limit: Annotated[int, Field(ge=1, le=50)] = 8


class EvidenceAsked(Asked):
    birth_date: Annotated[str, Field(max_length=40)] | None = None
    identification: Literal["shown", "not_shown", "affirmed"] | None = None
    in_line_at_cut_off: bool | None = None
    address_affirmed: bool | None = None
    moved: Moved | None = None

    def said(self) -> Said:
        return Said(
            self.birth_date or None,
            self.identification,
            self.in_line_at_cut_off,
            self.address_affirmed,
            self.moved,
        )


class CheckAsked(Asked):
    evidence: EvidenceAsked


class Stroked(Asked):
    """What may hold pen strokes: where something was drawn, and nowhere else."""

    strokes: Annotated[list[Stroke], Field(min_length=1, max_length=200)] | None = None

    @property
    def is_drawn(self) -> bool:
        return False

    @property
    def points(self) -> int:
        return sum(map(len, self.strokes or []))

    @model_validator(mode="after")
    def _strokes_belong_to_drawn(self) -> Self:
        if self.is_drawn != (self.strokes is not None):
            raise ValueError("strokes belong to a drawn signature, and to no other")
        if self.points > MOST_POINTS:
            raise ValueError(f"a signature has at most {MOST_POINTS} points")
        return self


class Drawable(Stroked):
    """Something that may be signed: drawn on the page, in strokes, or on paper."""

    how: Literal["drawn", "paper"] | None = None

    @property
    def is_drawn(self) -> bool:
        return self.how == "drawn"


class WitnessAsked(Drawable):
    """Whoever saw the voter make a mark, and signs beside it.

    That a name is missing is for the desk to say.
    """

    name: ShortWords = ""
    how: Literal["drawn", "paper"]

    def witness(self) -> Witness:
        return Witness(self.name, self.how, self.strokes)


class SignatureAsked(Stroked):
    """`mark` and `witness` are of a voter who cannot sign, `how` mark, and of nobody else."""

    how: Literal["drawn", "paper", "mark"]
    mark: Literal["drawn", "paper", "none"] | None = None
    witness: WitnessAsked | None = None
    evidence: EvidenceAsked = EvidenceAsked()

    @property
    def is_drawn(self) -> bool:
        return self.how == "drawn" or self.mark == "drawn"

    @property
    def points(self) -> int:
        """Of both drawings: together they must fit the body."""
        return super().points + (self.witness.points if self.witness else 0)

    @model_validator(mode="after")
    def _mark_belongs_to_mark(self) -> Self:
        if (self.how == "mark") != (self.mark is not None):
            raise ValueError("a mark belongs to how: mark, and to no other")
        if self.witness and self.how != "mark":
            raise ValueError("a witness belongs to a mark")
        return self

    def signature(self) -> Signature:
        witness = self.witness.witness() if self.witness else None
        return Signature(self.how, self.strokes, self.evidence.said(), self.mark, witness)


class ReasonAsked(Asked):
    reason: Annotated[Words, Field(min_length=1)]


class WithdrawalAsked(ReasonAsked):
    why: Why = "other"


class MoveAsked(ReasonAsked):
    """`evidence` is about the line the signature goes to."""

    to_line_id: Identifier
    evidence: EvidenceAsked = EvidenceAsked()


class LeftAsked(Asked):
    reason: Words = ""


class AssistanceAsked(Drawable):
    """`how` is how the helper signed; it may be left out where no help is wanted."""

    wanted: bool
    helper_name: ShortWords = ""
    reason: Words = ""
    helper_is: Literal["other", "employer_or_union"] | None = None
    statement_of_support: bool = False

    def assistance(self) -> Assistance:
        return Assistance(
            self.wanted,
            self.helper_name,
            self.reason,
            self.how,
            self.strokes,
            self.helper_is,
            self.statement_of_support,
        )


class ExtensionAsked(Asked):
    """`until` is a local time of the day, `HH:MM`."""

    reference: Annotated[ShortWords, Field(min_length=1)]
    until: Annotated[str, StringConstraints(pattern=r"^([01][0-9]|2[0-3]):[0-5][0-9]$")]

    def until_time(self) -> datetime.time:
        return datetime.time.fromisoformat(self.until)


class TurnAsked(ReasonAsked):
    turn: Turn
