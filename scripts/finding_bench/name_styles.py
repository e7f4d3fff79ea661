"""Names that are more than one plain word: double, with particles, apostrophes, accents.

A share of the people gets such a name, made by rule from the drawn one. Spanish and
Vietnamese people get names of their own stock, some of the latter in their own order.
"""

from __future__ import annotations

import numpy as np

from finding_bench.census import Ids, first_names, last_names

# Share of all people with each style, in the order in which they are dealt out.
STYLES = (
    ("double", 0.016),
    ("spanish", 0.070),
    ("particle", 0.012),
    ("apostrophe", 0.010),
    ("accent", 0.006),
    ("parted_mc", 0.002),
    ("vietnamese", 0.010),
    ("two_first_names", 0.014),
)
SPANISH_TWO_SURNAMES, SPANISH_ACCENTS, SPANISH_PARTICLE = 0.35, 0.35, 0.04
VIETNAMESE_OWN_ORDER = 0.25

_SPANISH_LAST = (
    "García Rodríguez Martínez Hernández López González Pérez Sánchez Ramírez Torres Flores Rivera"
    " Gómez Díaz Reyes Morales Cruz Ortiz Gutiérrez Chávez Ramos Ruiz Álvarez Mendoza Vásquez"
    " Castillo Jiménez Moreno Romero Herrera Medina Aguilar Garza Castro Vargas Fernández Guzmán"
    " Muñoz Salazar Soto Delgado Peña Ríos Vega Rojas Núñez Ibáñez Ávila Cárdenas Luján Zúñiga"
).split()
_SPANISH_FIRST = (
    "José María Juan Luis Carlos Jesús Ana Rosa Miguel Jorge Francisco Manuel Guadalupe Pedro"
    " Antonio Alejandro Rafael Sofía Ángel Andrés Martín Raúl Óscar Víctor Mónica Verónica Lucía"
    " Adrián Sebastián Joaquín Inés Ramón Concepción Ignacio Guillermo Enrique Roberto Eduardo"
).split()
_VIETNAMESE_LAST = "Nguyen Tran Le Pham Hoang Phan Vu Dang Bui Do Ho Ngo Duong Ly".split()
_VIETNAMESE_MIDDLE = "Thi Van Minh Ngoc Thanh Duc Quoc Xuan Kim Huu".split()
_VIETNAMESE_FIRST = (
    "Anh Linh Hung Tuan Lan Mai Hoa Dung Hai Nam Phuong Thao Trang Huy Khanh Long Son Tam Vinh Yen"
    " Binh Cuong Hanh Hien Lien Loan Nga Nhung Phuc Quang"
).split()
_PARTICLES = ("de la", "de", "van", "van der", "von", "di", "del", "de los", "van den", "du", "la")
_APOSTROPHES = ("O'", "O'", "O'", "D'", "L'", "M'")
_ACCENTED = str.maketrans("aeioun", "áéíóúñ")
_UMLAUTS = str.maketrans("aou", "äöü")
_INITIALS = tuple(chr(ord("A") + place) for place in range(26))


class NameTable:
    """Every last and every given name once; position 0 is no name. Grows as names are made."""

    def __init__(self) -> None:
        female, male = first_names("female"), first_names("male")
        self.last = list(dict.fromkeys(("", *last_names().names)))
        self.given = list(dict.fromkeys(("", *_INITIALS, *female.names, *male.names)))
        self._last_at = {name: at for at, name in enumerate(self.last)}
        self._given_at = {name: at for at, name in enumerate(self.given)}
        # From a position in a stock of first names to one in this table.
        self.female = np.array([self._given_at[name] for name in female.names], dtype=np.int32)
        self.male = np.array([self._given_at[name] for name in male.names], dtype=np.int32)

    def last_at(self, name: str) -> int:
        """The position of a last name, which is added where it is new."""
        return _position(name, self.last, self._last_at)

    def given_at(self, name: str) -> int:
        """The position of a given name, which is added where it is new."""
        return _position(name, self.given, self._given_at)

    def initials_of(self, given: Ids) -> Ids:
        """The initial of each of these given names, itself a given name."""
        plain = str.maketrans("ÁÉÍÓÚ", "AEIOU")
        by_name = np.array(
            [self._given_at.get(name[:1].translate(plain), 0) for name in self.given],
            dtype=np.int32,
        )
        initials: Ids = by_name[given]
        return initials


def dressed_names(
    rng: np.random.Generator, count: int, table: NameTable
) -> tuple[Ids, Ids, Ids, Ids]:
    """Last, first, middle and mother's maiden name of `count` people, as table positions."""
    # Position 0 of the table is no name, so a stock's positions are one lower.
    last = last_names().draw(rng, count) + np.int32(1)
    maiden = last_names().draw(rng, count) + np.int32(1)
    is_woman = rng.random(count) < 0.52
    first, middle = (_drawn_given(rng, is_woman, table) for _ in range(2))
    style = rng.choice(
        len(STYLES) + 1, count, p=[*(share for _, share in STYLES), 1 - sum(s for _, s in STYLES)]
    )
    dresser = _Dresser(rng, table, last, first, middle, maiden)
    for number, (name, _) in enumerate(STYLES):
        dress = getattr(dresser, name)
        for at in np.flatnonzero(style == number).tolist():
            dress(at)
    return last, first, middle, maiden


def _drawn_given(rng: np.random.Generator, is_woman: np.ndarray, table: NameTable) -> Ids:
    women = table.female[first_names("female").draw(rng, len(is_woman))]
    men = table.male[first_names("male").draw(rng, len(is_woman))]
    return np.where(is_woman, women, men).astype(np.int32)


class _Dresser:
    """One method a style; each changes the names of the person at a position."""

    def __init__(
        self,
        rng: np.random.Generator,
        table: NameTable,
        last: Ids,
        first: Ids,
        middle: Ids,
        maiden: Ids,
    ) -> None:
        self._rng, self._table = rng, table
        self._last, self._first, self._middle, self._maiden = last, first, middle, maiden

    def double(self, at: int) -> None:
        joint = "-" if self._rng.random() < 0.75 else " "
        other = self._table.last[int(last_names().draw(self._rng, 1)[0]) + 1]
        self._set_last(at, f"{self._name(at)}{joint}{other}")

    def spanish(self, at: int) -> None:
        has_accents = self._rng.random() < SPANISH_ACCENTS
        father, mother = self._pick(_SPANISH_LAST), self._pick(_SPANISH_LAST)
        chance = self._rng.random()
        if chance < SPANISH_TWO_SURNAMES:
            last = f"{father}{'-' if self._rng.random() < 0.3 else ' '}{mother}"
        elif chance < SPANISH_TWO_SURNAMES + SPANISH_PARTICLE:
            last = f"{self._pick(('de la', 'de', 'del', 'de los'))} {father}"
        else:
            last = father
        dress = str if has_accents else _without_accents
        self._set_last(at, dress(last))
        self._maiden[at] = self._table.last_at(dress(mother))
        self._first[at] = self._table.given_at(dress(self._pick(_SPANISH_FIRST)))
        self._middle[at] = self._table.given_at(dress(self._pick(_SPANISH_FIRST)))

    def particle(self, at: int) -> None:
        particle = self._pick(_PARTICLES)
        if self._rng.random() < 0.5:
            particle = particle.title()
        self._set_last(at, f"{particle} {self._name(at)}")

    def apostrophe(self, at: int) -> None:
        self._set_last(at, self._pick(_APOSTROPHES) + self._name(at))

    def accent(self, at: int) -> None:
        letters = _UMLAUTS if self._rng.random() < 0.4 else _ACCENTED
        name = self._name(at)
        middle = len(name) // 2
        self._set_last(at, name[:1] + name[1:middle] + name[middle:].translate(letters))

    def parted_mc(self, at: int) -> None:
        self._set_last(at, f"{self._pick(('Mc', 'Mac'))} {self._name(at)}")

    def vietnamese(self, at: int) -> None:
        family, given = self._pick(_VIETNAMESE_LAST), self._pick(_VIETNAMESE_FIRST)
        self._middle[at] = self._table.given_at(self._pick(_VIETNAMESE_MIDDLE))
        if self._rng.random() < VIETNAMESE_OWN_ORDER:
            family, given = given, family
        self._set_last(at, family)
        self._first[at] = self._table.given_at(given)

    def two_first_names(self, at: int) -> None:
        joint = "-" if self._rng.random() < 0.3 else " "
        names = (self._table.given[self._first[at]], self._table.given[self._middle[at]])
        self._first[at] = self._table.given_at(joint.join(names))
        self._middle[at] = 0

    def _name(self, at: int) -> str:
        return self._table.last[int(self._last[at])]

    def _set_last(self, at: int, name: str) -> None:
        self._last[at] = self._table.last_at(name)

    def _pick(self, names: tuple[str, ...] | list[str]) -> str:
        """One of `names`; the earlier ones more often."""
        return names[int(len(names) * self._rng.random() ** 1.7)]


def _without_accents(name: str) -> str:
    return name.translate(str.maketrans("áéíóúñÁÉÍÓÚ", "aeiounAEIOU"))


def _position(name: str, names: list[str], at: dict[str, int]) -> int:
    if name not in at:
        at[name] = len(names)
        names.append(name)
    return at[name]
