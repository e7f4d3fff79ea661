"""Commands of the second laptop: follow the first one, and take over when it is gone."""

from __future__ import annotations

import secrets
import threading
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from app.commands.console import Chosen, err, needs_database, out, say, unlock
from app.commands.passphrase_typing import ask_new
from app.desk.standing_by import forget_secret
from app.papers.made import in_fours
from app.records import keyring, unlocking
from app.records.bodies_copies import LaptopTookOver
from app.records.clock import SystemClock
from app.records.engine import exists, open_for_writing, sqlite_path
from app.records.entry import PROGRAM
from app.records.standby_epoch import raise_epoch
from app.records.standby_record import Followed, followed_by, follows_path
from app.records.standby_record import follow as keep_following
from app.records.unit import Unit
from app.records.writer import Writer
from app.rules.faults import AlreadyLoaded, BadRequest, NotJoined, StorageRefused

# What asks over the network takes a while to load: only where it is used.
if TYPE_CHECKING:
    pass

# Beside the first laptop's own, so that both can be tried on one.
STANDBY_PORT = 8427


def follow(
    url: Annotated[str, typer.Argument(help="The first laptop, as it shows it: https://…")] = "",
    code: Annotated[str, typer.Option(help="The code that the first laptop shows.")] = "",
    encrypted: Annotated[
        bool, typer.Option("--encrypted", help="Encrypt the record here; asks for a passphrase.")
    ] = False,
    port: Annotated[
        int, typer.Option(help="Where the page here says how it stands.", min=1, max=65535)
    ] = STANDBY_PORT,
) -> None:
    """Follow the first laptop: hold its record, read-only, until this one is promoted."""
    from app.desk.following import Follower

    database = _file()
    followed = _followed(database, url, code, encrypted=encrypted)
    ready = threading.Event()

    def told(turn: str, why: str) -> None:
        out.print(_TOLD[turn] + (f" ({why})" if why else ""), highlight=False, soft_wrap=True)
        if turn == "in-step":
            ready.set()

    follower = Follower(database, followed, told)

    def run() -> None:
        try:
            follower.run()
        except NotJoined:
            err.print(_NO_MORE, highlight=False, soft_wrap=True)
            ready.set()

    out.print(f"Following {followed.url}", highlight=False)
    thread = threading.Thread(target=run, name="follower", daemon=True)
    thread.start()
    try:
        _serve(ready, port)
    except KeyboardInterrupt:
        pass
    finally:
        follower.close()
        thread.join(10)
        follower.dispose()


def promote(
    reason: Annotated[str, typer.Option(help="Why this laptop takes over; it is written down.")],
) -> None:
    """Let this laptop take over from the one that it follows. Stop following first."""
    from app.desk.following import tell_that_this_one_took_over

    if not reason.strip():
        raise BadRequest(field="reason", expected="why this laptop takes over")
    needs_database()
    database = _file()
    followed = followed_by(database)
    if followed is None:
        raise StorageRefused(why="this record follows nobody: there is nothing to take over")
    body = _take_over(reason.strip())
    follows_path(database).unlink()
    say(f"This laptop has the record now (epoch {body.epoch}). Next: tablebook serve")
    if tell_that_this_one_took_over(followed, body.epoch):
        say("The other laptop was there: it was told, and writes no more.")
    else:
        say(
            "The other laptop could not be told. IF IT STILL RUNS, IT STILL RECORDS: stop it by "
            "hand before anybody signs here, or somebody could sign at both."
        )


_TOLD = {
    "in-step": "In step: what is recorded there is here too.",
    "apart": "APART: the first laptop cannot be followed now. It is asked again and again.",
}
_NO_MORE = (
    "The first laptop does not know this one any more: another follows it, or it was set up anew. "
    "Start again with the code that it shows."
)


def _serve(ready: threading.Event, port: int) -> None:
    from app.server import serve  # the web server loads slowly; only here

    while not ready.wait(0.2):
        pass
    out.print(f"How it stands here: http://127.0.0.1:{port}", highlight=False)
    serve(Chosen.url, "127.0.0.1", port)


def _followed(database: Path, url: str, code: str, *, encrypted: bool) -> Followed:
    """Whom to follow: as before, or joined anew with a code."""
    known = followed_by(database)
    if known and not code:
        unlock()
        return known
    if exists(Chosen.url) and not known:
        raise AlreadyLoaded
    if not url or not code:
        raise BadRequest(field="follow", expected="the first laptop's address and --code")
    return _joined(database, url, code, encrypted=encrypted)


def _joined(database: Path, url: str, code: str, *, encrypted: bool) -> Followed:
    from app.desk.following import join, refuse_in_the_clear

    if followed_by(database):
        # Another code for the same record: what is here is brought into step.
        unlock()
        joined, encrypted = join(url, code), keyring.is_encrypted(database)
    else:
        joined = join(url, code)
        if encrypted:
            kind, parts = ask_new(joined.officers)
            unlocking.make_slots(database, kind, "first", parts)
    refuse_in_the_clear(joined, encrypted=encrypted)
    keep_following(database, joined.followed)
    return joined.followed


def _take_over(reason: str) -> LaptopTookOver:
    """The written act; the epoch goes up with it."""

    def write(unit: Unit) -> LaptopTookOver:
        forget_secret(unit)
        body = LaptopTookOver(epoch=raise_epoch(unit), reason=reason)
        entry = unit.append(PROGRAM, secrets.token_hex(16), body)
        say(f"Taken over with entry {entry.seq}, hash {in_fours(entry.hash)}")
        return body

    # No store: it is read-only as long as the record follows.
    writer = Writer(open_for_writing(Chosen.url), SystemClock())
    try:
        return writer.write(write)
    finally:
        writer.close()


def _file() -> Path:
    path = sqlite_path(Chosen.url)
    if path is None:
        raise StorageRefused(why="a standby keeps its record in a file: sqlite:///standby.db")
    return path
