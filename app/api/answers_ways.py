"""What the API answers about people who did not simply sign: ways, affidavits, envelopes."""

from __future__ import annotations

from collections.abc import Iterable

from pydantic import BaseModel

from app.api.answers import ActAnswer, Clockface, Receipt, act_answer, receipt, receipt_fields
from app.api.answers_corrections import PapersReceipt, flag_answers
from app.api.answers_lines import (
    CodedAnswer,
    MatchAnswer,
    VerdictAnswer,
    coded_fields,
    match_answer,
    verdict_answer,
)
from app.desk.affidavits import Added, Checked
from app.desk.directing import Directed
from app.desk.elsewhere import FoundElsewhere
from app.desk.outcomes import Recorded
from app.desk.provisional import ProvisionalBallot
from app.desk.ways import Ways
from app.records.bodies import PlaceTold


class QuestionAnswer(CodedAnswer):
    """`field` of the situation gets one of `answers`."""

    field: str
    answers: list[str | bool]


class WaysAnswer(BaseModel):
    question: QuestionAnswer | None
    options: list[CodedAnswer]
    caution: str
    suggestions: list[MatchAnswer]


class ElsewhereAnswer(BaseModel):
    """`born` is a year, to compare; more is not known of people elsewhere."""

    elsewhere_id: str
    name: str
    born: int
    precinct: str
    polling_place: str
    place_address: str


class FindElsewhereAnswer(BaseModel):
    people: list[ElsewhereAnswer]
    ignored: list[str]
    has_list: bool
    took_ms: float


class DirectedAnswer(Receipt):
    way: str
    name: str
    born: int | None
    place: PlaceTold | None
    reason: str
    provisional_declined: bool


class PeopleDirectedAnswer(BaseModel):
    people: list[DirectedAnswer]


class LineNamed(BaseModel):
    line_id: str
    name: str
    voter_number: str


class AffidavitAnswer(BaseModel):
    added: Receipt
    signed: Receipt
    line_id: str
    ballot_button: int | None
    look_alikes: int
    flags: list[CodedAnswer]
    papers: list[str]


class AffidavitCheckAnswer(BaseModel):
    verdict: VerdictAnswer
    already_on: LineNamed | None


class ProvisionalReceipt(PapersReceipt):
    envelope: str
    ballot_class: str


class ProvisionalAnswer(Receipt):
    envelope: str
    reason: str
    note: str
    ballot_class: str
    ballot_button: int | None
    name: str
    street_address: str
    city: str
    postal_code: str
    address_protected: bool
    withdrawn: ActAnswer | None


class ProvisionalBallotsAnswer(BaseModel):
    ballots: list[ProvisionalAnswer]


def ways_answer(ways: Ways, caution: str) -> WaysAnswer:
    question = ways.question
    asked = question and QuestionAnswer(
        **coded_fields(question), field=question.field, answers=list(question.answers)
    )
    return WaysAnswer(
        question=asked,
        options=[CodedAnswer(**coded_fields(option)) for option in ways.options],
        caution=caution,
        suggestions=[match_answer(hit) for hit in ways.suggestions],
    )


def find_elsewhere_answer(
    found: FoundElsewhere, *, has_list: bool, took_ms: float
) -> FindElsewhereAnswer:
    return FindElsewhereAnswer(
        people=[
            ElsewhereAnswer(
                elsewhere_id=person.elsewhere_id,
                name=person.line.name_last_first,
                born=person.line.birth_year,
                precinct=person.line.precinct,
                polling_place=person.line.polling_place,
                place_address=person.line.place_address,
            )
            for person in found.people
        ],
        ignored=list(found.ignored),
        has_list=has_list,
        took_ms=round(took_ms, 3),
    )


def people_directed_answer(
    people: Iterable[Directed], clockface: Clockface
) -> PeopleDirectedAnswer:
    return PeopleDirectedAnswer(
        people=[
            DirectedAnswer(
                **receipt_fields(one.entry, clockface),
                way=one.entry.body["way"],
                name=one.name,
                born=one.born,
                place=one.place,
                reason=one.entry.body["reason"],
                provisional_declined=one.entry.body["provisional_declined"],
            )
            for one in people
        ]
    )


def affidavit_answer(added: Added, clockface: Clockface) -> AffidavitAnswer:
    return AffidavitAnswer(
        added=receipt(added.added, clockface),
        signed=receipt(added.signed, clockface),
        line_id=added.line.line_id,
        ballot_button=added.line.printed.ballot_button,
        look_alikes=len(added.line.look_alikes),
        flags=flag_answers(added.flags),
        papers=list(Recorded(added.added).papers),
    )


def affidavit_check_answer(checked: Checked, caution: str) -> AffidavitCheckAnswer:
    line = checked.already_on
    named = line and LineNamed(
        line_id=line.line_id,
        name=line.printed.name_last_first,
        voter_number=line.printed.voter_number,
    )
    return AffidavitCheckAnswer(verdict=verdict_answer(checked.verdict, caution), already_on=named)


def provisional_receipt(recorded: Recorded, clockface: Clockface) -> ProvisionalReceipt:
    body = recorded.entry.body
    return ProvisionalReceipt(
        **receipt_fields(recorded.entry, clockface),
        papers=list(recorded.papers),
        envelope=body["envelope"],
        ballot_class=body["ballot_class"],
    )


def provisional_ballots_answer(
    ballots: Iterable[ProvisionalBallot], clockface: Clockface
) -> ProvisionalBallotsAnswer:
    kept = ("name", "street_address", "city", "postal_code", "address_protected")
    said = ("envelope", "reason", "note", "ballot_class", "ballot_button")
    return ProvisionalBallotsAnswer(
        ballots=[
            ProvisionalAnswer(
                **receipt_fields(ballot.entry, clockface),
                **{name: ballot.entry.body[name] for name in said},
                **{name: getattr(ballot, name) for name in kept},
                withdrawn=act_answer(ballot.withdrawn, clockface),
            )
            for ballot in ballots
        ]
    )
