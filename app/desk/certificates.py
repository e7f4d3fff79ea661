"""The certificates of the opening and the close, filled from one snapshot of the record.

They may be printed at any hour; before their hour they say so on every page.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from datetime import datetime

from app.desk.balance import facts_of
from app.desk.day_papers import Printing
from app.desk.irregularities import open_count
from app.desk.opening import Check, read_checklist
from app.desk.seals import seal_of
from app.papers.certificate_words import CERTIFICATE_WORDS
from app.papers.certificates import Certificate, Fact, Grid, Section, Signer, write_certificate
from app.papers.made import Form
from app.papers.words import written_time
from app.records import people, queries
from app.records.bodies import DayClosed, WorkerSignedOn
from app.records.bodies_day import SealRecorded
from app.records.clock import from_text
from app.rules.balance import Balance, MachineBalance, balance_of
from app.rules.checklists import Stage
from app.rules.line import Act
from app.rules.moment import Phase
from app.rules.paper_ballots import COUNTED
from app.rules.seals import on_now

_NOTHING = "—"


def opening(printing: Printing, form: Form) -> None:
    """Checks, zero reports and seals, as they stood when the polls were opened and stand now."""
    page = _Page(printing, form)
    sections = (
        Section(page.words["day"], facts=page.day_facts()[:-1]),
        page.checks("opening"),
        page.machines_at_opening(),
        *page.ballots(),
        page.seals(),
    )
    is_open = page.day.phase is not Phase.NOT_OPEN
    page.write("opening.title", sections, "" if is_open else page.words["not_open"])


def closing(printing: Printing, form: Form) -> None:
    """Every count beside the one that it should be, and the difference in large letters."""
    page = _Page(printing, form)
    sections = (
        Section(page.words["day"], facts=page.day_facts()),
        Section(page.words["balance"], facts=tuple(page.balance_facts())),
        page.machines_at_close(),
        *page.by_button(),
        *page.ballots(),
        page.lists(),
        page.checks("closing"),
        page.seals(),
    )
    is_closed = page.day.phase is Phase.CLOSED
    page.write("closing.title", sections, "" if is_closed else page.words["not_closed"])


CERTIFICATES: Mapping[str, Callable[[Printing, Form], None]] = {
    "opening": opening,
    "closing": closing,
}


class _Page:
    """What both certificates say, in the language asked for."""

    def __init__(self, printing: Printing, form: Form) -> None:
        self.printing = printing
        self.form = form
        self.words = CERTIFICATE_WORDS[form.language]
        self.setting = printing.roster.setting
        self.day = queries.day_state(printing.connection)
        self.balance: Balance = balance_of(facts_of(printing.connection), self.setting)

    def write(self, title: str, sections: Iterable[Section], warning: str) -> None:
        certificate = Certificate(self.words[title], tuple(sections), self._signers(), warning)
        write_certificate(
            self.printing.write, self.setting, self.printing.made, certificate, self.form
        )

    def day_facts(self) -> tuple[Fact, ...]:
        """The close comes last."""
        counts = queries.counts(self.printing.connection)
        facts = [
            Fact(self.words["registered"], str(counts["lines"])),
            Fact(self.words["opened"], self._turn(self.day.opened)),
            Fact(self.words["closed"], self._turn(self.day.closed)),
        ]
        return tuple(facts)

    def balance_facts(self) -> Iterable[Fact]:
        terms, words = self.balance.terms, self.words
        counted = self.balance.terms.counted
        yield Fact(words["printed"], str(terms.signatures_printed))
        yield Fact(words["listed"], str(terms.signatures_listed))
        yield Fact(words["affidavit"], str(terms.signatures_affidavit))
        yield Fact(words["left"], str(terms.left))
        yield Fact(words["expected"], str(terms.expected))
        yield Fact(words[f"counted.{terms.counted_by}"], _shown(counted))
        yield Fact(words["difference"], self._difference(), is_grave=True)
        reason = self._reason()
        if reason:
            yield Fact(words["reason"], reason)
        yield Fact(words["provisional"], str(terms.provisional))
        yield Fact(words["open_irregularities"], str(open_count(self.printing.connection)))

    def checks(self, stage: Stage) -> Section:
        found = read_checklist(self.printing.roster, stage).checks
        columns = ((self.words["check"], 330), (self.words["made"], 210))
        rows = tuple((check.item.sentence, self._made(check)) for check in found)
        grid = Grid(columns, rows, self.words["no_checks"])
        return Section(self.words["checks"], grids=(grid,))

    def machines_at_opening(self) -> Section:
        packaged = {one.serial: one.protective_counter for one in self.setting.machines}
        rows = tuple(
            (
                one.serial,
                self._read(one.public_opening),
                # Of a machine that was not read the balance has the package's own count.
                self._read(None if one.public_opening is None else one.protective_opening),
                _shown(packaged.get(one.serial)),
            )
            for one in self.balance.machines
        )
        names = ("machine", "public", "protective", "packaged")
        return self._machines(names, rows)

    def machines_at_close(self) -> Section:
        rows = tuple(map(self._closed, self.balance.machines))
        moments = ("public_opening", "public_close", "protective_opening", "protective_close")
        return self._machines(("machine", *moments, "agrees"), rows)

    def ballots(self) -> Iterable[Section]:
        if self.setting.policy.counted_by != "paper_ballots":
            return ()
        terms, words = self.balance.terms, self.words
        columns = ((words["ballots_of"], 330), (words["ballots_count"], 210))
        rows = tuple((words[f"what.{one}"], _shown(getattr(terms, one))) for one in COUNTED)
        return (Section(words["ballots"], grids=(Grid(columns, rows, words["no_ballots"]),)),)

    def by_button(self) -> Iterable[Section]:
        if self.balance.by_button is None:
            return ()
        names = ("button", "signed", "on_machines", "difference")
        columns = tuple((self.words[name], 135) for name in names)
        rows = tuple(
            (one.button, str(one.signed), str(one.machines), f"{one.difference:+d}")
            for one in self.balance.by_button
        )
        return (Section(self.words["buttons"], grids=(Grid(columns, rows, _NOTHING),)),)

    def lists(self) -> Section:
        names = (("list", 300), ("printed_total", 80), ("count", 80), ("difference", 80))
        columns = tuple((self.words[name], share) for name, share in names)
        rows = tuple(
            (one.name, str(one.printed_total), str(one.count), f"{one.difference:+d}")
            for one in self.balance.lists
        )
        return Section(self.words["lists"], grids=(Grid(columns, rows, self.words["no_lists"]),))

    def seals(self) -> Section:
        entries = queries.entries_of(self.printing.connection, SealRecorded.kind)
        now = on_now(map(seal_of, entries))
        columns = ((self.words["seal_of"], 240), (self.words["seal_numbers"], 300))
        rows = tuple(
            (
                f"{self.words[f'of.{on[0].of}']} {on[0].where}".strip(),
                ", ".join(s.number for s in on),
            )
            for on in now.values()
            if on
        )
        return Section(self.words["seals"], grids=(Grid(columns, rows, self.words["no_seals"]),))

    def _machines(self, names: Sequence[str], rows: tuple[tuple[str, ...], ...]) -> Section:
        columns = tuple((self.words[name], 540 // len(names)) for name in names)
        grid = Grid(columns, rows, self.words["no_machines"])
        return Section(self.words["machines"], grids=(grid,))

    def _closed(self, one: MachineBalance) -> tuple[str, ...]:
        agrees = {True: "yes", False: "no", None: "unknown"}[one.agrees]
        return (
            one.serial,
            self._read(one.public_opening),
            self._read(one.public_close),
            self._read(one.protective_opening),
            self._read(one.protective_close),
            self.words[agrees],
        )

    def _read(self, counter: int | None) -> str:
        return self.words["unread"] if counter is None else str(counter)

    def _difference(self) -> str:
        difference = self.balance.difference
        if difference is None:
            return self.words["unread"] if self.balance.missing else self.words["unknown"]
        if difference == 0:
            return self.words["none"]
        key = "ahead" if difference > 0 else "behind"
        return self.words[key].format(count=abs(difference))

    def _reason(self) -> str:
        closed = queries.entries_of(self.printing.connection, DayClosed.kind)
        return str(closed[-1].body.get("reason", "")) if closed and self.day.closed else ""

    def _made(self, check: Check) -> str:
        if check.tick is None:
            return self.words["unmade"]
        key = "passed" if check.tick.body["passed"] else "failed"
        time = self._time(from_text(check.tick.at))
        return self.words[key].format(time=time, initials=check.tick.initials, note=check.note)

    def _turn(self, act: Act | None) -> str:
        if act is None:
            return self.words["not_yet"]
        return self.words["stamp"].format(time=self._time(act.at), initials=act.initials)

    def _time(self, at: datetime) -> str:
        local = self.printing.reading().local(at)
        return written_time(local.time(), self.form.language)

    def _signers(self) -> tuple[Signer, ...]:
        """Everybody who signed on today, in the order in which they first did."""
        entries = queries.entries_of(self.printing.connection, WorkerSignedOn.kind)
        names = {one.worker_id: one for one in people.all_workers(self.printing.connection)}
        here = dict.fromkeys(entry.worker_id for entry in entries)
        return tuple(Signer(names[one].name, names[one].role) for one in here if one in names)


def _shown(count: int | None) -> str:
    return _NOTHING if count is None else str(count)
