"""What the API takes from people who are on no line, or cannot sign the one they are on."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field, StringConstraints

from app.api.requests import (
    Asked,
    Drawable,
    EvidenceAsked,
    Identifier,
    ShortWords,
    Words,
)
from app.desk.affidavits import Affidavit
from app.desk.directing import Direction, Way
from app.desk.provisional import Envelope
from app.records.bodies import PlaceTold
from app.records.entry import LARGEST_NUMBER
from app.rules.ways_out import Situation

_PLAIN = r"^[^\x00-\x1f\x7f]*$"
Name = Annotated[str, StringConstraints(strip_whitespace=True, max_length=120, pattern=_PLAIN)]
Address = Annotated[str, StringConstraints(strip_whitespace=True, max_length=200, pattern=_PLAIN)]
Code = Annotated[str, StringConstraints(strip_whitespace=True, max_length=20, pattern=_PLAIN)]
# As printed on envelopes. Upper case, so that a5 and A5 are one envelope.
EnvelopeNumber = Annotated[
    str,
    StringConstraints(strip_whitespace=True, to_upper=True, pattern=r"^[A-Za-z0-9-]{1,20}$"),
]
ReasonCode = Annotated[str, StringConstraints(pattern=r"^[a-z-]{1,40}$")]
Button = Annotated[int, Field(ge=0, le=999)]


class SituationAsked(Asked):
    """The answers so far on the way of somebody found nowhere; None is not asked yet."""

    in_line_at_cut_off: bool | None = None
    spelled_otherwise: Literal["not_found"] | None = None
    supplemental: Literal["not_found"] | None = None
    says_eligible: Literal["yes", "no"] | None = None
    elsewhere: Literal["yes", "no", "not_known"] | None = None
    goes_there: Literal["yes", "no"] | None = None
    registrar: Literal["authorised", "not_authorised", "elsewhere", "not_reached"] | None = None

    def situation(self) -> Situation:
        return Situation(**self.model_dump())


class WaysOutAsked(Asked):
    """`typed` is what was looked for without success."""

    situation: SituationAsked = SituationAsked()
    typed: Annotated[str, Field(max_length=2_000)] = ""


class ElsewhereAsked(Asked):
    text: Annotated[str, Field(max_length=2_000)]


class PlaceAsked(Asked):
    """A polling place as the registrar named it."""

    precinct: Annotated[ShortWords, Field(min_length=1)]
    polling_place: Annotated[ShortWords, Field(min_length=1)]
    place_address: Address = ""

    def place(self) -> PlaceTold:
        return PlaceTold(**self.model_dump())


class DirectionAsked(Asked):
    way: Way
    elsewhere_id: Identifier | None = None
    place: PlaceAsked | None = None
    line_id: Identifier | None = None
    situation: SituationAsked = SituationAsked()
    evidence: EvidenceAsked = EvidenceAsked()
    name: Name = ""
    reason: Words = ""
    provisional_declined: bool = False

    def direction(self) -> Direction:
        return Direction(
            way=self.way,
            elsewhere_id=self.elsewhere_id,
            place=self.place.place() if self.place else None,
            line_id=self.line_id,
            situation=self.situation.situation(),
            said=self.evidence.said(),
            name=self.name,
            reason=self.reason,
            provisional_declined=self.provisional_declined,
        )


class AffidavitWords(Asked):
    """What is written on a correction affidavit. The birth date as typed."""

    last_name: Annotated[ShortWords, Field(min_length=1)]
    first_name: ShortWords = ""
    middle_name: ShortWords = ""
    suffix: Code = ""
    birth_date: Annotated[str, Field(min_length=1, max_length=40)]
    street_address: Name = ""
    city: ShortWords = ""
    postal_code: Code = ""
    address_protected: bool = False
    voter_number: Code = ""
    ballot_button: Button | None = None
    authorised_by: Annotated[ShortWords, Field(min_length=1)]
    authorised_how: Literal["phone", "in_person", "writing"]
    evidence: EvidenceAsked = EvidenceAsked()
    somebody_else: bool = False
    authorisation_seq: Annotated[int, Field(ge=1, le=LARGEST_NUMBER)] | None = None

    def affidavit(self) -> Affidavit:
        words = self.model_dump(exclude={"evidence", "how", "strokes"})
        return Affidavit(**words, said=self.evidence.said())


class AffidavitAsked(AffidavitWords, Drawable):
    how: Literal["drawn", "paper"]

    def affidavit(self) -> Affidavit:
        words = self.model_dump(exclude={"evidence", "strokes"})
        return Affidavit(**words, strokes=self.strokes, said=self.evidence.said())


class ProvisionalAsked(Drawable):
    """`affirmed`: the voter signed that they are registered and eligible."""

    how: Literal["drawn", "paper"]
    line_id: Identifier | None = None
    situation: SituationAsked = SituationAsked()
    evidence: EvidenceAsked = EvidenceAsked()
    reason: ReasonCode
    note: Words = ""
    name: Annotated[Name, Field(min_length=1)]
    street_address: Name = ""
    city: ShortWords = ""
    postal_code: Code = ""
    address_protected: bool = False
    ballot_button: Button | None = None
    envelope: EnvelopeNumber
    affirmed: Literal[True]

    def envelope_given(self) -> Envelope:
        alike = {"line_id", "reason", "note", "name", "street_address", "city", "postal_code"}
        return Envelope(
            **self.model_dump(include=alike),
            envelope=self.envelope,
            address_protected=self.address_protected,
            ballot_button=self.ballot_button,
            how=self.how,
            strokes=self.strokes,
            situation=self.situation.situation(),
            said=self.evidence.said(),
        )
