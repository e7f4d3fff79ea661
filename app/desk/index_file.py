"""The finder of a loaded day, made of its lines or, where they are very many, of a file.

A precinct's lines are put together in a moment. A vote centre's take ten seconds, so what
was made is kept beside the record, sealed where the record is encrypted, and taken from there
when the laptop starts again. The file is bound to the loaded lines and their identifiers
by what entry 1 says of them; where it does not fit, or is damaged, the lines are read.
"""

from __future__ import annotations

import contextlib
import io
import os
from pathlib import Path

from sqlalchemy import Connection
from sqlalchemy.engine import make_url

from app.matching.finder import Finder
from app.matching.register import Register
from app.matching.saved import load_register, save_register
from app.records import keyring, queries
from app.records.bodies import PackageLoaded
from app.records.entry import sha256_hex
from app.records.store import Store
from app.rules.line import Line, as_shown
from app.rules.setting import Setting
from app.trust.sealing import SealBroken, Sealer, Use

# Fewer lines are ready sooner than anybody can look up from the keyboard.
MANY_LINES = 50_000
ENDING = ".finding"
# Its owner alone may read it, as the record.
_CREATE = os.O_WRONLY | os.O_CREAT | os.O_TRUNC | getattr(os, "O_BINARY", 0)
# What may have become of a line since it was loaded, so that the file has it otherwise.
CHANGING_KINDS = ("line.added", "line.corrected")


def finder_of(store: Store, setting: Setting, url: str) -> Finder:
    """The finder over every line of the day, as it may be shown: no secret address in it."""
    loaded = store.read(_loaded)
    path = _path(url)
    if path is None or loaded.lines < MANY_LINES:
        return _finder(store.read(_register_now), setting)
    digest = sha256_hex(f"{loaded.lines_sha256} {loaded.line_key}".encode())
    sealer = keyring.sealer_for(Path(str(make_url(url).database)), Use.FINDING)
    register = _kept(path, digest, sealer)
    if register is None:
        register = store.read(_register_as_loaded)
        _keep(register, path, digest, sealer)
    finder = _finder(register, setting)
    for line in store.read(_changed):
        finder.add(line)
    return finder


def _finder(register: Register, setting: Setting) -> Finder:
    year = setting.election.date.year
    return Finder(register, date_order=setting.policy.date_order, election_year=year)


def _loaded(connection: Connection) -> PackageLoaded:
    (entry,) = queries.entries_of(connection, PackageLoaded.kind)
    return PackageLoaded.model_validate(entry.body)


def _path(url: str) -> Path | None:
    """Where the file stands; None where the record is no file on this laptop."""
    parts = make_url(url)
    is_file = parts.get_backend_name() == "sqlite" and parts.database not in (None, ":memory:")
    return Path(f"{parts.database}{ENDING}") if is_file else None


def _kept(path: Path, digest: str, sealer: Sealer | None) -> Register | None:
    try:
        content = path.read_bytes()
        if sealer:
            content = sealer.open(content, digest.encode())
    except (OSError, SealBroken):
        return None
    return load_register(io.BytesIO(content), digest)


def _keep(register: Register, path: Path, digest: str, sealer: Sealer | None) -> None:
    """Only saves time: where there is no room, or no right to write, nothing is lost."""
    fresh = path.with_name(path.name + ".new")
    with contextlib.suppress(OSError):
        try:
            content = io.BytesIO()
            save_register(register, digest, content)
            kept = content.getvalue()
            with os.fdopen(os.open(fresh, _CREATE, 0o600), "wb") as file:
                file.write(sealer.seal(kept, digest.encode()) if sealer else kept)
            fresh.replace(path)
        finally:
            fresh.unlink(missing_ok=True)


def _register_now(connection: Connection) -> Register:
    return Register(map(as_shown, queries.all_lines_now(connection)))


def _register_as_loaded(connection: Connection) -> Register:
    changed = _changed_ids(connection)
    lines = (line for line in queries.all_lines(connection) if line.line_id not in changed)
    return Register(map(as_shown, lines))


def _changed(connection: Connection) -> list[Line]:
    found = queries.lines_with(connection, sorted(_changed_ids(connection)))
    return [as_shown(line) for line in found.values()]


def _changed_ids(connection: Connection) -> set[str]:
    entries = queries.entries_of(connection, *CHANGING_KINDS)
    return {entry.line_id for entry in entries if entry.line_id}
