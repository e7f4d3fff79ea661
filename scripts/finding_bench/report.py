"""Tables on the screen."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence

from rich.console import Console
from rich.table import Table

from finding_bench.figures import (
    PERCENTS,
    PLACES,
    against_best,
    chosen,
    keystroke_figures,
    kinds_of,
    milliseconds,
)
from finding_bench.keystrokes import HABITS
from finding_bench.measures import (
    best_possible_at,
    calibration_error,
    person_at,
    recall_at,
    reliability,
)
from finding_bench.people import People
from finding_bench.queries import SEVERAL_AT_ONCE, Query
from finding_bench.running import Result


def show(console: Console, results: Sequence[Result], queries: Sequence[Query]) -> None:
    """Everything measured on one register; the first result is compared with the others."""
    if not results:
        return
    console.print(_overall(results, queries), _kinds(results, queries))
    console.print(_ties(results, queries))
    _show_difference(console, results, queries)
    for result in results:
        _show_calibration(console, result, queries)
        if result.weights:
            weights = ", ".join(f"{name} {value}" for name, value in result.weights.items())
            console.print(f"{result.engine} ranks by: {weights}")
    if any(result.typing for result in results):
        console.print(_keystrokes(results))


def show_misses(
    console: Console, result: Result, queries: Sequence[Query], people: People, most: int
) -> None:
    """Queries that have one answer and another line first, at most `most` of each kind."""
    table = Table("kind", "typed", "meant", "place", title=f"{result.engine}: not at 1")
    shown: Counter[str] = Counter()
    for query, one in zip(queries, result.outcomes, strict=True):
        if query.is_single and one.rank != 1 and shown[query.kind] < most:
            shown[query.kind] += 1
            line = people.printed(query.person)
            meant = f"{line.name_last_first} {line.birth_date} {line.mothers_maiden_name}"
            table.add_row(query.kind, query.text, meant, str(one.rank or "–"))
    console.print(table)


def show_machine(console: Console, facts: Mapping[str, object]) -> None:
    """One line of what the run took place on."""
    console.print(" · ".join(f"{name} {value}" for name, value in facts.items()))


def _overall(results: Sequence[Result], queries: Sequence[Query]) -> Table:
    table = Table(
        "engine", *(f"at {places}" for places in PLACES), "several at once, at 1",
        *(f"p{percent} ms" for percent in PERCENTS),
        "ready from rows s", "from saved s", "memory MB", "files MB",
        title=f"One answer possible: {len(chosen(results[0], queries))} of {len(queries)} queries",
    )  # fmt: skip
    for result in results:
        single = chosen(result, queries)
        times = milliseconds([one.seconds for one in result.outcomes])
        table.add_row(
            result.engine,
            *(str(recall_at(single, places)) for places in PLACES),
            str(recall_at(chosen(result, queries, SEVERAL_AT_ONCE), 1)),
            *(f"{value:.1f}" for value in times.values()),
            f"{result.build_seconds:.1f}",
            "–" if result.saved_seconds is None else f"{result.saved_seconds:.2f}",
            "–" if result.memory_bytes is None else f"{result.memory_bytes / 1e6:.0f}",
            f"{result.disk_bytes / 1e6:.0f}",
        )
    return table


def _kinds(results: Sequence[Result], queries: Sequence[Query]) -> Table:
    table = Table(
        "kind", "queries", *(result.engine for result in results), title="By kind: at 1 / at 5, %"
    )
    for kind in kinds_of(queries):
        of_kind = [chosen(result, queries, [kind]) for result in results]
        shares = (
            " / ".join(f"{recall_at(one, places).value * 100:.1f}" for places in (1, 5))
            for one in of_kind
        )
        table.add_row(kind, str(len(of_kind[0])), *(shares if of_kind[0] else ()))
    return table


def _ties(results: Sequence[Result], queries: Sequence[Query]) -> Table:
    """All queries: whoever cannot be told apart is right, and the person alone is."""
    table = Table(
        "engine", "right at 1", "the person at 1", "best possible", "the person at 5",
        "best possible", title=f"All {len(queries)} queries, ties and all",
    )  # fmt: skip
    for result in results:
        everybody = chosen(result, queries, only_single=False)
        table.add_row(
            result.engine,
            str(recall_at(everybody, 1)),
            *(
                text
                for places in (1, 5)
                for text in (
                    str(person_at(everybody, places)),
                    f"{best_possible_at(everybody, places):.1%}",
                )
            ),
        )
    return table


def _show_difference(console: Console, results: Sequence[Result], queries: Sequence[Query]) -> None:
    compared = against_best(results[0], results[1:], queries)
    if compared is None:
        return
    best, one = compared
    console.print(
        f"{results[0].engine} less {best.engine}, the best other one, at 1:"
        f" {one.value:+.2%} (95 % {one.low:+.2%} to {one.high:+.2%});"
        f" {one.only_one} right alone, {one.only_other} wrong alone, McNemar p = {one.p:.3g}"
    )


def _show_calibration(console: Console, result: Result, queries: Sequence[Query]) -> None:
    everybody = chosen(result, queries, only_single=False)
    error = calibration_error(everybody)
    if error is None:
        return
    table = Table(
        "answers", "said", "true", title=f"{result.engine}: expected calibration error {error:.3f}"
    )
    for held in reliability(everybody):
        table.add_row(str(held.answers), f"{held.said:.1%}", f"{held.true:.1%}")
    console.print(table)


def _keystrokes(results: Sequence[Result]) -> Table:
    table = Table(
        "habit", "engine", "until first: mean", "median", "p90", "never", "until five: mean",
        "median", "p90", "each key, p50 ms", "p99 ms", title="Keys until the line is there",
    )  # fmt: skip
    for habit in HABITS:
        for result in results:
            if not result.typing:
                continue
            found = keystroke_figures(result.typing, habit)
            cells = ("first_mean", "first_median", "first_p90", "never_first", "five_mean",
                     "five_median", "five_p90", "p50", "p99")  # fmt: skip
            table.add_row(habit, result.engine, *(f"{found.get(cell, 0):.4g}" for cell in cells))
    return table
