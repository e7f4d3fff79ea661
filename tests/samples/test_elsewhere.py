"""elsewhere.csv of the main sample: the rest of the county, with places to send people to."""

from __future__ import annotations

from collections import Counter

from samples.closeness import are_last_names_close
from samples.elsewhere import PLANTED_ELSEWHERE, PRECINCTS
from samples.person import fold
from samples.twelve import THE_TWELVE
from tests.samples.reading import PROJECT, Sample


def test_some_hundreds_of_people_stand_in_several_precincts(main_sample: Sample) -> None:
    precincts = Counter(row["precinct"] for row in main_sample.elsewhere)

    assert 500 < precincts.total() < 800
    assert set(precincts) == {precinct.number for precinct in PRECINCTS}
    assert min(precincts.values()) > 50
    assert "4-07" not in precincts


def test_it_holds_what_is_needed_to_send_somebody_there_and_no_more(main_sample: Sample) -> None:
    assert list(main_sample.elsewhere[0]) == [
        *("last_name", "first_name", "middle_name", "suffix"),
        *("birth_year", "precinct", "polling_place", "place_address"),
    ]
    day = main_sample.setting["election"]["date"]
    for row in main_sample.elsewhere:
        assert 1917 <= int(row["birth_year"]) <= day.year - 18
        assert row["polling_place"]
        assert row["place_address"]


def test_each_precinct_has_one_place(main_sample: Sample) -> None:
    places = {
        (row["precinct"], row["polling_place"], row["place_address"])
        for row in main_sample.elsewhere
    }

    assert len(places) == len(PRECINCTS)


def test_one_precinct_votes_next_door_and_two_share_a_room(main_sample: Sample) -> None:
    here = main_sample.setting["polling_place"]
    next_door = [one for one in PRECINCTS if one.place_address.startswith(here["street_address"])]
    rooms = Counter((one.polling_place, one.place_address) for one in PRECINCTS)

    assert [one.polling_place != here["name"] for one in next_door] == [True]
    assert sorted(rooms.values())[-2:] == [1, 2]


def test_pages_of_a_precinct_are_in_print_order(main_sample: Sample) -> None:
    order = [
        (row["precinct"], fold(row["last_name"]), fold(row["first_name"]))
        for row in main_sample.elsewhere
    ]

    assert order == sorted(order)


def test_everybody_planted_elsewhere_is_there_and_in_the_readme(main_sample: Sample) -> None:
    text = (PROJECT / "sample_rosters" / "README.md").read_text(encoding="utf-8")
    rows = {
        (row["last_name"], row["first_name"], row["suffix"], row["birth_year"], row["precinct"])
        for row in main_sample.elsewhere
    }
    for one in PLANTED_ELSEWHERE:
        person = one.person
        year = str(person.birth_date.year)
        who = (person.last_name, person.first_name, person.suffix, year, one.precinct.number)
        assert who in rows
        assert f"{person.last_name}" in text


def test_namesakes_of_one_year_stand_in_two_precincts(main_sample: Sample) -> None:
    same = [
        row["precinct"]
        for row in main_sample.elsewhere
        if (row["last_name"], row["first_name"], row["birth_year"])
        == ("Dempster", "Louise", "1973")
    ]

    assert same == ["4-03", "5-01"]


def test_nobody_elsewhere_comes_near_one_of_the_twelve(main_sample: Sample) -> None:
    close = [
        row
        for row in main_sample.elsewhere
        for one in THE_TWELVE
        if are_last_names_close(row["last_name"], one.person.last_name)
    ]

    assert close == []
