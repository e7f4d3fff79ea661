"""The figures of a run, from outcomes to plain numbers: what tables and files show."""

from __future__ import annotations

import statistics
from collections.abc import Sequence

from finding_bench.keystrokes import HABITS, Typing
from finding_bench.measures import (
    Difference,
    Outcome,
    best_possible_at,
    calibration_error,
    paired_difference,
    percentile,
    person_at,
    recall_at,
    reliability,
)
from finding_bench.queries import KINDS, SEVERAL_AT_ONCE, Query
from finding_bench.running import Result

PLACES = (1, 3, 5)
PERCENTS = (50, 95, 99)


def chosen(
    result: Result,
    queries: Sequence[Query],
    kinds: Sequence[str] | None = None,
    *,
    only_single: bool = True,
) -> list[Outcome]:
    """The outcomes of these kinds, as a rule of queries that have one answer."""
    return [
        one
        for one, query in zip(result.outcomes, queries, strict=True)
        if (query.is_single or not only_single) and (kinds is None or query.kind in kinds)
    ]


def milliseconds(seconds: Sequence[float]) -> dict[str, float]:
    """p50, p95 and p99 in milliseconds."""
    return {f"p{percent}": percentile(seconds, percent) * 1000 for percent in PERCENTS}


def figures_of(result: Result, queries: Sequence[Query]) -> dict[str, object]:
    """Everything measured of one engine on one register, ready for a file."""
    single, everybody = chosen(result, queries), chosen(result, queries, only_single=False)
    several = chosen(result, queries, SEVERAL_AT_ONCE)
    return {
        "engine": result.engine,
        "build_seconds": result.build_seconds,
        "saved_seconds": result.saved_seconds,
        "disk_bytes": result.disk_bytes,
        "memory_bytes": result.memory_bytes,
        "weights": result.weights,
        "milliseconds": milliseconds([one.seconds for one in result.outcomes]),
        "one_answer_possible": _recalls(single),
        "several_at_once": _recalls(several),
        "all_queries": {
            **_recalls(everybody),
            "person": {f"at_{places}": person_at(everybody, places)._asdict() for places in PLACES},
            "best_possible": {
                f"at_{places}": best_possible_at(everybody, places) for places in PLACES
            },
        },
        "kinds": {
            kind: {
                "one_answer_possible": _recalls(chosen(result, queries, [kind])),
                "all_queries": _recalls(chosen(result, queries, [kind], only_single=False)),
            }
            for kind in kinds_of(queries)
        },
        "calibration_error": calibration_error(everybody),
        "reliability": [held._asdict() for held in reliability(everybody)],
        "keystrokes": {habit: keystroke_figures(result.typing, habit) for habit in HABITS}
        if result.typing
        else {},
    }


def kinds_of(queries: Sequence[Query]) -> list[str]:
    """The kinds that occur, in the order of KINDS; others, as of FEBRL, as they come."""
    present = dict.fromkeys(query.kind for query in queries)
    return [kind for kind in KINDS if kind in present] + [k for k in present if k not in KINDS]


def keystroke_figures(typing: Sequence[Typing], habit: str) -> dict[str, float | int]:
    """Keys of the people that were found, how many never were, and times of all keys."""
    ours = [one for one in typing if one.habit == habit]
    first = [one.until_first for one in ours if one.until_first is not None]
    five = [one.until_five for one in ours if one.until_five is not None]
    found: dict[str, float | int] = {"people": len(ours), "never_first": len(ours) - len(first)}
    for name, keys in (("first", first), ("five", five)):
        if keys:
            found[f"{name}_mean"] = statistics.fmean(keys)
            found[f"{name}_median"] = statistics.median(keys)
            found[f"{name}_p90"] = percentile(keys, 90)
    seconds = [second for one in ours for second in one.seconds]
    return {**found, **milliseconds(seconds)}


def against_best(
    ours: Result, others: Sequence[Result], queries: Sequence[Query]
) -> tuple[Result, Difference] | None:
    """The anchor that is right at the first place most often, and ours less it."""
    if not others or not chosen(ours, queries):
        return None
    best = max(others, key=lambda other: recall_at(chosen(other, queries), 1).value)
    pairs = ([one.rank == 1 for one in chosen(result, queries)] for result in (ours, best))
    return best, paired_difference(*pairs)


def _recalls(outcomes: Sequence[Outcome]) -> dict[str, object]:
    return {f"at_{places}": recall_at(outcomes, places)._asdict() for places in PLACES}
