"""Ten thousand guesses at full speed, over restarts and clock jumps (reliability, fault 22)."""

from __future__ import annotations

import datetime
from collections import Counter
from collections.abc import Iterable
from concurrent.futures import ThreadPoolExecutor
from contextlib import suppress
from dataclasses import replace
from itertools import count
from pathlib import Path
from typing import Any

import pytest

from app.desk import signing_on
from app.desk.pin_tries import HOUR_SECONDS, PinTries
from app.desk.roster import Roster, open_roster
from app.records import people
from app.records.clock import Clock
from app.records.people import MOST_TRIES
from app.records.store import verify_database
from app.rules.faults import PinLocked, PinWait, WrongPin
from tests.api.conftest import PINS, load
from tests.api.ticking import Ticking

TRIES = 10_000
RESTARTS = 20


class Jumping(Clock):
    """A wall clock that is set back and forth before each reading."""

    def __init__(self) -> None:
        self._jumps = count()

    def now(self) -> datetime.datetime:
        days = (0, -1, 365, -20_000)[next(self._jumps) % 4]
        begin = datetime.datetime(2027, 3, 2, 12, tzinfo=datetime.UTC)
        return begin + datetime.timedelta(days=days)


@pytest.fixture
def url(tmp_path: Path) -> str:
    found = f"sqlite:///{(tmp_path / 'day.db').as_posix()}"
    load(found)
    return found


@pytest.fixture
def looked_at(monkeypatch: pytest.MonkeyPatch) -> Counter[str]:
    """How often a PIN was compared with each hash."""
    found: Counter[str] = Counter()
    is_right = signing_on._is_right

    def counting(pin: str, pin_hash: str) -> bool:
        found[pin_hash] += 1
        return is_right(pin, pin_hash)

    monkeypatch.setattr(signing_on, "_is_right", counting)
    return found


def guess(roster: Roster, initials: str, device: str, pin: str) -> type[Exception]:
    try:
        signing_on.sign_on(
            roster,
            initials=initials,
            pin=pin,
            station="T",
            token=f"guess-{pin}-{device}-0000",
            device=device,
        )
    except (WrongPin, PinWait, PinLocked) as fault:
        return type(fault)
    raise AssertionError("a guess was right")


def at_once(roster: Roster, numbers: Iterable[int]) -> list[type[Exception]]:
    with ThreadPoolExecutor(8) as pool:
        return list(
            pool.map(lambda number: guess(roster, "RM", f"s{number % 10}", f"{number:06}"), numbers)
        )


def hash_of(roster: Roster, initials: str) -> str:
    worker = roster.store.read(lambda connection: people.find_worker(connection, initials))
    assert worker
    return worker.pin_hash


def test_ten_thousand_guesses_get_ten_looked_at_and_lock_nobody_else(
    url: str, looked_at: Counter[str]
) -> None:
    ticking = Ticking()
    answers: Counter[type[Exception]] = Counter()
    for restart in range(RESTARTS):
        with open_roster(url, Jumping()) as opened:
            roster = replace(opened, tries=PinTries(ticking))
            for half in (0, 250):
                begin = restart * 500 + half
                answers.update(at_once(roster, range(begin, begin + 250)))
                ticking.wait(150)
            mine = hash_of(roster, "RM")
    assert sum(answers.values()) == TRIES
    assert looked_at[mine] == answers[WrongPin] == MOST_TRIES
    with open_roster(url, Jumping()) as roster:
        for initials in ("TB", "LO", "GS"):
            signing_on.sign_on(
                roster,
                initials=initials,
                pin=PINS[initials],
                station="T",
                token=f"right-pin-of-{initials}",
            )
    assert verify_database(url).holds


def test_no_hour_has_more_than_ten_looked_at_even_where_the_worker_signs_on_in_between(
    url: str, looked_at: Counter[str]
) -> None:
    ticking = Ticking()
    times: list[float] = []
    with open_roster(url) as opened:
        roster = replace(opened, tries=PinTries(ticking))
        mine = hash_of(roster, "RM")
        for number in range(600):
            before = looked_at[mine]
            guess(roster, "RM", "s1", f"{number:06}")
            times += [ticking()] * (looked_at[mine] - before)
            ticking.wait(60)
            if number % 3 == 2:
                rosa_signs_on(roster, number)
    assert len(times) > MOST_TRIES
    for at in times:
        assert sum(at <= other < at + HOUR_SECONDS for other in times) <= MOST_TRIES


def rosa_signs_on(roster: Roster, number: int) -> None:
    rosa: dict[str, Any] = {"initials": "RM", "pin": PINS["RM"], "station": "T"}
    with suppress(PinLocked, PinWait):
        signing_on.sign_on(roster, token=f"rosa-signs-on-{number:06}", **rosa)


def test_a_lead_who_unlocks_starts_the_count_again(url: str) -> None:
    ticking = Ticking()
    with open_roster(url) as opened:
        roster = replace(opened, tries=PinTries(ticking))
        lock(roster, ticking)
        worker = roster.store.read(lambda connection: people.find_worker(connection, "RM"))
        lead = roster.store.read(lambda connection: people.find_worker(connection, "LO"))
        assert worker
        assert lead
        actor = signing_on.Actor(lead.worker_id, "LO", "Lead's desk")
        signing_on.unlock(
            roster, actor, "unlock-token-0001", worker_id=worker.worker_id, pin=PINS["LO"]
        )
        assert guess(roster, "RM", "s1", "999999") is WrongPin


def lock(roster: Roster, ticking: Ticking) -> None:
    for number in range(MOST_TRIES):
        assert guess(roster, "RM", "s1", f"{number:06}") is WrongPin
        ticking.wait(150)
    assert guess(roster, "RM", "s1", "123456") is PinLocked


def test_a_worker_unlocked_by_the_command_may_try_again_at_a_running_server(url: str) -> None:
    ticking = Ticking()
    with open_roster(url) as opened:
        roster = replace(opened, tries=PinTries(ticking))
        lock(roster, ticking)
        worker = roster.store.read(lambda connection: people.find_worker(connection, "RM"))
        assert worker
        worker_id = worker.worker_id
        roster.store.writer.write(lambda unit: people.forgive_tries(unit, worker_id))
        assert guess(roster, "RM", "s1", "999999") is WrongPin


def test_unknown_initials_are_forgotten_before_they_fill_the_record(
    url: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(people, "MOST_UNKNOWN", 5)
    with open_roster(url) as roster:
        guess(roster, "RM", "a", "000000")
        for number in range(12):
            guess(roster, f"Z{chr(65 + number)}", f"d{number}", "000000")
        kept = roster.store.read(people.all_wrong_pins)
    assert "RM" in kept
    assert len(kept) <= 1 + 5
