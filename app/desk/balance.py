"""The balance of the day as the record stands now, with the causes that fit a difference."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from sqlalchemy import Connection

from app.desk.roster import Roster
from app.records import queries
from app.rules.balance import Balance, balance_of
from app.rules.cause_scene import Scene
from app.rules.causes import Cause, causes
from app.rules.day_facts import DayFacts
from app.rules.day_gathering import GATHERED, gathered
from app.rules.setting import Setting


@dataclass(frozen=True, slots=True)
class Reconciled:
    """The balance up to entry `as_of_seq`, and what would explain that it does not come out."""

    balance: Balance
    causes: tuple[Cause, ...]
    as_of_seq: int


def reconcile(roster: Roster) -> Reconciled:
    """Read in one snapshot; the causes are looked for afterwards."""

    def read(connection: Connection) -> tuple[Scene, int]:
        facts = facts_of(connection)
        balance = balance_of(facts, roster.setting)
        scene = Scene(facts, balance, _alike(connection, facts), _packaged(roster.setting))
        return scene, queries.head(connection).seq

    scene, as_of_seq = roster.store.read(read)
    return Reconciled(scene.balance, tuple(causes(scene)), as_of_seq)


def facts_of(connection: Connection) -> DayFacts:
    """What the log says of the day."""
    return gathered(queries.entries_of(connection, *GATHERED))


def _alike(connection: Connection, facts: DayFacts) -> Mapping[str, frozenset[str]]:
    """The look-alikes of every line that was signed, withdrawn, or has an envelope."""
    gone = (each for one in facts.withdrawn for each in (one.line_id, one.moved_to))
    envelopes = (one.line_id for one in facts.provisional.values())
    wanted = dict.fromkeys(filter(None, (*facts.signed, *gone, *envelopes)))
    lines = queries.lines_with(connection, [*wanted])
    found: dict[str, set[str]] = {}
    for line_id, line in lines.items():
        for other in line.look_alikes:
            # A line that was added names those it is like; those were there first and do not.
            found.setdefault(line_id, set()).add(other)
            found.setdefault(other, set()).add(line_id)
    return {line_id: frozenset(others) for line_id, others in found.items()}


def _packaged(setting: Setting) -> dict[str, int]:
    return {one.serial: one.protective_counter for one in setting.machines}
