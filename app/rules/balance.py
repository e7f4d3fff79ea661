"""The identities of the close: what the machines or the ballots say beside what the table signed.

Pure, and every term is a count of the log's entries, so that whoever has the log can count again
(ACE Project, closing and reconciliation; the arithmetic is our own, see `tests/rules`).

    expected   = signatures standing - signed and left without voting
    machines   = sum of the public counters at the close
    difference = machines - expected
    each machine: protective(close) - protective(opening) = public(close) - public(opening)
    provisional envelopes apart = provisional.recorded - provisional.withdrawn

Where ballots on paper are counted, provisional ballots are taken from the same stock, and
`spoiled` are all spoiled ones, found bad or given back; `reissued` says how many were given back:

    ballots    = received + resupplied - unused - spoiled - provisional envelopes
    difference = ballots - expected
    issued     = signatures + reissued + provisional envelopes
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import asdict, dataclass
from typing import Literal

from app.rules.day_facts import BallotCount, DayFacts, ListTotal
from app.rules.machine_readings import Reading, placed, standing
from app.rules.paper_ballots import ADDED_UP, COUNTED
from app.rules.policy import CountedBy
from app.rules.setting import Setting

# Without these the ballots that went out cannot be counted; none resupplied or reissued is 0.
_NEEDED_BALLOTS = ("received", "unused", "spoiled")


@dataclass(frozen=True, slots=True)
class Terms:
    """The terms of the balance. None: not read or counted yet.

    `machines` sums the closing readings of the machines that were read.
    """

    counted_by: CountedBy
    signatures_printed: int
    signatures_listed: int
    signatures_affidavit: int
    left: int
    provisional_recorded: int
    provisional_withdrawn: int
    machines: int | None
    received: int | None
    resupplied: int | None
    issued: int | None
    spoiled: int | None
    reissued: int | None
    unused: int | None

    @property
    def signatures(self) -> int:
        return self.signatures_printed + self.signatures_listed + self.signatures_affidavit

    @property
    def expected(self) -> int:
        return self.signatures - self.left

    @property
    def provisional(self) -> int:
        return self.provisional_recorded - self.provisional_withdrawn

    @property
    def counted(self) -> int | None:
        """How many ballots the machines counted, or went out on paper to those who signed."""
        if self.counted_by == "machines":
            return self.machines
        if self.received is None or self.unused is None or self.spoiled is None:
            return None
        stock = self.received + (self.resupplied or 0)
        return stock - self.unused - self.spoiled - self.provisional

    @property
    def difference(self) -> int | None:
        """Of what is counted so far: a machine that is not read is missing from it."""
        return None if self.counted is None else self.counted - self.expected

    @property
    def issued_difference(self) -> int | None:
        """Ballots issued by their stubs, beside those who should have got one."""
        if self.issued is None:
            return None
        return self.issued - self.signatures - (self.reissued or 0) - self.provisional

    def as_body(self) -> dict[str, int | str | None]:
        """As it stands in the entry of the close: the terms, and what follows from them."""
        derived = {
            "signatures": self.signatures,
            "expected": self.expected,
            "provisional": self.provisional,
            "counted": self.counted,
        }
        return {**asdict(self), **derived}


@dataclass(frozen=True, slots=True)
class MachineBalance:
    """One machine at opening and close.

    `protective_opening` is the package's where none was read.
    """

    serial: str
    public_opening: int | None
    public_close: int | None
    protective_opening: int | None
    protective_close: int | None

    @property
    def public_moved(self) -> int | None:
        return None if self.public_close is None else self.public_close - (self.public_opening or 0)

    @property
    def protective_moved(self) -> int | None:
        if self.protective_close is None or self.protective_opening is None:
            return None
        return self.protective_close - self.protective_opening

    @property
    def agrees(self) -> bool | None:
        """Whether both counters moved by the same amount; None where one is not known."""
        if self.public_moved is None or self.protective_moved is None:
            return None
        return self.public_moved == self.protective_moved


@dataclass(frozen=True, slots=True)
class ButtonBalance:
    button: str
    signed: int
    machines: int

    @property
    def difference(self) -> int:
        return self.machines - self.signed


@dataclass(frozen=True, slots=True)
class ListBalance:
    """`reason`: why the two differ, as the lead wrote it when the list on paper was finished."""

    list_seq: int
    name: str
    list_kind: str
    printed_total: int
    count: int
    reason: str = ""

    @property
    def difference(self) -> int:
        return self.count - self.printed_total

    @property
    def is_open(self) -> bool:
        """Whether the two differ and nobody has said why."""
        return bool(self.difference) and not self.reason


@dataclass(frozen=True, slots=True)
class Missing:
    """What is not read, counted or keyed yet.

    A machine by its serial, a count of ballots by its name, a time on paper by when it began.
    """

    what: Literal["machine", "ballots", "paper"]
    name: str


@dataclass(frozen=True, slots=True)
class Balance:
    """Every identity of the day. `by_button` None: not compared here, or not read."""

    terms: Terms
    machines: tuple[MachineBalance, ...]
    lists: tuple[ListBalance, ...]
    by_button: tuple[ButtonBalance, ...] | None
    missing: tuple[Missing, ...]

    @property
    def difference(self) -> int | None:
        """None while something is not read yet; see `so_far`."""
        return None if self.missing else self.so_far

    @property
    def so_far(self) -> int | None:
        return self.terms.difference

    @property
    def balances(self) -> bool:
        """Whether the day can be closed without a word: nothing missing, nothing differs."""
        lists_differ = any(one.is_open for one in self.lists)
        buttons_differ = any(one.difference for one in self.by_button or ())
        return not (self.missing or self.so_far or lists_differ or buttons_differ)


def terms_of(facts: DayFacts, counted_by: CountedBy) -> Terms:
    """The terms, from the log's facts alone."""
    by_part = [facts.added.get(line_id, "printed") for line_id in facts.signed]
    totals = ballot_totals(facts.ballots)
    close = [one for one in _last_of_each(placed(facts.readings)) if one.at_moment == "close"]
    return Terms(
        counted_by,
        by_part.count("printed"),
        by_part.count("list"),
        by_part.count("affidavit"),
        len(facts.left),
        facts.provisional_recorded,
        facts.provisional_withdrawn,
        sum(one.public for one in close) if close else None,
        **totals,
    )


def balance_of(facts: DayFacts, setting: Setting) -> Balance:
    """Every identity; what the package states of machines is needed beside the log."""
    terms = terms_of(facts, setting.policy.counted_by)
    machines = tuple(_machines(facts, setting))
    return Balance(
        terms,
        machines,
        tuple(_list_balance(one) for one in facts.lists.values()),
        _by_button(facts, setting, [one.serial for one in machines]),
        (*_missing(terms, machines), *_not_caught_up(facts)),
    )


def ballot_totals(counts: Iterable[BallotCount]) -> dict[str, int | None]:
    """What stands of each count; resupplies are added up."""
    totals: dict[str, int | None] = dict.fromkeys(COUNTED)
    for one in counts_standing(counts):
        before = totals[one.what] if one.what in ADDED_UP else None
        totals[one.what] = one.count + (before or 0)
    return totals


def counts_standing(counts: Iterable[BallotCount]) -> list[BallotCount]:
    """Those that no later count replaces."""
    known = list(counts)
    replaced = {one.replaces for one in known}
    return [one for one in known if one.seq not in replaced]


def _last_of_each(readings: Iterable[Reading]) -> list[Reading]:
    """The last standing reading of each machine and moment."""
    return list({(one.serial, one.at_moment): one for one in readings}.values())


def _machines(facts: DayFacts, setting: Setting) -> Iterable[MachineBalance]:
    readings = placed(facts.readings)
    packaged = {one.serial: one.protective_counter for one in setting.machines}
    for serial in dict.fromkeys((*packaged, *(one.serial for one in readings))):
        opening = standing(readings, serial, "opening")
        close = standing(readings, serial, "close")
        read = opening.protective if opening else None
        yield MachineBalance(
            serial,
            opening.public if opening else None,
            close.public if close else None,
            packaged.get(serial) if read is None else read,
            close.protective if close else None,
        )


def _list_balance(one: ListTotal) -> ListBalance:
    return ListBalance(one.seq, one.name, one.list_kind, one.total, one.count, one.reason)


def _by_button(
    facts: DayFacts, setting: Setting, serials: Iterable[str]
) -> tuple[ButtonBalance, ...] | None:
    """None unless every machine's closing reading has its counts by button."""
    readings = placed(facts.readings)
    close = [standing(readings, serial, "close") for serial in serials]
    counts = [one.by_button for one in close if one and one.by_button is not None]
    if not setting.policy.reconcile_ballots_by_button or not counts or len(counts) < len(close):
        return None
    signed: dict[str, int] = {}
    for each in facts.voting:
        signed[str(each.button)] = signed.get(str(each.button), 0) + 1
    buttons = {*map(str, setting.ballot_buttons), *signed, *(key for one in counts for key in one)}
    return tuple(
        ButtonBalance(button, signed.get(button, 0), _sum_of(counts, button))
        for button in sorted(buttons, key=lambda text: (len(text), text))
    )


def _sum_of(counts: Iterable[Mapping[str, int]], button: str) -> int:
    return sum(one.get(button, 0) for one in counts)


def _not_caught_up(facts: DayFacts) -> Iterable[Missing]:
    """Signatures may stand on paper still, so that what is counted of them is not whole."""
    return [Missing("paper", one.begins) for one in facts.paper if one.finished is None]


def _missing(terms: Terms, machines: Iterable[MachineBalance]) -> Iterable[Missing]:
    if terms.counted_by == "machines":
        return [Missing("machine", one.serial) for one in machines if one.public_close is None]
    return [Missing("ballots", what) for what in _NEEDED_BALLOTS if getattr(terms, what) is None]
