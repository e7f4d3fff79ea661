"""A whole run: every register that was asked for, shown as it comes and kept for a file."""

from __future__ import annotations

import math
import time
from collections.abc import Sequence
from dataclasses import asdict, dataclass

from rich.console import Console

from finding_bench.engines.engine import Missing
from finding_bench.febrl import SETS, load_febrl
from finding_bench.figures import against_best, figures_of
from finding_bench.machine import machine
from finding_bench.memory import memory_bytes
from finding_bench.people import People, make_people
from finding_bench.queries import Query, make_queries
from finding_bench.report import show, show_machine, show_misses
from finding_bench.running import Result, Runner
from finding_bench.tuning import TuningSet, febrl_for, invented_for


@dataclass(frozen=True, slots=True)
class Options:
    """What to run. typists: people for the keystrokes, 0 for none.
    misses: how many wrong answers of each kind the first engine has to show.
    """

    lines: tuple[int, ...]
    engines: tuple[str, ...]
    per_kind: int = 100
    seed: str = "dev"
    with_plain: bool = False
    typists: int = 0
    with_memory: bool = False
    with_febrl: bool = False
    misses: int = 0


def run(options: Options, console: Console) -> dict[str, object]:
    """Run everything; what is returned is plain enough for JSON."""
    facts = machine()
    show_machine(console, facts)
    registers = []
    for count in options.lines:
        started = time.perf_counter()
        people = make_people(count, options.seed)
        console.rule(f"{count:,} lines, seed {options.seed}")
        console.print(
            f"{len(set(people.last.tolist())):,} last and {len(set(people.first.tolist())):,}"
            f" first names, made in {time.perf_counter() - started:.1f} s"
        )
        queries = make_queries(people, options.per_kind, options.seed)
        registers.append(
            _run_register(f"{count} lines", people, queries, invented_for(count), options, console)
        )
    for name in SETS if options.with_febrl else ():
        console.rule(f"{name}: damaged duplicates made by others")
        try:
            people, queries = load_febrl(name)
        except Missing as missing:
            console.print(f"FEBRL is left out. To install: {missing}", markup=False)
            break
        registers.append(_run_register(name, people, queries, febrl_for(name), options, console))
    report = {"machine": facts, "options": asdict(options), "registers": registers}
    plain = _without_nan(report)
    assert isinstance(plain, dict)
    return plain


def _run_register(
    name: str,
    people: People,
    queries: Sequence[Query],
    tuning_set: TuningSet,
    options: Options,
    console: Console,
) -> dict[str, object]:
    results: list[Result] = []
    runner = Runner(people, queries, tuning_set, min(options.typists, len(people)))
    for result in runner.results(options.engines, with_plain=options.with_plain):
        if isinstance(result, Result):
            results.append(result)
            console.print(f"measured {result.engine}", highlight=False)
        else:
            console.print(f"{result[0]} is left out. To install: {result[1]}", markup=False)
    if options.with_memory:
        _add_memory(results, people, queries, options)
    show(console, results, queries)
    if options.misses and results:
        show_misses(console, results[0], queries, people, options.misses)
    compared = against_best(results[0], results[1:], queries) if results else None
    return {
        "register": name,
        "queries": len(queries),
        "one_answer_possible": sum(query.is_single for query in queries),
        "engines": [figures_of(result, queries) for result in results],
        "first_less_best_other": {"other": compared[0].engine, **compared[1]._asdict()}
        if compared
        else None,
    }


def _add_memory(
    results: Sequence[Result], people: People, queries: Sequence[Query], options: Options
) -> None:
    texts = [query.text for query in queries[:: max(1, len(queries) // 100)]]
    by_name = {result.engine: result for result in results}
    from finding_bench.engines.registry import new_engine

    for name in options.engines:
        result = by_name.get(new_engine(name).name)
        if result:
            result.memory_bytes = memory_bytes(name, people, texts)


def _without_nan(value: object) -> object:
    """The same with None for what is no number: JSON has no word for it."""
    if isinstance(value, dict):
        return {key: _without_nan(held) for key, held in value.items()}
    if isinstance(value, (list, tuple)):
        return [_without_nan(held) for held in value]
    return None if isinstance(value, float) and math.isnan(value) else value
