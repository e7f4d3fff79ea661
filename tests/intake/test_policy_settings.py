"""[policy] of election.toml: every setting has values that are read and values that are not."""

from __future__ import annotations

import dataclasses
import json
from pathlib import Path
from typing import Any

import pytest

from app.intake.fault_codes import Code
from app.rules.policy import Policy
from tests.intake.packing import ELECTION_TOML, faults_of, only_fault, package_of, row, spot
from tests.intake.packing import with_register as package_with

FILE = "election.toml"

# For each setting: what may be written, and what that is in Policy.
GOOD: dict[str, list[tuple[str, object]]] = {
    "identification": [(f'"{value}"', value) for value in ("none", "asked", "required")],
    "provisional": [('"federal_only"', "federal_only"), ('"always"', "always")],
    "inactive": [('"affirm"', "affirm"), ('"nothing"', "nothing")],
    "moved_within": [(f'"{value}"', value) for value in ("affirm", "provisional", "call")],
    "first_time_by_mail": [('"identification"', "identification"), ('"nothing"', "nothing")],
    "date_order": [('"month_first"', "month_first"), ('"day_first"', "day_first")],
    "identification_kinds": [
        ('["a bus pass"]', ("a bus pass",)),
        (json.dumps([f"paper {at}" for at in range(8)]), tuple(f"paper {at}" for at in range(8))),
    ],
    "helper_limit": [("0", 0), ("5", 5), ("1_000", 1000)],
    # `required` needs a secret in the package too: see test_phone_secret.
    "phone_code": [('"optional"', "optional"), ('"off"', "off")],
    "mark_and_witness": [('"allowed"', "allowed"), ('"off"', "off")],
    "counted_by": [('"machines"', "machines"), ('"paper_ballots"', "paper_ballots")],
    "electioneering_distance_feet": [("0", 0), ("150", 150), ("2_000", 2000)],
    "idle_lock_minutes": [("0", 0), ("5", 5), ("120", 120)],
    "passphrase_officers": [("1", 1), ("2", 2)],
    "voter_affirmation": [('"I am this voter."', "I am this voter.")],
    "caution": [('"Ask the clerk."', "Ask the clerk.")],
}

BAD: dict[str, list[tuple[str, Code]]] = {
    "identification": [('"always"', Code.VALUE_NOT_ALLOWED), ("true", Code.WRONG_KIND)],
    "provisional": [('"sometimes"', Code.VALUE_NOT_ALLOWED), ("false", Code.WRONG_KIND)],
    "inactive": [('"stop"', Code.VALUE_NOT_ALLOWED), ("1", Code.WRONG_KIND)],
    "moved_within": [('"refuse"', Code.VALUE_NOT_ALLOWED), ('["affirm"]', Code.WRONG_KIND)],
    "first_time_by_mail": [('"required"', Code.VALUE_NOT_ALLOWED), ("true", Code.WRONG_KIND)],
    "date_order": [('"year_first"', Code.VALUE_NOT_ALLOWED), ("1", Code.WRONG_KIND)],
    "identification_kinds": [
        ("[]", Code.VALUE_NOT_ALLOWED),
        (json.dumps([f"paper {at}" for at in range(9)]), Code.VALUE_NOT_ALLOWED),
        ('"a bus pass"', Code.WRONG_KIND),
        ("[1]", Code.WRONG_KIND),
        ("true", Code.WRONG_KIND),
    ],
    "helper_limit": [
        ("-1", Code.VALUE_NOT_ALLOWED),
        ("1_001", Code.VALUE_NOT_ALLOWED),
        ("2.0", Code.WRONG_KIND),
        ('"2"', Code.WRONG_KIND),
        ("true", Code.WRONG_KIND),
    ],
    "phone_code": [('"always"', Code.VALUE_NOT_ALLOWED), ("true", Code.WRONG_KIND)],
    "mark_and_witness": [('"on"', Code.VALUE_NOT_ALLOWED), ("true", Code.WRONG_KIND)],
    "counted_by": [('"hand"', Code.VALUE_NOT_ALLOWED), ("true", Code.WRONG_KIND)],
    "electioneering_distance_feet": [
        ("-1", Code.VALUE_NOT_ALLOWED),
        ("2_001", Code.VALUE_NOT_ALLOWED),
        ('"150"', Code.WRONG_KIND),
    ],
    "idle_lock_minutes": [
        ("-1", Code.VALUE_NOT_ALLOWED),
        ("121", Code.VALUE_NOT_ALLOWED),
        ("2.5", Code.WRONG_KIND),
        ('"5"', Code.WRONG_KIND),
    ],
    "passphrase_officers": [
        ("0", Code.VALUE_NOT_ALLOWED),
        ("3", Code.VALUE_NOT_ALLOWED),
        ("1.5", Code.WRONG_KIND),
        ('"2"', Code.WRONG_KIND),
    ],
    "voter_affirmation": [('""', Code.VALUE_NOT_ALLOWED), ("7", Code.WRONG_KIND)],
    "caution": [('""', Code.VALUE_NOT_ALLOWED), ("7", Code.WRONG_KIND)],
}

YES_OR_NO = [name.name for name in dataclasses.fields(Policy) if name.type == "bool"]
GOOD |= {name: [("true", True), ("false", False)] for name in YES_OR_NO}
BAD |= {name: [('"yes"', Code.WRONG_KIND), ("1", Code.WRONG_KIND)] for name in YES_OR_NO}


def with_policy(*settings: str, federal: bool = True) -> dict[str, bytes]:
    text = ELECTION_TOML.replace('identification = "asked"', "\n".join(settings))
    text = text.replace("federal = true", f"federal = {str(federal).lower()}")
    return {**package_with(row()), FILE: text.encode()}


def cases(table: dict[str, list[tuple[str, Any]]]) -> list[Any]:
    return [
        pytest.param(name, *case, id=f"{name}={case[0]}"[:40])
        for name, some in table.items()
        for case in some
    ]


def test_every_setting_has_values_here_that_are_read_and_that_are_not() -> None:
    names = {field.name for field in dataclasses.fields(Policy)}
    assert set(GOOD) == set(BAD) == names
    # Where no value differed from the default, reading nothing would pass.
    defaults = Policy()
    assert all(
        any(value != getattr(defaults, name) for _, value in some) for name, some in GOOD.items()
    )


@pytest.mark.parametrize(("name", "text", "value"), cases(GOOD))
def test_a_value_that_is_allowed_is_read(
    name: str, text: str, value: object, tmp_path: Path
) -> None:
    policy = package_of(with_policy(f"{name} = {text}"), tmp_path).setting.policy
    assert policy == dataclasses.replace(Policy(), **{name: value})


@pytest.mark.parametrize(("name", "text", "code"), cases(BAD))
def test_a_value_that_is_not_allowed_is_one_fault(
    name: str, text: str, code: Code, tmp_path: Path
) -> None:
    fault = only_fault(with_policy(f"{name} = {text}"), tmp_path)
    assert spot(fault) == (FILE, None, f"policy.{name}", code)
    assert fault.expected


def test_a_blank_kind_of_identification_is_a_fault_at_its_place(tmp_path: Path) -> None:
    fault = only_fault(with_policy('identification_kinds = ["a bus pass", " "]'), tmp_path)
    assert spot(fault) == (
        FILE,
        None,
        "policy.identification_kinds.2",
        Code.VALUE_NOT_ALLOWED,
    )


@pytest.mark.parametrize("name", sorted(GOOD))
def test_a_misspelled_setting_is_told_its_likely_name(name: str, tmp_path: Path) -> None:
    fault = only_fault(with_policy(f"{name}x = 1"), tmp_path)
    assert (fault.code, fault.expected) == (Code.UNKNOWN_KEY, f"perhaps {name}")


def test_a_federal_election_without_provisional_ballots_is_a_fault(tmp_path: Path) -> None:
    fault = only_fault(with_policy('provisional = "never"'), tmp_path)
    assert spot(fault) == (FILE, None, "policy.provisional", Code.FEDERAL_NEEDS_PROVISIONAL)
    assert "52 U.S.C. 21082" in fault.sentence
    assert "exempt" in fault.sentence
    assert "provisional_exempt = true" in fault.what_to_do


@pytest.mark.parametrize("exempt", ["", "provisional_exempt = false"])
def test_only_an_exemption_that_is_said_lifts_it(exempt: str, tmp_path: Path) -> None:
    faults = faults_of(with_policy('provisional = "never"', exempt), tmp_path)
    assert [fault.code for fault in faults] == [Code.FEDERAL_NEEDS_PROVISIONAL]
    files = with_policy('provisional = "never"', "provisional_exempt = true")
    assert package_of(files, tmp_path / "exempt").setting.policy.provisional == "never"


def test_an_election_that_is_not_federal_may_have_none(tmp_path: Path) -> None:
    files = with_policy('provisional = "never"', federal=False)
    assert package_of(files, tmp_path).setting.policy.provisional == "never"


def test_an_election_that_does_not_say_whether_it_is_federal_has_that_fault_alone(
    tmp_path: Path,
) -> None:
    files = with_policy('provisional = "never"')
    files[FILE] = files[FILE].replace(b"federal = true\n", b"")
    fault = only_fault(files, tmp_path)
    assert spot(fault) == (FILE, None, "election.federal", Code.MISSING_KEY)
