from __future__ import annotations

import math

import pytest

from finding_bench import tuning
from finding_bench.asking import ask
from finding_bench.engines.engine import Hit
from finding_bench.engines.registry import ANCHORS, new_engine
from finding_bench.engines.scan import Scan
from finding_bench.engines.sqlite_trigrams import SqliteTrigrams
from finding_bench.febrl import SETS
from finding_bench.keystrokes import HABITS, type_all
from finding_bench.measures import (
    best_possible_at,
    calibration_error,
    mcnemar,
    paired_difference,
    percentile,
    person_at,
    recall_at,
    reliability,
    wilson,
)
from finding_bench.people import People, make_people
from finding_bench.queries import Query, make_queries
from finding_bench.rerank import Weights
from finding_bench.typed import read_typed


class Toy:
    """Answers what it was told."""

    name = "toy"

    def __init__(self, answers: dict[str, list[int]], probability: float | None = None) -> None:
        self._answers, self._probability = answers, probability

    def build(self, people: People) -> None: ...

    def search(self, text: str, limit: int) -> list[Hit]:
        return [Hit(at, self._probability) for at in self._answers.get(text, [])[:limit]]

    def disk_bytes(self) -> int:
        return 0

    def close(self) -> None: ...


QUERIES = [
    Query("toy", "first", 1, frozenset({1}), True),
    Query("toy", "third", 2, frozenset({2}), True),
    Query("toy", "nowhere", 3, frozenset({3}), True),
    Query("toy", "tied", 4, frozenset({4, 5}), False),
]
ANSWERS = {"first": [1, 9], "third": [8, 9, 2], "nowhere": [7], "tied": [5, 4]}


def test_wilson_interval_agrees_with_newcombe_1998() -> None:
    # Table I of Newcombe, Statistics in Medicine 17, 857-872: method 3.
    for hits, count, low, high in (
        (81, 263, 0.2553, 0.3662),
        (15, 148, 0.0624, 0.1605),
        (0, 20, 0.0, 0.1611),
        (1, 29, 0.0061, 0.1718),
    ):
        share = wilson(hits, count)
        assert (round(share.low, 4), round(share.high, 4)) == (low, high)
    assert math.isnan(wilson(0, 0).value)


def test_paired_interval_agrees_with_newcombe_1998() -> None:
    # Statistics in Medicine 17, 2635-2650, the example 36, 12, 2, 0.
    one = [True] * 48 + [False] * 2
    other = [True] * 36 + [False] * 12 + [True] * 2
    found = paired_difference(one, other)
    assert found.value == pytest.approx(0.2)
    assert (found.only_one, found.only_other) == (12, 2)
    assert (round(found.low, 4), round(found.high, 4)) == (0.0569, 0.3404)


def test_mcnemar_is_the_binomial_of_the_uneven_pairs() -> None:
    assert mcnemar(0, 0) == 1.0
    assert mcnemar(5, 5) == 1.0
    assert mcnemar(0, 6) == pytest.approx(2 / 64)
    assert mcnemar(12, 2) == pytest.approx(0.01293945)


def test_a_toy_engine_gets_the_marks_it_deserves() -> None:
    outcomes = ask(Toy(ANSWERS), QUERIES)
    assert [one.rank for one in outcomes] == [1, 3, 0, 1]
    assert [one.person_rank for one in outcomes] == [1, 3, 0, 2]
    assert [recall_at(outcomes, places).value for places in (1, 3, 5)] == [0.5, 0.75, 0.75]
    assert person_at(outcomes, 1).value == 0.25
    assert best_possible_at(outcomes, 1) == pytest.approx(3.5 / 4)


def test_calibration_is_the_gap_between_said_and_true() -> None:
    outcomes = ask(Toy(ANSWERS, probability=0.95), QUERIES)
    # Only the first query has the person meant first: of the tied two it is the other one.
    assert calibration_error(outcomes) == pytest.approx(0.7)
    assert [(held.answers, held.true) for held in reliability(outcomes)] == [(4, 0.25)]
    assert calibration_error(ask(Toy(ANSWERS), QUERIES)) is None


def test_percentile_is_a_value_that_occurs() -> None:
    assert percentile([5, 1, 3], 50) == 3
    assert percentile(range(1, 101), 99) == 99
    assert percentile([7], 99) == 7


@pytest.fixture(scope="module")
def people() -> People:
    return make_people(300, "a test")


@pytest.mark.parametrize("name", ["scan", "sqlite", "ours"])
def test_engines_find_almost_everybody_in_a_small_register(name: str, people: People) -> None:
    engine = new_engine(name)
    engine.build(people)
    queries = [query for query in make_queries(people, 4, "a test") if query.is_single]
    assert recall_at(ask(engine, queries), 5).value > 0.9
    engine.close()


def test_every_anchor_says_its_name_plain() -> None:
    names = {new_engine(name, is_plain=True).name for name in ANCHORS}
    assert len(names) == len(ANCHORS)
    assert all(name.endswith(" plain") for name in names)


def test_plain_engines_look_at_names_alone(people: People) -> None:
    plain, whole = Scan(is_plain=True), Scan()
    for engine in (plain, whole):
        engine.build(people)
    birth_date = f"{people.birth_date(17):%m/%d/%Y}"
    assert whole.search(birth_date, 1)[0].position == 17
    assert plain.search(birth_date, 5) == []
    assert whole.nicknames(read_typed("bill")) != plain.nicknames(read_typed("bill")) == []


def test_keys_are_counted_until_the_line_is_there(people: People) -> None:
    engine = SqliteTrigrams()
    engine.build(people)
    typing = type_all(engine, people, 6)
    engine.close()
    assert len(typing) == 6 * len(HABITS)
    for one in typing:
        assert one.until_first is not None
        assert one.until_five is not None
        assert one.until_five <= one.until_first == len(one.seconds)


def test_tuning_is_no_worse_than_not_tuning(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(tuning, "PER_KIND", 3)
    monkeypatch.setattr(tuning, "LEAST_LINES", 200)
    tuning_set = tuning.invented_for(200)
    weights = tuning.tuned(Scan(), tuning_set)
    own, made = tuning_set.make()
    queries = [one for one in made if one.is_single]
    right = []
    for used in (weights, Weights()):
        engine = Scan()
        engine.weights = used
        engine.build(own)
        right.append(sum(one.rank == 1 for one in ask(engine, queries)))
    assert right[0] >= right[1]


def test_no_febrl_set_is_tuned_on_itself() -> None:
    assert all(tuning.febrl_for(name).name != name for name in SETS)
    assert all(tuning.febrl_for(name).name in SETS for name in SETS)
