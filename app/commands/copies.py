"""The copies that `tablebook serve` keeps: where they go, and what is said of them at the start."""

from __future__ import annotations

import ssl
from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING

from app.commands.console import Chosen, err, out, said
from app.desk.standing_by import Pairing, command_to_follow
from app.records.carbon import carbon_into, is_on_one_disk
from app.records.copies import CopyFailed, MakeCopy
from app.records.engine import open_for_reading, sqlite_path
from app.records.replaced import replaced_path, settle
from app.records.standby import Standby
from app.records.standby_epoch import epoch_of, newer_than_own
from app.records.standby_record import followed_by, follows_path
from app.records.store import COPIED_BY_THE_SERVER, Store
from app.rules.faults import CopyRefused, StorageRefused, TablebookFault

if TYPE_CHECKING:
    from app.server import Following, Stations


def copies_into(carbon: Path | None) -> Sequence[MakeCopy]:
    """What makes the copies of the chosen record. CopyRefused where one cannot be kept there."""
    if carbon is None:
        return ()
    record = sqlite_path(Chosen.url)
    if record is None:
        raise CopyRefused(why=COPIED_BY_THE_SERVER)
    return (carbon_into(carbon, record),)


def following_for(stations: Stations | None, port: int) -> Following:
    """What lets a second laptop follow; tells the code with which it may.

    CopyRefused where the record is on a database server.
    """
    if sqlite_path(Chosen.url) is None:
        raise CopyRefused(why=COPIED_BY_THE_SERVER)
    from app.server import Following  # the web server loads slowly

    certificate, authority, where = b"", "", f"http://127.0.0.1:{port}"
    if stations:
        certificate = ssl.PEM_cert_to_DER_cert(stations.identity.certificate)
        authority, where = stations.identity.authority, stations.listening.url
    pairing = Pairing(certificate)
    if stations is None:
        err.print(
            "Only this very laptop reaches it: for another one name an address with --stations.",
            highlight=False,
            soft_wrap=True,
        )
    out.print("At the second laptop, once, within an hour:", highlight=False)
    command = command_to_follow(where, pairing.code)
    out.print(f"  {command}", highlight=False, soft_wrap=True)
    return Following(Standby(), pairing, authority, where)


def settle_taking_over() -> None:
    """Finish or undo a taking over that was cut short: see `app.records.replaced`."""
    database = sqlite_path(Chosen.url)
    if database is None or not (
        replaced_path(database).exists() and follows_path(database).exists()
    ):
        return
    engine = open_for_reading(Chosen.url)
    try:
        with engine.connect() as connection:
            settle(database, epoch_of(connection))
    finally:
        engine.dispose()


def refuse_to_serve(opened: Store) -> None:
    """StorageRefused where the record is a standby's, or another laptop took over from it."""
    path = sqlite_path(Chosen.url)
    if path and followed_by(path):
        raise StorageRefused(
            why="this record follows another laptop: tablebook follow goes on with it; if the "
            "other one is gone, tablebook promote takes over"
        )
    newer = opened.read(newer_than_own)
    if newer is not None:
        raise StorageRefused(
            why=f"another laptop took over from this one (epoch {newer}): nothing is recorded here "
            "any more. Keep this record for the registrar; to follow the other laptop, run "
            "tablebook follow with a new database"
        )


def say_copies(opened: Store, copy_to: Sequence[MakeCopy], carbon: Path | None) -> None:
    """Say how the carbon stands before serving. CopyRefused or RecordBehindCarbon where serving
    would write over another record's, or lose what the carbon holds, and that is not tolerated.
    """
    if carbon is None:
        out.print("No second copy is kept: see --carbon.", highlight=False)
        return
    for make in copy_to:
        copy = make(opened.read)
        try:
            copy.resume()
            out.print(f"Second copy: {carbon}", highlight=False, soft_wrap=True)
        except CopyFailed as failed:
            err.print(
                f"The second copy cannot be written at {carbon} now ({failed.why}): the day goes "
                f"on without it, and every station says so until it can. {_refusal(failed)}",
                highlight=False,
                soft_wrap=True,
            )
        finally:
            copy.close()
    _say_on_one_disk(carbon)


def _refusal(failed: CopyFailed) -> str:
    """What it was refused with, where that was tolerated."""
    refused = failed.__cause__
    return said(refused) if isinstance(refused, TablebookFault) else ""


def _say_on_one_disk(carbon: Path) -> None:
    record = sqlite_path(Chosen.url)
    if record and is_on_one_disk(carbon, record):
        err.print(
            "The second copy is on the same disk as the record: what takes one takes both. Name a "
            "folder on a stick.",
            highlight=False,
            soft_wrap=True,
        )
