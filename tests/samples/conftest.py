"""Both sample packages and the twelve people, for every test of this folder."""

from __future__ import annotations

import json
from typing import Any

import pytest

from tests.samples.reading import PROJECT, Sample, read_sample


@pytest.fixture(scope="session")
def main_sample() -> Sample:
    return read_sample("tern-4-07")


@pytest.fixture(scope="session")
def one_ballot_sample() -> Sample:
    return read_sample("tern-4-07-one-ballot")


@pytest.fixture(scope="session", params=["tern-4-07", "tern-4-07-one-ballot"])
def sample(request: pytest.FixtureRequest) -> Sample:
    return read_sample(request.param)


@pytest.fixture(scope="session")
def twelve() -> list[dict[str, Any]]:
    path = PROJECT / "tests" / "samples" / "twelve_people.json"
    people: list[dict[str, Any]] = json.loads(path.read_text(encoding="utf-8"))
    return people
