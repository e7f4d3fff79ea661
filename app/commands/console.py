"""What every command shares: where it writes, which record was chosen, how a fault is said."""

from __future__ import annotations

from contextlib import AbstractContextManager

from rich.console import Console

from app.records.clock import SystemClock
from app.records.engine import exists, sqlite_path
from app.records.store import Store, open_store
from app.rules.faults import NotFound, TablebookFault

out = Console()
err = Console(stderr=True)


class Chosen:
    """The database named before the command."""

    url = "sqlite:///tablebook.db"


def store() -> AbstractContextManager[Store]:
    return open_store(Chosen.url, SystemClock())


def needs_database() -> None:
    """A command that only reads must not leave an empty database behind."""
    if not exists(Chosen.url):
        raise NotFound(what=f"a record at {sqlite_path(Chosen.url)}; run: tablebook load PACKAGE")


_SAID = {
    "already-loaded": "this record holds a day already; choose another with --database",
    "day-not-loaded": "this record holds no day yet; run: tablebook load PACKAGE",
    "outcome-unknown": "the disk failed while writing; run: tablebook verify",
}


def said(fault: TablebookFault) -> str:
    """One line for a person: what is wrong and what to do."""
    if fault.code in _SAID:
        return _SAID[fault.code]
    if fault.code == "not-found":
        return f"there is no {fault.facts['what']}"
    if fault.code in ("storage-refused", "hand-over-failed"):
        return str(fault.facts["why"])
    facts = ", ".join(f"{name}: {value}" for name, value in fault.facts.items())
    return f"{fault.code.replace('-', ' ')} ({facts})"
