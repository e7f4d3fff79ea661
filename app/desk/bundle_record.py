"""What stands beside the log and goes into the bundle, so that the day can be put together again.

Handed over: the setting; who worked (name, initials, role); what entries say of people, with its
salt; drawings; late lists with their rows. Never handed over: PINs, the secrets of browsers, the
secret of spoken codes, the private half of the log's key. Not handed over: printed lines and the
people of other precincts, which are the registrar's own package; whatever would tell a protected
address.
"""

from __future__ import annotations

import json
import re
from collections.abc import Iterator, Mapping
from dataclasses import asdict
from typing import Any

from sqlalchemy import Connection, select

from app.desk.exports import ADDRESS
from app.records import late_lists, people, personal, queries, signed_heads
from app.records.corrected import all_as_corrected
from app.records.entry import Entry, canonical

WITHHELD = "protected address"
# A row of somebody who is on no line, but whose list says that the address is secret.
_SAYS_SECRET = re.compile(r'"address_protected":\s*true')
_SAYS_STREET = re.compile(r'"street_address":\s*"[^"]')
# As the digests of the log say: see `app.records.personal`, `app.records.late_lists`.
SETTING, WORKERS = "record-setting.json", "record-workers.json"
PERSONAL, STROKES, LISTS = "record-personal.jsonl", "record-strokes.jsonl", "record-lists.jsonl"
# Heads of the log, signed; the key's public half stands in entry 1.
SIGNATURES = "record-heads.jsonl"


def record_files(connection: Connection, entries: list[Entry]) -> dict[str, bytes]:
    """The files by name."""
    secret = _Secrets(connection)
    setting = queries.about_text(connection, "setting") or ""
    return {
        SETTING: setting.encode(),
        WORKERS: canonical(_workers(connection)).encode(),
        PERSONAL: _lines(_personal(connection, entries, secret)),
        STROKES: _lines(_strokes(connection)),
        LISTS: _lines(_lists(connection, secret)),
        SIGNATURES: _lines(asdict(one) for one in signed_heads.all_signed(connection)),
    }


class _Secrets:
    """Tells whether a text says anything of a protected address."""

    def __init__(self, connection: Connection) -> None:
        protected = [one for one in queries.all_lines(connection) if one.printed.address_protected]
        now = all_as_corrected(connection, protected)
        streets = (one.printed.street_address for one in (*protected, *now))
        self.line_ids = {one.line_id for one in protected}
        self._streets = {street.casefold() for street in streets if street}

    def tells(self, text: str) -> bool:
        if _SAYS_SECRET.search(text) and _SAYS_STREET.search(text):
            return True
        folded = text.casefold()
        return any(street in folded for street in self._streets)


def _personal(
    connection: Connection, entries: list[Entry], secret: _Secrets
) -> Iterator[dict[str, Any]]:
    for entry in entries:
        if entry.body.get("details_sha256") is None:
            continue
        sealed = personal.sealed_of(connection, entry)
        if sealed is None or _is_secret(entry, sealed.details, secret):
            # Without the salt too: with it an address could be tried out against the digest.
            yield {"seq": entry.seq, "withheld": WITHHELD}
        else:
            yield {"seq": entry.seq, "salt": sealed.salt, "details": sealed.details}


def _is_secret(entry: Entry, details: str, secret: _Secrets) -> bool:
    """Whether a protected address is told, or was corrected: an old one is protected too."""
    about_address = any(f'"{name}"' in details or f"{name}=" in details for name in ADDRESS)
    is_changed = entry.kind in ("line.corrected", "phone_in.recorded") and about_address
    return secret.tells(details) or (is_changed and entry.line_id in secret.line_ids)


def _strokes(connection: Connection) -> Iterator[dict[str, Any]]:
    rows = connection.execute(select(queries.drawing).order_by(queries.drawing.c.seq))
    for row in rows:
        yield {"seq": row.seq, "strokes": row.strokes}


def _lists(connection: Connection, secret: _Secrets) -> Iterator[dict[str, Any]]:
    for kept in late_lists.all_lists(connection):
        about = {**asdict(kept), "kind": kept.kind.value}
        of_list = late_lists.late_rows.c.list_id == kept.list_id
        chosen = select(late_lists.late_rows).where(of_list)
        ordered = chosen.order_by(late_lists.late_rows.c.row_number)
        rows = [
            {"row_number": row.row_number, "row": row.row, "decision": row.decision,
             "result": row.result}
            for row in connection.execute(ordered)
        ]  # fmt: skip
        gone = [asdict(one) for one in late_lists.gone_of(connection, kept.list_id)]
        told = [bool(_tells_row(row, secret)) for row in rows]
        if any(told):
            about["salt"] = ""
        shown = [
            {"row_number": row["row_number"], "withheld": WITHHELD} if is_secret else row
            for row, is_secret in zip(rows, told, strict=True)
        ]
        yield {"list": about, "rows": shown, "gone": gone}


def _tells_row(row: dict[str, Any], secret: _Secrets) -> bool:
    return any(secret.tells(row[name] or "") for name in ("row", "decision", "result"))


def _workers(connection: Connection) -> list[dict[str, str]]:
    return [
        {"worker_id": one.worker_id, "name": one.name, "initials": one.initials, "role": one.role}
        for one in people.all_workers(connection)
    ]


def _lines(rows: Iterator[dict[str, Any]]) -> bytes:
    return "".join(f"{canonical(row)}\n" for row in rows).encode()


def withheld_in(files: Mapping[str, bytes]) -> int:
    """How many details and rows of lists are left out of the files."""
    lists = [json.loads(line) for line in files[LISTS].splitlines()]
    rows = [row for one in lists for row in one["rows"]]
    rows += [json.loads(line) for line in files[PERSONAL].splitlines()]
    return sum("withheld" in row for row in rows)
