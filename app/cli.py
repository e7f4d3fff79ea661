"""The `tablebook` command: load a package, serve, find; and the commands of `app.commands`.

Exit codes: 0 done; 1 refused or something does not hold, with the reason said;
2 the command was not understood.
"""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer
from rich.table import Table

from app import __version__
from app.commands.console import Chosen, err, needs_database, out, said, store
from app.commands.handover import close, verify, wipe
from app.commands.phone_codes import make_phone_code, make_phone_secret
from app.commands.workers import worker_app
from app.desk.finding import find as find_lines
from app.desk.loading import load_package
from app.desk.roster import open_roster
from app.intake.faults import Faults
from app.records import queries
from app.records.clock import SystemClock
from app.records.engine import exists
from app.rules.faults import TablebookFault

app = typer.Typer(
    name="tablebook",
    help="The roster at the sign-in table of a polling place.",
    no_args_is_help=True,
    add_completion=False,
    pretty_exceptions_enable=False,
)
app.add_typer(worker_app, name="worker")

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

    needs_database()
    with store() as opened:
        setting = opened.read(queries.setting)
    out.print(
        f"{setting.election.name}, precinct {setting.precinct.number}: http://{host}:{port}",
        highlight=False,
    )
    serve_forever(Chosen.url, host, port, as_written=as_written)


@app.command()
def find(
    text: Annotated[list[str], typer.Argument(help="What the person said: smi j, 3/4/1987 …")],
    limit: Annotated[int, typer.Option(help="How many lines to show.", min=1, max=50)] = 8,
) -> None:
    """Find a person, as the table does."""
    needs_database()
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


app.command("verify")(verify)
app.command("close")(close)
app.command("wipe")(wipe)
app.command("phone-secret")(make_phone_secret)
app.command("phone-code")(make_phone_code)


def main() -> None:
    """The entry point: a fault is one clear line and exit code 1."""
    try:
        app()
    except TablebookFault as fault:
        err.print(f"tablebook: {said(fault)}", highlight=False, soft_wrap=True)
        raise SystemExit(1) from None


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
