"""What an awkward case is, and short ways to write its people down."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from .person import Person


@dataclass(frozen=True, slots=True)
class Case:
    """`people` stand in the main sample exactly as they are written here.

    `mistaken` are the groups among them of whom each could be taken for every other.
    """

    code: str
    sentence: str
    people: tuple[Person, ...]
    mistaken: tuple[tuple[Person, ...], ...] = ()


def invented(
    last: str, first: str, born: str, address: str, middle: str = "", suffix: str = ""
) -> Person:
    """`born` is an ISO date."""
    return Person(last, first, date.fromisoformat(born), address, middle, suffix)


def twins(last: str, maiden: str, born: str, address: str, *names: str) -> tuple[Person, ...]:
    """One person for each first name; `maiden` is their mother's maiden name."""
    return tuple(
        Person(last, name, date.fromisoformat(born), address, mothers_maiden_name=maiden)
        for name in names
    )
