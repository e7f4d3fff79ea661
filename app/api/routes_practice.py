"""The exercises of a practice day. On a real record none of these routes is there."""

from __future__ import annotations

from collections.abc import Callable
from typing import Annotated

from fastapi import APIRouter, Depends, Request, Response
from pydantic import BaseModel
from starlette.concurrency import run_in_threadpool

from app.api.access import Acting, Admitted, OpenRoster, Token
from app.api.requests import Nothing
from app.api.routes_day_papers import AskedForm
from app.desk.practice_book import PracticeBook, Round, Score, visitor_of
from app.desk.practice_score import print_scores
from app.desk.roster import Roster
from app.papers.made import short_date
from app.papers.words import Language
from app.records.entry import Actor
from app.rules.faults import NotFound, NotSignedOn
from app.rules.practice_exercises import EXERCISE, EXERCISES
from app.rules.practice_judging import Judged
from app.rules.practice_words import PRACTICE_WORDS

router = APIRouter()

LANGUAGES: tuple[Language, ...] = ("en", "es")


class BothAnswer(BaseModel):
    """One text in both languages."""

    en: str
    es: str


class NowAnswer(BaseModel):
    """Who stands at the table now: the number of the exercise, from 1, and what they say."""

    code: str
    number: int
    title: BothAnswer
    says: BothAnswer


class DoneAnswer(BaseModel):
    """An exercise that has ended. `result` is right, mended or wrong."""

    code: str
    number: int
    title: BothAnswer
    result: str
    wrong_actions: int
    faults: list[BothAnswer]
    why: BothAnswer


class ScoreAnswer(BaseModel):
    initials: str
    right: int
    mended: int
    wrong: int
    wrong_actions: int


class PracticeAnswer(BaseModel):
    """One worker's round: `of` exercises, `now` None between two people.

    `done` in the order of the exercises, `last` the one that ended last; `scores` of everybody.
    """

    of: int
    now: NowAnswer | None
    last: DoneAnswer | None
    done: list[DoneAnswer]
    scores: list[ScoreAnswer]


async def practice_book(request: Request, _signed_on: Admitted) -> PracticeBook:
    """The book of the practice day; NotFound on a real one."""
    book: PracticeBook | None = request.app.state.practice
    if book is None:
        raise NotFound(what="practice on a real day")
    return book


Book = Annotated[PracticeBook, Depends(practice_book)]


@router.get("/api/practice")
async def read_practice(book: Book, actor: Acting, roster: OpenRoster) -> PracticeAnswer:
    """How the worker's round stands; a round is begun where there is none."""
    return await run_in_threadpool(_answered, book.round_of, book, roster, actor)


@router.post("/api/practice/begin")
async def begin(
    _: Nothing, _token: Token, book: Book, actor: Acting, roster: OpenRoster
) -> PracticeAnswer:
    """The next person comes to the table."""
    return await run_in_threadpool(
        _answered, lambda who: book.begin(roster, who), book, roster, actor
    )


@router.post("/api/practice/end")
async def end(
    _: Nothing, _token: Token, book: Book, actor: Acting, roster: OpenRoster
) -> PracticeAnswer:
    """The person has left the table; what was done is judged."""
    return await run_in_threadpool(
        _answered, lambda who: book.end(roster, who), book, roster, actor
    )


@router.post("/api/practice/again")
async def begin_again(
    _: Nothing, _token: Token, book: Book, actor: Acting, roster: OpenRoster
) -> PracticeAnswer:
    """From the beginning, with other people; NotFound once there are none left."""
    return await run_in_threadpool(_answered, book.begin_again, book, roster, actor)


@router.get("/api/papers/practice-score.pdf")
async def read_score(
    book: Book, signed_on: Admitted, roster: OpenRoster, request: Request, form: AskedForm
) -> Response:
    """The score of whoever asks; a lead's has everybody's."""
    if signed_on is None:
        raise NotSignedOn
    worker = signed_on.worker
    scores = [
        one
        for one in book.scores(roster)
        if worker.role == "lead" or one.initials == worker.initials
    ]
    now = request.app.state.clock.now()
    pages = await run_in_threadpool(print_scores, roster, scores, now, form)
    return Response(pages, media_type="application/pdf")


def _answered(
    take: Callable[[Actor], Round], book: PracticeBook, roster: Roster, actor: Actor
) -> PracticeAnswer:
    practised = take(actor)
    done = [
        _done(code, judged, number)
        for number, code in enumerate(EXERCISE, 1)
        if (judged := practised.results.get(code))
    ]
    last = next(reversed(practised.results), None)
    return PracticeAnswer(
        of=len(EXERCISES),
        now=_now(roster, practised),
        last=next((one for one in done if one.code == last), None),
        done=done,
        scores=[_score(one) for one in book.scores(roster)],
    )


def _now(roster: Roster, practised: Round) -> NowAnswer | None:
    if practised.now is None:
        return None
    visitor = visitor_of(roster, practised.place, EXERCISE[practised.now])
    english, spanish = (
        PRACTICE_WORDS[language][f"{practised.now}.says"].format(
            first=visitor.first_name,
            last=visitor.last_name,
            number=visitor.voter_number,
            address=visitor.address,
            envelope=visitor.envelope,
            born=short_date(visitor.birth_date, language),
        )
        for language in LANGUAGES
    )
    return NowAnswer(
        code=practised.now,
        number=list(EXERCISE).index(practised.now) + 1,
        title=_both(f"{practised.now}.title"),
        says=BothAnswer(en=english, es=spanish),
    )


def _done(code: str, judged: Judged, number: int) -> DoneAnswer:
    return DoneAnswer(
        code=code,
        number=number,
        title=_both(f"{code}.title"),
        result=judged.result,
        wrong_actions=judged.wrong_actions,
        faults=[_both(f"fault.{fault}") for fault in judged.faults],
        why=_both(f"{code}.why"),
    )


def _score(score: Score) -> ScoreAnswer:
    return ScoreAnswer(
        initials=score.initials,
        right=score.count("right"),
        mended=score.count("mended"),
        wrong=score.count("wrong"),
        wrong_actions=score.wrong_actions,
    )


def _both(key: str) -> BothAnswer:
    return BothAnswer(en=PRACTICE_WORDS["en"][key], es=PRACTICE_WORDS["es"][key])
