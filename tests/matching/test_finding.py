"""What a worker types, and whose line should come first for it."""

from __future__ import annotations

import time
from datetime import date

import pytest

from app.matching.finder import Finder
from app.rules.line import Line
from tests.making import printed
from tests.matching.people import ELECTION_YEAR, PEOPLE, codes, finder, full_register, ids

EVERYBODY = finder()

TYPED = [
    # the start of the last name and the first initial
    ("smi joa", "smith"),
    ("ash w", "ashworth"),
    ("sm a", "smithers"),
    ("w ash", "ashworth"),
    # while the name is being typed
    ("a", "ashworth"),
    ("as", "ashworth"),
    ("ashwor", "ashworth"),
    ("ashworth wil", "ashworth"),
    # either order, with and without a comma
    ("smith joan", "smith"),
    ("joan smith", "smith"),
    ("smith, joan", "smith"),
    ("SMITH,JOAN", "smith"),
    ("joan, smith", "smith"),
    ("james, thomas", "james-thomas"),
    ("thomas, james", "thomas-james"),
    # middle names and initials
    ("smith john quincy", "smith-john"),
    ("john q smith", "smith-john"),
    ("smith quincy", "smith-john"),
    ("kirkbride jonathan", "kirkbride"),
    ("kirkbride j quentin", "kirkbride"),
    # suffixes
    ("baker peter jr", "baker-jr"),
    ("peter baker junior", "baker-jr"),
    ("baker sr, peter", "baker-sr"),
    ("peter baker, senior", "baker-sr"),
    # apostrophes, spaces, hyphens and particles, glued or not
    ("oneil maeve", "oneil"),
    ("o neil maeve", "oneil"),
    ("O’Neil, Maeve", "oneil"),
    ("neil maeve", "oneil"),
    ("delacruz mar", "cruz"),
    ("de la cruz hector", "cruz-glued"),
    ("dela cruz marisol", "cruz"),
    ("cruz marisol", "cruz"),
    ("cruz hector", "cruz-glued"),
    ("mackenzie", "mackenzie"),
    ("vanderberg", "van-der-berg"),
    ("berg pieter", "van-der-berg"),
    ("baker annmarie", "baker"),
    ("marie baker", "baker"),
    # half of a double name; the single name comes first where only that is typed
    ("lopez", "garcia-lopez"),
    ("garcia lopez", "garcia-lopez"),
    ("garcialopez", "garcia-lopez"),
    ("garcia", "garcia"),
    ("garcia ines", "garcia-lopez"),
    # accents
    ("nunez jose", "nunez"),
    ("Núñez José", "nunez"),
    ("NU\u0301N\u0303EZ", "nunez"),
    # one or two slips
    ("asworth", "ashworth"),
    ("ashwroth", "ashworth"),
    ("ashhworth", "ashworth"),
    ("ashworht wilhelmnia", "ashworth"),
    ("kirbkrid", "kirkbride"),
    # by sound
    ("smyth joan", "smith"),
    ("snyder greta", "schneider"),
    ("schmidt joan", "smith"),
    ("holloway katherine", "catherine"),
    ("felan", "phelan"),
    # nicknames, both ways
    ("bill smith", "smith-william"),
    ("smith bil", "smith-william"),
    ("pepe nunez", "nunez"),
    ("phelan kathy", "phelan"),
    # maiden name
    ("tomas villalobos", "garcia"),
    ("garcia villalobos", "garcia"),
    # birth dates, in every way of writing one
    ("oneil 3/4/1987", "oneil"),
    ("oneil 03-04-87", "oneil"),
    ("1987-03-04 oneil", "oneil"),
    ("oneil 4 mar 1987", "oneil"),
    ("oneil march 4 1987", "oneil"),
    ("March 4, 1987 O'Neil", "oneil"),
    ("oneil 030487", "oneil"),
    ("oneil 03041987", "oneil"),
    ("oneil 19870304", "oneil"),
    ("oneil 4 de marzo de 1987", "oneil"),
    ("oneil 4/3/1987", "oneil-day-first"),
    ("smith 30/11/1960", "smith-john"),
    # with a slip in the date
    ("smith 3/5/1987", "smith"),
    ("smith 3/4/1988", "smith"),
    ("smith 4/3/1987", "smith"),
    ("smith 13/34/1987", "smith"),
    # part of a date
    ("smith 1987", "smith"),
    ("oneil 3/4", "oneil"),
    ("oneil 3/4/19", "oneil"),
    ("smith 1960-11", "smith-john"),
    # a first name that is a month
    ("april march", "marchbank"),
    ("march april 7/8/1990", "marchbank"),
    # a single name
    ("suharsono", "mono"),
    ("Suharsono, 1/5/1975", "mono"),
    # voter numbers
    ("400100242", "smith"),
    (" *400100242*\r\n", "smith"),
    ("400 100 242", "smith"),
    ("tc0077123", "oneil"),
    ("TC-0077123", "oneil"),
    ("5002", "zhang"),
    ("0077", "oneil"),
    ("77123", "oneil"),
    # streets
    ("41 wheelhouse", "wheelhouse"),
    ("41 wheelhouse rd", "wheelhouse"),
    ("412 wheel", "wheelhouse-far"),
    ("yarrow wheelhouse", "wheelhouse"),
]


@pytest.mark.parametrize(("text", "expected"), TYPED, ids=[text for text, _ in TYPED])
def test_the_right_line_comes_first(text: str, expected: str) -> None:
    assert ids(EVERYBODY.find(text))[:1] == [expected]


@pytest.mark.parametrize("text", [text for text, _ in TYPED])
def test_every_start_of_what_is_typed_is_answered_without_a_fault(text: str) -> None:
    for length in range(len(text)):
        found = EVERYBODY.find(text[:length])
        assert found.fits >= len(found.matches[:1])


def test_a_known_name_stays_found_at_every_keystroke() -> None:
    text = "smithson arlo"
    for length in range(2, len(text) + 1):
        assert "smithers" in ids(EVERYBODY.find(text[:length])), text[:length]


def test_equal_fits_read_like_a_page_of_the_register() -> None:
    assert ids(EVERYBODY.find("smith")) == ["smith", "smith-john", "smith-william", "smithers"]
    assert ids(EVERYBODY.find("peter baker"))[:2] == ["baker-jr", "baker-sr"]


def test_one_letter_is_the_start_of_a_last_name_before_it_is_an_initial() -> None:
    assert ids(EVERYBODY.find("j"))[:3] == ["james-thomas", "jameson", "johnson"]
    assert "kirkbride" in ids(EVERYBODY.find("j", limit=20))


def test_both_orders_of_two_names_that_are_each_other_fit_alike() -> None:
    found = EVERYBODY.find("thomas james")
    assert ids(found)[:2] == ["james-thomas", "thomas-james"]
    assert found.fits == 2


def test_day_first_places_read_day_first() -> None:
    assert ids(finder("day_first").find("oneil 4/3/1987"))[0] == "oneil"


def test_a_birth_date_that_agrees_is_not_outranked_by_a_closer_name() -> None:
    lines = [
        _woman("closer", "Smith", "Joan", date(1987, 3, 5)),
        _woman("agrees", "Smythe", "Joanna", date(1987, 3, 4)),
    ]
    here = Finder(lines, election_year=ELECTION_YEAR)
    assert ids(here.find("smith joan")) == ["closer", "agrees"]
    assert ids(here.find("smith joan 3/4/1987")) == ["agrees", "closer"]


def test_a_birth_date_alone_does_not_outrank_a_full_name_with_a_slip_in_the_date() -> None:
    lines = [
        _woman("twin", "Smith", "Ursula", date(1987, 3, 4)),
        _woman("meant", "Smith", "Joan", date(1987, 3, 5)),
    ]
    here = Finder(lines, election_year=ELECTION_YEAR)
    assert ids(here.find("smith joan 3/4/1987"))[0] == "meant"


def _woman(line_id: str, last_name: str, first_name: str, birth_date: date) -> Line:
    return Line(line_id, printed(last_name=last_name, first_name=first_name, birth_date=birth_date))


def test_a_last_name_alone_comes_before_a_first_name_alone() -> None:
    born = date(1970, 1, 1)
    lines = [_woman("first", "Able", "Ursula", born), _woman("last", "Smith", "Joan", born)]
    found = Finder(lines, election_year=ELECTION_YEAR).find("ursula smith")
    assert ids(found) == ["last", "first"]
    assert found.ignored == ("ursula",)


def test_a_first_name_comes_before_the_same_middle_name() -> None:
    lines = [
        Line("middle", printed(last_name="Able", middle_name="Quincy")),
        Line("first", printed(last_name="Zeller", first_name="Quincy")),
    ]
    assert ids(Finder(lines, election_year=ELECTION_YEAR).find("quincy")) == ["first", "middle"]


def test_a_name_typed_in_other_pieces_fits_nearly_as_well() -> None:
    for text in ("o neil maeve", "mac kenzie fergus", "mackenzie fergus", "garcialopez ines"):
        assert EVERYBODY.find(text).matches[0].score > 0.95, text


def test_lines_that_explain_much_less_than_the_first_are_left_out() -> None:
    assert ids(EVERYBODY.find("smith william")) == ["smith-william"]


def test_a_voter_number_typed_in_full_is_found_alone() -> None:
    found = EVERYBODY.find("400100242")
    assert ids(found) == ["smith"]
    assert found.fits == 1


def test_a_name_that_contradicts_a_voter_number_is_reported() -> None:
    found = EVERYBODY.find("zhang 400100242")
    assert ids(found) == ["smith"]
    assert found.ignored == ("zhang",)


def test_digits_that_are_a_voter_number_and_a_birth_date_show_both() -> None:
    lines = [
        Line("numbered", printed(voter_number="03041987", last_name="Abel")),
        Line("born", printed(voter_number="7", birth_date=PEOPLE[18].printed.birth_date)),
    ]
    found = Finder(lines, election_year=ELECTION_YEAR).find("03041987")
    assert set(ids(found)) == {"numbered", "born"}


def test_a_short_voter_number_is_not_mistaken_for_the_house_number_of_somebody_else() -> None:
    lines = [
        Line("numbered", printed(voter_number="41", street_address="2 Mill Street")),
        Line("lives-there", printed(voter_number="52", street_address="41 Ropewalk Lane")),
    ]
    found = Finder(lines, election_year=ELECTION_YEAR).find("41 ropewalk")
    assert ids(found)[0] == "lives-there"


def test_words_that_fit_nothing_come_back_as_typed() -> None:
    found = EVERYBODY.find("Smith Xqzvwk joan")
    assert ids(found)[0] == "smith"
    assert found.ignored == ("Xqzvwk",)


def test_a_birth_date_that_nobody_of_the_name_has_comes_back() -> None:
    found = EVERYBODY.find("zhang wei 6/17/1934")
    assert ids(found) == ["zhang"]
    assert found.ignored == ("6/17/1934",)


def test_a_suffix_that_the_line_does_not_bear_comes_back() -> None:
    found = EVERYBODY.find("smith joan jr")
    assert ids(found)[0] == "smith"
    assert found.ignored == ("jr",)


def test_a_first_initial_that_fits_nobody_comes_back_and_is_no_slip() -> None:
    found = EVERYBODY.find("zhang q")
    assert found.ignored == ("q",)
    assert codes(found) == ["last-same"]


@pytest.mark.parametrize("text", ["xqzvwk", "zzzz bbbb kkkk", "99999999", "qx 12:34 !!"])
def test_nonsense_finds_nobody(text: str) -> None:
    found = EVERYBODY.find(text)
    assert found.matches == ()
    assert found.fits == 0
    assert found.ignored


@pytest.mark.parametrize("text", ["", " ", "\t\r\n", ",", ", ,", "\x00", "'", "-", "\u200b"])
def test_blank_text_finds_nobody(text: str) -> None:
    assert EVERYBODY.find(text).matches == ()


def test_signs_and_emoji_are_reported_and_do_no_harm() -> None:
    found = EVERYBODY.find("🙂 smith joan \ud800")
    assert ids(found)[0] == "smith"
    assert found.ignored == ("🙂",)


def test_a_pasted_page_is_cut_and_says_so() -> None:
    found = EVERYBODY.find("smith joan " + "blah " * 10_000)
    assert found.ignored[-1] == "…"
    assert len(found.ignored) < 60


def test_the_limit_cuts_the_list_but_not_the_count() -> None:
    found = EVERYBODY.find("smith", limit=2)
    assert len(found.matches) == 2
    assert found.fits == 3
    assert EVERYBODY.find("smith", limit=0).matches == ()


def test_an_empty_register_finds_nobody() -> None:
    nobody = Finder([], election_year=ELECTION_YEAR)
    for text in ("smith", "smith joan 3/4/1987", "400100242", "41 wheelhouse", "a, b"):
        assert nobody.find(text).matches == ()


def test_an_added_line_is_found_within_50_milliseconds_and_a_removed_one_is_not() -> None:
    here = Finder(full_register(2_000), election_year=ELECTION_YEAR)
    newcomer = Line("new", printed(voter_number="900", last_name="Thistlewood"))
    before = time.thread_time()
    here.add(newcomer)
    assert ids(here.find("thistlew")) == ["new"]
    assert time.thread_time() - before < 0.05
    here.remove("new")
    assert here.find("thistlew").matches == ()


def test_removing_a_line_that_is_not_there_changes_nothing() -> None:
    here = finder()
    here.remove("nobody")
    assert ids(here.find("zhang")) == ["zhang"]


def test_adding_a_line_again_replaces_it() -> None:
    here = finder()
    here.add(Line("zhang", printed(last_name="Zhao", first_name="Wei", voter_number="900")))
    assert ids(here.find("zhao wei")) == ["zhang"]
    assert here.find("500200111").matches == ()


def test_a_street_without_its_house_number_counts_unless_it_is_somebodys_name() -> None:
    assert ids(EVERYBODY.find("wheelhouse")) == ["wheelhouse", "wheelhouse-far"]
    assert EVERYBODY.find("yarrow wheelhouse").ignored == ()
    lines = [
        Line("named", printed(last_name="Mill", street_address="7 Tern Lane")),
        Line("lives-there", printed(street_address="2 Mill Street")),
    ]
    here = Finder(lines, election_year=ELECTION_YEAR)
    assert ids(here.find("mill")) == ["named"]
    assert ids(here.find("2 mill"))[0] == "lives-there"
