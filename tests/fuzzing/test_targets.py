"""What the fuzzer tries is tried here with a few hundred inputs, and it can find a defect.

The long run is `scripts/fuzz_readers.py`.
"""

from __future__ import annotations

import random
from collections.abc import Iterator
from pathlib import Path

import pytest

from app.intake import package
from tests.fuzzing import targets as fuzzing
from tests.fuzzing.small_bundle import make_bundle
from tests.fuzzing.targets import Target, UndocumentedAnswer, targets

NAMES = ("package", "package-zip", "list", "licence", "bundle")
# A bundle takes a hundred times as long to read as a licence.
INPUTS = {"bundle": 30}
MOST = 150


@pytest.fixture(scope="module")
def every(tmp_path_factory: pytest.TempPathFactory) -> dict[str, Target]:
    folder = tmp_path_factory.mktemp("fuzzing")
    return targets(folder, make_bundle(folder / "day"))


def inputs(target: Target, count: int) -> Iterator[bytes]:
    """Good inputs, changed a little: cut, doubled, with single bytes set to others."""
    chance = random.Random("what comes from outside")
    for _ in range(count):
        data = bytearray(chance.choice(target.seeds))
        for _ in range(chance.randrange(1, 6)):
            place = chance.randrange(len(data) + 1)
            length = chance.randrange(1, 20)
            change = chance.choice(("set", "cut", "double"))
            if change == "set" and place < len(data):
                data[place] = chance.randrange(256)
            elif change == "cut":
                del data[place : place + length]
            else:
                data[place:place] = data[place : place + length]
        yield bytes(data)


@pytest.mark.parametrize("name", NAMES)
def test_a_reader_answers_only_what_it_says_it_answers(every: dict[str, Target], name: str) -> None:
    target = every[name]
    for seed in target.seeds:
        target.take(seed)
    for data in inputs(target, INPUTS.get(name, MOST)):
        target.take(data)


def test_every_target_is_tried_here(every: dict[str, Target]) -> None:
    assert set(every) == set(NAMES)


def test_a_reader_that_lets_an_error_through_is_found(
    every: dict[str, Target], monkeypatch: pytest.MonkeyPatch
) -> None:
    def careless(*_: object) -> object:
        raise ValueError("not caught")

    monkeypatch.setattr(package, "read_elsewhere", careless)
    with pytest.raises(ValueError, match="not caught"):
        every["package"].take(every["package"].seeds[0])


def test_a_reader_that_answers_nothing_is_found(
    every: dict[str, Target], monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    monkeypatch.setattr(fuzzing, "read_licence", lambda _: tmp_path)
    with pytest.raises(UndocumentedAnswer):
        every["licence"].take(b"@")
