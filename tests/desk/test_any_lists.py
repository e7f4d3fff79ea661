"""Any order of any lists and calls: the record is what a plain book says; order does not matter.

The book knows only who signed, which marks stand on whom and from where, and who is removed.
"""

from __future__ import annotations

import random
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass, field

from hypothesis import given, settings
from hypothesis import strategies as st
from hypothesis.stateful import RuleBasedStateMachine, invariant, precondition, rule

from app.desk import late_applying, late_lists, late_views, paper_lists
from app.desk.late_judging import Decision
from app.desk.outcomes import Refused
from app.desk.paper_taking_back import undo
from app.intake.faults import Faults
from app.rules.late_list import MARK_OF, ListKind
from app.rules.line import MarkKind
from tests.desk.listing_table import ACTOR, PEOPLE, Table, a_table

MAIL, EARLY, REMOVALS = ListKind.MAIL_VOTED, ListKind.EARLY_VOTED, ListKind.REMOVALS
KINDS = (MAIL, EARLY, REMOVALS)
NAMES = ("morning.csv", "noon.csv")
SAME_BY_PHONE = {MAIL: "mark_by_mail", EARLY: "mark_early", REMOVALS: "remove"}

somebody = st.sampled_from(PEOPLE)
some_people = st.lists(somebody, min_size=1, max_size=6)
list_kinds = st.sampled_from(KINDS)
names = st.sampled_from(NAMES)


@dataclass
class PaperList:
    """A list being keyed: by row, whose line, and whether the row made the mark itself."""

    list_id: str
    kind: ListKind
    name: str
    rows: list[tuple[str, bool] | None] = field(default_factory=list)


class AnyLists(RuleBasedStateMachine):
    """Lists from files and on paper, calls, signatures, in any order."""

    def __init__(self) -> None:
        super().__init__()
        self.table = Table()
        self.signed: set[str] = set()
        self.removed: set[str] = set()
        self.marks: dict[str, list[tuple[MarkKind, str]]] = {name: [] for name in PEOPLE}
        self.withdrawn: set[tuple[str, MarkKind]] = set()
        self.papers: list[PaperList] = []
        self.open_rows: list[tuple[str, int, str, ListKind, str]] = []
        self.contents: list[tuple[ListKind, str, bytes]] = []

    def teardown(self) -> None:
        self.table.close()

    def stands(self, person: str, kind: ListKind, source: str) -> bool:
        """Whether a row of the list finds done what it would do."""
        if kind is REMOVALS:
            return person in self.removed
        mark = MARK_OF[kind]
        return any((mark, name) in self.marks[person] for name in (source, "phone-in"))

    def put(self, person: str, kind: ListKind, source: str) -> None:
        if kind is REMOVALS:
            self.removed.add(person)
        else:
            self.marks[person].append((MARK_OF[kind], source))

    @rule(kind=list_kinds, name=names, people=some_people)
    def a_list_is_applied(self, kind: ListKind, name: str, people: list[str]) -> None:
        content = self.table.content(people)
        list_id = self.table.bring(kind, name, content)
        assert isinstance(list_id, str)
        tally = self.table.apply(list_id).tally
        expected = Counter[str]()
        asked: set[str] = set()
        for number, person in enumerate(people, 2):
            if self.stands(person, kind, name) or person in asked:
                expected["already"] += 1
            elif kind is not REMOVALS and (person, MARK_OF[kind]) in self.withdrawn:
                expected["open"] += 1
                asked.add(person)
                self.open_rows.append((list_id, number, person, kind, name))
            else:
                expected["applied"] += 1
                self.put(person, kind, name)
        assert (tally.applied, tally.already, tally.open) == (
            expected["applied"],
            expected["already"],
            expected["open"],
        )
        self.contents.append((kind, name, content))

    @precondition(lambda self: self.contents)
    @rule(place=st.integers(0, 9), name=names)
    def the_same_file_comes_again(self, place: int, name: str) -> None:
        kind, _, content = self.contents[place % len(self.contents)]
        again = self.table.bring(kind, name, content)
        assert isinstance(again, Refused)
        assert again.code == "list-applied-already"

    @precondition(lambda self: self.open_rows)
    @rule(place=st.integers(0, 9), is_meant=st.booleans())
    def an_open_row_is_settled(self, place: int, is_meant: bool) -> None:
        list_id, number, person, kind, name = self.open_rows.pop(place % len(self.open_rows))
        line_id = self.table.line_of[person]
        decision = (
            Decision("line", "LO", line_id)
            if is_meant
            else Decision("refuse", "LO", reason="the registrar said no")
        )
        prepared = late_applying.prepare_to_apply(self.table.roster, list_id)
        done = self.table.write(
            lambda unit, token: late_applying.settle_row(
                unit, ACTOR, token, prepared, number, decision
            )
        )
        assert not isinstance(done, Refused)
        if is_meant and not self.stands(person, kind, name):
            self.put(person, kind, name)

    @rule(person=somebody, kind=list_kinds)
    def the_registrar_calls(self, person: str, kind: ListKind) -> None:
        done = self.table.call(person, SAME_BY_PHONE[kind])
        assert not isinstance(done, Refused)
        if kind is REMOVALS:
            is_new = person not in self.removed
        else:
            is_new = all(mark is not MARK_OF[kind] for mark, _ in self.marks[person])
        assert (done.change is not None) is is_new
        if is_new:
            self.put(person, kind, "phone-in")

    @rule(person=somebody, mark=st.sampled_from(list(MarkKind)))
    def the_registrar_cancels_a_ballot(self, person: str, mark: MarkKind) -> None:
        done = self.table.call(person, "withdraw_mark", mark.value)
        had = any(kind is mark for kind, _ in self.marks[person])
        assert isinstance(done, Refused) is not had
        if had:
            kept = [each for each in self.marks[person] if each[0] is not mark]
            self.marks[person] = kept
            self.withdrawn.add((person, mark))

    @rule(person=somebody)
    def the_registrar_puts_a_line_back(self, person: str) -> None:
        done = self.table.call(person, "restore")
        assert isinstance(done, Refused) is (person not in self.removed)
        self.removed.discard(person)

    @rule(person=somebody)
    def somebody_signs(self, person: str) -> None:
        is_free = person not in self.signed | self.removed and not self.marks[person]
        assert self.table.sign(person) is is_free
        if is_free:
            self.signed.add(person)

    @rule(kind=list_kinds, number=st.integers(1, 3))
    def a_list_on_paper_is_begun(self, kind: ListKind, number: int) -> None:
        name = f"envelope {len(self.papers)}"
        kept = self.table.write(
            lambda unit, token: paper_lists.start(unit, ACTOR, token, kind, name, number)
        )
        assert not isinstance(kept, Refused)
        self.papers.append(PaperList(kept.list_id, kind, name))

    @precondition(lambda self: self.papers)
    @rule(place=st.integers(0, 9), person=somebody)
    def a_row_is_keyed(self, place: int, person: str) -> None:
        paper = self.papers[place % len(self.papers)]
        line_id = self.table.line_of[person]
        done = self.table.write(
            lambda unit, token: paper_lists.key_line(
                unit, ACTOR, token, paper.list_id, line_id, is_twice=False
            )
        )
        was_keyed = any(row is not None and row[0] == person for row in paper.rows)
        assert isinstance(done, Refused) is was_keyed
        if isinstance(done, Refused):
            return
        is_new = not self.stands(person, paper.kind, paper.name)
        paper.rows.append((person, is_new))
        if is_new:
            self.put(person, paper.kind, paper.name)
        assert done.count == sum(1 for row in paper.rows if row)

    @precondition(lambda self: any(any(paper.rows) for paper in self.papers))
    @rule(place=st.integers(0, 9))
    def a_row_is_taken_back(self, place: int) -> None:
        keyed = [
            (paper, number) for paper in self.papers for number, row in enumerate(paper.rows) if row
        ]
        paper, number = keyed[place % len(keyed)]
        person, made_it = paper.rows[number] or ("", False)
        removed_by = self.table.state(person).removed
        done = self.table.write(
            lambda unit, token: undo(
                unit, ACTOR, token, paper.list_id, number + 1, "keyed by mistake"
            )
        )
        assert not isinstance(done, Refused)
        paper.rows[number] = None
        if not made_it:
            return
        if paper.kind is not REMOVALS:
            mark = (MARK_OF[paper.kind], paper.name)
            if mark in self.marks[person]:
                self.marks[person].remove(mark)
        elif removed_by and not self.table.state(person).removed:
            self.removed.discard(person)

    @invariant()
    def the_record_is_what_the_book_says(self) -> None:
        for name in PEOPLE:
            state = self.table.state(name)
            assert (state.signature is not None) is (name in self.signed)
            assert (state.removed is not None) is (name in self.removed)
            assert [(mark.kind, mark.source) for mark in state.marks] == self.marks[name]


TestAnyLists = AnyLists.TestCase
TestAnyLists.settings = settings(max_examples=20, stateful_step_count=25, deadline=None)

_actions = st.lists(
    st.tuples(st.just("list"), list_kinds, names, st.lists(somebody, min_size=1, max_size=4))
    | st.tuples(st.just("call"), list_kinds, names, st.lists(somebody, min_size=1, max_size=1)),
    min_size=1,
    max_size=4,
)
Action = tuple[str, ListKind, str, list[str]]


def what_stands(actions: Sequence[Action]) -> dict[str, tuple[set[MarkKind], bool]]:
    """Which marks stand on whom, and who is removed, once all was done in this order."""
    with a_table() as table:
        for what, kind, name, people in actions:
            if what == "call":
                assert not isinstance(table.call(people[0], SAME_BY_PHONE[kind]), Refused)
                continue
            list_id = table.bring(kind, name, table.content(people))
            assert isinstance(list_id, str)
            table.apply(list_id)
        states = {name: table.state(name) for name in PEOPLE}
    return {
        name: ({mark.kind for mark in state.marks}, state.removed is not None)
        for name, state in states.items()
    }


@settings(max_examples=15, deadline=None)
@given(_actions, st.randoms(use_true_random=False))
def test_any_order_of_lists_and_calls_ends_in_the_same_marks(
    actions: list[Action], chance: random.Random
) -> None:
    shuffled = list(actions)
    chance.shuffle(shuffled)
    assert what_stands(actions) == what_stands(shuffled)


@settings(max_examples=10, deadline=None)
@given(list_kinds, some_people)
def test_applying_a_list_twice_is_applying_it_once(kind: ListKind, people: list[str]) -> None:
    """Even where the second file has other bytes, and so is not known at a glance."""
    with a_table() as table:
        first = table.bring(kind, "list.csv", table.content(people))
        assert isinstance(first, str)
        table.apply(first)
        before = [table.state(name) for name in PEOPLE]
        second = table.bring(kind, "list.csv", table.content(people))
        assert isinstance(second, str)
        done = table.apply(second)
        assert (done.tally.already, done.irregularities) == (len(people), 0)
        assert [table.state(name) for name in PEOPLE] == before


_CELLS = """ |100000001|100000002|1|Quillfeather|QUILLFEATHER jr|Ironwood|Odette|=A1+1|#REF!|
1980-05-17|5/17/1980|17/5/1980|1981-02-29|2001-02-29|29556|"|<b>|Ñandú|Ropewalk Lane 4|9"""
_cells = st.sampled_from(
    ["", "Quillfeather, Odette", "\u200b", *_CELLS.replace("\n", "").split("|")]
)
_column_names = ["voter_number", "last_name", "first_name", "birth_date", "street_address"]


@settings(max_examples=40, deadline=None)
@given(
    st.sampled_from(list(ListKind)),
    st.permutations([*_column_names, "ballot_button"]),
    st.lists(st.lists(_cells, min_size=4, max_size=7), max_size=8),
    st.integers(0, 2),
)
def test_whatever_stands_in_a_list_no_row_is_lost(
    kind: ListKind, columns: list[str], rows: list[list[str]], cut: int
) -> None:
    """Shuffled columns, rows repeated, half a file, cells that mean nothing: the sum is right."""
    lines = [",".join(columns), *(",".join(row) for row in rows for _ in range(2))]
    content = "\n".join(lines).encode()
    half = content[: len(content) - cut * len(content) // 4]
    with a_table() as table:
        read = late_lists.read_file(table.roster, late_lists.NewList(kind, "any.csv", half))
        if isinstance(read, Faults):
            return
        brought = table.write(lambda unit, token: late_lists.bring(unit, ACTOR, token, read))
        assert not isinstance(brought, Refused)
        done = table.apply(brought[0].list_id)
        assert done.tally.rows == len(read.rows)
        shown = late_views.read_list(table.roster, brought[0].list_id)
        assert [row.row.row_number for row in shown.rows] == [row.row_number for row in read.rows]
        assert shown.tally == done.tally
