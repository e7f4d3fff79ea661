"""Whatever is keyed from paper while tables sign and lists arrive: nobody signs twice, rows add up.

A book of its own says what must have come of each row; the log is refolded at the end.
"""

from __future__ import annotations

from dataclasses import dataclass

from hypothesis import settings
from hypothesis import strategies as st
from hypothesis.stateful import RuleBasedStateMachine, invariant, precondition, rule

from app.desk import catching_up, going_to_paper, paper_settling, signing
from app.desk.catching_up import Caught
from app.desk.going_to_paper import Begun, open_paper_hours
from app.desk.on_paper import OnPaper, Place
from app.desk.outcomes import Refused
from app.desk.paper_hours import open_hour
from app.desk.paper_row_undoing import undo
from app.records import queries
from app.records.unit import Unit
from app.rules.late_list import ListKind
from tests.desk.listing_table import ACTOR, PEOPLE, Table

PERSON = st.sampled_from(PEOPLE)


@dataclass
class Kept:
    """What the book says of a row: who, and what it came to."""

    name: str
    became: str
    is_undone: bool = False


class AnyPaper(RuleBasedStateMachine):
    def __init__(self) -> None:
        super().__init__()
        self.table = Table()
        self.rows: list[Kept] = []
        self.past: list[Kept] = []
        self.lists = 0
        self.go_to_paper()

    def teardown(self) -> None:
        self.table.close()

    def go_to_paper(self) -> None:
        begun = Begun("the laptop is gone")
        done = self.table.write(
            lambda unit, token: going_to_paper.begin(unit, self.table.roster, ACTOR, token, begun)
        )
        assert not isinstance(done, Refused)

    def is_signed(self, name: str) -> bool:
        return self.table.state(name).signature is not None

    @rule(name=PERSON, order=st.integers(1, 9), is_twice=st.booleans())
    def a_row_is_keyed(self, name: str, order: int, is_twice: bool) -> None:
        is_signed = self.is_signed(name)
        standing = [row for row in (*self.past, *self.rows) if not row.is_undone]
        is_there = any(row.name == name for row in standing)
        on_paper = OnPaper(Place("", 1, order), is_twice=is_twice)
        done = self.table.write(
            lambda unit, token: catching_up.key_line(
                unit, self.table.roster, ACTOR, token, self.table.line_of[name], on_paper
            )
        )
        if isinstance(done, Refused):
            assert (done.code, is_there, is_twice) == ("keyed-already", True, False)
            return
        assert is_twice or not is_there
        effect = "duplicate" if is_signed else "signed"
        assert done.row.row.effect == effect
        self.rows.append(Kept(name, effect))

    @rule()
    def somebody_on_no_line_is_keyed(self) -> None:
        done = self.table.write(
            lambda unit, token: catching_up.key_nobody(
                unit, self.table.roster, ACTOR, token, "Nettlefold", "", Place("", 2, 1)
            )
        )
        assert not isinstance(done, Refused)
        self.rows.append(Kept("", "waits"))

    @precondition(lambda self: any(self.waits(row) for row in self.rows))
    @rule(name=st.none() | PERSON, is_twice=st.booleans())
    def the_lead_settles_a_row_that_waits(self, name: str | None, is_twice: bool) -> None:
        at = next(number for number, row in enumerate(self.rows) if self.waits(row))
        standing = [row for row in (*self.past, *self.rows) if not row.is_undone]
        is_there = any(row.name == name for row in standing) and not is_twice
        effect = "duplicate" if name and self.is_signed(name) else "signed"
        done = self.table.write(
            lambda unit, token: self.settle(unit, token, at + 1, name, is_twice)
        )
        if isinstance(done, Refused):
            assert (done.code, name is not None, is_there) == ("keyed-already", True, True)
            return
        assert not (name and is_there)
        self.rows[at] = Kept(name or "", effect if name else "no_line")
        assert done.row.row.effect == self.rows[at].became

    def settle(
        self, unit: Unit, token: str, number: int, name: str | None, is_twice: bool
    ) -> Caught | Refused:
        if name is None:
            return paper_settling.settle_without_line(unit, ACTOR, token, number, "sent on")
        line_id, shown = self.table.line_of[name], OnPaper(Place("", 0, 0), is_twice=is_twice)
        return paper_settling.settle_on_line(
            unit, self.table.roster, ACTOR, token, number, line_id, shown
        )

    @staticmethod
    def waits(row: Kept) -> bool:
        return row.became == "waits" and not row.is_undone

    @precondition(lambda self: self.rows)
    @rule(place=st.integers(0, 9))
    def a_row_is_taken_back(self, place: int) -> None:
        at = place % len(self.rows)
        row = self.rows[at]
        done = self.table.write(lambda unit, token: undo(unit, ACTOR, token, at + 1, "a mistake"))
        assert isinstance(done, Refused) is row.is_undone
        row.is_undone = True

    @rule(name=PERSON)
    def somebody_signs_at_another_table(self, name: str) -> None:
        state = self.table.state(name)
        is_free = not (state.signature or state.marks or state.removed or state.also_on_paper)
        assert self.table.sign(name) is is_free

    @rule(name=PERSON)
    def the_lead_withdraws_a_signature(self, name: str) -> None:
        is_signed = self.is_signed(name)
        done = self.table.write(
            lambda unit, token: signing.withdraw(
                unit, ACTOR, token, self.table.line_of[name], "a mistake"
            )
        )
        assert isinstance(done, Refused) is not is_signed

    @rule(names=st.lists(PERSON, min_size=1, max_size=2, unique=True), is_removal=st.booleans())
    def a_list_comes_late(self, names: list[str], is_removal: bool) -> None:
        self.lists += 1
        kind = ListKind.REMOVALS if is_removal else ListKind.MAIL_VOTED
        content = self.table.content(names)
        brought = self.table.bring(kind, f"list-{self.lists}.csv", content)
        assert not isinstance(brought, Refused)
        self.table.apply(brought)

    @rule(counted=st.integers(0, 9))
    def the_hour_ends_and_another_begins(self, counted: int) -> None:
        standing = [row for row in self.rows if not row.is_undone]
        agrees = counted == len(standing) and all(row.became != "waits" for row in standing)
        done = self.table.write(
            lambda unit, token: going_to_paper.finish(
                unit, ACTOR, token, counted, "", is_lead=False
            )
        )
        assert isinstance(done, Refused) is not agrees
        if agrees:
            assert self.table.roster.store.read(open_paper_hours) == []
            self.past, self.rows = [*self.past, *self.rows], []
            self.go_to_paper()

    @invariant()
    def rows_keyed_are_signed_duplicates_waiting_and_undone(self) -> None:
        hour = self.table.roster.store.read(open_hour)
        assert hour is not None
        found = hour.tally
        standing = [row.became for row in self.rows if not row.is_undone]
        assert found.keyed == len(self.rows)
        assert (found.signed, found.duplicates, found.waiting, found.no_line) == tuple(
            standing.count(effect) for effect in ("signed", "duplicate", "waits", "no_line")
        )
        assert found.standing == len(standing)
        assert found.keyed == found.standing + found.undone

    @invariant()
    def nobody_holds_two_ordinary_signatures(self) -> None:
        for line_id in self.table.line_of.values():
            entries = self.table.roster.store.read(lambda c, of=line_id: queries.history(c, of))
            recorded = sum(entry.kind == "signature.recorded" for entry in entries)
            withdrawn = sum(entry.kind == "signature.withdrawn" for entry in entries)
            assert recorded - withdrawn in (0, 1)

    @invariant()
    def a_line_that_contradicts_itself_is_never_signed_again(self) -> None:
        for name in PEOPLE:
            state = self.table.state(name)
            if state.also_on_paper and state.signature:
                assert not self.table.sign(name)


TestAnyPaper = AnyPaper.TestCase
TestAnyPaper.settings = settings(max_examples=20, stateful_step_count=25, deadline=None)
