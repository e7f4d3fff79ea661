"""The lines of the register in the order of the register, each with what stands on it now.

Read part by part inside one snapshot: of a large register only the order is held, and that is
what the finder sorts by: names as they are folded for finding.
"""

from __future__ import annotations

import json
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any
from zoneinfo import ZoneInfo

from sqlalchemy import Connection, select

from app.desk.witness import with_witness
from app.matching.names import fold, fold_suffix
from app.papers.register_pages import (
    PrintedMarkOn,
    RegisterRow,
    SignatureOn,
    Signed,
    Stamp,
    Struck,
)
from app.records import queries
from app.records.clock import from_text
from app.records.corrected import all_details
from app.records.entry import Entry
from app.records.rows import entry_from_row, line_from_row
from app.rules.line import Act, Line, LineState, Mark, Part, as_shown, state_as_printed

# Lines read at a time: their signatures are read with them, up to 64 kB each.
LINES_AT_ONCE = 200

_BEFORE_ALL = "\0"
_NAMES = ("last_name", "first_name", "middle_name", "suffix")


@dataclass(frozen=True, slots=True)
class Reading:
    """One snapshot of the record, and the clock of the polling place.

    `as_loaded`: the lines as the package has them, with nothing that happened since.
    """

    connection: Connection
    zone: ZoneInfo
    as_loaded: bool = False

    def rows(self, *parts: Part, without: frozenset[str] = frozenset()) -> Iterator[RegisterRow]:
        """The lines of these parts, last name first; those of `without` are left out."""
        corrected = {} if self.as_loaded else all_details(self.connection)
        keys = self._in_order(parts, corrected)
        for start in range(0, len(keys), LINES_AT_ONCE):
            ids = [key.rpartition(_BEFORE_ALL)[2] for key in keys[start : start + LINES_AT_ONCE]]
            yield from self._some([one for one in ids if one not in without], corrected)

    def signature_of(self, act: Act) -> SignatureOn:
        """The signature that `act` recorded."""
        return self._signature(queries.entry(self.connection, act.seq))

    def stamp(self, act: Act) -> Stamp:
        return Stamp(self.local(act.at), act.initials)

    def local(self, at: datetime) -> datetime:
        return at.astimezone(self.zone)

    def _in_order(
        self, parts: Sequence[Part], corrected: Mapping[str, Mapping[str, Any]]
    ) -> list[str]:
        """A text for each line, in the order of a register; its last part is the line_id.

        One text a line, its parts held apart by what sorts before any letter: nothing else of
        the lines is held.
        """
        lines = queries.lines.c
        wanted = lines.part.in_([part.value for part in parts])
        columns = [lines.line_id, lines.voter_number, *(lines[name] for name in _NAMES)]
        return sorted(
            _BEFORE_ALL.join((*_key(names, corrected.get(line_id, {})), number, line_id))
            for line_id, number, *names in self.connection.execute(select(*columns).where(wanted))
        )

    def _some(
        self, ids: Sequence[str], corrected: Mapping[str, Mapping[str, Any]]
    ) -> Iterator[RegisterRow]:
        if self.as_loaded:
            stored = _as_stored(self.connection, ids)
            yield from (_row(stored[one], ()) for one in ids)
            return
        lines = queries.lines_with(self.connection, ids)
        states = queries.stored_states(self.connection, ids)
        entries = _entries(self.connection, [states[one].state for one in ids])
        for one in ids:
            line, state = lines[one], states[one].state
            changed = tuple(corrected.get(one, {}))
            yield _row(line, changed, **self._standing(state, entries))

    def _standing(self, state: LineState, entries: Mapping[int, Entry]) -> dict[str, Any]:
        """What stands on a line, as its row has it."""
        return {
            "marks": tuple(map(self._mark, state.marks)),
            "signature": self._signature(entries[state.signature.seq]) if state.signature else None,
            "struck": self._struck(entries[state.removed.seq]) if state.removed else None,
            "left": self.stamp(state.left) if state.left else None,
            "provisional": self._provisional(state.provisional, entries),
        }

    def _mark(self, mark: Mark) -> PrintedMarkOn:
        by = self.stamp(mark.act) if mark.act else Stamp(None, mark.initials)
        return PrintedMarkOn(mark.kind, mark.source, by)

    def _signature(self, entry: Entry) -> SignatureOn:
        whole = with_witness(self.connection, entry)
        how: Signed = "no_mark" if entry.body.get("mark") == "none" else entry.body["how"]
        drawn = queries.strokes(self.connection, entry.seq) if _is_drawn(entry) else None
        return SignatureOn(
            how,
            self._stamp_of(entry),
            json.loads(drawn) if drawn else None,
            whole.body.get("witness_name", ""),
        )

    def _struck(self, entry: Entry) -> Struck:
        return Struck(self._stamp_of(entry), entry.body["reason"])

    def _provisional(
        self, act: Act | None, entries: Mapping[int, Entry]
    ) -> tuple[str, Stamp] | None:
        return (entries[act.seq].body["envelope"], self.stamp(act)) if act else None

    def _stamp_of(self, entry: Entry) -> Stamp:
        return Stamp(self.local(from_text(entry.at)), entry.initials)


def _key(names: Sequence[str], details: Mapping[str, Any]) -> tuple[str, ...]:
    last, first, middle, suffix = (
        details.get(name, value) for name, value in zip(_NAMES, names, strict=True)
    )
    return fold(last), fold(first), fold(middle), fold_suffix(suffix)


def _is_drawn(entry: Entry) -> bool:
    return entry.body["strokes_sha256"] is not None


def _as_stored(connection: Connection, ids: Sequence[str]) -> dict[str, Line]:
    lines = queries.lines
    found = connection.execute(select(lines).where(lines.c.line_id.in_(ids))).mappings()
    return {row["line_id"]: line_from_row(dict(row)) for row in found}


def _entries(connection: Connection, states: Sequence[LineState]) -> dict[int, Entry]:
    """The entries that say more of what stands: signatures, removals, provisional ballots."""
    acts = [act for one in states for act in (one.signature, one.removed, one.provisional) if act]
    log = queries.day_log
    found = connection.execute(select(log).where(log.c.seq.in_([act.seq for act in acts])))
    return {row["seq"]: entry_from_row(dict(row)) for row in found.mappings()} if acts else {}


def _row(line: Line, corrected: tuple[str, ...], **standing: Any) -> RegisterRow:
    """The line as it may be printed: a secret address is blank."""
    printed = as_shown(line).printed
    by_print = {"marks": tuple(map(_as_printed, state_as_printed(line.printed).marks))}
    return RegisterRow(
        voter_number=printed.voter_number,
        name=printed.name_last_first,
        last_name=printed.last_name,
        birth_date=printed.birth_date,
        address=_address(printed.street_address, printed.city, printed.postal_code),
        is_address_protected=printed.address_protected,
        mothers_maiden_name=printed.mothers_maiden_name,
        party=printed.party,
        ballot_button=printed.ballot_button,
        assistance=printed.assistance,
        address_confirmation=printed.address_confirmation,
        part=printed.part,
        corrected=_tellable(corrected, is_secret=printed.address_protected),
        **{**by_print, **standing},
    )


def _tellable(corrected: Sequence[str], *, is_secret: bool) -> tuple[str, ...]:
    """What was corrected; that a secret address was is nobody's business."""
    address = {"street_address", "city", "postal_code"}
    return tuple(one for one in corrected if not (is_secret and one in address))


def _as_printed(mark: Mark) -> PrintedMarkOn:
    return PrintedMarkOn(mark.kind, mark.source, Stamp(None, mark.initials))


def _address(street: str, city: str, postal_code: str) -> str:
    place = " ".join(filter(None, (city, postal_code)))
    return ", ".join(filter(None, (street, place)))
