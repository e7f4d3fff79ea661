"""How sure the finder says it is, and what it would ask."""

from __future__ import annotations

from datetime import date

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.matching.finder import Finder
from app.matching.settling import Fact
from app.matching.sureness import probabilities
from app.rules.line import Line
from tests.making import printed
from tests.matching.people import ELECTION_YEAR, finder

EVERYBODY = finder()
SCORES = st.lists(st.floats(0.3, 1.0), min_size=1, max_size=8)


def _namesakes(count: int, **columns: object) -> Finder:
    lines = [
        Line(
            f"line-{at}",
            printed(voter_number=f"40020{at:04}", birth_date=date(1950 + at, 3, 4), **columns),
        )
        for at in range(count)
    ]
    return Finder(lines, election_year=ELECTION_YEAR)


@given(SCORES, SCORES, st.floats(0.5, 6))
def test_probabilities_never_sum_to_more_than_one(
    shown: list[float], others: list[float], points: float
) -> None:
    said = probabilities(sorted(shown, reverse=True), np.array(others), points)
    assert all(0 <= one <= 1 for one in said)
    assert sum(said) <= 1 + 1e-3
    assert said == sorted(said, reverse=True)


def test_the_only_line_that_fits_is_nearly_certain() -> None:
    (match,) = EVERYBODY.find("ashworth wilhelmina 1950-01-31").matches
    assert match.probability > 0.99


def test_lines_that_fit_equally_share_the_probability() -> None:
    found = _namesakes(4).find("quillfeather")
    assert [match.probability for match in found.matches] == pytest.approx([0.25] * 4, abs=0.01)


def test_lines_beyond_those_shown_take_their_share() -> None:
    found = _namesakes(20).find("quillfeather", 8)
    assert len(found.matches) == 8
    assert found.matches[0].probability == pytest.approx(0.05, abs=0.005)


def test_a_poor_fit_is_no_certainty_even_alone() -> None:
    here = _namesakes(1, last_name="Wintergreen", first_name="Ottilie")
    found = here.find("wintergreen bartholomew 12/12/1999")
    assert found.matches[0].probability < 0.5


def test_a_line_that_half_of_the_words_do_not_fit_is_not_said_to_be_meant() -> None:
    found = _namesakes(2).find("quill ada")
    assert sum(match.probability for match in found.matches) < 0.5


def test_a_voter_number_in_full_is_certain() -> None:
    assert EVERYBODY.find("400100220 smyth").matches[0].probability == 1


def test_namesakes_are_told_apart_by_the_birth_date() -> None:
    found = _namesakes(5).find("quill ada")
    assert (found.fits, found.ask_for) == (5, Fact.BIRTH_DATE)


def test_one_line_needs_no_further_fact() -> None:
    assert EVERYBODY.find("ashworth wilhelmina").ask_for is None


def test_nothing_is_asked_that_was_said_in_full() -> None:
    twins = [
        Line(name, printed(first_name=name, voter_number=number, birth_date=date(1990, 5, 5)))
        for name, number in (("Ada", "400300001"), ("Ida", "400300002"))
    ]
    found = Finder(twins, election_year=ELECTION_YEAR).find("quill 5/5/1990")
    assert (found.fits, found.ask_for) == (2, Fact.FIRST_NAME)


def test_lines_that_nothing_tells_apart_are_not_asked_about() -> None:
    same = [Line(f"line-{at}", printed(voter_number=f"40040000{at}")) for at in range(3)]
    found = Finder(same, election_year=ELECTION_YEAR).find("quill")
    assert (found.fits, found.ask_for) == (3, None)
