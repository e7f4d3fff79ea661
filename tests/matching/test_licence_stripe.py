"""Magnetic stripes as a reader types them: read whole or not at all, and never as somebody else.

The layout is from memory (see `app.matching.licence_stripe`): these tests hold that we read what
we make here, not that an issuer makes it so.
"""

from __future__ import annotations

import random
from datetime import date
from itertools import pairwise

import pytest
from hypothesis import assume, example, given, settings
from hypothesis import strategies as st

from app.matching.finder import Finder, Found
from app.matching.licence import Licence, read_licence
from app.matching.scan import UNREADABLE
from app.rules.line import Line
from tests.making import printed
from tests.matching.people import ELECTION_YEAR, PEOPLE, full_register, ids
from tests.matching.test_licence import Holder, holder_of

REGISTER = [*PEOPLE, *full_register(400)]
PRECINCT = Finder(REGISTER, election_year=ELECTION_YEAR)
TRACK_3 = '%"  04173        D               1508068BRN?'


def field(text: str, most: int) -> str:
    """Cut to its length; ended by a caret where it is shorter."""
    return f"{text}^" if len(text) < most else text[:most]


def track_1(of: Holder, city: str = "TERNHAVEN") -> str:
    given_names = "$".join(part for part in (of.first, of.middle, of.suffix) if part)
    name = f"{of.last}${given_names}"
    return f"%CT{field(city, 13)}{field(name, 35)}{field(of.street, 29)}?"


def track_2(of: Holder, expiry: str = "3112", issuer: str = "636006") -> str:
    return f";{issuer}64235789={expiry}{of.born:%Y%m%d}?"


def swipe(of: Holder) -> str:
    return track_1(of) + track_2(of) + TRACK_3


def is_unreadable(found: Found) -> bool:
    return (found.matches, found.ignored) == ((), (UNREADABLE,))


HOLDER = Holder("QUILLFEATHER", "ODETTE", "MAY", "", date(1980, 5, 17), "4 ROPEWALK LANE")


def read(text: str) -> Licence:
    licence = read_licence(text)
    assert licence is not None
    return licence


@pytest.mark.parametrize(
    "text",
    [
        swipe(HOLDER),
        track_1(HOLDER) + track_2(HOLDER),
        f"{track_1(HOLDER)}\r\n{track_2(HOLDER)}\r\n{TRACK_3}\r\n",
        f"  {track_1(HOLDER)} {track_2(HOLDER)} ",
        track_2(HOLDER) + track_1(HOLDER),
        swipe(HOLDER).lower(),
        track_1(HOLDER) + track_2(HOLDER, expiry="3177"),
        track_1(HOLDER) + track_2(HOLDER).replace("?", "12345?"),
    ],
)
def test_name_birth_date_and_address_are_read(text: str) -> None:
    licence = read(text)
    assert licence.last_name.upper() == "QUILLFEATHER"
    assert licence.first_name.upper() == "ODETTE"
    assert [name.upper() for name in licence.middle_names] == ["MAY"]
    assert licence.birth_date == date(1980, 5, 17)
    assert licence.street_address.upper() == "4 ROPEWALK LANE"


def test_fields_as_long_as_they_may_be_have_no_caret_behind_them() -> None:
    long = Holder(
        "FEATHERSTONEHAUGH",
        "WILHELMINA",
        "MAGDALENA",
        "",
        HOLDER.born,
        "4412 OLD ROPEWALK LANE APT 12",
    )
    text = track_1(long, "NORTHTERNHAVN") + track_2(long)
    assert text.count("^") == 0
    licence = read(text)
    assert (licence.last_name, licence.first_name) == ("FEATHERSTONEHAUGH", "WILHELMINA")
    assert licence.middle_names == ("MAGDAL",)
    assert licence.street_address.startswith("4412 OLD")


def test_nothing_else_of_the_card_is_taken() -> None:
    licence = read(swipe(HOLDER))
    taken = [str(getattr(licence, name)) for name in type(licence).__slots__]
    for value in ("64235789", "3112", "508", "BRN", "636006"):
        assert not any(value in one for one in taken)


def test_everybody_is_first_and_alone_for_their_own_card() -> None:
    for line in REGISTER[:120]:
        found = PRECINCT.find(swipe(holder_of(line)))
        assert ids(found)[0] == line.line_id
        assert found.fits == 1


def test_senior_and_junior_are_told_apart_by_their_birth_dates() -> None:
    for line_id in ("baker-jr", "baker-sr"):
        (line,) = (one for one in PEOPLE if one.line_id == line_id)
        for suffix in ("", line.printed.suffix.upper()):
            holder = holder_of(line)
            text = swipe(Holder(holder.last, holder.first, "", suffix, holder.born, holder.street))
            assert ids(PRECINCT.find(text))[0] == line_id


BANK = "%B4000123412341234^QUILLFEATHER/ODETTE^29122010000?;4000123412341234=29122010000?"
UNREAD = {
    "a bank's card": BANK,
    "its second track": ";4000123412341234=29122010000?",
    "a shop's card": ";6360061234?",
    "a library's card": "%E?;E?",
    "a hotel's key": "%AB12?",
    "the first track alone": track_1(HOLDER),
    "the second track alone": track_2(HOLDER),
    "another issuer": track_1(HOLDER) + track_2(HOLDER, issuer="589999"),
    "no such month": track_1(HOLDER) + track_2(HOLDER, expiry="3113"),
    "no such century": track_1(HOLDER) + track_2(HOLDER).replace("=31121980", "=31123980"),
    "a year shifted": track_1(HOLDER) + track_2(HOLDER).replace("=3112", "=31"),
    "two cards": swipe(HOLDER) + swipe(Holder()),
    "two first tracks": track_1(HOLDER) + track_1(Holder()) + track_2(HOLDER),
    "two second tracks": track_1(HOLDER) + track_2(Holder()) + track_2(HOLDER),
    "no last name": track_1(Holder(last="", first="ODETTE")) + track_2(HOLDER),
    "no dollar": track_1(HOLDER).replace("$", " ") + track_2(HOLDER),
    "digits in the name": track_1(Holder(last="QU1LL")) + track_2(HOLDER),
    "the beginning lost": swipe(HOLDER)[6:],
    "the end lost": (track_1(HOLDER) + track_2(HOLDER))[:-1],
    "letters behind it": track_1(HOLDER) + track_2(HOLDER) + "QUILLFEATHER",
    "a reader's error": "%E?",
    "very much": swipe(HOLDER) * 9,
}


@pytest.mark.parametrize("text", UNREAD.values(), ids=UNREAD)
def test_what_cannot_be_read_says_so_and_finds_nobody(text: str) -> None:
    assert is_unreadable(PRECINCT.find(text))


def test_a_birth_date_that_is_no_day_is_not_made_one() -> None:
    text = track_1(HOLDER) + track_2(HOLDER).replace("19800517", "19800231")
    assert read(text).birth_date is None


@pytest.mark.parametrize(
    "text",
    ["smith 3/4/1987", "o'neil; maeve", "smith?", "100% smith", "smith & son", "#4 mill street",
     "smith^", "smith $", "50=50", "4 mill st #2", "a+b"],
)  # fmt: skip
def test_what_people_type_or_slip_is_no_stripe(text: str) -> None:
    assert read_licence(text) is None


PIECES = st.lists(st.integers(0, 160), max_size=4).map(sorted)


def pieces_of(text: str, cuts: list[int]) -> list[str]:
    edges = [0, *(min(cut, len(text)) for cut in cuts), len(text)]
    return [text[start:stop] for start, stop in pairwise(edges)]


def alike(found: Found, who: Line) -> bool:
    """Nobody, or this person before everybody."""
    return is_unreadable(found) or ids(found)[0] == who.line_id


@settings(max_examples=300, deadline=None)
@given(st.sampled_from(REGISTER[:60]), st.integers(0, 200))
def test_a_swipe_cut_short_at_its_end_is_nobody_or_whose_it_is(line: Line, cut: int) -> None:
    text = swipe(holder_of(line))
    assume(cut >= 2)  # a single sign is no scan
    assert alike(PRECINCT.find(text[:cut]), line)


@settings(max_examples=300, deadline=None)
@given(st.sampled_from(REGISTER[:60]), st.data())
def test_a_swipe_without_its_middle_is_nobody_or_whose_it_is(
    line: Line, data: st.DataObject
) -> None:
    """Where no more is lost than the sign that begins it, or all between two places."""
    text = swipe(holder_of(line))
    start = data.draw(st.integers(2, len(text)))
    stop = data.draw(st.integers(start, len(text)))
    cut = text[:start] + text[stop:]
    assert alike(PRECINCT.find(cut), line)


@settings(max_examples=300, deadline=None)
@given(st.sampled_from(REGISTER[:60]), PIECES, st.randoms(use_true_random=False))
@example(PEOPLE[2], [40, 80], random.Random(1))
def test_the_pieces_of_a_swipe_in_another_order_are_nobody_or_whose_it_is(
    line: Line, cuts: list[int], chance: random.Random
) -> None:
    pieces = pieces_of(swipe(holder_of(line)), cuts)
    chance.shuffle(pieces)
    shuffled = "".join(pieces)
    assume(shuffled[:1] in "%;")
    assert alike(PRECINCT.find(shuffled), line)


@settings(max_examples=200, deadline=None)
@given(st.sampled_from(REGISTER[:40]), st.sampled_from(REGISTER[:40]), st.integers(1, 150))
def test_a_swipe_that_runs_into_the_next_is_nobody_or_one_of_the_two(
    first: Line, second: Line, cut: int
) -> None:
    text = swipe(holder_of(first))[:cut] + swipe(holder_of(second))
    found = PRECINCT.find(text)
    assert is_unreadable(found) or ids(found)[0] == second.line_id


@settings(max_examples=400, deadline=None)
@given(st.one_of(st.text(max_size=80), st.text("%;?^$=#+0123456789ABC \r\n", max_size=120)))
def test_no_text_makes_reading_or_finding_fail(text: str) -> None:
    licence = read_licence(text)
    found = PRECINCT.find(text)
    if licence is not None and licence == Licence():
        assert is_unreadable(found)


def numbered(*numbers: str) -> Finder:
    lines = [
        Line(number, printed(last_name=f"Quill{at}", first_name="Odette", voter_number=number))
        for at, number in enumerate(numbers)
    ]
    return Finder(lines, election_year=ELECTION_YEAR)


@pytest.mark.parametrize(
    "text",
    ["V100000012", "v100000012", "100000012-A", "100000012A", "V 100000012", "V-100000012",
     "V100000012A", " 100000012a ", "]C0V100000012", "V100000012\r\n", "Ｖ100000012"],
)  # fmt: skip
def test_a_voter_number_with_a_letter_put_to_it_finds_that_line_alone(text: str) -> None:
    finder = numbered("100000012", "100000013", "200000012")
    found = finder.find(text)
    assert ids(found) == ["100000012"]
    assert (found.fits, found.ignored) == (1, ())


def test_a_letter_that_the_register_prints_is_part_of_the_number() -> None:
    finder = numbered("100000012", "V100000012", "100000012A")
    assert ids(finder.find("V100000012")) == ["V100000012"]
    assert ids(finder.find("100000012A")) == ["100000012A"]
    assert ids(finder.find("100000012")) == ["100000012"]


def test_a_line_added_later_is_found_by_its_lettered_number() -> None:
    finder = numbered("100000012")
    finder.add(Line("later", printed(last_name="Later", voter_number="100000077")))
    assert ids(finder.find("V100000077")) == ["later"]


@pytest.mark.parametrize(
    "text", ["V10000001", "VX100000012", "V999999999", "100000012AB", "100000012-4"]
)
def test_another_number_is_not_made_to_fit(text: str) -> None:
    found = numbered("100000012", "100000013").find(text)
    assert all(match.probability < 1 for match in found.matches)


@given(st.sampled_from([line.printed.voter_number for line in PEOPLE]), st.sampled_from("VXA"))
def test_every_number_is_found_with_any_letter_on_either_side(number: str, letter: str) -> None:
    assume(number.isdigit())
    plain = ids(PRECINCT.find(number))
    assert ids(PRECINCT.find(letter + number)) == plain
    assert ids(PRECINCT.find(f"{number}-{letter}")) == plain
