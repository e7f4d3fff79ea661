"""The twelve people to try: where they stand, and that nobody else comes near them."""

from __future__ import annotations

from datetime import date
from typing import Any

from samples.closeness import are_people_close, sound_of
from samples.person import Person, fold
from tests.samples.reading import PROJECT, Row, Sample

Facts = dict[str, Any]
KEYS = [
    "plain-signer",
    "typed-without-apostrophe",
    "voted-by-mail",
    "voted-early",
    "lists-contradict",
    "address-confirmation",
    "assistance",
    "father-and-son",
    "twins",
    "misspelled-by-sound",
    "supplemental-pages",
    "birth-date-and-accent",
]


def _person(row: Row) -> Person:
    born = date.fromisoformat(row["birth_date"])
    return Person(row["last_name"], row["first_name"], born, row["street_address"])


def _one(twelve: list[Facts], key: str) -> Facts:
    return next(one for one in twelve if one["key"] == key)


def test_there_are_twelve_each_with_a_key(twelve: list[Facts]) -> None:
    assert [one["key"] for one in twelve] == KEYS


def test_facts_agree_with_the_line(twelve: list[Facts], main_sample: Sample) -> None:
    for one in twelve:
        row = main_sample.by_number[one["voter_number"]]
        assert one["name"].startswith(row["last_name"])
        assert one["birth_date"] == row["birth_date"]
        assert str(one["ballot_button"]) == row["ballot_button"]
        part = main_sample.register if one["part"] == "register" else main_sample.supplemental
        assert row in part


def test_outcome_follows_from_what_stands_on_the_line(
    twelve: list[Facts], main_sample: Sample
) -> None:
    voted = main_sample.voted()
    for one in twelve:
        row, says = main_sample.by_number[one["voter_number"]], voted.get(one["voter_number"], [])
        reasons = {
            (): [],
            ("mail-voted",): ["voted-by-mail"],
            ("voted early",): ["voted-early"],
            ("voted early", "mail-voted"): ["lists-contradict"],
        }[tuple(says)]
        steps = ["tell-apart"] if one["look_alikes"] else []
        steps += ["address-confirmation"] if row["address_confirmation"] else []
        steps += ["assistance"] if row["assistance"] else []
        assert (one["reasons"], one["steps"]) == (reasons, steps), one["key"]
        outcome = "call" if len(says) > 1 else "stop" if says else "first" if steps else "sign"
        assert one["outcome"] == outcome, one["key"]


def test_all_four_outcomes_and_all_buttons_come_up(twelve: list[Facts]) -> None:
    assert {one["outcome"] for one in twelve} == {"sign", "first", "stop", "call"}
    assert {one["ballot_button"] for one in twelve} == {1, 2, 3}


def test_nobody_is_close_to_one_of_the_twelve_but_the_intended(
    twelve: list[Facts], main_sample: Sample
) -> None:
    for one in twelve:
        me = _person(main_sample.by_number[one["voter_number"]])
        close = [
            row["voter_number"]
            for row in main_sample.everybody
            if row["voter_number"] != one["voter_number"] and are_people_close(me, _person(row))
        ]
        assert close == one["look_alikes"], one["key"]


def test_their_last_names_are_theirs_alone(twelve: list[Facts], main_sample: Sample) -> None:
    for one in twelve:
        last = main_sample.by_number[one["voter_number"]]["last_name"]
        bearers = [row for row in main_sample.everybody if fold(row["last_name"]) == fold(last)]
        assert len(bearers) == 1 + len(one["look_alikes"]), one["key"]


def test_mistyped_name_sounds_the_same_and_is_spelled_otherwise(
    twelve: list[Facts], main_sample: Sample
) -> None:
    one = _one(twelve, "misspelled-by-sound")
    row = main_sample.by_number[one["voter_number"]]
    last, first = one["typed"].split()

    assert (sound_of(last), sound_of(first)) == (
        sound_of(fold(row["last_name"])),
        sound_of(fold(row["first_name"])),
    )
    assert last != fold(row["last_name"])
    assert first != fold(row["first_name"])


def test_the_typed_birth_date_fits_one_person_in_either_order(
    twelve: list[Facts], main_sample: Sample
) -> None:
    one = _one(twelve, "birth-date-and-accent")

    assert one["typed"] == "3/4/1987"
    born = [
        row["voter_number"]
        for row in main_sample.everybody
        if row["birth_date"] in ("1987-03-04", "1987-04-03")
    ]
    assert born == [one["voter_number"]]


def test_what_is_typed_for_the_others_begins_their_names_only(
    twelve: list[Facts], main_sample: Sample
) -> None:
    for one in twelve:
        if one["key"] in ("misspelled-by-sound", "birth-date-and-accent"):
            continue
        begins = fold(one["typed"].split()[0])
        fits = {
            row["voter_number"]
            for row in main_sample.everybody
            if fold(row["last_name"]).startswith(begins)
        }
        assert fits == {one["voter_number"], *one["look_alikes"]}, one["key"]


def test_readme_tells_of_the_twelve(twelve: list[Facts]) -> None:
    text = (PROJECT / "sample_rosters" / "README.md").read_text(encoding="utf-8")

    for one in twelve:
        assert f"| `{one['typed']}` | {one['happens']} |" in text
