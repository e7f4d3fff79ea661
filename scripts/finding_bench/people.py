"""An invented register of any size, in columns, and as lines of the program.

Households come first: couples, fathers and sons of one name, twins. Names are drawn by
`census` and dressed by `name_styles`. The same count and seed give the same people.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date

import numpy as np
from numpy.typing import NDArray

from app.rules.line import Line, PrintedLine
from finding_bench.census import Ids
from finding_bench.name_styles import NameTable, dressed_names

ELECTION_YEAR = 2027
SUFFIXES = ("", "Jr", "Sr", "II", "III")
_NONE, _JR, _SR, _II, _III = range(5)

# Shares of all people.
COUPLES, FATHERS_AND_SONS, TWINS = 0.15, 0.012, 0.006
OTHER_SUFFIX = 0.012
MIDDLE_NAME, MIDDLE_INITIAL = 0.55, 0.20
WITHOUT_MAIDEN = 0.15

_STREET_HEADS = (
    "Alder Barley Candle Dapple Ember Fallow Gannet Harrow Inkwell Juniper Kettle Lantern Mallow"
    " Nettle Orchard Pebble Quarry Russet Saddle Thimble Umber Velvet Wheelhouse Yarrow Zephyr"
    " Bramble Clover Drover Farrier Granary"
).split()
_STREET_ENDS = ("brook", "field", "gate", "ford", "hill", "mead", "stead", "wick", " Mill", " Bend")
_STREET_KINDS = ("Road", "Street", "Lane", "Avenue", "Court", "Drive", "Way")
STREETS = tuple(
    f"{head}{end} {kind}"
    for head in _STREET_HEADS
    for end in _STREET_ENDS
    for kind in _STREET_KINDS
)

# (years old, share of the register): denser around sixty, thin beyond ninety.
_AGES = (
    (18, 30, 0.19),
    (30, 45, 0.24),
    (45, 60, 0.24),
    (60, 75, 0.22),
    (75, 90, 0.10),
    (90, 104, 0.01),
)


@dataclass(frozen=True, slots=True)
class People:
    """One register. Every column has one value a line; names are positions in the tables.

    `birth` holds proleptic ordinals. `twins` and `namesakes` are positions of lines whose
    household has another of them.
    """

    last_names: tuple[str, ...]
    given_names: tuple[str, ...]
    last: Ids
    first: Ids
    middle: Ids
    maiden: Ids
    suffix: NDArray[np.int8]
    birth: Ids
    house: Ids
    street: Ids
    number: Ids
    twins: Ids
    namesakes: Ids

    def __len__(self) -> int:
        return len(self.last)

    def birth_date(self, at: int) -> date:
        """The birth date of the line at this position."""
        return date.fromordinal(int(self.birth[at]))

    def printed(self, at: int) -> PrintedLine:
        """The line at this position, as printed."""
        return PrintedLine(
            voter_number=str(self.number[at]),
            last_name=self.last_names[self.last[at]],
            first_name=self.given_names[self.first[at]],
            middle_name=self.given_names[self.middle[at]],
            suffix=SUFFIXES[self.suffix[at]],
            birth_date=self.birth_date(at),
            mothers_maiden_name=self.last_names[self.maiden[at]],
            street_address=f"{self.house[at]} {STREETS[self.street[at]]}",
        )

    def lines(self) -> Iterator[Line]:
        """All lines; the `line_id` is the position."""
        return (Line(str(at), self.printed(at)) for at in range(len(self)))


def make_people(count: int, seed: str) -> People:
    """`count` people, at least 100. The same for the same seed, whatever else is made."""
    rng = np.random.default_rng(list(f"people {seed}".encode()))
    table = NameTable()
    last, first, middle, maiden = dressed_names(rng, count, table)
    middle = _middle_column(rng, middle, table)
    maiden[rng.random(count) < WITHOUT_MAIDEN] = 0
    suffix = np.where(rng.random(count) < OTHER_SUFFIX, rng.integers(1, 5, count), 0)
    birth = _birth_dates(rng, count)
    house = rng.integers(1, 2400, count)
    street = rng.integers(0, len(STREETS), count)

    order = iter(rng.permutation(count))
    wives, husbands = _pairs(order, int(count * COUPLES / 2))
    sons, fathers = _pairs(order, int(count * FATHERS_AND_SONS / 2))
    second, first_born = _pairs(order, int(count * TWINS / 2))
    for follows, leads in ((wives, husbands), (sons, fathers), (second, first_born)):
        for column in (last, house, street):
            column[follows] = column[leads]
    first[sons] = first[fathers]
    shares_middle = rng.random(len(sons)) < 0.7
    middle[sons[shares_middle]] = middle[fathers[shares_middle]]
    birth[fathers] = _birth_dates(rng, len(fathers), youngest=40)
    birth[sons] = birth[fathers] + rng.integers(19 * 365, 22 * 365, len(sons))
    _name_generations(rng, suffix, sons, fathers)
    birth[second], maiden[second] = birth[first_born], maiden[first_born]
    last_names, last, maiden = _only_used(table.last, last, maiden)
    given_names, first, middle = _only_used(table.given, first, middle)
    return People(
        last_names, given_names, last, first, middle, maiden,
        suffix.astype(np.int8), birth, house.astype(np.int32), street.astype(np.int32),
        _numbers(count), np.concatenate([second, first_born]), np.concatenate([sons, fathers]),
    )  # fmt: skip


def _only_used(names: list[str], one: Ids, other: Ids) -> tuple[tuple[str, ...], Ids, Ids]:
    """The names that two columns use, no name first, and the columns that point to them."""
    used, places = np.unique(np.concatenate([[0], one, other]), return_inverse=True)
    columns: Ids = places.astype(np.int32)
    kept = tuple(names[at] for at in used.tolist())
    return kept, columns[1 : len(one) + 1], columns[len(one) + 1 :]


def _middle_column(rng: np.random.Generator, middle: Ids, table: NameTable) -> Ids:
    """A middle name, an initial or nothing; what a style of names has set is kept."""
    chance = rng.random(len(middle))
    initials = table.initials_of(middle)
    drawn = np.where(
        chance < MIDDLE_NAME, middle, np.where(chance < MIDDLE_NAME + MIDDLE_INITIAL, initials, 0)
    )
    return drawn.astype(np.int32)


def _birth_dates(rng: np.random.Generator, count: int, youngest: int = 18) -> Ids:
    bands = [band for band in _AGES if band[1] > youngest]
    shares = np.array([share for *_, share in bands])
    band = rng.choice(len(bands), count, p=shares / shares.sum())
    low = np.array([max(low, youngest) for low, *_ in bands])[band]
    high = np.array([high for _, high, _ in bands])[band]
    days_old = (low + rng.random(count) * (high - low)) * 365.2425
    born: Ids = date(ELECTION_YEAR, 3, 2).toordinal() - days_old.astype(np.int32) - 1
    return born.astype(np.int32)


def _pairs(order: Iterator[np.int64], count: int) -> tuple[Ids, Ids]:
    """The next `2 * count` positions of `order`, in pairs."""
    taken = np.array([next(order) for _ in range(2 * count)], dtype=np.int32)
    return taken[:count], taken[count:]


def _name_generations(
    rng: np.random.Generator, suffix: NDArray[np.int64], sons: Ids, fathers: Ids
) -> None:
    """Jr after a Sr or a plain one mostly; sometimes a III after a Jr or II."""
    chance = rng.random(len(sons))
    suffix[fathers] = np.where(chance < 0.5, _SR, np.where(chance < 0.8, _NONE, _JR))
    suffix[sons] = np.where(chance < 0.8, _JR, _III)
    suffix[fathers[chance > 0.95]] = _II


def _numbers(count: int) -> Ids:
    """Nine digits, each once: a step that shares no factor with the range visits it all."""
    steps = np.arange(count, dtype=np.int64) * 7_654_337 + 413_217
    numbers: Ids = (steps % 900_000_000 + 100_000_000).astype(np.int32)
    return numbers
