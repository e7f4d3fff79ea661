"""What every command shares: where it writes, which record was chosen, how a fault is said."""

from __future__ import annotations

import contextlib
import os
from contextlib import AbstractContextManager
from pathlib import Path

from rich.console import Console

from app.commands.passphrase_typing import ask_what_opens, is_scripted
from app.intake.faults import Faults
from app.records import keyring, unlocking
from app.records.clock import SystemClock
from app.records.engine import exists, sqlite_path
from app.records.store import Store, open_store
from app.rules.faults import BadRequest, NotFound, StorageRefused, TablebookFault
from app.trust.passphrases import Slot, WrongPassphrase

# Above this a package is refused piece by piece: a screen holds about thirty rows.
MOST_FAULTS_SHOWN = 30

out = Console()
err = Console(stderr=True)


# As often as somebody mistypes who knows it; after that the command ends.
TRIES_AT_ONCE = 3


def say(text: str) -> None:
    """One line as it is: nothing in it is taken for a colour, and nothing is broken."""
    out.print(text, highlight=False, soft_wrap=True, markup=False)


class Chosen:
    """The database named before the command, and what opened it, where it had to be opened."""

    url = "sqlite:///tablebook.db"
    slot: Slot | None = None


def store() -> AbstractContextManager[Store]:
    return open_store(Chosen.url, SystemClock())


def needs_database() -> None:
    """A command that only reads must not leave an empty database behind.

    Asks for the passphrase where the record is encrypted.
    """
    if not exists(Chosen.url):
        path = sqlite_path(Chosen.url)
        where = "in this database" if path is None else f"at {path}"
        raise NotFound(
            what=f"record {where}; name another with --database, or for a new day run: tablebook "
            "load PACKAGE"
        )
    unlock()


def needs_file(path: Path) -> None:
    """NotFound where a name was mistyped: what is not there must not be said to be damaged."""
    # Path.exists raises where a folder may not be entered.
    if not os.path.lexists(path):
        raise NotFound(what=f"file or folder {path}; look at how its name is written")


def unlock() -> None:
    """Ask for what opens the chosen record, where it is encrypted and not open yet.

    StorageRefused where none of the tries was right.
    """
    path = sqlite_path(Chosen.url)
    slots = [] if path is None or keyring.is_unlocked(path) else unlocking.slots_of(path)
    if path is None or not slots:
        return
    for left in range(0 if is_scripted() else TRIES_AT_ONCE - 1, -1, -1):
        try:
            parts = ask_what_opens(slots)
            with err.status("Opening …"):
                Chosen.slot = unlocking.unlock(path, parts)
            return
        except (WrongPassphrase, BadRequest) as fault:
            if not left:
                raise _not_opened(path, fault) from None
            err.print(_why_wrong(fault), highlight=False, soft_wrap=True)


def note_unlocked(opened: Store) -> None:
    """Write down in the log what opened the record, and what was tried before."""
    path = sqlite_path(Chosen.url)
    if path is not None and Chosen.slot is not None:
        unlocking.note_unlocked(opened, path, Chosen.slot)


def keep_to_this_process() -> None:
    """No image of the memory on the disk when the program fails; new files for their owner."""
    os.umask(0o077)
    with contextlib.suppress(ImportError, ValueError, OSError):
        import resource  # not on Windows

        resource.setrlimit(resource.RLIMIT_CORE, (0, 0))


def _why_wrong(fault: WrongPassphrase | BadRequest) -> str:
    if isinstance(fault, BadRequest):
        return f"Not opened: expected {fault.facts['expected']}."
    return "Not opened: that is not it. Mind capitals and the language of the keyboard."


def _not_opened(path: Path, fault: WrongPassphrase | BadRequest) -> StorageRefused:
    tries = unlocking.tries_of(path).wrong
    many = "1 wrong try is" if tries == 1 else f"{tries} wrong tries are"
    return StorageRefused(
        why=f"{_why_wrong(fault)} {many} counted, and the log will say so. Where the passphrase is "
        "lost, the registrar's sealed recovery code is typed in its place"
    )


# Who types a code at a second laptop stands at that one, and the code is made at the other.
ANOTHER_CODE = (
    "The lead makes another one at the first laptop: Now, then Stations and sign-ons, then Let a "
    "second laptop follow"
)

_SAID = {
    "already-loaded": "this record holds a day already; choose another with --database",
    "day-not-loaded": "this record holds no day yet; run: tablebook load PACKAGE",
    "disk-nearly-full": "fewer than 500 MB are free on the disk of the record, and nothing was "
    "loaded; make room there, or name a record on another disk with --database",
    "outcome-unknown": "the disk failed while writing; run: tablebook verify",
    "join-code-wrong": f"that code is mistyped, used up or too old. {ANOTHER_CODE}",
}

# Their reason is a whole sentence, and says what to do.
_WITH_REASON = {
    "storage-refused",
    "hand-over-failed",
    "copy-refused",
    "cannot-listen",
    "record-behind-carbon",
    "cannot-follow",
}


def said(fault: TablebookFault) -> str:
    """One line for a person: what is wrong and what to do."""
    if fault.code in _SAID:
        return _SAID[fault.code]
    if fault.code == "not-found":
        return f"there is no {fault.facts['what']}"
    if fault.code == "already-there" and "do" in fault.facts:
        return f"already there: {fault.facts['found']}; {fault.facts['do']}"
    if fault.code in _WITH_REASON:
        return str(fault.facts["why"])
    facts = ", ".join(f"{name}: {value}" for name, value in fault.facts.items())
    return f"{fault.code.replace('-', ' ')} ({facts})"


def print_faults(faults: Faults) -> None:
    """Every fault on a line of its own, up to a screenful, and how many there are."""
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
