"""Made-up days of a table: who came, who voted where, what was written down, and one thing wrong.

The ballots of the machines are counted from what the voters did, the log is what the table wrote:
a planted error makes the two differ as it would on the day. Nobody here exists.
"""

from __future__ import annotations

import random
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from datetime import UTC, datetime, timedelta
from typing import Any

from app.rules.balance import Balance, balance_of
from app.rules.cause_scene import Scene
from app.rules.causes import Cause, causes
from app.rules.day_gathering import gathered
from app.rules.policy import Policy
from app.rules.setting import Machine, Setting
from tests.making import setting

OPENS = datetime(2027, 3, 2, 12, tzinfo=UTC)  # seven in the morning in Tern County
CLOSES = OPENS + timedelta(hours=13)
PACKAGED = {"TM-0417": 18_233, "TM-0418": 17_960}
BUTTONS = (1, 2, 3)
WALKS = (4.0, 8.0, 11.5)  # hours after opening at which the lead reads the counters


@dataclass(eq=False)
class Made:
    """An entry in the making; a value that is an entry stands for its number."""

    moment: datetime
    kind: str
    line_id: str | None
    body: dict[str, Any]
    station: str = "Table 1"
    seq: int = 0

    @property
    def at(self) -> str:
        return self.moment.isoformat()


@dataclass(eq=False)
class Vote:
    moment: datetime
    serial: str
    button: int


@dataclass
class MadeDay:
    """`read` changes what is written of a closing counter; `unread` machines are passed over."""

    rng: random.Random
    entries: list[Made] = field(default_factory=list)
    votes: list[Vote] = field(default_factory=list)
    vote_of: dict[str, Vote] = field(default_factory=dict)
    signed: dict[str, Made] = field(default_factory=dict)
    alike: dict[str, set[str]] = field(default_factory=dict)
    provisional: list[Made] = field(default_factory=list)
    paper: list[Made] = field(default_factory=list)
    keyed: list[Made] = field(default_factory=list)
    before: dict[str, int] = field(default_factory=dict)
    read: dict[str, Callable[[int], int]] = field(default_factory=dict)
    unread: set[str] = field(default_factory=set)
    has_protective: bool = True
    has_walks: bool = True

    def add(self, moment: datetime, kind: str, line_id: str | None = None, **body: Any) -> Made:
        station = self.rng.choice(("Table 1", "Table 2"))
        made = Made(moment, kind, line_id, body, station)
        self.entries.append(made)
        return made

    def sign(self, line_id: str, moment: datetime, *, votes: bool = True, **more: Any) -> Made:
        button = self.rng.choices(BUTTONS, (6, 3, 1))[0]
        body = {"ballot_button": button, "told_apart": None, **more}
        made = self.add(moment, "signature.recorded", line_id, **body)
        self.signed[line_id] = made
        if votes:
            delay = timedelta(seconds=self.rng.randint(120, 600))
            self.vote_of[line_id] = self.vote(moment + delay, button)
        return made

    def vote(self, moment: datetime, button: int) -> Vote:
        vote = Vote(moment, self.rng.choice(tuple(PACKAGED)), button)
        self.votes.append(vote)
        return vote

    def withdraw(self, line_id: str, moment: datetime, why: str, moved_to: str | None) -> Made:
        return self.add(
            moment,
            "signature.withdrawn",
            line_id,
            signature_seq=self.signed.pop(line_id),
            why=why,
            moved_to=moved_to,
            reason="x",
        )

    def note(self, moment: datetime, about: str, line_id: str | None = None) -> Made:
        return self.add(moment, "irregularity.recorded", line_id, irregularity=about, code="")

    def pair(self, one: str, other: str) -> None:
        self.alike.setdefault(one, set()).add(other)
        self.alike.setdefault(other, set()).add(one)

    def any_time(self, least_hours: float = 0.2, most_hours: float = 12.5) -> datetime:
        return OPENS + timedelta(
            seconds=self.rng.randint(int(least_hours * 3600), int(most_hours * 3600))
        )

    def lone_voter(self) -> str:
        """Somebody who signed and voted and is in no other story."""
        return self.rng.choice([one for one in self.signed if one.startswith("voter-")])

    def scene(self) -> Scene:
        entries = self._in_order()
        for made in entries:
            made.body = {name: _number(value) for name, value in made.body.items()}
        facts = gathered(entries)
        balance = balance_of(facts, SETTING)
        alike = {one: frozenset(others) for one, others in self.alike.items()}
        return Scene(facts, balance, alike, PACKAGED)

    def _in_order(self) -> list[Made]:
        """With the readings, which show what the voters did."""
        walks = [OPENS + timedelta(hours=hours) for hours in WALKS] if self.has_walks else []
        for serial in PACKAGED:
            self._reading(serial, OPENS - timedelta(minutes=20), "opening")
            for moment in walks:
                self._reading(serial, moment, "during")
            if serial not in self.unread:
                self._reading(serial, CLOSES + timedelta(minutes=30), "close")
        entries = sorted(self.entries, key=lambda made: made.moment)
        for seq, made in enumerate(entries, 1):
            made.seq = seq
        return entries

    def _reading(self, serial: str, moment: datetime, at_moment: str) -> None:
        mine = [vote for vote in self.votes if vote.serial == serial and vote.moment <= moment]
        public = self.before.get(serial, 0) + len(mine)
        protective = PACKAGED[serial] + public if self.has_protective else None
        by_button = {str(b): sum(vote.button == b for vote in mine) for b in BUTTONS}
        shown = self.read.get(serial, int)(public) if at_moment == "close" else public
        self.add(
            moment,
            "machine.counted",
            None,
            serial=serial,
            at_moment=at_moment,
            public=shown,
            protective=protective,
            by_button=by_button if at_moment == "close" else None,
            replaces=None,
        )


SETTING: Setting = setting(
    policy=Policy(reconcile_ballots_by_button=True),
    machines=tuple(Machine(serial, count) for serial, count in PACKAGED.items()),
)


def quiet_day(rng: random.Random, voters: int = 120) -> MadeDay:
    """Everybody signs once and votes once; a paper list is worked in before the opening."""
    day = MadeDay(rng)
    for number in range(voters):
        day.sign(f"voter-{number}", day.any_time())
    # Look-alikes of whom one came.
    for number in range(max(2, voters // 60)):
        day.pair(f"voter-{number}", f"absent-{number}")
    _list(day, rows=12)
    return day


def busy_day(rng: random.Random, voters: int = 900) -> MadeDay:
    """The same with all that happens on a long day and is written down rightly."""
    day = quiet_day(rng, voters)
    _look_alikes_who_both_came(day)
    _mistakes_put_right(day)
    _steps_and_notes(day)
    _provisional(day)
    _affidavits(day)
    _paper_time(day)
    return day


def _list(day: MadeDay, rows: int) -> None:
    early = OPENS - timedelta(hours=1)
    started = day.add(
        early, "late_list.started", None, name="Mail 1", list_kind="mail_voted", printed_total=rows
    )
    for number in range(1, rows + 1):
        made = day.add(
            early + timedelta(minutes=number),
            "late_list.row_keyed",
            f"mailer-{number}",
            list_seq=started,
            row_number=number,
            effect="mark",
            twice=False,
        )
        day.keyed.append(made)
        mark = {"mark": "voted_by_mail", "source": "Mail 1"}
        day.add(made.moment, "mark.recorded", f"mailer-{number}", **mark)
    day.add(early + timedelta(minutes=30), "late_list.finished", None, list_seq=started)


def _look_alikes_who_both_came(day: MadeDay) -> None:
    """Father and son, some on one walk, most at hours of their own."""
    for number in range(12):
        one, other = f"senior-{number}", f"junior-{number}"
        day.pair(one, other)
        moment = day.any_time()
        day.sign(one, moment)
        later = timedelta(minutes=day.rng.randint(2, 9)) if number < 2 else timedelta(hours=1.5)
        day.sign(other, min(moment + later, CLOSES))


def _mistakes_put_right(day: MadeDay) -> None:
    for number in range(3):
        wrong, right = f"wrong-{number}", f"right-{number}"
        day.pair(wrong, right)
        moment = day.any_time()
        day.sign(wrong, moment, votes=False)
        day.withdraw(wrong, moment + timedelta(minutes=2), "wrong_line", None)
        day.sign(right, moment + timedelta(minutes=3))
    for number in range(2):
        wrong, right = f"moved-from-{number}", f"moved-to-{number}"
        moment = day.any_time()
        day.sign(wrong, moment, votes=False)
        day.withdraw(wrong, moment + timedelta(minutes=6), "wrong_line", right)
        day.sign(right, moment + timedelta(minutes=6, seconds=1), moved_from=wrong)
    for number in range(2):
        line = f"spoiled-{number}"
        moment = day.any_time()
        day.sign(line, moment, votes=False)
        day.withdraw(line, moment + timedelta(minutes=1), "spoiled", None)
        day.sign(line, moment + timedelta(minutes=2))
    # Taken back before anything was voted: a voter who would not wait.
    moment = day.any_time()
    day.sign("would-not-wait", moment, votes=False)
    day.withdraw("would-not-wait", moment + timedelta(minutes=4), "other", None)
    for number in range(3):
        line = f"left-{number}"
        made = day.sign(line, day.any_time(), votes=False)
        day.add(made.moment + timedelta(minutes=9), "voter.left", line, signature_seq=made)


def _steps_and_notes(day: MadeDay) -> None:
    for line in day.rng.sample([one for one in day.signed if one.startswith("voter-")], 20):
        moment = day.signed[line].moment - timedelta(minutes=1)
        day.add(moment, "assistance.recorded", line, wanted=True)
    # Went home for a paper and never came back.
    day.add(day.any_time(), "address.confirmed", "gone-home-1")
    for about in ("machine", "observer", "voter", "other"):
        day.note(day.any_time(), about)


def _provisional(day: MadeDay) -> None:
    for number in range(4):
        line = f"envelope-{number}" if number % 2 else None
        made = day.add(day.any_time(), "provisional.recorded", line, ballot_button=2)
        day.provisional.append(made)


def _affidavits(day: MadeDay) -> None:
    for number in range(3):
        line, moment = f"affidavit-{number}", day.any_time()
        day.add(moment, "line.added", line, list_seq=None)
        day.sign(line, moment + timedelta(minutes=1))


def _paper_time(day: MadeDay) -> None:
    """Forty minutes on paper after lunch, caught up afterwards."""
    begun, lines = OPENS + timedelta(hours=6), 30
    start = day.add(begun, "paper.begun", None, reason="x", head_seq=1, head_hash="")
    caught = begun + timedelta(minutes=50)
    for order in range(1, lines + 1):
        voted = begun + timedelta(seconds=order * 75)
        written = f"13:{order % 60:02}"
        made = day.sign(
            f"paper-{order}",
            caught + timedelta(seconds=order * 20),
            votes=False,
            caught_up={"at": written, "order": order},
        )
        day.vote_of[f"paper-{order}"] = day.vote(voted, made.body["ballot_button"])
        day.paper.append(made)
    done = caught + timedelta(minutes=20)
    day.add(done, "paper.caught_up", None, begun_seq=start, lines=lines, duplicates=0)


def explained(day: MadeDay) -> tuple[Balance, list[Cause]]:
    scene = day.scene()
    return scene.balance, causes(scene)


def _number(value: Any) -> Any:
    return value.seq if isinstance(value, Made) else value


def ranks(found: list[Cause]) -> Mapping[str, int]:
    """The place of each cause, from 1."""
    places: dict[str, int] = {}
    for place, cause in enumerate(found, 1):
        places.setdefault(cause.code, place)
    return places
