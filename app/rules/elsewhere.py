"""Who is registered elsewhere in the county: as much as is needed to send a person there."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class ElsewhereLine:
    """A person of another precinct. Neither the full birth date nor the home is known here.

    `polling_place` is its name, `place_address` where it stands, on one line.
    """

    last_name: str
    first_name: str
    birth_year: int
    precinct: str
    polling_place: str
    place_address: str
    middle_name: str = ""
    suffix: str = ""

    @property
    def name_last_first(self) -> str:
        """`Last Suffix, First Middle`, the order in which a register is printed."""
        last = " ".join(part for part in (self.last_name, self.suffix) if part)
        given = " ".join(part for part in (self.first_name, self.middle_name) if part)
        return ", ".join(part for part in (last, given) if part)
