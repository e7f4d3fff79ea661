"""Commands of the evening: hand over the day, verify record or bundle, wipe the laptop."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Literal, NoReturn

import typer
from rich.progress import Progress

from app.commands.console import Chosen, err, needs_database, needs_file, out, say
from app.desk.outcomes import Refused
from app.desk.roster import open_roster
from app.records.clock import SystemClock
from app.records.store import verify_database
from app.rules.faults import BadRequest

# What makes papers and reads bundles takes a second to load: only where it is used.
if TYPE_CHECKING:
    from app.desk.bundle_reading import BundleChecked
    from app.desk.handover import HandedOver
    from app.desk.wiping import Wiping

RETENTION = (
    "What must be kept: of a federal election everything that has to do with registering and "
    "voting for 22 months (52 U.S.C. 20701); many states ask for longer. Local law and the "
    "registrar decide."
)


def close(
    file: Annotated[
        Path | None, typer.Option("--out", help="Where to write it; by default beside the record.")
    ] = None,
    size: Annotated[
        Literal["letter", "a4"], typer.Option(help="The paper of its pages.")
    ] = "letter",
    language: Annotated[
        Literal["en", "es"], typer.Option(help="The language of its pages.")
    ] = "en",
) -> None:
    """Seal the closed day in one file for the registrar. The polls are closed on the page."""
    from app.desk.bundle_reading import check_bundle
    from app.desk.handover import folder_of, hand_over
    from app.papers.made import Form

    needs_database()
    clock = SystemClock()
    with open_roster(Chosen.url, clock) as roster, out.status("Making every paper …"):
        form = Form(size, language)
        made = hand_over(roster, folder_of(Chosen.url), clock.now(), form, file)
    if isinstance(made, Refused):
        _say_too_early(made)
        raise typer.Exit(1)
    found = check_bundle(made.path)
    if found.fault:
        _say_does_not_hold(found.fault, "Do not hand it over; make it again.")
    _say_handed_over(made, found)


def verify(
    bundle: Annotated[
        Path | None, typer.Argument(help="A bundle that was handed over; none: the record here.")
    ] = None,
    digits: Annotated[
        str, typer.Option("--hash", help="With a bundle: the hash on a signed paper, to be found.")
    ] = "",
) -> None:
    """Refold the day log from entry 1 and compare every hash and every derived state.

    With a bundle: check it whole, without any record.
    """
    if bundle is not None:
        _verify_bundle(bundle, digits)
        return
    if digits:
        raise BadRequest(field="hash", expected="a bundle beside it")
    needs_database()
    with Progress(console=err, transient=True) as progress:
        task = progress.add_task("Verifying")
        found = verify_database(
            Chosen.url, lambda done, total: progress.update(task, completed=done, total=total)
        )
    if found.fault:
        advice = "Stop using this record, keep the file as it is, and call the registrar."
        _say_does_not_hold(found.fault, advice)
    say(f"Holds: {found.entries:,} entries, {found.lines:,} lines, head {found.head.hash}")


def wipe(
    bundle: Annotated[Path, typer.Option("--bundle", help="The bundle that was handed over.")],
) -> None:
    """Remove the day's record from this laptop, if the bundle holds and is of this very record."""
    from app.desk.wiping import may_wipe
    from app.desk.wiping import wipe as remove_files

    needs_database()
    needs_file(bundle)
    wiping = may_wipe(Chosen.url, bundle, SystemClock())
    say("This removes for good: " + ", ".join(path.name for path in wiping.files))
    say(f"What stays: {bundle.name}, and everything else in the folder. {RETENTION}")
    typed = typer.prompt(f"To go on, type the number of this precinct ({wiping.precinct})")
    if typed.strip() != wiping.precinct:
        err.print("That is another number. Nothing was removed.", highlight=False)
        raise typer.Exit(1)
    _say_removed(wiping, remove_files(wiping))


def _verify_bundle(bundle: Path, digits: str) -> None:
    from app.desk.bundle_reading import check_bundle

    needs_file(bundle)
    with err.status("Checking the bundle …"):
        found = check_bundle(bundle)
    if found.fault:
        advice = "Keep it as it is, do not wipe the laptop that made it, and call the registrar."
        _say_does_not_hold(found.fault, advice)
    setting = found.setting
    if setting and setting.is_practice:
        say("PRACTICE: nothing in this bundle counts. Hand it to nobody.")
    if setting:
        election, precinct = setting.election, setting.precinct
        say(
            f"Holds: {election.name}, {election.date.isoformat()}, {precinct.county}, precinct "
            f"{precinct.number}: {found.files} files, {found.head.seq:,} entries."
        )
    _say_last_hash(found)
    if digits:
        _say_paper(found, digits)


def _say_paper(found: BundleChecked, digits: str) -> None:
    """Whether a paper that shows these digits is of this log, and of which moment."""
    seq = found.entry_with(digits)
    if seq is None:
        fault = "no entry of this log has the hash on the paper"
        _say_does_not_hold(
            fault, "The paper or the bundle is of another record: call the registrar."
        )
    later = found.head.seq - seq
    after = "the last one" if later == 0 else f"{later} later ones are in the bundle"
    say(f"The paper agrees: its hash is the one of entry {seq}; {after}.")


def _say_last_hash(found: BundleChecked) -> None:
    say("Compare this with the certificate of the close, which everybody signed:")
    say(found.hash_in_fours)
    if found.withheld:
        say(
            f"Left out, because they would tell a protected address: {found.withheld}. Of these "
            "it cannot be shown that they are what the log speaks of."
        )


def _say_too_early(refused: Refused) -> None:
    _say_error(
        f"The polls are not closed yet (now: {refused.facts['phase']}). Nothing was written."
    )
    missing = refused.facts["missing"]
    if isinstance(missing, list) and missing:
        names = ", ".join(f"{one['what']} {one['name']}" for one in missing)
        _say_error(f"Not read, counted or checked yet: {names}.")
    _say_error("Close the polls on the lead's page, then run tablebook close again.")


def _say_handed_over(made: HandedOver, found: BundleChecked) -> None:
    say(f"Written: {made.path.name}, {found.files} files, {made.bytes:,} bytes. It holds.")
    say(f"SHA-256 of the file: {made.sha256}")
    say(f"The log ends with entry {made.head.seq:,}; its hash, as on the certificate:")
    say(found.hash_in_fours)
    say(
        "It has names, signatures and birth dates in it, unencrypted: hand it to the registrar and "
        "to nobody else."
    )


def _say_removed(wiping: Wiping, names: tuple[str, ...]) -> None:
    say(f"Removed: {', '.join(names)}.")
    if wiping.is_federal:
        say("This was a federal election. " + RETENTION)
    say("On most disks what was removed can be brought back with tools: lock the laptop away.")


def _say_does_not_hold(fault: str, advice: str) -> NoReturn:
    """Say it and end the command."""
    _say_error(f"Does not hold: {fault}.")
    _say_error(advice)
    raise typer.Exit(1)


def _say_error(text: str) -> None:
    err.print(text, highlight=False, soft_wrap=True, markup=False)
