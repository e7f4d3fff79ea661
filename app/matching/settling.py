"""Which one more fact would tell lines apart that fit what was typed about as well."""

from __future__ import annotations

from collections.abc import Collection
from enum import StrEnum

import numpy as np
from numpy.typing import NDArray

from app.matching.reading import Field
from app.matching.shortlist import Shortlist


class Fact(StrEnum):
    """What a worker may ask for."""

    LAST_NAME = "last_name"
    BIRTH_DATE = "birth_date"
    FIRST_NAME = "first_name"
    MIDDLE_NAME = "middle_name"
    STREET_ADDRESS = "street_address"


_FIELDS = {
    Fact.LAST_NAME: {Field.LAST},
    Fact.BIRTH_DATE: {Field.BIRTH},
    Fact.FIRST_NAME: {Field.FIRST},
    Fact.MIDDLE_NAME: {Field.MIDDLE},
    Fact.STREET_ADDRESS: {Field.STREET, Field.HOUSE},
}

# How many times fewer lines a fact must leave to be asked for in the place of another one:
# people give their name and birth date readily, and the address may be an old one.
_PRICE = {
    Fact.LAST_NAME: 1,
    Fact.BIRTH_DATE: 1,
    Fact.FIRST_NAME: 1.5,
    Fact.MIDDLE_NAME: 2,
    Fact.STREET_ADDRESS: 10,
}


def settling_fact(
    here: Shortlist, fitting: NDArray[np.intp], in_full: Collection[Field]
) -> Fact | None:
    """The fact that would leave the fewest of the lines at the places `fitting`.

    None where there is one line, or nothing tells them apart. `in_full` are the fields that
    have been said in full already.
    """
    if len(fitting) < 2:
        return None
    left = {
        fact: _left(values[fitting])
        for fact, values in _values(here).items()
        if not _FIELDS[fact] & set(in_full)
    }
    best = min(left, key=lambda fact: left[fact] * _PRICE[fact], default=None)
    return best if best and left[best] < len(fitting) else None


def _values(here: Shortlist) -> dict[Fact, NDArray[np.int64]]:
    """One number for each line considered, equal where the fact is."""
    houses = here.houses.astype(np.int64)
    return {
        Fact.LAST_NAME: here.last.whole.astype(np.int64),
        Fact.BIRTH_DATE: here.days.astype(np.int64),
        Fact.FIRST_NAME: here.first.whole.astype(np.int64),
        Fact.MIDDLE_NAME: here.middle.whole.astype(np.int64),
        Fact.STREET_ADDRESS: houses << 32 | here.street.whole.astype(np.int64),
    }


def _left(values: NDArray[np.int64]) -> float:
    """How many lines would be left, on average, once the fact is known."""
    _, counts = np.unique(values, return_counts=True)
    return float((counts**2).sum() / counts.sum())
