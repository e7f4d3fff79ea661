"""Commands about what opens the record: encrypt it, add, remove and list what opens it."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Annotated

import typer
from rich.table import Table

from app.commands.console import Chosen, err, needs_database, out, say, store, unlock
from app.commands.passphrase_typing import ask_new, ask_what_opens
from app.desk import index_file
from app.papers.made import in_fours
from app.records import keyring, queries, unlocking
from app.records.encrypting import check_can_be_encrypted
from app.records.encrypting import encrypt as encrypt_file
from app.records.engine import exists, sqlite_path
from app.rules.faults import NotFound, StorageRefused
from app.rules.setting import Setting
from app.trust.passphrases import SlotKind
from app.trust.recovery_codes import new_code
from app.trust.swap import swaps_in_clear

keys_app = typer.Typer(help="What opens an encrypted record.", no_args_is_help=True)

KIND_WORDS = {
    SlotKind.PASSPHRASE: "a passphrase",
    SlotKind.TWO_OFFICERS: "two officers, a part each",
    SlotKind.RECOVERY: "a recovery code on paper",
}
_NOT_HERE = (
    "a record on a database server is not encrypted from here: encrypt the disk of that server"
)
NO_WAY_BACK = (
    "Without the passphrase nobody opens this record, not even whoever made the program. Make a "
    "recovery code too: tablebook keys recovery"
)


def encrypt() -> None:
    """Encrypt a record that stands in clear. The server must be stopped."""
    path = _record_file()
    if not exists(Chosen.url):
        raise NotFound(what=f"record at {path}; a new one: tablebook load PACKAGE --encrypted")
    check_can_be_encrypted(path)
    is_begun = keyring.slots_path(path).exists()
    if is_begun:
        err.print("Encrypting was begun before: the passphrase is the one chosen then.")
        unlocking.unlock(path, ask_what_opens(unlocking.slots_of(path)))
    else:
        _choose(path, _setting())
    try:
        with err.status("Encrypting …"):
            head = encrypt_file(path)
    except StorageRefused:
        if not is_begun:
            _forget(path)
        raise
    path.with_name(path.name + index_file.ENDING).unlink(missing_ok=True)
    with store() as opened:
        unlocking.note_encrypted(opened, unlocking.slots_of(path)[0])
    say(f"Encrypted, and checked: {head.seq:,} entries up to {in_fours(head.hash)}")
    say("What stood here before can be brought back from most disks with tools.")
    say(NO_WAY_BACK)


@keys_app.command("list")
def list_keys() -> None:
    """Show what opens the record. Nothing has to be typed for it."""
    slots = unlocking.slots_of(_record_file())
    if not slots:
        raise StorageRefused(why="the record is not encrypted; run: tablebook encrypt")
    shown = Table("Number", "Opened by", "Name", box=None, pad_edge=False)
    for slot in slots:
        shown.add_row(str(slot.number), KIND_WORDS[slot.kind], slot.name)
    out.print(shown)


@keys_app.command("add")
def add_key(
    name: Annotated[str, typer.Option(help="Whose it is; it is no secret.")] = "",
) -> None:
    """Add a passphrase, or two officers' parts where the policy asks for two."""
    path = _encrypted_record()
    kind, parts = ask_new(_setting().policy.passphrase_officers)
    with store() as opened, err.status("Adding …"):
        slot = unlocking.add_slot(opened, path, kind, name, parts)
    say(f"Added as number {slot.number}: {KIND_WORDS[kind]}.")


@keys_app.command("remove")
def remove_key(number: Annotated[int, typer.Argument(help="As tablebook keys list says.")]) -> None:
    """Remove what opens the record, whoever it was given to."""
    path = _encrypted_record()
    with store() as opened:
        slot = unlocking.remove_slot(opened, path, number)
    say(f"Removed number {slot.number}: {KIND_WORDS[slot.kind]}.")
    say(
        "It opens this record no more. It still opens copies of the record that were made before, "
        "with the key file as it was then: a carbon is written anew when serve starts."
    )


@keys_app.command("recovery")
def make_recovery_code() -> None:
    """Make a recovery code and show it once: for a sealed envelope at the registrar's office."""
    path = _encrypted_record()
    code = new_code()
    with store() as opened, err.status("Adding …"):
        slot = unlocking.add_slot(opened, path, SlotKind.RECOVERY, "sealed envelope", [code])
    say(f"Recovery code, number {slot.number}. It is shown this once:")
    say(f"\n    {code}\n")
    say(
        "Write or print it, seal it in an envelope, sign across the flap. Whoever has it opens the "
        "record; each use is written into the log. An older one still works until it is removed."
    )


def before_loading(
    *, encrypted: bool, is_new: bool, quiet: Callable[[], None]
) -> Callable[[Setting], None] | None:
    """What asks for the passphrase of a record that is about to be loaded; None for no new one.

    `quiet` stops what moves on the screen. StorageRefused where a key stands beside no record.
    """
    path = sqlite_path(Chosen.url)
    if not is_new:
        quiet()
        unlock()
        if encrypted:
            raise StorageRefused(why="there is a record already; run: tablebook encrypt")
    elif path is not None and keyring.slots_path(path).exists():
        raise StorageRefused(
            why=f"{keyring.slots_path(path).name} stands there without its record; a copy of that "
            "record may need it: put it aside, or choose another record with --database"
        )
    if not encrypted:
        return None

    def ask(setting: Setting) -> None:
        quiet()
        _choose(_record_file(), setting)

    return ask


def say_how_it_is_kept(path: Path | None) -> None:
    """At every start, plainly: whether somebody with the disk can read the record."""
    if path is None:
        say("Kept by a database server: whether that is encrypted is for whoever runs it.")
    elif keyring.is_encrypted(path):
        say("Encrypted: without a passphrase nobody reads this record off the disk.")
        for area in swaps_in_clear():
            say(
                f"BUT this system may write its memory to {area}, which is not encrypted as far as "
                "it tells: ask whoever looks after this laptop to switch that off, or to encrypt it"
            )
    else:
        say(
            "NOT ENCRYPTED: whoever has this laptop or its disk can read every name and birth "
            "date. To change that: tablebook encrypt"
        )


def _choose(path: Path, setting: Setting) -> None:
    kind, parts = ask_new(setting.policy.passphrase_officers)
    with err.status("Making the key …"):
        unlocking.make_slots(path, kind, "first", parts)


def _forget(path: Path) -> None:
    """The record stands in clear as it was: a key for it would only keep it shut."""
    keyring.lock(path)
    keyring.slots_path(path).unlink(missing_ok=True)


def _setting() -> Setting:
    with store() as opened:
        return opened.read(queries.setting)


def _encrypted_record() -> Path:
    needs_database()
    path = _record_file()
    if not keyring.is_encrypted(path):
        raise StorageRefused(why="the record is not encrypted; run: tablebook encrypt")
    return path


def _record_file() -> Path:
    path = sqlite_path(Chosen.url)
    if path is None:
        raise StorageRefused(why=_NOT_HERE)
    return path
