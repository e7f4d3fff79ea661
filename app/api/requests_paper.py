"""What the API takes of hours on paper."""

from __future__ import annotations

from typing import Annotated, Literal, Self

from pydantic import Field, StringConstraints, model_validator

from app.api.requests import Asked, Identifier, ShortWords, Words
from app.api.requests_day import EntryNumber
from app.api.requests_lists import Number
from app.api.requests_ways import Name
from app.desk.evidence import Said
from app.desk.going_to_paper import Begun
from app.desk.on_paper import OnPaper, PaperHelp, Place
from app.rules.moment import Moved

# A local time as people write it down, or nothing.
PaperTime = Annotated[str, StringConstraints(pattern=r"^(([01][0-9]|2[0-3]):[0-5][0-9])?$")]
# A register of a million lines has some 80,000 pages; nobody signs a page a thousand times.
Page = Annotated[int, Field(ge=1, le=100_000)]
OrderOnPage = Annotated[int, Field(ge=1, le=1_000)]
# A row that waits has its place already.
NOT_KEYED = Place("", 0, 0)
SignatureCount = Annotated[int, Field(ge=0, le=100_000)]


class BeginAsked(Asked):
    """`from` and `until` are local times; `anyway`: the register shows more than the record has."""

    reason: Annotated[Words, Field(min_length=1)]
    head_seq: EntryNumber | None = None
    begins: Annotated[PaperTime, Field(alias="from")] = ""
    until: PaperTime = ""
    anyway: bool = False

    def begun(self) -> Begun:
        return Begun(self.reason, self.head_seq, self.begins, self.until, self.anyway)


class HelpAsked(Asked):
    wanted: bool
    helper_name: ShortWords = ""
    reason: Words = ""
    helper_is: Literal["other"] | None = None


class _ShownAsked(Asked):
    """What the paper shows of the steps before signing, and of which line.

    `anyway`: why it is keyed although the paper does not show a step. `twice`: the paper has the
    line on two places.
    """

    line_id: Identifier | None = None
    told_apart: bool | None = None
    identification: Literal["shown", "not_shown", "affirmed"] | None = None
    in_line_at_cut_off: bool | None = None
    address_affirmed: bool | None = None
    moved: Moved | None = None
    card_done: bool = False
    helper: HelpAsked | None = None
    anyway: Words = ""
    twice: bool = False

    def on_paper_at(self, place: Place) -> OnPaper:
        said = Said(
            None,
            self.identification,
            self.in_line_at_cut_off,
            self.address_affirmed,
            self.moved,
        )
        given = PaperHelp(**self.helper.model_dump()) if self.helper else None
        return OnPaper(place, self.told_apart, said, self.card_done, given, self.anyway, self.twice)


class CaughtUpAsked(_ShownAsked):
    """One row of the paper: a line, or the name and number of somebody on none."""

    name: Name = ""
    number: Number = ""
    time: PaperTime = ""
    page: Page
    order: OrderOnPage

    @model_validator(mode="after")
    def _is_a_line_or_somebody_on_none(self) -> Self:
        if self.line_id is not None and (self.name or self.number):
            raise ValueError("name and number belong to somebody on no line")
        return self

    def place(self) -> Place:
        return Place(self.time, self.page, self.order)

    def on_paper(self) -> OnPaper:
        return self.on_paper_at(self.place())


class PaperSettleAsked(_ShownAsked):
    """A row that waits: the line that it is, or in `reason` why it stays without one."""

    reason: Words = ""

    @model_validator(mode="after")
    def _is_a_line_or_a_reason(self) -> Self:
        if (self.line_id is None) != bool(self.reason):
            raise ValueError("either the line that it is, or why it stays without one")
        return self

    def on_paper(self) -> OnPaper:
        return self.on_paper_at(NOT_KEYED)


class PaperFinishAsked(Asked):
    """`counted`: the signatures counted on the pages; `reason`: why the rows are not as many."""

    counted: SignatureCount
    reason: Words = ""
