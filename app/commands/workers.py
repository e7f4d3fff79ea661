"""Commands about the people who may sign on."""

from __future__ import annotations

import sys
from typing import Annotated

import typer
from rich.table import Table

from app.commands.console import needs_database, out, store
from app.desk import signing_on
from app.records import people
from app.rules.faults import NotFound

worker_app = typer.Typer(help="The people who may sign on.", no_args_is_help=True)


PinFromInput = Annotated[
    bool, typer.Option("--pin-stdin", help="Read the PIN from standard input.")
]


@worker_app.command("add")
def add_worker(
    name: Annotated[str, typer.Option(help="The worker's name.")],
    initials: Annotated[
        str, typer.Option(help="As written beside a signature; one person's only.")
    ],
    role: Annotated[str, typer.Option(help="worker, lead or registrar.")],
    pin_stdin: PinFromInput = False,
) -> None:
    """Add a worker. The PIN (6 to 12 digits) is asked for and never shown."""
    needs_database()
    pin = _typed_pin(pin_stdin)
    with store() as opened:
        signing_on.add_worker(opened, name=name, initials=initials, role=role, pin=pin)
    out.print(f"{name} ({initials.upper()}) may sign on as {role}.", highlight=False)


@worker_app.command("pin")
def set_pin(
    initials: Annotated[str, typer.Argument(help="Whose PIN is to be another.")],
    pin_stdin: PinFromInput = False,
) -> None:
    """Give a worker another PIN: after a record was recovered from a bundle, which holds none."""
    needs_database()
    pin = _typed_pin(pin_stdin)
    with store() as opened:
        signing_on.set_pin(opened, initials=initials, pin=pin)
    out.print(f"{initials.upper()} has another PIN.", highlight=False)


def _typed_pin(from_stdin: bool) -> str:
    if from_stdin:
        return sys.stdin.readline().strip()
    typed: str = typer.prompt("PIN", hide_input=True, confirmation_prompt=True)
    return typed


@worker_app.command("list")
def list_workers() -> None:
    """Show who may sign on, and whose PIN is locked."""
    needs_database()
    with store() as opened:
        workers = opened.read(people.all_workers)
        wrong = opened.read(people.all_wrong_pins)
    shown = Table("Initials", "Name", "Role", "PIN", box=None, pad_edge=False)
    for worker in workers:
        is_locked = wrong.get(worker.initials, people.WrongPins()).is_locked
        shown.add_row(worker.initials, worker.name, worker.role, "locked" if is_locked else "")
    out.print(shown)


@worker_app.command("unlock")
def unlock_worker(
    initials: Annotated[str, typer.Argument(help="Whose PIN was tried too often.")],
) -> None:
    """Let a worker try their PIN again."""
    needs_database()
    with store() as opened:
        worker = opened.read(lambda connection: people.find_worker(connection, initials))
        if worker is None:
            raise NotFound(what=f"worker {initials.upper()}")
        opened.writer.write(lambda unit: people.forgive_tries(unit, worker.worker_id))
    out.print(f"{initials.upper()} may try again.", highlight=False)
