"""Whatever the table does in whatever order: one signature a line, no trace of a refusal,
and a log that refolds to exactly the states that are kept."""

from __future__ import annotations

import itertools
import tempfile
from collections.abc import Callable
from pathlib import Path

from hypothesis import settings
from hypothesis import strategies as st
from hypothesis.stateful import RuleBasedStateMachine, invariant, rule

from app.desk import assisting, signing, steps
from app.desk.assisting import Assistance
from app.desk.day import take_turn
from app.desk.elsewhere import ElsewhereFinder
from app.desk.evidence import Said
from app.desk.outcomes import Recorded, Refused
from app.desk.roster import Roster
from app.desk.signing import Signature
from app.matching.finder import Finder
from app.records import loading, queries
from app.records.bodies import DayClosed, DayOpened, LineCutOff
from app.records.clock import SystemClock
from app.records.entry import Actor
from app.records.store import Store
from app.records.unit import Unit
from app.records.verify import verify
from app.rules.line import MarkKind, PrintedMark
from tests.at_work import add_workers
from tests.making import printed, setting

ACTOR = Actor("w-rosa", "RM", "Table 1")
MAIL = PrintedMark(MarkKind.VOTED_BY_MAIL, "mail-voted.csv")
PEOPLE = (
    printed(1),
    printed(2, address_confirmation=True),
    printed(3, assistance=True),
    printed(4, first_name="Odetta"),
    printed(5, marks=(MAIL,)),
)
PLAIN, CARD, HELPED, LOOK_ALIKE, MARKED = range(5)
places = st.integers(0, len(PEOPLE) - 1)


class AnyOrder(RuleBasedStateMachine):
    """The model beside it is as plain as a paper book: who has signed, which steps are done."""

    def __init__(self) -> None:
        super().__init__()
        self.folder = tempfile.TemporaryDirectory()
        store = Store(f"sqlite:///{Path(self.folder.name).as_posix()}/day.db", SystemClock())
        key = loading.fresh_line_key()
        self.lines = loading.identified(PEOPLE, {LOOK_ALIKE: (PLAIN,)}, key)
        the_setting = setting()
        store.writer.write(lambda unit: add_workers(unit, ACTOR))
        store.writer.write(
            lambda unit: loading.store(
                unit, ACTOR, setting=the_setting, lines=self.lines, files={}, line_key=key
            )
        )
        self.roster = Roster(
            store,
            the_setting,
            Finder(self.lines, election_year=2027),
            ElsewhereFinder((), the_setting),
        )
        self.tokens = (f"token-number-{number:08}" for number in itertools.count())
        self.turns = 0
        self.signed: set[int] = set()
        self.done: set[int] = set()

    def teardown(self) -> None:
        self.roster.store.close()
        self.folder.cleanup()

    def write(self, work: Callable[[Unit, str], Recorded | Refused]) -> bool:
        """Do it; then send it again with the same token, as a page would after a lost answer."""
        token = next(self.tokens)
        before = self.head()
        first = self.roster.store.writer.write(lambda unit: work(unit, token))
        after = self.head()
        if isinstance(first, Refused):
            assert after == before, "a refusal left a trace"
            return False
        assert after == before + 1
        again = self.roster.store.writer.write(lambda unit: work(unit, token))
        assert again == first
        assert self.head() == after
        return True

    def head(self) -> int:
        return self.roster.store.read(queries.head).seq

    @rule(
        place=places,
        born=st.sampled_from([None, "5/17/1980", "1/1/1970"]),
        in_line=st.sampled_from([None, True, False]),
    )
    def sign(self, place: int, born: str | None, in_line: bool | None) -> None:
        line_id = self.lines[place].line_id
        signature = Signature("paper", said=Said(birth_date=born, in_line_at_cut_off=in_line))
        is_recorded = self.write(
            lambda unit, token: signing.sign(unit, self.roster, ACTOR, token, line_id, signature)
        )
        may = (
            place != MARKED
            and place not in self.signed
            and born != "1/1/1970"
            and (place != LOOK_ALIKE or born is not None)
            and (place not in (CARD, HELPED) or place in self.done)
            and (self.turns == 1 or (self.turns == 2 and in_line is True))
        )
        assert is_recorded is may
        if may:
            self.signed.add(place)

    @rule(place=places)
    def withdraw(self, place: int) -> None:
        line_id = self.lines[place].line_id
        is_recorded = self.write(
            lambda unit, token: signing.withdraw(unit, ACTOR, token, line_id, "wrong line")
        )
        assert is_recorded is (place in self.signed)
        self.signed.discard(place)

    @rule(place=places)
    def complete_card(self, place: int) -> None:
        line_id = self.lines[place].line_id
        is_recorded = self.write(
            lambda unit, token: steps.confirm_address(unit, self.roster, ACTOR, token, line_id)
        )
        assert is_recorded is (
            place == CARD and CARD not in self.done | self.signed and self.turns in (1, 2)
        )
        if is_recorded:
            self.done.add(place)

    @rule(place=places)
    def refuse_help(self, place: int) -> None:
        line_id = self.lines[place].line_id
        no_help = Assistance(wanted=False)
        is_recorded = self.write(
            lambda unit, token: assisting.record_assistance(
                unit, self.roster, ACTOR, token, line_id, no_help
            )
        )
        may = self.turns in (1, 2)
        assert is_recorded is may
        if may and place == HELPED:
            self.done.add(place)

    @rule()
    def take_the_next_turn(self) -> None:
        turns = (DayOpened, LineCutOff, DayClosed)
        for number, turn in enumerate(turns):
            is_recorded = self.write(
                lambda unit, token, turn=turn: take_turn(unit, ACTOR, token, turn)
            )
            assert is_recorded is (number == self.turns)
            if is_recorded:
                self.turns += 1
                return

    @invariant()
    def the_record_is_what_the_book_says(self) -> None:
        states = self.roster.store.read(
            lambda connection: queries.stored_states(
                connection, [line.line_id for line in self.lines]
            )
        )
        signed = {
            place
            for place, line in enumerate(self.lines)
            if states[line.line_id].state.signature is not None
        }
        assert signed == self.signed
        assert self.roster.store.read(verify).holds


TestAnyOrder = AnyOrder.TestCase
TestAnyOrder.settings = settings(max_examples=25, stateful_step_count=25, deadline=None)
