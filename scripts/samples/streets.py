"""The invented streets of precinct 4-07 and the ballot button of each address.

Three districts meet in the precinct. Most streets lie in one of them; Capstan Road
is split down the middle (odd side, even side) and Old Ferry Road at number 300.
"""

from __future__ import annotations

import re
from dataclasses import dataclass

CITY = "Ternwick"
GROUP_RESIDENCE = "75 Slipway Lane"
GROUP_RESIDENCE_SIZE = 20


@dataclass(frozen=True, slots=True)
class Street:
    """Houses stand at `first`, `first + step`, … up to `last`.

    `units` are the flats of each house, none where it is a house for one household.
    `even_button` and `far_button` (from number `far_from` on) override `button`.
    """

    name: str
    button: int
    first: int
    last: int
    step: int
    postal_code: str = "00417"
    units: tuple[str, ...] = ()
    even_button: int | None = None
    far_from: int | None = None
    far_button: int | None = None

    def button_at(self, number: int) -> int:
        if self.even_button is not None and number % 2 == 0:
            return self.even_button
        if self.far_button is not None and self.far_from is not None and number >= self.far_from:
            return self.far_button
        return self.button


_FLATS = tuple(f"Apt {floor}{door}" for floor in (1, 2, 3, 4, 5, 6) for door in "ABCD")

STREETS = (
    Street("Wheelhouse Road", 1, 3, 160, 3),
    Street("Capstan Road", 1, 2, 120, 3, even_button=2),
    Street("Halyard Street", 1, 5, 130, 3),
    Street("Ropewalk", 1, 1, 90, 2),
    Street("Cooper's Row", 1, 2, 48, 2),
    Street("4th Street", 1, 101, 190, 3),
    Street("Quarterdeck Terrace", 1, 1, 44, 2, units=("Unit 1", "Unit 2")),
    Street("Sextant Square", 1, 2, 11, 3, units=_FLATS),
    Street("Old Ferry Road", 2, 210, 402, 3, "00418", far_from=300, far_button=3),
    Street("Samphire Way", 2, 2, 120, 3, "00418"),
    Street("Mizzen Street", 2, 1, 110, 3),
    Street("Lantern Hill Road", 2, 14, 220, 3, "00418"),
    Street("Chandlery Lane", 2, 3, 70, 2),
    Street("Marram Avenue", 2, 6, 84, 3, units=("Unit 1", "Unit 2")),
    Street("Curlew Crescent", 2, 1, 96, 3),
    Street("Slipway Lane", 2, 2, 118, 3),
    Street("Salt Pan Road", 3, 500, 700, 4, "00418"),
    Street("Dovekie Drive", 3, 1, 120, 3, "00418"),
    Street("Brine Street", 3, 4, 130, 3, "00418"),
    Street("Windlass Street", 3, 9, 100, 3, "00418"),
    Street("Bellbuoy Drive", 3, 2, 110, 3, "00418"),
    Street("Binnacle Court", 3, 1, 30, 2, "00418"),
)


def street_of(street_address: str) -> Street:
    """The street of an address such as `8 Sextant Square Apt 3B`; KeyError if it is on none."""
    for street in STREETS:
        if re.search(rf"^\d.* {re.escape(street.name)}\b", street_address):
            return street
    raise KeyError(street_address)


def button_of(street_address: str) -> int:
    return street_of(street_address).button_at(int(street_address.split(maxsplit=1)[0]))


def every_address() -> list[str]:
    """All addresses for one household each, street by street."""
    return [
        " ".join(part for part in (str(number), street.name, unit) if part)
        for street in STREETS
        for number in range(street.first, street.last + 1, street.step)
        for unit in street.units or ("",)
    ]
