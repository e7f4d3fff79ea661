"""The lines that are worth scoring: no better one is left out."""

from __future__ import annotations

import random
from datetime import date, timedelta

import numpy as np
import pytest

from app.matching import candidates, finder, pointing
from app.matching.finder import Finder
from app.matching.parse import parse
from app.matching.pointing import Shortened
from app.matching.register import Register
from app.rules.line import Line
from tests.making import printed
from tests.matching.people import ELECTION_YEAR

LAST = (
    "Abel Alder Barrow Barlow Bellamy Carver Carter de-la-Cruz Cruz Dunmore Dunmoor Ellery"
    " Farrow Garcia Garcia-Lopez Harlow Harrow Iverson Jackson Johns Lopez Marlow Mercer O'Neil"
    " Neil Overton Parrish Parish Quarles Smith Smithson Thorne Thorn Underhill Vance Whitlock"
).split()
FIRST = (
    "Ada Adam Alan Anna Anne Bill Carla Carlos Dora Edith Elsa Frank Gale George Hanna Ines Ivan"
    " Jack James Jane Jean John Jon Kara Lena Liam Luis Mara Maria Mary Nora Otto Paul Rosa Ruth"
    " Sara Tess Tom Vera William"
).split()
HOW_MANY = 3_000


def _register(seed: int) -> list[Line]:
    draw = random.Random(seed)
    return [
        Line(
            f"line-{at}",
            printed(
                voter_number=f"4{at:08}",
                last_name=draw.choice(LAST).replace("-", draw.choice(" -")),
                first_name=draw.choice(FIRST),
                middle_name=draw.choice(["", draw.choice(FIRST), draw.choice("ABCJM")]),
                mothers_maiden_name=draw.choice(LAST),
                birth_date=date(1935, 1, 1) + timedelta(days=draw.randrange(26_000)),
                street_address=f"{draw.randrange(1, 400)} {draw.choice(LAST)} Road",
            ),
        )
        for at in range(HOW_MANY)
    ]


def _typed(draw: random.Random, line: Line) -> str:
    """Somebody's names and birth date with something left out or wrong."""
    one = line.printed
    words = [one.last_name.lower(), one.first_name.lower()]
    if draw.random() < 0.4:
        words.reverse()
    at = draw.randrange(len(words))
    match draw.randrange(4):
        case 0:
            words[at] = words[at][: draw.randrange(1, 5)]
        case 1:
            cut = draw.randrange(len(words[at]))
            words[at] = words[at][:cut] + words[at][cut + 1 :]
    if draw.random() < 0.5:
        born = one.birth_date + timedelta(days=draw.choice([0, 0, 1, 365]))
        words.append(f"{born:%m/%d/%Y}")
    if draw.random() < 0.2:
        words.append(one.mothers_maiden_name.lower())
    return " ".join(words)


def _everybody(_typed: object, register: Register, *_orders: object) -> Shortened:
    return Shortened(np.arange(len(register), dtype=np.int32))


def test_scoring_every_line_finds_nothing_better(monkeypatch: pytest.MonkeyPatch) -> None:
    lines = _register(5)
    draw = random.Random(6)
    texts = [_typed(draw, draw.choice(lines)) for _ in range(400)]
    here = Finder(lines, election_year=ELECTION_YEAR)
    shortened = [here.find(text, 3) for text in texts]
    monkeypatch.setattr(finder, "worth_scoring", _everybody)
    for text, found in zip(texts, shortened, strict=True):
        every = here.find(text, 3)
        assert [one.score for one in found.matches] == [one.score for one in every.matches], text


def test_few_lines_of_many_are_scored() -> None:
    register = Register(_register(7))
    found = candidates.worth_scoring(parse("smith carlos"), register, "month_first", ELECTION_YEAR)
    assert 0 < len(found.positions) < HOW_MANY / 4
    assert (np.diff(found.positions) > 0).all()


def test_lines_too_many_to_score_are_counted(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(pointing, "MOST_LINES", 20)
    lines = [Line(f"line-{at}", printed(voter_number=f"4{at:08}")) for at in range(500)]
    here = Finder(lines, election_year=ELECTION_YEAR)
    found = here.find("quillfeather", 8)
    assert (len(found.matches), found.fits) == (8, 500)


def test_last_names_come_before_first_names_where_there_are_too_many_of_both(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setattr(pointing, "MOST_LINES", 50)
    lines = _register(8)
    found = Finder(lines, election_year=ELECTION_YEAR).find("a", 8)
    by_id = {line.line_id: line for line in lines}
    assert len(found.matches) == 8
    assert {by_id[one.line_id].printed.last_name[0] for one in found.matches} == {"A"}


def test_a_number_that_reads_as_a_date_is_still_a_number() -> None:
    lines = [*_register(9), Line("numbered", printed(voter_number="03041987"))]
    found = Finder(lines, election_year=ELECTION_YEAR).find("03041987")
    assert "numbered" in [one.line_id for one in found.matches]
