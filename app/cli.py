"""The `tablebook` command: load a package, add workers, serve, verify, find, make spoken codes.

Exit codes: 0 done; 1 refused or something does not hold, with the reason said;
2 the command was not understood.
"""

from __future__ import annotations

import secrets
import sys
from contextlib import AbstractContextManager
from datetime import date
from pathlib import Path
from typing import Annotated

import typer
from rich.console import Console
from rich.progress import Progress
from rich.table import Table

from app import __version__
from app.desk import signing_on
from app.desk.finding import find as find_lines
from app.desk.loading import load_package
from app.desk.roster import open_roster
from app.intake.faults import Faults
from app.records import people, queries
from app.records.clock import SystemClock
from app.records.engine import exists, sqlite_path
from app.records.store import Store, open_store, verify_database
from app.rules.faults import AlreadyThere, BadRequest, NotFound, TablebookFault
from app.rules.phone_code import (
    SECRET_BYTES,
    Binding,
    Change,
    ChangeCode,
    new_secret,
    phone_code,
    read_secret,
)

app = typer.Typer(
    name="tablebook",
    help="The roster at the sign-in table of a polling place.",
    no_args_is_help=True,
    add_completion=False,
    pretty_exceptions_enable=False,
)
worker_app = typer.Typer(help="The people who may sign on.", no_args_is_help=True)
app.add_typer(worker_app, name="worker")

out = Console()
err = Console(stderr=True)

# Above this a package is refused piece by piece: a screen holds about thirty rows.
MOST_FAULTS_SHOWN = 30

DatabaseOption = Annotated[
    str,
    typer.Option(
        "--database",
        envvar="TABLEBOOK_DATABASE",
        help="Where the record is kept, as a URL: sqlite:///day.db",
    ),
]


class Chosen:
    """The database named before the command."""

    url = "sqlite:///tablebook.db"


@app.callback(invoke_without_command=True)
def start(
    database: DatabaseOption = Chosen.url,
    version: Annotated[bool, typer.Option("--version", help="Say the version and stop.")] = False,
) -> None:
    """Choose the database for the command that follows."""
    if version:
        out.print(f"tablebook {__version__}", highlight=False)
        raise typer.Exit
    Chosen.url = database


@app.command()
def load(
    package: Annotated[Path, typer.Argument(help="A package: a folder or a .zip file.")],
) -> None:
    """Load a registrar's package into a new record. All of it, or nothing."""
    is_new = not exists(Chosen.url)
    with out.status("Reading the package …"):
        loaded = load_package(package, Chosen.url, SystemClock())
    if isinstance(loaded, Faults):
        _print_faults(loaded)
        raise typer.Exit(1)
    setting = loaded.package.setting
    out.print(
        f"Loaded {setting.election.name}, {setting.precinct.county}, precinct "
        f"{setting.precinct.number}: {len(loaded.package.lines):,} lines, "
        f"{loaded.with_look_alikes} with look-alikes.",
        highlight=False,
    )
    if loaded.package.elsewhere:
        out.print(
            f"People of other precincts, to send them there: {len(loaded.package.elsewhere):,}.",
            highlight=False,
        )
    if is_new:
        out.print("Next: tablebook worker add, then tablebook serve.", highlight=False)


@app.command()
def serve(
    host: Annotated[str, typer.Option(help="The address to listen on.")] = "127.0.0.1",
    port: Annotated[int, typer.Option(help="The port to listen on.", min=1, max=65535)] = 8407,
    as_written: Annotated[
        bool,
        typer.Option("--as-written", help="Send the page's files as written: to work on them."),
    ] = False,
) -> None:
    """Serve the page and the API until interrupted."""
    from app.server import serve as serve_forever  # the web server loads slowly; only here

    _needs_database()
    with _store() as store:
        setting = store.read(queries.setting)
    out.print(
        f"{setting.election.name}, precinct {setting.precinct.number}: http://{host}:{port}",
        highlight=False,
    )
    serve_forever(Chosen.url, host, port, as_written=as_written)


@app.command()
def verify() -> None:
    """Refold the day log from entry 1 and compare every hash and every derived state."""
    _needs_database()
    with Progress(console=err, transient=True) as progress:
        task = progress.add_task("Verifying")
        found = verify_database(
            Chosen.url, lambda done, total: progress.update(task, completed=done, total=total)
        )
    if found.fault:
        err.print(f"Does not hold: {found.fault}.", highlight=False)
        err.print(
            "Stop using this record, keep the file as it is, and call the registrar.",
            highlight=False,
        )
        raise typer.Exit(1)
    out.print(
        f"Holds: {found.entries:,} entries, {found.lines:,} lines, head {found.head.hash}",
        highlight=False,
        soft_wrap=True,
    )


@app.command()
def find(
    text: Annotated[list[str], typer.Argument(help="What the person said: smi j, 3/4/1987 …")],
    limit: Annotated[int, typer.Option(help="How many lines to show.", min=1, max=50)] = 8,
) -> None:
    """Find a person, as the table does."""
    _needs_database()
    with open_roster(Chosen.url) as roster:
        hits = find_lines(roster, " ".join(text), limit)
    if hits.ignored:
        err.print(f"Not used: {', '.join(hits.ignored)}", highlight=False)
    if not hits.hits:
        err.print("Nobody found. Spell it another way, or call the registrar.", highlight=False)
        raise typer.Exit(1)
    shown = Table("Number", "Name", "Address", "Verdict", "Why", box=None, pad_edge=False)
    for hit in hits.hits:
        printed = hit.line.printed
        shown.add_row(
            printed.voter_number,
            printed.name_last_first,
            printed.street_address,
            hit.outcome.value,
            ", ".join(why.words for why in hit.match.why),
        )
    out.print(shown)


@app.command("phone-secret")
def make_phone_secret(
    file: Annotated[Path, typer.Argument(help="Where to write it: phone-secret.txt")],
) -> None:
    """Make the secret for one precinct's spoken codes, to be put into its package."""
    text = new_secret(secrets.token_bytes(SECRET_BYTES))
    try:
        file.touch(mode=0o600, exist_ok=False)
        file.write_text(text + "\n", encoding="ascii")
    except FileExistsError:
        raise AlreadyThere(what="file", name=file.name) from None
    out.print(
        f"Written: {file.name}. Whoever has it can make codes: keep it as you keep the keys.",
        highlight=False,
        soft_wrap=True,
    )


@app.command("phone-code")
def make_phone_code(
    change: Annotated[str, typer.Argument(help=f"One of: {', '.join(ChangeCode)}.")],
    argument: Annotated[
        str, typer.Argument(help="voted_by_mail · 2 · last_name=O'Malley · Odette Pell 1980")
    ] = "",
    *,
    secret: Annotated[Path, typer.Option(help="The file with the precinct's secret.")],
    election: Annotated[str, typer.Option(help="The election's id, as in the package.")],
    precinct: Annotated[str, typer.Option(help="The precinct's number, as in the package.")],
    counter: Annotated[
        int, typer.Option(help="The running number: one more than the last code's.", min=1)
    ],
    voter: Annotated[str, typer.Option(help="The voter's number.")] = "",
) -> None:
    """Make the code that the office reads out: it stands for one change, for one voter, once.

    The secret is read from a file: what stands in a command can be seen by others.
    """
    if change not in tuple(ChangeCode):
        raise BadRequest(field="change", expected=", ".join(ChangeCode))
    if change == ChangeCode.CORRECT_DETAIL and argument.startswith("birth_date="):
        _check_iso_date(argument.partition("=")[2])
    binding = Binding(election, precinct, voter, Change(ChangeCode(change), argument))
    out.print(phone_code(_read_secret(secret), binding, counter), highlight=False)


@worker_app.command("add")
def add_worker(
    name: Annotated[str, typer.Option(help="The worker's name.")],
    initials: Annotated[
        str, typer.Option(help="As written beside a signature; one person's only.")
    ],
    role: Annotated[str, typer.Option(help="worker, lead or registrar.")],
    pin_stdin: Annotated[
        bool, typer.Option("--pin-stdin", help="Read the PIN from standard input.")
    ] = False,
) -> None:
    """Add a worker. The PIN (6 to 12 digits) is asked for and never shown."""
    _needs_database()
    pin = (
        sys.stdin.readline().strip()
        if pin_stdin
        else typer.prompt("PIN", hide_input=True, confirmation_prompt=True)
    )
    with _store() as store:
        signing_on.add_worker(store, name=name, initials=initials, role=role, pin=pin)
    out.print(f"{name} ({initials.upper()}) may sign on as {role}.", highlight=False)


@worker_app.command("list")
def list_workers() -> None:
    """Show who may sign on, and whose PIN is locked."""
    _needs_database()
    with _store() as store:
        workers = store.read(people.all_workers)
    shown = Table("Initials", "Name", "Role", "PIN", box=None, pad_edge=False)
    for worker in workers:
        is_locked = worker.wrong_pins >= people.MOST_TRIES
        shown.add_row(worker.initials, worker.name, worker.role, "locked" if is_locked else "")
    out.print(shown)


@worker_app.command("unlock")
def unlock_worker(
    initials: Annotated[str, typer.Argument(help="Whose PIN was tried too often.")],
) -> None:
    """Let a worker try their PIN again."""
    _needs_database()
    with _store() as store:
        worker = store.read(lambda connection: people.find_worker(connection, initials))
        if worker is None:
            raise NotFound(what=f"worker {initials.upper()}")
        store.writer.write(lambda unit: people.forgive_tries(unit, worker.worker_id))
    out.print(f"{initials.upper()} may try again.", highlight=False)


def main() -> None:
    """The entry point: a fault is one clear line and exit code 1."""
    try:
        app()
    except TablebookFault as fault:
        err.print(f"tablebook: {_said(fault)}", highlight=False, soft_wrap=True)
        raise SystemExit(1) from None


def _check_iso_date(text: str) -> None:
    """Both ends must mean the same day; the table turns what is typed there into this form."""
    try:
        date.fromisoformat(text)
    except ValueError:
        raise BadRequest(field="argument", expected="birth_date=1980-05-17") from None


def _read_secret(file: Path) -> bytes:
    """BadRequest where the file holds no secret, NotFound where it cannot be read."""
    try:
        return read_secret(file.read_text(encoding="utf-8-sig"))
    except UnicodeDecodeError:
        raise BadRequest(field="secret", expected="hexadecimal digits") from None
    except OSError:
        raise NotFound(what=f"file {file.name} that can be read") from None


def _store() -> AbstractContextManager[Store]:
    return open_store(Chosen.url, SystemClock())


def _needs_database() -> None:
    """A command that only reads must not leave an empty database behind."""
    if not exists(Chosen.url):
        raise NotFound(what=f"a record at {sqlite_path(Chosen.url)}; run: tablebook load PACKAGE")


_SAID = {
    "already-loaded": "this record holds a day already; choose another with --database",
    "day-not-loaded": "this record holds no day yet; run: tablebook load PACKAGE",
    "outcome-unknown": "the disk failed while writing; run: tablebook verify",
}


def _said(fault: TablebookFault) -> str:
    """One line for a person: what is wrong and what to do."""
    if fault.code in _SAID:
        return _SAID[fault.code]
    if fault.code == "not-found":
        return f"there is no {fault.facts['what']}"
    if fault.code == "storage-refused":
        return str(fault.facts["why"])
    facts = ", ".join(f"{name}: {value}" for name, value in fault.facts.items())
    return f"{fault.code.replace('-', ' ')} ({facts})"


def _print_faults(faults: Faults) -> None:
    for fault in faults.faults[:MOST_FAULTS_SHOWN]:
        err.print(str(fault), markup=False, highlight=False, soft_wrap=True)
    hidden = len(faults.faults) - MOST_FAULTS_SHOWN
    more = f" The first {MOST_FAULTS_SHOWN} are shown." if hidden > 0 else ""
    many = "1 fault" if len(faults.faults) == 1 else f"{len(faults.faults):,} faults"
    err.print(
        f"{many}; nothing was loaded.{more} Send the list to whoever made the package.",
        highlight=False,
        soft_wrap=True,
    )


if __name__ == "__main__":
    main()
