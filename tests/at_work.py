"""Workers whom a record knows, so that its entries are somebody's whom `verify` finds there."""

from __future__ import annotations

from app.records import people
from app.records.entry import Actor
from app.records.people import NewWorker
from app.records.unit import Unit


def add_workers(unit: Unit, *actors: Actor) -> None:
    """Each with a PIN that nobody can type: a test that signs somebody on adds them itself."""
    for one in actors:
        name = f"The worker {one.initials}"
        people.add_worker(unit, NewWorker(one.worker_id, name, one.initials, "lead", "no hash"))
