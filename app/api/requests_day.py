"""What the API takes of the opening and the close."""

from __future__ import annotations

from typing import Annotated, Self

from pydantic import Field, StringConstraints, model_validator

from app.api.requests import Asked, ShortWords, Words
from app.desk.doubted import Insisted
from app.records.entry import LARGEST_NUMBER
from app.rules.machine_readings import AtMoment, Reading, ZeroReport
from app.rules.paper_ballots import Counted
from app.rules.seals import Seal, SealAct, SealOf

_PLAIN = r"^[^\x00-\x1f\x7f]*$"
# Counters have six or seven digits; as in a package.
Counter = Annotated[int, Field(ge=0, le=99_999_999)]
BallotCount = Annotated[int, Field(ge=0, le=1_000_000)]
EntryNumber = Annotated[int, Field(ge=1, le=LARGEST_NUMBER)]
ButtonText = Annotated[str, StringConstraints(pattern=r"^[1-9][0-9]{0,2}$")]
SealNumber = Annotated[
    str, StringConstraints(strip_whitespace=True, min_length=1, max_length=40, pattern=_PLAIN)
]
CheckCode = Annotated[str, StringConstraints(min_length=1, max_length=80, pattern=_PLAIN)]
SerialText = Annotated[str, StringConstraints(min_length=1, max_length=64, pattern=_PLAIN)]


class OpenAsked(Asked):
    """`anyway`: why the polls open although a required check is not made."""

    anyway: Words = ""


class CloseAsked(Asked):
    """`reason`: why the polls close although the counts do not agree."""

    reason: Words = ""


class TickAsked(Asked):
    code: CheckCode
    passed: bool
    note: Words = ""


class InsistingAsked(Asked):
    """`anyway`: record it although it is doubted, for `reason`."""

    anyway: bool = False
    reason: Words = ""

    def insisted(self) -> Insisted:
        return Insisted(self.anyway, self.reason)


class ZeroReportAsked(Asked):
    time_right: bool
    serial_right: bool
    precinct_right: bool
    candidates_zero: bool
    protective_on_screen: Counter | None = None


class ReadingAsked(InsistingAsked):
    at_moment: AtMoment
    public: Counter
    protective: Counter | None = None
    by_button: Annotated[dict[ButtonText, Counter], Field(max_length=999)] | None = None
    zero_report: ZeroReportAsked | None = None
    replaces: EntryNumber | None = None

    @model_validator(mode="after")
    def _zero_report_belongs_to_opening(self) -> Self:
        if self.zero_report and self.at_moment != "opening":
            raise ValueError("a zero report belongs to the opening")
        return self

    def reading(self, serial: str) -> Reading:
        report = self.zero_report
        return Reading(
            serial,
            self.at_moment,
            self.public,
            self.protective,
            self.by_button,
            ZeroReport(**report.model_dump()) if report else None,
            self.replaces,
        )


class SealAsked(InsistingAsked):
    """`where` tells one from others of its kind: a machine by its serial."""

    of: SealOf
    where: ShortWords = ""
    number: SealNumber
    act: SealAct
    agrees: bool | None = None

    def seal(self) -> Seal:
        return Seal(self.of, self.where, self.number, self.act, self.agrees)


class BallotsAsked(Asked):
    what: Counted
    count: BallotCount
    replaces: EntryNumber | None = None
    reason: Words = ""
