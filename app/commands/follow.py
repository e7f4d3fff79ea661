"""Commands of the second laptop: follow the first one, and take over when it is gone."""

from __future__ import annotations

import secrets
import socket
import threading
import time
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from app.commands.console import ANOTHER_CODE, Chosen, err, needs_database, out, say, unlock
from app.commands.copies import copies_into, settle_taking_over
from app.commands.passphrase_typing import ask_new, needs_somebody
from app.commands.serving import Options, go_on_recording
from app.commands.stations import check_place
from app.papers.made import in_fours
from app.records import keyring, unlocking
from app.records.clock import SystemClock
from app.records.engine import exists, sqlite_path
from app.records.entry import PROGRAM
from app.records.standby_record import Followed, followed_by
from app.records.standby_record import follow as keep_following
from app.records.standby_tries import TriesBeside
from app.rules.faults import AlreadyLoaded, BadRequest, CannotFollow, NoStandby, StorageRefused
from app.trust.passphrases import SlotKind

# What asks over the network, and serves, takes a while to load: only where it is used.
if TYPE_CHECKING:
    from app.desk.standby_here import StandbyHere

# Beside the first laptop's own, so that both can be tried on one.
STANDBY_PORT = 8427
_HOME = "127.0.0.1"
_LOOK_SECONDS = 0.1
# Longer than a question waits at the other end.
_END_SECONDS = 10.0


def follow(
    url: Annotated[str, typer.Argument(help="The first laptop, as it shows it: https://…")] = "",
    code: Annotated[str, typer.Option(help="The code that the first laptop shows.")] = "",
    encrypted: Annotated[
        bool, typer.Option("--encrypted", help="Encrypt the record here; asks for a passphrase.")
    ] = False,
    port: Annotated[
        int, typer.Option(help="Where the page is served here.", min=1, max=65535)
    ] = STANDBY_PORT,
    carbon: Annotated[
        Path | None,
        typer.Option("--carbon", help="Once it has taken over: a folder for the second copy."),
    ] = None,
    stations: Annotated[
        str | None,
        typer.Option("--stations", help="Once it has taken over: its ADDRESS[:PORT] in the hall."),
    ] = None,
) -> None:
    """Follow the first laptop: hold its record, to be read, until this one takes over."""
    from app.desk.standby_here import StandbyHere
    from app.server import listen

    database = _file()
    _refuse_bad_options(carbon, stations)
    # Before the code is used up: a port that cannot be had must not cost it.
    with listen(_HOME, port) as home:
        followed = _followed(database, url, code, encrypted=encrypted)
        standby = StandbyHere(database, followed, SystemClock(), _told)
        _follow(standby, port, home)
        if standby.taken:
            say(f"This laptop has the record now: entry {standby.taken.seq}")
            go_on_recording(Options(_HOME, port, stations=stations, carbon=carbon), home)


def promote(
    reason: Annotated[str, typer.Option(help="Why this laptop takes over; it is written down.")],
) -> None:
    """Let this laptop take over from the one that it follows. Stop following first."""
    from app.desk.taking_over import Act, take_over, tell

    if not reason.strip():
        raise BadRequest(field="reason", expected="why this laptop takes over")
    needs_database()
    database = _file()
    settle_taking_over()
    beside = TriesBeside(database)
    act = Act(PROGRAM, secrets.token_hex(16), reason.strip(), beside.all())
    try:
        entry = take_over(database, SystemClock(), act)
    except NoStandby:
        raise StorageRefused(
            why="this record follows nobody: there is nothing to take over"
        ) from None
    beside.remove()
    say(f"Taken over with entry {entry.seq}, hash {in_fours(entry.hash)}")
    _say_next(entry.body["epoch"])
    if tell(database):
        say("The other laptop was there: it was told, and writes no more.")
    else:
        say(
            "The other laptop could not be told. IF IT STILL RUNS, IT STILL RECORDS: stop it by "
            "hand before anybody signs here, or somebody could sign at both. tablebook serve goes "
            "on trying to tell it."
        )


def _say_next(epoch: int) -> None:
    """At the port where `follow` served, whatever pages are still open find it again."""
    say(
        f"This laptop has the record now (epoch {epoch}). Next, with the --carbon and --stations "
        "that follow was given, and with its --port where it was given another one:"
    )
    say(f"  tablebook --database {Chosen.url} serve --port {STANDBY_PORT}")


def _told(state: str, why: str) -> None:
    if why == "not-joined":
        err.print(_NO_MORE, highlight=False, soft_wrap=True)
    else:
        out.print(_TOLD[state] + (f" ({why})" if why else ""), highlight=False, soft_wrap=True)


_TOLD = {
    "in-step": "In step: what is recorded there is here too.",
    "apart": "APART: the first laptop cannot be followed now. It is asked again and again.",
}
_NO_MORE = (
    "The first laptop does not know this one any more: another follows it, or it was set up anew. "
    "Start again with the code that it shows."
)


def _follow(standby: StandbyHere, port: int, home: socket.socket) -> None:
    """Until interrupted, or until this laptop has taken over."""
    from app.server import serve

    out.print(f"Following {standby.followed.url}", highlight=False)
    following = threading.Thread(target=standby.follow, name="follower", daemon=True)
    following.start()
    try:
        _wait_for_a_record(standby, following)
        out.print(f"To look things up here: http://{_HOME}:{port}", highlight=False)
        serve(Chosen.url, _HOME, port, standby=standby, home=home)
    except KeyboardInterrupt:
        pass
    finally:
        standby.follower.close()
    if not standby.taken:
        # So that the last to close makes one file of the record.
        following.join(_END_SECONDS)


def _refuse_bad_options(carbon: Path | None, stations: str | None) -> None:
    """Now, not when the first laptop has died."""
    copies_into(carbon)
    if stations is not None:
        check_place(stations)


def _wait_for_a_record(standby: StandbyHere, following: threading.Thread) -> None:
    """Until the other laptop was asked, and there is something to serve."""
    while following.is_alive() and not (standby.was_asked and standby.holds_a_record):
        time.sleep(_LOOK_SECONDS)


def _followed(database: Path, url: str, code: str, *, encrypted: bool) -> Followed:
    """Whom to follow: as before, or joined anew with a code."""
    settle_taking_over()
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
        if encrypted:
            # Before the code is used up.
            needs_somebody()
        joined = join(url, code)
        if encrypted:
            kind, parts = _ask_new(joined.officers)
            unlocking.make_slots(database, kind, "first", parts)
    refuse_in_the_clear(joined, encrypted=encrypted)
    keep_following(database, joined.followed)
    return joined.followed


def _ask_new(officers: int) -> tuple[SlotKind, list[str]]:
    """After joining: only the first laptop knows how many officers are asked."""
    try:
        return ask_new(officers)
    except BadRequest as fault:
        raise CannotFollow(
            why=f"no passphrase was chosen (expected {fault.facts['expected']}), and the code is "
            f"used up. {ANOTHER_CODE}"
        ) from None


def _file() -> Path:
    path = sqlite_path(Chosen.url)
    if path is None:
        raise StorageRefused(why="a standby keeps its record in a file: sqlite:///standby.db")
    return path
