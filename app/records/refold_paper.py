"""What the log says of hours on paper, refolded: is each entry one that could follow?

One hour is open at a time, its rows are numbered without a gap, and its end counts them right.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field

from sqlalchemy import Connection

from app.records import queries
from app.records.entry import Entry
from app.records.fold import DoesNotFit


@dataclass(slots=True)
class PaperSoFar:
    """`rows` of the open hour by number: what became of each, and the entry that decided it.

    `signs` are rows of which a signature must follow, by the entry, and the line of each.
    """

    begun_seq: int | None = None
    rows: dict[int, tuple[str, int]] = field(default_factory=dict)
    signs: dict[int, str | None] = field(default_factory=dict)

    def fold(self, connection: Connection, entry: Entry) -> None:
        """DoesNotFit where the entry cannot follow those before it."""
        if entry.kind == "paper.begun":
            _must_show(connection, entry)
        check = _CHECKS.get(entry.kind)
        if check:
            check(self, entry)

    def must_be_open(self, entry: Entry) -> None:
        if self.begun_seq is None or self.begun_seq != entry.body["begun_seq"]:
            raise DoesNotFit(f"no hour on paper of entry {entry.body['begun_seq']} is open")


def _must_show(connection: Connection, entry: Entry) -> None:
    """The printed register may show entries that this record lost; else the hash is theirs."""
    seq = entry.body["head_seq"]
    is_here = seq is not None and seq < entry.seq
    if entry.body["head_hash"] != (queries.entry(connection, seq).hash if is_here else None):
        raise DoesNotFit(f"the printed register does not show the log up to entry {seq}")


def _begun(paper: PaperSoFar, entry: Entry) -> None:
    if paper.begun_seq is not None:
        raise DoesNotFit(f"the hour on paper of entry {paper.begun_seq} is not caught up")
    paper.begun_seq, paper.rows = entry.seq, {}


def _keyed(paper: PaperSoFar, entry: Entry) -> None:
    paper.must_be_open(entry)
    number, effect = entry.body["row_number"], entry.body["effect"]
    if number != len(paper.rows) + 1:
        raise DoesNotFit(f"row {number} is not the next one of the paper")
    if (effect == "waits") != (entry.line_id is None):
        raise DoesNotFit("a row of somebody on no line waits, and no other does")
    if effect == "no_line":
        raise DoesNotFit("a row waits before the lead settles it")
    paper.rows[number] = effect, entry.seq
    if effect == "signed":
        paper.signs[entry.seq] = entry.line_id


def _settled(paper: PaperSoFar, entry: Entry) -> None:
    paper.must_be_open(entry)
    number, effect = entry.body["row_number"], entry.body["effect"]
    if paper.rows.get(number) != ("waits", entry.body["keyed_seq"]):
        raise DoesNotFit(f"row {number} does not wait")
    if (effect == "no_line") != (entry.line_id is None) or effect == "waits":
        raise DoesNotFit("a row is settled on a line, or without one")
    paper.rows[number] = effect, entry.seq
    if effect == "signed":
        paper.signs[entry.seq] = entry.line_id


def _undone(paper: PaperSoFar, entry: Entry) -> None:
    paper.must_be_open(entry)
    number = entry.body["row_number"]
    effect, seq = paper.rows.get(number, ("undone", 0))
    if effect == "undone" or seq != entry.body["keyed_seq"]:
        raise DoesNotFit(f"row {number} does not stand")
    paper.rows[number] = "undone", seq


def _signed(paper: PaperSoFar, entry: Entry) -> None:
    """A row signs once; the signature that is moved to another line is still the row's."""
    caught_up = entry.body.get("caught_up")
    if caught_up is None or entry.body["moved_from"]:
        return
    if paper.signs.pop(caught_up["row_seq"], "") != entry.line_id:
        raise DoesNotFit(f"entry {caught_up['row_seq']} keyed no such signature")


def _caught_up(paper: PaperSoFar, entry: Entry) -> None:
    paper.must_be_open(entry)
    body = entry.body
    effects = Counter(effect for effect, _ in paper.rows.values())
    lines = len(paper.rows) - effects["undone"]
    counted = (lines, effects["duplicate"], effects["waits"], effects["no_line"])
    said = (body["lines"], body["duplicates"], body["waiting"], body.get("no_line", 0))
    if counted != said:
        raise DoesNotFit("the rows of the paper are not as many as it says")
    if (lines != body["counted"] or effects["waits"]) and not body["reason"]:
        raise DoesNotFit("the rows are not those counted on paper, and nobody says why")
    if paper.signs:
        raise DoesNotFit(f"the row of entry {min(paper.signs)} has no signature")
    paper.begun_seq = None


_CHECKS: Mapping[str, Callable[[PaperSoFar, Entry], None]] = {
    "paper.begun": _begun,
    "paper.row_keyed": _keyed,
    "paper.row_settled": _settled,
    "paper.row_undone": _undone,
    "signature.recorded": _signed,
    "paper.caught_up": _caught_up,
}
