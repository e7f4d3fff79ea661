"""Whatever the table and the lead do in whatever order, with a model as plain as a paper book.

At no time does one person hold two ordinary ballots, no action is lost, a refusal leaves no
trace, and the state refolded from the log is the one that is kept.
"""

from __future__ import annotations

import datetime
import itertools
import tempfile
from collections import Counter
from collections.abc import Callable, Iterator
from dataclasses import replace
from pathlib import Path
from typing import TypeVar

from hypothesis import settings
from hypothesis import strategies as st
from hypothesis.stateful import RuleBasedStateMachine, initialize, invariant, precondition, rule

from app.desk import affidavits, leaving, moving, provisional, signing
from app.desk.affidavits import Affidavit
from app.desk.day import extend_hours, take_turn, withdraw_turn
from app.desk.elsewhere import ElsewhereFinder
from app.desk.evidence import Said
from app.desk.outcomes import Refused
from app.desk.provisional import Envelope
from app.desk.roster import Roster
from app.desk.signing import Signature
from app.desk.turnout import read_turnout
from app.desk.witness import Witness
from app.matching.finder import Finder
from app.records import loading, queries
from app.records.bodies import DayClosed, DayOpened, LineCutOff, MarkRecorded, MarkWithdrawn, Turn
from app.records.body import Body
from app.records.clock import SystemClock
from app.records.entry import Actor
from app.records.store import Store
from app.records.unit import Unit
from app.records.verify import verify
from app.rules.line import MarkKind
from tests.at_work import add_workers
from tests.making import printed, setting

T = TypeVar("T")
ACTOR = Actor("w-lead", "LO", "Lead's desk")
MAIL = MarkKind.VOTED_BY_MAIL
# Names far enough apart that nobody needs to be told from anybody by birth date.
LISTED = ("Quillfeather", "Ironwood", "Saltmarsh", "Thistledown")
UNLISTED = ("Nettlefold", "Okonjo")
PEOPLE = (*LISTED, *UNLISTED)
TURNS: tuple[type[Body], ...] = (DayOpened, LineCutOff, DayClosed)

somebody = st.sampled_from(PEOPLE)
listed = st.sampled_from(LISTED)
in_line = st.sampled_from([None, True, False])
aims = st.integers(0, 99)


class AnyDay(RuleBasedStateMachine):
    """The book: who signed, who left, whose envelope is which, what is marked, how late it is."""

    def __init__(self) -> None:
        super().__init__()
        self.folder = tempfile.TemporaryDirectory()
        store = Store(f"sqlite:///{Path(self.folder.name).as_posix()}/day.db", SystemClock())
        key = loading.fresh_line_key()
        people = [printed(n, last_name=name) for n, name in enumerate(LISTED, 1)]
        lines = loading.identified(people, {}, key)
        the_setting = setting()
        store.writer.write(lambda unit: add_workers(unit, ACTOR))
        store.writer.write(
            lambda unit: loading.store(
                unit, ACTOR, setting=the_setting, lines=lines, files={}, line_key=key
            )
        )
        finder = Finder(lines, election_year=2027)
        self.roster = Roster(store, the_setting, finder, ElsewhereFinder((), the_setting))
        self.tokens = (f"token-number-{number:08}" for number in itertools.count())
        self.line_of = dict(zip(LISTED, (line.line_id for line in lines), strict=True))
        self.entries = 1
        self.turns = 0
        self.orders = 0
        self.signed: set[str] = set()
        self.left: set[str] = set()
        self.marked: set[str] = set()
        self.envelope: dict[str, int] = {}
        self.loose: list[int] = []

    def teardown(self) -> None:
        found = self.roster.store.read(verify)
        self.roster.store.close()
        assert found.holds, found.fault
        self.folder.cleanup()

    def write(self, work: Callable[[Unit, str], T | Refused], entries: int = 1) -> T | None:
        """Do it; then send it again with the same token, as a page would after a lost answer."""
        token = next(self.tokens)
        write = self.roster.store.writer.write
        first = write(lambda unit: work(unit, token))
        if isinstance(first, Refused):
            assert self.head() == self.entries, f"a refusal left a trace: {first.code}"
            return None
        self.entries += entries
        assert self.head() == self.entries
        assert write(lambda unit: work(unit, token)) == first
        assert self.head() == self.entries
        return first

    def head(self) -> int:
        return self.roster.store.read(queries.head).seq

    def is_admitted(self, stood: bool | None) -> bool:
        """Whether the hour lets this person sign."""
        return self.turns == 1 or (self.turns == 2 and stood is True)

    def is_free(self, name: str) -> bool:
        """Whether nothing stands on the person's line."""
        return name not in self.signed | self.marked | set(self.envelope)

    def aimed(self, names: set[str], at: int) -> str:
        """Mostly one of `names`, or the rules would meet each other by chance alone."""
        if names and at < 80:
            return sorted(names)[at % len(names)]
        return PEOPLE[at % len(PEOPLE)]

    @initialize(at=aims)
    def begin(self, at: int) -> None:
        """Most days begin with open polls, or most of them would never open."""
        if at < 80:
            self.take_a_turn(0)

    @rule(name=somebody, stood=in_line, can_write=st.booleans())
    def sign(self, name: str, stood: bool | None, can_write: bool) -> None:
        line_id = self.line_of.get(name)
        if line_id is None:
            return
        signature = Signature("paper", said=Said(in_line_at_cut_off=stood))
        if not can_write:
            witness = Witness("Wilhelmina Ash", "paper")
            signature = replace(signature, how="mark", mark="none", witness=witness)
        done = self.write(
            lambda unit, token: signing.sign(unit, self.roster, ACTOR, token, line_id, signature)
        )
        assert (done is not None) is (self.is_free(name) and self.is_admitted(stood))
        if done:
            self.signed.add(name)

    @precondition(lambda self: self.signed)
    @rule(at=aims, why=st.sampled_from(["wrong_line", "spoiled", "other"]))
    def withdraw(self, at: int, why: signing.Why) -> None:
        name = self.aimed(self.left if at % 2 else self.signed, at)
        line_id = self.line_of.get(name)
        if line_id is None:
            return
        done = self.write(
            lambda unit, token: signing.withdraw(unit, ACTOR, token, line_id, "a reason", why)
        )
        assert (done is not None) is (name in self.signed)
        self.signed.discard(name)
        self.left.discard(name)

    @precondition(lambda self: self.signed)
    @rule(at=aims, to=somebody)
    def move(self, at: int, to: str) -> None:
        name = self.aimed(self.signed, at)
        here, there = self.line_of.get(name), self.line_of.get(to)
        if here is None or there is None or here == there:
            return
        done = self.write(
            lambda unit, token: moving.move(
                unit, self.roster, ACTOR, token, here, there, "wrong line", Said()
            ),
            entries=2,
        )
        assert (done is not None) is (name in self.signed and self.is_free(to))
        if done:
            self.signed.remove(name)
            self.left.discard(name)
            self.signed.add(to)

    @precondition(lambda self: self.signed)
    @rule(at=aims, is_back=st.booleans())
    def leave_or_come_back(self, at: int, is_back: bool) -> None:
        name = self.aimed(self.left if is_back else self.signed, at)
        line_id = self.line_of.get(name)
        if line_id is None:
            return
        task = leaving.come_back if is_back else leaving.leave
        done = self.write(lambda unit, token: task(unit, ACTOR, token, line_id, "a reason"))
        assert (done is not None) is (name in self.signed and (name in self.left) is is_back)
        if done:
            (self.left.discard if is_back else self.left.add)(name)

    @rule(name=listed)
    def a_late_list_marks_or_lifts(self, name: str) -> None:
        body = (
            MarkWithdrawn(mark=MAIL, reason="the registrar called")
            if name in self.marked
            else MarkRecorded(mark=MAIL, source="a late list")
        )
        token, line_id = next(self.tokens), self.line_of[name]
        self.roster.store.writer.write(lambda unit: unit.append(ACTOR, token, body, line_id))
        self.entries += 1
        self.marked ^= {name}

    @rule(name=somebody, stood=in_line)
    def affidavit(self, name: str, stood: bool | None) -> None:
        paper = Affidavit(
            last_name=name,
            first_name="Odette",
            birth_date="5/17/1980",
            authorised_by="Clerk on duty",
            authorised_how="phone",
            street_address="8 Ropewalk Lane",
            ballot_button=1,
            said=Said(in_line_at_cut_off=stood),
        )
        done = self.write(
            lambda unit, token: affidavits.add(unit, self.roster, ACTOR, token, paper),
            entries=2,
        )
        may = name not in self.line_of and self.is_admitted(stood)
        assert (done is not None) is may
        if done:
            self.line_of[name] = done.line.line_id
            self.signed.add(name)

    @rule(name=somebody, stood=in_line, number=st.integers(1, 30))
    def provisional_ballot(self, name: str, stood: bool | None, number: int) -> None:
        line_id = self.line_of.get(name)
        reason = self.reason_for(name, stood)
        paper = Envelope(
            envelope=f"P-{number}",
            reason=reason or "not-on-a-list",
            name=name,
            line_id=line_id,
            street_address="8 Ropewalk Lane",
            ballot_button=1,
            said=Said(in_line_at_cut_off=stood),
        )
        used = self.used()
        done = self.write(
            lambda unit, token: provisional.record(unit, self.roster, ACTOR, token, paper)
        )
        is_hour = self.turns == 1 or (
            self.turns == 2 and (stood is True or (stood is False and self.orders > 0))
        )
        may = is_hour and reason is not None and f"P-{number}" not in used
        assert (done is not None) is may
        if done and line_id:
            self.envelope[name] = done.entry.seq
        elif done:
            self.loose.append(done.entry.seq)
        if done:
            is_extended = self.turns == 2 and stood is False
            kept = "extended_hours" if is_extended else "ordinary"
            assert done.entry.body["ballot_class"] == kept

    def reason_for(self, name: str, stood: bool | None) -> str | None:
        """Why this person cannot simply sign; None where they can, or have an envelope."""
        if name not in self.line_of:
            return "not-on-a-list"
        if name in self.envelope:
            return None
        stands = [
            code
            for code, names in (("already-signed", self.signed), ("voted-by-mail", self.marked))
            if name in names
        ]
        if stands:
            return "lists-contradict" if len(stands) > 1 else stands[0]
        return "extended-hours" if self.turns == 2 and stood is False and self.orders else None

    def used(self) -> set[str]:
        ballots = self.roster.store.read(provisional.all_ballots)
        return {ballot.entry.body["envelope"] for ballot in ballots}

    @precondition(lambda self: self.envelope or self.loose)
    @rule(place=st.integers(0, 9))
    def withdraw_provisional(self, place: int) -> None:
        standing = [*self.envelope.values(), *self.loose]
        seq = standing[place % len(standing)]
        done = self.write(
            lambda unit, token: provisional.withdraw(unit, ACTOR, token, seq, "a mistake")
        )
        assert done is not None
        self.envelope = {name: kept for name, kept in self.envelope.items() if kept != seq}
        self.loose = [kept for kept in self.loose if kept != seq]

    @rule(number=st.integers(0, 2))
    def take_a_turn(self, number: int) -> None:
        turn = TURNS[number]
        done = self.write(lambda unit, token: take_turn(unit, ACTOR, token, turn))
        assert (done is not None) is (number == self.turns)
        self.turns += done is not None

    @rule(turn=st.sampled_from(["day.opened", "line.cut_off", "day.closed", "hours.extended"]))
    def take_back(self, turn: Turn) -> None:
        done = self.write(
            lambda unit, token: withdraw_turn(unit, ACTOR, token, turn, "pressed by mistake")
        )
        if turn == "hours.extended":
            assert (done is not None) is (self.orders > 0)
            self.orders -= done is not None
            return
        latest = (None, "day.opened", "line.cut_off", "day.closed")[self.turns]
        assert (done is not None) is (turn == latest)
        self.turns -= done is not None

    @rule()
    def an_order_extends_the_hours(self) -> None:
        until = datetime.time(21)
        done = self.write(
            lambda unit, token: extend_hours(unit, self.roster, ACTOR, token, "Order 1", until)
        )
        assert (done is not None) is (self.turns in (1, 2))
        self.orders += done is not None

    @invariant()
    def nobody_holds_two_ordinary_ballots(self) -> None:
        """Counted from the log alone: signatures that stand, by the person whose line it is."""
        held = Counter(dict(self.standing_signatures()).values())
        assert all(many == 1 for many in held.values())
        owners = {line_id: name for name, line_id in self.line_of.items()}
        assert len(owners) == len(self.line_of)
        assert {owners[line_id] for line_id in held} == self.signed

    @invariant()
    def the_turnout_is_who_signed_and_who_has_an_envelope(self) -> None:
        total = read_turnout(self.roster, datetime.datetime.now(datetime.UTC)).hourly.total
        envelopes = len(self.envelope) + len(self.loose)
        assert (total.signed, total.provisional) == (len(self.signed), envelopes)

    def standing_signatures(self) -> Iterator[tuple[int, str]]:
        entries = list(self.roster.store.read(lambda c: list(queries.entries_after(c, 0))))
        gone = {e.body["signature_seq"] for e in entries if e.kind == "signature.withdrawn"}
        for entry in entries:
            if entry.kind == "signature.recorded" and entry.seq not in gone:
                yield entry.seq, str(entry.line_id)

    @invariant()
    def the_record_is_what_the_book_says(self) -> None:
        assert self.head() == self.entries
        ids = list(self.line_of.values())
        stored = self.roster.store.read(lambda c: queries.stored_states(c, ids))
        for name, line_id in self.line_of.items():
            state = stored[line_id].state
            assert (state.signature is not None) is (name in self.signed)
            assert (state.left is not None) is (name in self.left)
            assert bool(state.marks) is (name in self.marked)
            given = state.provisional.seq if state.provisional else None
            assert given == self.envelope.get(name)


TestAnyDay = AnyDay.TestCase
TestAnyDay.settings = settings(max_examples=40, stateful_step_count=40, deadline=None)
