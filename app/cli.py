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
from app.commands.console import (
    Chosen,
    err,
    keep_to_this_process,
    needs_database,
    out,
    print_faults,
    said,
)
from app.commands.copies import settle_taking_over
from app.commands.follow import follow, promote
from app.commands.handover import close, verify, wipe
from app.commands.keys import (
    NO_WAY_BACK,
    before_loading,
    encrypt,
    keys_app,
)
from app.commands.passphrase_typing import From
from app.commands.phone_codes import make_phone_code, make_phone_secret
from app.commands.recover import recover
from app.commands.rehearsal import rehearse
from app.commands.serving import Options, serve_recording
from app.commands.stations import refuse_other_hosts
from app.commands.workers import worker_app
from app.desk.finding import find as find_lines
from app.desk.loading import load_package
from app.desk.roster import open_roster
from app.intake.faults import Faults
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
app.add_typer(keys_app, name="keys")

DatabaseOption = Annotated[
    str,
    typer.Option(
        "--database",
        envvar="TABLEBOOK_DATABASE",
        help="Where the record is kept: sqlite:///day.db, or postgresql+psycopg://…",
    ),
]


@app.callback(invoke_without_command=True)
def start(
    database: DatabaseOption = Chosen.url,
    passphrase_fd: Annotated[
        int | None,
        typer.Option(
            "--passphrase-fd",
            help="For scripts: an open descriptor with what is to be typed, a line each.",
        ),
    ] = None,
    version: Annotated[bool, typer.Option("--version", help="Say the version and stop.")] = False,
) -> None:
    """Choose the database for the command that follows."""
    if version:
        out.print(f"tablebook {__version__}", highlight=False)
        raise typer.Exit
    Chosen.url, Chosen.slot = database, None
    From.read_from(passphrase_fd)


@app.command()
def load(
    package: Annotated[Path, typer.Argument(help="A package: a folder or a .zip file.")],
    encrypted: Annotated[
        bool, typer.Option("--encrypted", help="Encrypt the record; the passphrase is asked for.")
    ] = False,
) -> None:
    """Load a registrar's package into a new record. All of it, or nothing."""
    is_new = not exists(Chosen.url)
    with out.status("Reading the package …") as status:
        before = before_loading(encrypted=encrypted, is_new=is_new, quiet=status.stop)
        loaded = load_package(package, Chosen.url, SystemClock(), before)
    if isinstance(loaded, Faults):
        print_faults(loaded)
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
    if encrypted:
        out.print(f"Encrypted. {NO_WAY_BACK}", highlight=False, soft_wrap=True)
    if is_new:
        out.print("Next: tablebook worker add, then tablebook serve.", highlight=False)


@app.command()
def serve(
    host: Annotated[
        str, typer.Option(help="The laptop's own address; for other devices see --stations.")
    ] = "127.0.0.1",
    port: Annotated[int, typer.Option(help="The port to listen on.", min=1, max=65535)] = 8407,
    as_written: Annotated[
        bool,
        typer.Option("--as-written", help="Send the page's files as written: to work on them."),
    ] = False,
    stations: Annotated[
        str | None,
        typer.Option(
            "--stations", help="This laptop's address in the hall's network, ADDRESS[:PORT]."
        ),
    ] = None,
    carbon: Annotated[
        Path | None,
        typer.Option("--carbon", help="A folder on another disk, best a stick: the second copy."),
    ] = None,
    standby: Annotated[
        bool, typer.Option("--standby", help="Let a second laptop follow; shows its code.")
    ] = False,
) -> None:
    """Serve the page and the API until interrupted."""
    needs_database()
    refuse_other_hosts(host)
    settle_taking_over()
    serve_recording(Options(host, port, as_written, stations, carbon, standby))


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
app.command("encrypt")(encrypt)
app.command("recover")(recover)
app.command("follow")(follow)
app.command("promote")(promote)
app.command("rehearse")(rehearse)
app.command("phone-secret")(make_phone_secret)
app.command("phone-code")(make_phone_code)


def main() -> None:
    """The entry point: a fault is one clear line and exit code 1."""
    keep_to_this_process()
    try:
        app()
    except TablebookFault as fault:
        err.print(f"tablebook: {said(fault)}", highlight=False, soft_wrap=True)
        raise SystemExit(1) from None


if __name__ == "__main__":
    main()
