"""What holds for every register and every text."""

from __future__ import annotations

from datetime import date
from itertools import pairwise

from hypothesis import given, settings
from hypothesis import strategies as st

from app.matching.finder import Finder
from app.matching.interpret import possible_readings
from app.matching.names import fold, glue
from app.matching.page import IGNORED_COMMON_NAME
from app.matching.parse import parse
from app.matching.register import Register
from app.matching.scoring import NO_LAST_NAME, best_gains, best_path
from app.matching.shortlist import Shortlist
from app.rules.line import Line
from tests.making import printed
from tests.matching.people import ELECTION_YEAR, PEOPLE, finder, ids

# Names that are starts, halves, nicknames, sounds and slips of each other.
LAST_NAMES = st.sampled_from(
    "Smith|Smyth|Smithson|Li|Le|Lee|O'Neil|Neil|Oneill|de la Cruz|Cruz|Delacruz|García-López|"
    "García|Lopez|Garcia Lopez|James|Thomas|Mac Kenzie|Mackenzie|van der Berg|Núñez|March|Jr".split(
        "|"
    )
)
FIRST_NAMES = st.sampled_from(
    "John|Jon|Joan|J|Mary|Mary Ann|Maryann|Ann|William|Bill|Thomas|James|Lopez|Li|May|".split("|")
)
MIDDLE_NAMES = st.sampled_from("|||J|Q|Ann|John|Lee|Garcia|de la O".split("|"))
SUFFIXES = st.sampled_from(["", "", "", "Jr", "Sr", "III"])
BIRTH_DATES = st.one_of(
    st.sampled_from([date(1987, 3, 4), date(1987, 4, 3), date(1988, 3, 4)]),
    st.dates(min_value=date(1920, 1, 1), max_value=date(2009, 1, 1)),
)


@st.composite
def registers(draw: st.DrawFn) -> list[Line]:
    count = draw(st.integers(min_value=1, max_value=12))
    numbers = draw(
        st.lists(
            st.from_regex(r"[A-Z]{0,2}-?[0-9]{1,9}", fullmatch=True),
            min_size=count,
            max_size=count,
            unique_by=glue,
        )
    )
    return [
        Line(
            f"line-{at}",
            printed(
                voter_number=number,
                last_name=draw(LAST_NAMES),
                first_name=draw(FIRST_NAMES),
                middle_name=draw(MIDDLE_NAMES),
                suffix=draw(SUFFIXES),
                birth_date=draw(BIRTH_DATES),
                mothers_maiden_name=draw(LAST_NAMES),
            ),
        )
        for at, number in enumerate(numbers)
    ]


def spoken(line: Line) -> tuple[str, date]:
    """The folded letters of the whole name, and the birth date: who shares both is the same."""
    return glue(line.printed.name_last_first), line.printed.birth_date


@settings(max_examples=150, deadline=None)
@given(registers())
def test_everybody_is_first_for_their_own_full_name_and_birth_date(lines: list[Line]) -> None:
    here = Finder(lines, election_year=ELECTION_YEAR)
    by_id = {line.line_id: line for line in lines}
    for line in lines:
        text = f"{line.printed.name_last_first} {line.printed.birth_date}"
        matches = here.find(text, limit=len(lines)).matches
        own = next(match for match in matches if match.line_id == line.line_id)
        first = by_id[matches[0].line_id]
        assert spoken(first) == spoken(line) or own.score == matches[0].score, text


@settings(max_examples=100, deadline=None)
@given(registers())
def test_everybody_is_first_for_their_voter_number(lines: list[Line]) -> None:
    here = Finder(lines, election_year=ELECTION_YEAR)
    for line in lines:
        assert ids(here.find(line.printed.voter_number))[0] == line.line_id


@settings(max_examples=100, deadline=None)
@given(registers(), st.data())
def test_adding_and_removing_ends_at_the_same_answers(
    lines: list[Line], data: st.DataObject
) -> None:
    start = data.draw(st.integers(0, len(lines)))
    here = Finder(lines[:start], election_year=ELECTION_YEAR)
    for line in lines[start:]:
        here.add(line)
    gone = data.draw(st.sets(st.sampled_from([line.line_id for line in lines])))
    for line_id in gone:
        here.remove(line_id)
    left = [line for line in lines if line.line_id not in gone]
    anew = Finder(left, election_year=ELECTION_YEAR)
    for line in lines:
        text = line.printed.name_last_first
        found = {match.line_id: match.score for match in here.find(text, 20).matches}
        expected = {match.line_id: match.score for match in anew.find(text, 20).matches}
        assert not gone & found.keys()
        assert (line.line_id in found) == (line.line_id in expected) == (line.line_id not in gone)
        # How common a name is on the register tells a little, and that has changed.
        for line_id in found.keys() & expected.keys():
            assert abs(found[line_id] - expected[line_id]) <= IGNORED_COMMON_NAME


PIECES = st.sampled_from(
    "smith|smi|j|john|joan|oneil|o'|de|la|cruz|garcia|lopez|1987|3/4/1987|3/4|4|mar|41|wheelhouse|"
    "400100242|4001|jr|,| |-|'|\x00|🙂|é|\u0301|\ud800|ß|½|٣|١٩٨٧|李".split("|")
)
TEXTS = st.one_of(st.text(max_size=220), st.lists(PIECES, max_size=12).map(" ".join))
EVERYBODY = finder()


@settings(max_examples=400, deadline=None)
@given(TEXTS, st.integers(-1, 40))
def test_no_text_makes_finding_fail(text: str, limit: int) -> None:
    found = EVERYBODY.find(text, limit)
    assert len(found.matches) <= max(limit, 0)
    assert [match.score for match in found.matches] == sorted(
        (match.score for match in found.matches), reverse=True
    )
    assert all(0 < match.score <= 1 and match.why for match in found.matches)
    assert len({match.line_id for match in found.matches}) == len(found.matches)
    assert (found.fits > 0) >= bool(found.matches)


@settings(max_examples=200, deadline=None)
@given(st.lists(PIECES, max_size=8).map(" ".join))
def test_nothing_typed_is_silently_dropped(text: str) -> None:
    """Every word is ignored aloud or stands behind a reason of the first match."""
    found = EVERYBODY.find(text)
    words = [word.typed for word in parse(text).words]
    assert all(word in words or not fold(word) for word in found.ignored)
    if not found.matches:
        assert [word for word in found.ignored if word in words] == words
    else:
        assert len(found.ignored) < len(words) + len(parse(text).unread)


@settings(max_examples=150, deadline=None)
@given(st.lists(PIECES, min_size=1, max_size=5).map(" ".join))
def test_the_readings_behind_a_line_add_up_to_its_gain(text: str) -> None:
    register = Shortlist(Register(PEOPLE))
    typed = parse(text)
    readings = possible_readings(typed, register, "month_first", ELECTION_YEAR)
    ignoring = [0.0] * len(typed.words)
    gains = best_gains(readings, ignoring, len(register))
    for at in range(len(register)):
        path = best_path(readings, ignoring, at)
        assert all(one.stop <= other.start for one, other in pairwise(path))
        most = sum(float(reading.gain[at]) for reading in path)
        least = sum(max(float(reading.gain_alone[at]), 0.0) for reading in path) - NO_LAST_NAME
        assert least - 1e-9 <= gains[at] <= most + 1e-9
