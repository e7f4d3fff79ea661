"""The election, the place, the ballots and the checklists of both packages."""

from __future__ import annotations

from collections import Counter
from datetime import date

from samples.streets import button_of
from tests.samples.reading import Sample

OPENING_MUST_HAVE = {
    "oath-taken",
    "safety-walk",
    "machines-placed",
    "machines-powered",
    "zero-report-printed",
    "zero-public-counter",
    "zero-protective-counter",
    "zero-candidates",
    "ballots-compared",
    "papers-posted",
    "keys-sealed",
    "seals-read",
    "forms-at-table",
}
CLOSING_MUST_HAVE = {
    "last-in-line-marked",
    "public-counters-read",
    "protective-counters-read",
    "machines-sealed",
    "books-sealed",
}


def test_main_sample_is_a_federal_election_with_three_ballots(main_sample: Sample) -> None:
    election = main_sample.setting["election"]

    assert election["id"] == "tern-2027-03-02"
    assert election["date"] == date(2027, 3, 2)
    assert election["federal"] is True
    assert (election["opens"], election["closes"]) == ("07:00", "20:00")
    assert [ballot["button"] for ballot in main_sample.setting["ballot"]] == [1, 2, 3]


def test_one_ballot_sample_is_municipal_and_has_no_button(one_ballot_sample: Sample) -> None:
    election = one_ballot_sample.setting["election"]

    assert election["id"] == "tern-2027-05-04"
    assert election["date"] == date(2027, 5, 4)
    assert election["federal"] is False
    assert [ballot.get("button") for ballot in one_ballot_sample.setting["ballot"]] == [None]
    assert {row["ballot_button"] for row in one_ballot_sample.everybody} == {""}


def test_manifest_names_the_same_election_and_precinct(sample: Sample) -> None:
    assert sample.manifest["election_id"] == sample.setting["election"]["id"]
    assert sample.manifest["precinct"] == sample.setting["precinct"]["number"] == "4-07"


def test_two_machines_have_serials_and_protective_counters(sample: Sample) -> None:
    machines = sample.setting["machine"]

    assert len({machine["serial"] for machine in machines}) == 2
    assert all(machine["protective_counter"] > 0 for machine in machines)


def test_protective_counters_only_grow_from_march_to_may(
    main_sample: Sample, one_ballot_sample: Sample
) -> None:
    march = {one["serial"]: one["protective_counter"] for one in main_sample.setting["machine"]}
    may = {one["serial"]: one["protective_counter"] for one in one_ballot_sample.setting["machine"]}

    assert all(may[serial] > march[serial] for serial in march)


def test_checklists_cover_the_work_of_opening_and_closing(sample: Sample) -> None:
    items = Counter((item["stage"], item["code"]) for item in sample.setting["checklist"])
    opening = {code for stage, code in items if stage == "opening"}
    closing = {code for stage, code in items if stage == "closing"}

    assert opening >= OPENING_MUST_HAVE
    assert closing >= CLOSING_MUST_HAVE
    assert len(opening) + len(closing) == len(items) == items.total()


def test_button_follows_from_the_street(main_sample: Sample) -> None:
    for row in main_sample.everybody:
        assert row["ballot_button"] == str(button_of(row["street_address"])), row["street_address"]


def test_each_button_serves_a_good_part_of_the_precinct(main_sample: Sample) -> None:
    buttons = Counter(row["ballot_button"] for row in main_sample.register)

    assert set(buttons) == {"1", "2", "3"}
    assert min(buttons.values()) > len(main_sample.register) * 0.2


def test_the_sides_of_capstan_road_have_different_buttons(main_sample: Sample) -> None:
    sides = {
        (int(row["street_address"].split()[0]) % 2, row["ballot_button"])
        for row in main_sample.register
        if row["street_address"].endswith("Capstan Road")
    }

    assert sides == {(1, "1"), (0, "2")}
