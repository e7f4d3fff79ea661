"""Whatever is keyed from a supplemental page, taken back, settled and signed: the sum is right.

A book of its own says what must have come of each row; the record is compared after every step,
and refolded from its log at the end.
"""

from __future__ import annotations

from dataclasses import dataclass, field

from hypothesis import settings
from hypothesis import strategies as st
from hypothesis.stateful import RuleBasedStateMachine, invariant, precondition, rule

from app.desk import finding, late_views, paper_lists, paper_people, signing
from app.desk.evidence import Said
from app.desk.late_judging import Decision
from app.desk.outcomes import Refused
from app.desk.page_rows import PageRow, read_page_row
from app.desk.paper_proof import read_proof
from app.desk.paper_taking_back import undo
from app.desk.proof_printing import print_proof
from app.desk.signing import Signature
from app.records.taken_back import taken_back
from app.rules.late_list import ListKind
from tests.desk.listing_table import ACTOR, PEOPLE, Table

NUMBERS = ("", "200000001", "200000002", "200000003", "100000001", "100000002")
NAMES = ("Nettlefold", "Oakapple", *PEOPLE[:2])


@dataclass
class Kept:
    """What the book says of a row: what was keyed, what it came to, the line it added."""

    number: str
    name: str
    became: str
    line_id: str | None = None
    signed: bool = False
    settled: str = ""
    is_taken_back: bool = False
    rests_on: str | None = None


@dataclass
class Book:
    rows: list[Kept] = field(default_factory=list)

    def lines(self) -> list[tuple[str, str]]:
        """Number and name of every line that somebody can be on: printed, or added and kept."""
        printed = [(f"{100_000_000 + n}", name) for n, name in enumerate(PEOPLE, 1)]
        added = [
            (row.number, row.name) for row in self.rows if row.line_id and not row.is_taken_back
        ]
        return [*printed, *added]

    def expected(self, number: str, name: str) -> str:
        """What a row must come to, said as plainly as can be."""
        with_number = [line for line in self.lines() if number and line[0] == number]
        with_name = [line for line in self.lines() if line[1] == name]
        meant = {*with_number, *with_name}
        if not meant:
            return "add"
        if with_number == [(number, name)]:
            # All three facts agree with this one: a namesake under another number changes nothing.
            return "already"
        if len(with_number) + len([each for each in with_name if each not in with_number]) > 1:
            return "settle"
        ((its_number, its_name),) = meant
        if its_name != name:
            return "settle"
        is_same = number == its_number or not number or not its_number
        return "already" if is_same else "settle"


class AnyPages(RuleBasedStateMachine):
    def __init__(self) -> None:
        super().__init__()
        self.table = Table()
        self.book = Book()
        kept = self.table.write(
            lambda unit, token: paper_lists.start(
                unit, ACTOR, token, ListKind.SUPPLEMENTAL, "page 2", 5
            )
        )
        assert not isinstance(kept, Refused)
        self.list_id = kept.list_id

    def teardown(self) -> None:
        pages = print_proof(self.table.roster, self.list_id, "en")
        assert pages.startswith(b"%PDF")
        self.table.close()

    @rule(number=st.sampled_from(NUMBERS), name=st.sampled_from(NAMES), is_twice=st.booleans())
    def a_row_is_keyed(self, number: str, name: str, is_twice: bool) -> None:
        typed = PageRow(
            name, "5/17/1980", number, "Odette", street_address="8 Mill Road", ballot_button=1
        )
        expected = self.book.expected(number, name)
        row = read_page_row(self.table.roster, typed)
        prepared = paper_people.prepare_person(self.table.roster, self.list_id, row)
        done = self.table.write(
            lambda unit, token: paper_people.key_person(
                unit, ACTOR, token, prepared, is_twice=is_twice
            )
        )
        if isinstance(done, Refused):
            assert done.code == "keyed-already"
            assert not is_twice
            assert expected != "add"
            return
        proposal = done.row.proposal
        assert proposal.effect == expected
        added = proposal.line_id if expected == "add" else None
        assert [line.line_id for line in done.added] == ([added] if added else [])
        for line in done.added:
            self.table.roster.add_to_finder(line)
        on = proposal.line_id if expected == "already" else None
        self.book.rows.append(Kept(number, name, expected, added, rests_on=on))

    @precondition(lambda self: self.book.rows)
    @rule(place=st.integers(0, 9), how=st.sampled_from(["add", "refuse", "line"]))
    def the_lead_settles_a_row(self, place: int, how: str) -> None:
        at = place % len(self.book.rows)
        row = self.book.rows[at]
        prepared = paper_people.prepare_settling(self.table.roster, self.list_id, at + 1)
        decision = {
            "add": Decision("add", "LO"),
            "refuse": Decision("refuse", "LO", reason="left off"),
            "line": Decision("line", "LO", self.table.line_of[PEOPLE[0]]),
        }[how]
        done = self.table.write(
            lambda unit, token: paper_people.settle(unit, ACTOR, token, prepared, decision)
        )
        is_open = row.became == "settle" and not row.settled and not row.is_taken_back
        if isinstance(done, Refused):
            assert done.code == ("row-cannot-be-added" if is_open else "nothing-to-settle")
            return
        assert is_open
        row.settled = how
        if how == "add":
            row.line_id = done.added[0].line_id
            self.table.roster.add_to_finder(done.added[0])

    @precondition(lambda self: self.book.rows)
    @rule(place=st.integers(0, 9))
    def a_row_is_taken_back(self, place: int) -> None:
        at = place % len(self.book.rows)
        row = self.book.rows[at]
        done = self.table.write(
            lambda unit, token: undo(unit, ACTOR, token, self.list_id, at + 1, "a mistake")
        )
        standing = [each for each in self.book.rows if not each.is_taken_back]
        is_meant = any(row.line_id and each.rests_on == row.line_id for each in standing)
        if row.is_taken_back or row.signed or is_meant:
            assert isinstance(done, Refused)
            assert done.code == ("nothing-to-withdraw" if row.is_taken_back else "line-in-use")
            return
        assert not isinstance(done, Refused)
        row.is_taken_back = True

    @precondition(lambda self: any(row.line_id for row in self.book.rows))
    @rule(place=st.integers(0, 9))
    def somebody_signs_on_a_line_of_the_page(self, place: int) -> None:
        rows = [row for row in self.book.rows if row.line_id]
        row = rows[place % len(rows)]
        said = Signature("paper", None, Said(birth_date="5/17/1980"))
        done = self.table.write(
            lambda unit, token: signing.sign(
                unit, self.table.roster, ACTOR, token, str(row.line_id), said
            )
        )
        assert isinstance(done, Refused) is (row.signed or row.is_taken_back)
        row.signed = row.signed or not row.is_taken_back

    @invariant()
    def rows_keyed_are_added_already_settled_or_waiting_and_taken_back(self) -> None:
        shown = late_views.read_list(self.table.roster, self.list_id)
        rows = self.book.rows
        standing = [row for row in rows if not row.is_taken_back]
        added = sum(row.became == "add" for row in standing)
        already = sum(row.became == "already" for row in standing)
        settled = sum(row.settled != "" for row in standing)
        waiting = sum(row.became == "settle" and not row.settled for row in standing)
        gone = len(rows) - len(standing)
        assert len(rows) == added + already + settled + waiting + gone
        tally = shown.tally
        assert (tally.rows, tally.applied, tally.already) == (len(rows), added, already)
        assert (tally.open, tally.settled, tally.refused) == (waiting, settled + gone, 0)
        assert (shown.count, shown.taken_back) == (len(standing), gone)
        assert read_proof(self.table.roster, self.list_id).count == len(standing)

    @invariant()
    def only_lines_that_were_not_taken_back_are_found(self) -> None:
        found = {hit.line.line_id for hit in finding.find(self.table.roster, "5/17/1980", 50).hits}
        kept = {row.line_id for row in self.book.rows if row.line_id and not row.is_taken_back}
        gone = {row.line_id for row in self.book.rows if row.line_id and row.is_taken_back}
        assert self.table.roster.store.read(taken_back) == gone
        assert kept <= found
        assert gone.isdisjoint(found)


TestAnyPages = AnyPages.TestCase
TestAnyPages.settings = settings(max_examples=15, stateful_step_count=20, deadline=None)
