"""The election, the place and the things in the room, as the package states them."""

from __future__ import annotations

import datetime
from dataclasses import dataclass, field
from typing import Literal

from app.rules.policy import Policy


@dataclass(frozen=True, slots=True)
class Election:
    """`opens` and `closes` are local times in `time_zone` (an IANA name)."""

    id: str
    name: str
    date: datetime.date
    federal: bool
    opens: datetime.time
    closes: datetime.time
    time_zone: str


@dataclass(frozen=True, slots=True)
class Precinct:
    county: str
    number: str


@dataclass(frozen=True, slots=True)
class PollingPlace:
    name: str
    street_address: str = ""
    city: str = ""
    postal_code: str = ""


@dataclass(frozen=True, slots=True)
class Registrar:
    office: str
    phone: str


@dataclass(frozen=True, slots=True)
class Ballot:
    """`button` None means one ballot for the whole precinct."""

    style: str
    button: int | None = None
    contests: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Machine:
    """A voting machine; `protective_counter` is its count over its life, before the day."""

    serial: str
    protective_counter: int


@dataclass(frozen=True, slots=True)
class ChecklistItem:
    stage: Literal["opening", "closing"]
    code: str
    sentence: str
    required: bool = True


@dataclass(frozen=True, slots=True)
class Setting:
    """Everything `election.toml` says.

    `is_practice`: of a practice day, where nothing counts. No package can say so; entry 1 has the
    digest of it with the rest, so that it can never be taken off a record.
    """

    election: Election
    precinct: Precinct
    polling_place: PollingPlace
    registrar: Registrar
    policy: Policy = field(default_factory=Policy)
    ballots: tuple[Ballot, ...] = ()
    machines: tuple[Machine, ...] = ()
    checklist: tuple[ChecklistItem, ...] = ()
    is_practice: bool = False

    @property
    def ballot_buttons(self) -> tuple[int, ...]:
        """The buttons in use, ascending; empty where one ballot serves all."""
        return tuple(sorted(ballot.button for ballot in self.ballots if ballot.button is not None))
