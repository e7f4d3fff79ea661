"""Putting a package's lines and setting into an empty record: entry 1 of the day log."""

from __future__ import annotations

import hashlib
import hmac
import secrets
from collections.abc import Iterable, Mapping, Sequence

from sqlalchemy import insert

from app.records import elsewhere, queries, signed_heads
from app.records.bodies import PackageLoaded
from app.records.entry import Actor, Entry, canonical, sha256_hex
from app.records.queries import ROWS_AT_ONCE
from app.records.rows import line_to_row, setting_to_text, state_to_row
from app.records.unit import Unit
from app.rules.elsewhere import ElsewhereLine
from app.rules.faults import AlreadyLoaded
from app.rules.line import Line, PrintedLine, state_as_printed
from app.rules.setting import Setting

# The row of `about` that keeps the precinct's secret for spoken codes, as the package has it.
PHONE_SECRET = "phone_secret"  # noqa: S105 - the name of a row, no secret

# 80 bits as text: no two of a million lines share one, and none can be guessed.
LINE_ID_BYTES = 10


def fresh_line_key() -> str:
    """A new key for the line_ids of one load."""
    return secrets.token_hex(32)


def identified(
    printed: Sequence[PrintedLine],
    look_alikes: Mapping[int, tuple[int, ...]],
    line_key: str,
) -> list[Line]:
    """The printed lines with their opaque line_ids, in the same order.

    `look_alikes` maps a position in `printed` to the positions it can be mistaken for.
    """
    ids = [line_id_of(line_key, line.voter_number) for line in printed]
    return [
        Line(ids[place], line, tuple(ids[other] for other in look_alikes.get(place, ())))
        for place, line in enumerate(printed)
    ]


def store(
    unit: Unit,
    actor: Actor,
    *,
    setting: Setting,
    lines: Sequence[Line],
    files: Mapping[str, str],
    line_key: str,
    elsewhere_lines: Sequence[ElsewhereLine] = (),
    phone_secret: str | None = None,
) -> Entry:
    """Write lines, their states as printed, the people of other precincts, the setting and
    entry 1; all or nothing.

    AlreadyLoaded where the record has a day already: a day is never loaded over.
    """
    if unit.head.seq:
        raise AlreadyLoaded
    text = setting_to_text(setting)
    unit.connection.execute(insert(queries.about), {"name": "setting", "text": text})
    if phone_secret is not None:
        secret = {"name": PHONE_SECRET, "text": phone_secret}
        unit.connection.execute(insert(queries.about), secret)
    for start in range(0, len(lines), ROWS_AT_ONCE):
        _store_some(unit, lines[start : start + ROWS_AT_ONCE])
    people = elsewhere.identified(elsewhere_lines)
    elsewhere.store(unit, people)
    body = PackageLoaded(
        election_id=setting.election.id,
        precinct=setting.precinct.number,
        files=dict(files),
        lines=len(lines),
        lines_sha256=lines_digest(sorted(lines, key=lambda line: line.line_id)),
        elsewhere=len(people),
        elsewhere_sha256=elsewhere.elsewhere_digest(people),
        setting_sha256=sha256_hex(text.encode()),
        line_key=line_key,
        log_key=signed_heads.make_key(unit.connection),
    )
    return unit.append(actor, secrets.token_hex(16), body)


def lines_digest(lines: Iterable[Line]) -> str:
    """See `rows_digest`: of the rows of these lines, which come by line_id."""
    return rows_digest(line_to_row(line) for line in lines)


def rows_digest(rows: Iterable[Mapping[str, object]]) -> str:
    """SHA-256 over the canonical JSON of each row, a newline after each, by line_id."""
    digest = hashlib.sha256()
    for row in rows:
        digest.update(canonical(row).encode() + b"\n")
    return digest.hexdigest()


def _store_some(unit: Unit, lines: Sequence[Line]) -> None:
    unit.connection.execute(insert(queries.lines), [line_to_row(line) for line in lines])
    states = [
        state_to_row(line.line_id, state_as_printed(line.printed), version=0) for line in lines
    ]
    unit.connection.execute(insert(queries.line_states), states)


def line_id_of(line_key: str, voter_number: str) -> str:
    """The identifier that a load with this key gives the line with this number."""
    key = bytes.fromhex(line_key)
    return hmac.new(key, voter_number.encode(), "sha256").digest()[:LINE_ID_BYTES].hex()
