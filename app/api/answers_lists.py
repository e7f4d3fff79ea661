"""What the API answers about late lists: the list, its rows, and the people they could mean."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from pydantic import BaseModel

from app.api.answers import ActAnswer, Receipt
from app.api.answers_lines import CodedAnswer, VerdictAnswer


class TallyAnswer(BaseModel):
    """`rows` is always the sum of the others."""

    rows: int
    applied: int
    already: int
    settled: int
    refused: int
    open: int


class ListName(BaseModel):
    list_id: str
    name: str


class ListAnswer(BaseModel):
    list_id: str
    kind: str
    form: str
    name: str
    status: str
    digest: str | None
    tally: TallyAnswer
    printed_total: int | None
    count: int
    not_found: int
    taken_back: int
    corrects: ListName | None
    initials: str
    local_time: str
    done: ActAnswer | None
    reason: str


class PersonAnswer(BaseModel):
    line_id: str
    name: str
    voter_number: str
    birth_date: str
    address: str
    address_protected: bool
    part: str
    standing: str


class ReadAnswer(BaseModel):
    """What stands in the row; blank is what the list does not have."""

    voter_number: str
    name: str
    birth_date: str
    initials: str
    reason: str


class CellFaultAnswer(BaseModel):
    column: str | None
    found: str
    expected: str
    code: str
    sentence: str


class FileFaultAnswer(CellFaultAnswer):
    file: str
    row: int | None
    what_to_do: str


class ContradictionAnswer(BaseModel):
    code: str
    sentence: str
    on_line: dict[str, Any]
    on_list: dict[str, Any]


class DecisionAnswer(BaseModel):
    how: str
    line_id: str | None
    reason: str
    initials: str


class RowAnswer(BaseModel):
    row_number: int
    read: ReadAnswer
    faults: list[CellFaultAnswer]
    agreement: str
    effect: str
    line_id: str | None
    person: PersonAnswer | None
    candidates: list[PersonAnswer]
    candidates_count: int
    reasons: list[CodedAnswer]
    contradiction: ContradictionAnswer | None
    decision: DecisionAnswer | None
    may_add: bool
    change: str | None
    seq: int | None


class GoneDecision(BaseModel):
    withdraw: bool
    reason: str
    initials: str


class GoneAnswer(BaseModel):
    line_id: str
    person: PersonAnswer
    row_number: int
    decision: GoneDecision | None


class ResemblesAnswer(ListName):
    shared: int


class DifferenceAnswer(BaseModel):
    new: int
    changed: int
    same: int
    gone: int


class PreviewAnswer(BaseModel):
    """`rows` is one page of them; `rows_count` how many there are of what was asked for."""

    list: ListAnswer
    again: bool
    columns: dict[str, str]
    ignored: Sequence[str]
    titles: Sequence[str]
    encoding: str
    resembles: ResemblesAnswer | None
    difference: DifferenceAnswer | None
    gone: Sequence[GoneAnswer]
    rows: Sequence[RowAnswer]
    rows_count: int
    caution: str


class ListsAnswer(BaseModel):
    lists: list[ListAnswer]


class AppliedAnswer(BaseModel):
    list: ListAnswer
    applied: Receipt
    receipts_count: int
    irregularities: int
    gone: Sequence[GoneAnswer]
    tally: TallyAnswer


class SettledAnswer(BaseModel):
    row: RowAnswer
    tally: TallyAnswer
    receipts: list[Receipt]


class GoneSettledAnswer(BaseModel):
    gone: GoneAnswer
    receipts: list[Receipt]


class CountedAnswer(BaseModel):
    row: RowAnswer
    receipt: Receipt
    count: int
    printed_total: int
    not_found: int
    verdict: VerdictAnswer | None = None


class ListOnly(BaseModel):
    list: ListAnswer


class FinishedAnswer(ListOnly):
    receipt: Receipt
