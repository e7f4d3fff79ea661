"""The proof of a list worked on paper: every row as it was keyed, on letter pages, to be signed.

What stands on it is given as facts; the layout is in `ruled_pages`. No address is printed, and
no birth date: neither is among the facts.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import datetime
from typing import Literal

from app.papers.made import HASH_DIGITS, in_fours
from app.papers.ruled_pages import Band, Column, RuledPages
from app.papers.words import WORDS, Language, written_date, written_time
from app.rules.late_list import ListKind
from app.rules.policy import Policy
from app.rules.setting import Setting

Keyed = Literal["mark", "remove", "add", "already", "not_found", "settle"]
How = Literal["line", "add", "refuse"]


@dataclass(frozen=True, slots=True)
class Stamp:
    """Who, and when by the clock of the polling place."""

    at: datetime
    initials: str


@dataclass(frozen=True, slots=True)
class Settlement:
    """How the lead decided a row. `reason` is blank where none is asked for."""

    how: How
    reason: str
    by: Stamp


@dataclass(frozen=True, slots=True)
class TakenBack:
    reason: str
    by: Stamp


@dataclass(frozen=True, slots=True)
class ProofRow:
    """One row. `contradiction` is the code of what it contradicts, blank where nothing."""

    row_number: int
    voter_number: str
    name: str
    keyed: Keyed
    by: Stamp
    is_twice: bool = False
    contradiction: str = ""
    settlement: Settlement | None = None
    taken_back: TakenBack | None = None

    @property
    def counted_as(self) -> str:
        """The one word under which the sum has it, out of `_COUNTED_AS`."""
        if self.taken_back:
            return "undone"
        if self.keyed == "settle":
            if self.settlement is None:
                return "waits"
            return "did" if self.settlement.how == "add" else "left_off"
        return "did" if self.keyed in ("mark", "remove", "add") else self.keyed


@dataclass(frozen=True, slots=True)
class ListProof:
    """Everything that is on the proof. `rows` as they were keyed, `keyed_by` as they began.

    `first_seq` and `last_seq` are the entries it rests on; `head_seq` and `head_hash` tell
    where the log ended when it was made.
    """

    name: str
    kind: ListKind
    printed_total: int
    begun: Stamp
    rows: tuple[ProofRow, ...]
    keyed_by: tuple[str, ...]
    first_seq: int
    last_seq: int
    head_seq: int
    head_hash: str
    finished: Stamp | None = None
    reason: str = ""
    is_dropped: bool = False

    @property
    def count(self) -> int:
        return sum(row.taken_back is None for row in self.rows)


_COUNTED_AS = ("did", "already", "not_found", "left_off", "waits", "undone")
_KINDS = {
    ListKind.MAIL_VOTED: "proof.kind.mail_voted",
    ListKind.EARLY_VOTED: "proof.kind.early_voted",
    ListKind.SUPPLEMENTAL: "proof.kind.supplemental",
    ListKind.REMOVALS: "proof.kind.removals",
}
_SETTLED = {
    "line": "proof.settled.line",
    "add": "proof.settled.add",
    "refuse": "proof.settled.refuse",
}
# These are known by a proposal that waits: nothing was done yet that could be written up.
_KEYED_ALONE = "settle"


def list_proof(setting: Setting, proof: ListProof, language: Language) -> bytes:
    """The pages, as PDF. The same facts give the same bytes."""
    return _Proof(setting, proof, language).to_bytes()


class _Proof:
    """One proof being written."""

    def __init__(self, setting: Setting, proof: ListProof, language: Language) -> None:
        self._setting = setting
        self._proof = proof
        self._language: Language = language

    def to_bytes(self) -> bytes:
        is_finished = self._proof.finished is not None
        pages = RuledPages(
            self._setting,
            self._language,
            title=self._words("proof.title" if is_finished else "proof.title_unfinished"),
            columns=self._columns(),
            running=self._running(),
            page_words=self._words("proof.page", page="{page}", pages="{pages}"),
        )
        if not is_finished:
            pages.warning(self._unfinished())
        for label, text in self._facts():
            pages.fact(label, text)
        pages.table([self._band(row) for row in self._proof.rows], self._words("proof.none"))
        pages.closing(
            self._caution(), self._words("proof.signature"), self._words("proof.signed_at")
        )
        return pages.to_bytes()

    def _words(self, key: str, **filled_in: object) -> str:
        return WORDS[self._language][key].format(**filled_in)

    def _unfinished(self) -> str:
        key = "proof.dropped" if self._proof.is_dropped else "proof.unfinished_means"
        return self._words(key)

    def _running(self) -> str:
        """What stands at the foot of every page, so that a single one can be told."""
        setting, proof = self._setting, self._proof
        about = self._words(
            "footer",
            county=setting.precinct.county,
            precinct=setting.precinct.number,
            election=setting.election.name,
        )
        parts = [] if proof.finished else [self._words("proof.unfinished")]
        return " · ".join((*parts, proof.name, about))

    def _columns(self) -> tuple[Column, ...]:
        return (
            Column(self._words("proof.row"), 38),
            Column(self._words("proof.number"), 92),
            Column(self._words("proof.name"), 160),
            Column(self._words("proof.done"), 128),
            Column(self._words("proof.when"), 72),
            Column(self._words("proof.initials"), 42),
        )

    def _facts(self) -> Iterator[tuple[str, str]]:
        proof = self._proof
        kind = self._words(_KINDS[proof.kind])
        yield self._words("proof.list"), f"{proof.name} ({kind})"
        yield self._words("proof.total"), str(proof.printed_total)
        yield self._words("proof.count"), f"{proof.count}. {self._agreement()}"
        if proof.finished and proof.reason and proof.count != proof.printed_total:
            yield self._words("proof.why"), proof.reason
        if proof.rows:
            yield self._words("proof.sum"), f"{len(proof.rows)}: {self._sum()}"
        yield self._words("proof.begun"), self._stamp(proof.begun)
        if proof.finished:
            yield self._words("proof.finished"), self._stamp(proof.finished)
        if proof.keyed_by:
            yield self._words("proof.keyed_by"), ", ".join(proof.keyed_by)
        yield self._words("proof.log"), self._log()

    def _agreement(self) -> str:
        difference = abs(self._proof.count - self._proof.printed_total)
        if difference == 0:
            return self._words("proof.agree")
        return self._words("proof.differ", difference=difference)

    def _sum(self) -> str:
        found = Counter(row.counted_as for row in self._proof.rows)
        return ", ".join(
            self._words(self._part(word), n=found[word]) for word in _COUNTED_AS if found[word]
        )

    def _part(self, word: str) -> str:
        return f"proof.part.did.{self._proof.kind}" if word == "did" else f"proof.part.{word}"

    def _log(self) -> str:
        proof = self._proof
        return self._words(
            "proof.log_entries",
            first=proof.first_seq,
            last=proof.last_seq,
            seq=proof.head_seq,
            hash=in_fours(proof.head_hash[:HASH_DIGITS]),
        )

    def _stamp(self, stamp: Stamp) -> str:
        return self._words(
            "proof.by",
            date=written_date(stamp.at.date(), self._language),
            time=written_time(stamp.at.time(), self._language),
            initials=stamp.initials,
        )

    def _time(self, stamp: Stamp) -> str:
        """The hour; with the day where the list was worked on more than one."""
        hour = written_time(stamp.at.time(), self._language)
        is_same_day = stamp.at.date() == self._proof.begun.at.date()
        return hour if is_same_day else f"{hour} {stamp.at.date().isoformat()}"

    def _band(self, row: ProofRow) -> Band:
        cells = (
            str(row.row_number),
            row.voter_number,
            row.name,
            self._words(self._did(row)),
            self._time(row.by),
            row.by.initials,
        )
        return Band(cells, tuple(self._notes(row)))

    def _did(self, row: ProofRow) -> str:
        if row.keyed == "mark":
            return f"proof.did.mark.{self._proof.kind}"
        is_own = self._proof.kind is ListKind.SUPPLEMENTAL and row.keyed in ("already", "not_found")
        return f"proof.did.{row.keyed}.supplemental" if is_own else f"proof.did.{row.keyed}"

    def _notes(self, row: ProofRow) -> Iterator[str]:
        """What is out of the ordinary about a row, plainly in words, under it."""
        if row.is_twice:
            yield self._words("proof.twice")
        if row.contradiction:
            what = self._words(f"proof.against.{row.contradiction}")
            said = self._words("proof.contradicts", what=what)
            written_up = "" if row.keyed == _KEYED_ALONE else self._words("proof.written_up")
            yield f"{said} {written_up}".strip()
        if row.counted_as == "waits":
            yield self._words("proof.waits")
        if row.settlement:
            yield self._settled(row.settlement)
        if row.taken_back:
            yield self._words(
                "proof.undone",
                time=self._time(row.taken_back.by),
                initials=row.taken_back.by.initials,
                reason=row.taken_back.reason,
            )

    def _settled(self, settlement: Settlement) -> str:
        return self._words(
            "proof.settled",
            time=self._time(settlement.by),
            initials=settlement.by.initials,
            what=self._words(_SETTLED[settlement.how], reason=settlement.reason),
        )

    def _caution(self) -> str:
        """The caution of the place; in another language than its own our words before it."""
        caution = self._setting.policy.caution
        if self._language == "en":
            return caution
        ours = self._words("caution")
        return ours if caution == Policy().caution else f"{ours} {caution}"
