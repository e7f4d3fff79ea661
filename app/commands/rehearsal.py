"""The rehearsal: the check of the day before, and a practice day that nothing real can come of."""

from __future__ import annotations

import os
import socket
import tempfile
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Literal

import typer
from rich.table import Table

from app.commands.console import Chosen, out, print_faults, say, unlock
from app.intake.faults import Faults
from app.intake.package import Package, read_package
from app.records.clock import SystemClock
from app.rules.faults import HandOverFailed, StorageRefused

# What makes papers, and the web server, take a second to load: only where they are used.
if TYPE_CHECKING:
    from app.desk.practising import PracticeDay
    from app.papers.certificates import Section
    from app.papers.day_before import DayBefore

Size = Literal["letter", "a4"]
Language = Literal["en", "es"]
# Beside the real one's port: a bookmark of the one never opens the other.
PORT = 8417
LOOPBACK = "127.0.0.1"


def rehearse(
    package: Annotated[Path, typer.Argument(help="The package of the day to come.")],
    keep: Annotated[
        Path | None, typer.Option(help="Keep the practice day in this folder, and go on with it.")
    ] = None,
    port: Annotated[int, typer.Option(help="The port to practise on.", min=1, max=65535)] = PORT,
    paper: Annotated[
        Path, typer.Option(help="The folder for the paper to be signed.", file_okay=False)
    ] = Path(),
    size: Annotated[Size, typer.Option(help="Its paper.")] = "letter",
    language: Annotated[Language, typer.Option(help="Its language.")] = "en",
    check_only: Annotated[
        bool, typer.Option("--check-only", help="Only the check; no practice day.")
    ] = False,
    from_opening: Annotated[
        bool, typer.Option("--from-opening", help="Practise the opening too: polls not open.")
    ] = False,
) -> None:
    """Check a package the day before, print the paper to sign, and serve a practice day."""
    read = read_package(package)
    if isinstance(read, Faults):
        print_faults(read)
        raise typer.Exit(1)
    if check_only:
        # The key of a real record never comes into a process that serves practice.
        unlock()
    else:
        _refuse_taken_port(port)
    _check(read, paper, size, language)
    if check_only:
        return
    folder = keep or Path(tempfile.mkdtemp(prefix="practice-"))
    _practise(read, folder, port, is_kept=keep is not None, is_open=not from_opening)


def _check(package: Package, folder: Path, size: Size, language: Language) -> None:
    """Show what the package holds, and write the paper that two people sign."""
    from app.desk.day_before import facts_of, paper_name
    from app.papers.day_before import sections_of, write_day_before
    from app.papers.made import Form

    facts = facts_of(package, Chosen.url)
    for section in sections_of(facts, "en"):
        _show(section)
    path = folder / paper_name(package.setting)
    pieces: list[bytes] = []
    write_day_before(pieces.append, facts, SystemClock().now(), Form(size, language))
    _write(path, b"".join(pieces))
    say(f"\nTo be compared and signed by two people: {path}")
    _say_doubts(facts)


def _show(section: Section) -> None:
    say(f"\n{section.heading}")
    facts = Table(box=None, show_header=False, padding=(0, 2))
    for fact in section.facts:
        facts.add_row(fact.label, fact.value)
    if section.facts:
        out.print(facts, highlight=False, markup=False)
    for grid in section.grids:
        shown = Table(*(name for name, _ in grid.columns), box=None, padding=(0, 2))
        for row in grid.rows:
            shown.add_row(*row)
        out.print(shown if grid.rows else f"  {grid.nothing}", highlight=False, markup=False)
    for sentence in section.sentences:
        say(f"  {sentence}")


def _say_doubts(facts: DayBefore) -> None:
    if facts.doubts:
        say("See under “To be looked at” before anybody signs.")


def _practise(package: Package, folder: Path, port: int, *, is_kept: bool, is_open: bool) -> None:
    from app.desk.practising import make_practice_day

    folder.mkdir(parents=True, exist_ok=True)
    day = make_practice_day(package, folder, Chosen.url, SystemClock(), is_open=is_open)
    _say_how(day, port, is_kept=is_kept)
    from app.server import serve

    serve(day.url, LOOPBACK, port, is_practice=True)


def _say_how(day: PracticeDay, port: int, *, is_kept: bool) -> None:
    from app.desk.practising import WORKERS

    say("\nPRACTICE: nothing here counts. The people cannot exist, and no real record is open.")
    say(f"In a browser: http://{LOOPBACK}:{port}    To stop: Ctrl-C")
    shown = Table("Initials", "PIN", "Role", box=None, padding=(0, 2))
    for one in WORKERS:
        shown.add_row(one.initials, one.pin, one.role)
    out.print(shown, highlight=False)
    say(f"{'Kept' if day.is_new else 'Gone on with'}: {day.path}")
    if not is_kept:
        say("It may be deleted afterwards, with its folder. To keep one: --keep FOLDER")


def _refuse_taken_port(port: int) -> None:
    """Before anything is made: a practice day that cannot be served is of no use."""
    with socket.socket() as probe:
        if os.name == "posix":
            # A port that was let go of a moment ago is free.
            probe.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        try:
            probe.bind((LOOPBACK, port))
        except OSError:
            why = f"port {port} is taken by another program; choose another with --port"
            raise StorageRefused(why=why) from None


def _write(path: Path, data: bytes) -> None:
    try:
        path.write_bytes(data)
    except OSError as error:
        why = f"the paper could not be written to {path}: {error.strerror}"
        raise HandOverFailed(why=why) from None
