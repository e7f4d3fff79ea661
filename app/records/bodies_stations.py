"""What entries of the door say: stations let in and taken out, PINs unlocked, what was refused."""

from __future__ import annotations

from typing import Literal

from app.records.body import Body

# What is refused before any route runs, and wrong PINs and codes; each is one kind of refusal.
Refusal = Literal[
    "not-joined",
    "revoked",
    "copied-cookie",
    "wrong-code",
    "wrong-host",
    "wrong-origin",
    "pin-locked",
    "too-many",
    "too-large",
]


class StationJoined(Body):
    """A browser on another device was let in with a code. Its name is the entry's station."""

    kind = "station.joined"
    station_id: str
    address: str


class StationRevoked(Body):
    """A station was taken out again; whoever was signed on there no longer is."""

    kind = "station.revoked"
    station_id: str
    name: str


class WorkerUnlocked(Body):
    """A worker's PIN may be tried again, by the lead, who typed their own."""

    kind = "worker.unlocked"
    unlocked: str


class WorkerSignOnEnded(Body):
    """The lead ended a sign-on: whose, and at which station."""

    kind = "worker.sign_on_ended"
    ended: str
    ended_station: str
    sign_on_seq: int


class DoorRefused(Body):
    """So many refusals of one kind since the entry before it of that kind.

    `address` is whence most of them came, `addresses` how many there were.
    """

    kind = "door.refused"
    refused: Refusal
    count: int
    address: str
    addresses: int


class DoorLookedAt(Body):
    """The lead has seen the refusals up to this entry."""

    kind = "door.looked_at"
    up_to_seq: int


STATION_BODIES: tuple[type[Body], ...] = (
    StationJoined,
    StationRevoked,
    WorkerUnlocked,
    WorkerSignOnEnded,
    DoorRefused,
    DoorLookedAt,
)
