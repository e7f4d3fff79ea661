"""A real record with five people, to which lists and calls are done; each twice with its token."""

from __future__ import annotations

import itertools
import tempfile
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from pathlib import Path
from typing import TypeVar

from app.desk import late_applying, late_lists, late_views, phone_ins, signing
from app.desk.day import take_turn
from app.desk.elsewhere import ElsewhereFinder
from app.desk.outcomes import Refused
from app.desk.phone_ins import PhoneIn, ReadBack
from app.desk.roster import Roster
from app.desk.signing import Signature
from app.intake.late_lists import LateRows
from app.matching.finder import Finder
from app.records import loading, queries
from app.records.bodies import DayOpened
from app.records.clock import SystemClock
from app.records.entry import Actor
from app.records.store import Store
from app.records.unit import Unit
from app.records.verify import verify
from app.rules.late_list import ListKind
from app.rules.line import LineState
from tests.at_work import add_workers
from tests.making import printed, setting

T = TypeVar("T")
ACTOR = Actor("w-lead", "LO", "Lead's desk")
PEOPLE = ("Quillfeather", "Ironwood", "Saltmarsh", "Thistledown", "Umberfield")


class Table:
    """A real record with five people, and everything done to it twice with the same token."""

    def __init__(self) -> None:
        self.folder = tempfile.TemporaryDirectory()
        store = Store(f"sqlite:///{Path(self.folder.name).as_posix()}/day.db", SystemClock())
        key = loading.fresh_line_key()
        people = [printed(n, last_name=name) for n, name in enumerate(PEOPLE, 1)]
        lines = loading.identified(people, {}, key)
        self.printed = dict(zip(PEOPLE, people, strict=True))
        self.line_of = dict(zip(PEOPLE, (line.line_id for line in lines), strict=True))
        the_setting = setting()
        store.writer.write(lambda unit: add_workers(unit, ACTOR))
        store.writer.write(
            lambda unit: loading.store(
                unit, ACTOR, setting=the_setting, lines=lines, files={}, line_key=key
            )
        )
        finder = Finder(lines, election_year=2027)
        self.roster = Roster(store, the_setting, finder, ElsewhereFinder((), the_setting))
        self.numbers = itertools.count()
        self.write(lambda unit, token: take_turn(unit, ACTOR, token, DayOpened))

    def close(self) -> None:
        found = self.roster.store.read(verify)
        self.roster.store.close()
        self.folder.cleanup()
        assert found.holds, found.fault

    def write(self, work: Callable[[Unit, str], T | Refused]) -> T | Refused:
        token = f"token-number-{next(self.numbers):08}"
        write = self.roster.store.writer.write
        head = self.head()
        first = write(lambda unit: work(unit, token))
        after = self.head()
        if isinstance(first, Refused):
            assert after == head, f"a refusal left a trace: {first.code}"
            return first
        write(lambda unit: work(unit, token))
        assert self.head() == after, "the same token did it twice"
        return first

    def head(self) -> int:
        return self.roster.store.read(queries.head).seq

    def state(self, name: str) -> LineState:
        line_id = self.line_of[name]
        return self.roster.store.read(lambda c: queries.stored_state(c, line_id)).state

    def row(self, name: str) -> str:
        of = self.printed[name]
        return f"{of.voter_number},{of.last_name},{of.first_name},{of.birth_date}"

    def content(self, people: Sequence[str]) -> bytes:
        """Never the same twice: the column that nobody reads tells the files apart."""
        reference = next(self.numbers)
        rows = [f"{self.row(name)},{reference}" for name in people]
        return "\n".join(("voter_number,last_name,first_name,birth_date,ref", *rows)).encode()

    def bring(self, kind: ListKind, name: str, content: bytes) -> str | Refused:
        read = late_lists.read_file(self.roster, late_lists.NewList(kind, name, content))
        assert isinstance(read, LateRows)
        brought = self.write(lambda unit, token: late_lists.bring(unit, ACTOR, token, read))
        return brought if isinstance(brought, Refused) else brought[0].list_id

    def apply(self, list_id: str) -> late_applying.Applied:
        seen = late_views.read_list(self.roster, list_id).tally
        prepared = late_applying.prepare_to_apply(self.roster, list_id)
        done = self.write(lambda unit, token: late_applying.apply(unit, ACTOR, token, prepared))
        assert not isinstance(done, Refused)
        assert done.tally == seen, "the preview promised something else"
        return done

    def call(self, name: str, what: str, argument: str = "") -> phone_ins.Called | Refused:
        of = self.printed[name]
        phone_in = PhoneIn(
            caller="Clerk",
            office="Registrar",
            number_called_back="555-0142",
            asked="as said",
            what=what,
            argument=argument,
            line_id=self.line_of[name],
            read_back=ReadBack(of.voter_number, of.name_last_first, of.birth_date.year),
        )
        return self.write(
            lambda unit, token: phone_ins.record(unit, self.roster, ACTOR, token, phone_in)
        )

    def sign(self, name: str) -> bool:
        line_id = self.line_of[name]
        done = self.write(
            lambda unit, token: signing.sign(
                unit, self.roster, ACTOR, token, line_id, Signature("paper")
            )
        )
        return not isinstance(done, Refused)


@contextmanager
def a_table() -> Iterator[Table]:
    """A table for the length of a `with` block; verified at its end."""
    table = Table()
    try:
        yield table
    finally:
        table.close()
