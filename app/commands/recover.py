"""The command that puts the day together again on another laptop."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from app.commands.console import err, needs_file, out
from app.commands.passphrase_typing import ask_what_opens
from app.papers.made import in_fours
from app.records.carbon_file import CarbonBroken, slots_of
from app.records.clock import SystemClock
from app.rules.faults import BadRequest, StorageRefused
from app.trust.passphrases import WrongPassphrase, open_slots, slots_from_text

# What reads bundles takes a second to load: only where it is used.
if TYPE_CHECKING:
    from app.desk.recovering import Recovered


def recover(
    target: Annotated[str, typer.Option("--out", help="The new record: sqlite:///recovered.db")],
    carbon: Annotated[Path | None, typer.Option(help="A carbon, copied from its stick.")] = None,
    bundle: Annotated[Path | None, typer.Option(help="A bundle that was handed over.")] = None,
    package: Annotated[
        Path | None, typer.Option(help="The registrar's package; a bundle needs it.")
    ] = None,
) -> None:
    """Put the whole day together again, from its carbon, or from a bundle and the package."""
    from app.desk.recovering import recover_from_bundle, recover_from_carbon

    if (carbon is None) == (bundle is None):
        raise BadRequest(field="recover", expected="either --carbon FILE or --bundle FILE")
    if package is not None:
        needs_file(package)
    key = _key_of(carbon) if carbon else None
    with err.status("Putting the record together …"):
        if carbon is not None:
            done = recover_from_carbon(carbon, target, key, package)
        elif bundle is not None and package is not None:
            needs_file(bundle)
            done = recover_from_bundle(bundle, package, target, SystemClock())
        else:
            raise BadRequest(field="recover", expected="--package beside --bundle")
    _say(done, target)


def _key_of(carbon: Path) -> bytes | None:
    """The key of a sealed carbon, from what opens its record; None where it is not sealed."""
    try:
        text = slots_of(carbon) if carbon.is_file() else None
    except CarbonBroken as broken:
        raise StorageRefused(why=f"{carbon.name} cannot be used: {broken}") from None
    except OSError as error:
        raise StorageRefused(why=f"{carbon.name} could not be read: {error.strerror}") from None
    if text is None:
        return None
    slots = slots_from_text(text)
    try:
        return open_slots(slots, ask_what_opens(slots)).key
    except WrongPassphrase:
        raise StorageRefused(why="that does not open this carbon") from None


def _say(done: Recovered, target: str) -> None:
    lines = [
        f"Recovered and verified: {done.head.seq:,} entries, {done.lines:,} lines.",
        "The hash of the last entry, to compare with a paper or another copy:",
        in_fours(done.head.hash),
    ]
    if done.is_torn:
        lines.append("A last line that was never finished was left out: it was not acknowledged.")
    if done.needs_pins:
        lines.append("A bundle holds no PINs. Give each worker one: tablebook worker pin INITIALS")
    lines.append(f"Workers sign on anew. Next: tablebook --database {target} serve")
    for line in lines:
        out.print(line, highlight=False, soft_wrap=True, markup=False)
