"""Two laptops that are two hosts, and the network between them fails in both of its ways.

A host whose own link is down knows at once that it cannot send. In the other way nothing is ever
refused: what is sent is lost, and only the time-out tells. The test itself sits at the first.
"""

from __future__ import annotations

import errno
import socket
from collections.abc import Callable, Iterator
from contextlib import AbstractContextManager, closing
from pathlib import Path

import httpx
import pytest

from _running_server import Day, Server, free_port, fresh_token, sign_on_paper
from _second_laptop import SecondLaptop, standby_state
from app.records import queries
from app.records.clock import SystemClock
from app.records.store import open_store, verify_database
from tests.records.test_changes import Dump, dump
from tests.survival.test_second_laptop import sign, tokens_in, two_laptops, until
from tests.two_hosts import FIRST, NEEDS_TWO_HOSTS, SECOND, Host, TwoHosts, two_hosts

pytestmark = [pytest.mark.survival, NEEDS_TWO_HOSTS]

Parted = Callable[[TwoHosts], AbstractContextManager[None]]
PARTED: dict[str, Parted] = {
    "the first one's link is down": lambda hosts: hosts.link_down(hosts.first),
    "the second one's link is down": lambda hosts: hosts.link_down(hosts.second),
    "what is sent is lost": lambda hosts: hosts.silence(),
}
parted_in_every_way = pytest.mark.parametrize("parted", PARTED.values(), ids=PARTED.keys())


@pytest.fixture
def hosts() -> Iterator[TwoHosts]:
    with two_hosts() as made, made.first.entered():
        yield made


@pytest.fixture
def laptops(hosts: TwoHosts, tmp_path: Path) -> Iterator[tuple[Day, Server, SecondLaptop]]:
    """In step, over TLS, from one host to the other."""
    place = f"{FIRST}:{free_port()}"
    with two_laptops(tmp_path, "--stations", place, there=hosts.second.entered) as both:
        kept = (tmp_path / "second" / "standby.db.follows").read_text(encoding="utf-8")
        assert f"https://{place}" in kept
        yield both


def answered(host: Host, address: str) -> int | None:
    """What a host is answered that calls an address where nobody listens; None for nothing."""
    with host.entered(), socket.socket() as call:
        call.settimeout(1)
        try:
            return call.connect_ex((address, 9))
        except TimeoutError:
            return None


def sign_alone(first: Server, lines: tuple[str, ...]) -> list[str]:
    """The keys of what is acknowledged, with no second laptop to hold it."""
    tokens = [fresh_token() for _ in lines]
    with closing(first.station("RM", "Table 1")) as table:
        for line_id, token in zip(lines, tokens, strict=True):
            assert sign_on_paper(table, line_id, token).status_code == 200
            # Nobody is told that it stands while they are told that it stands twice.
            assert standby_state(first) != "in-step"
    return tokens


def why_failing(first: Server) -> str:
    (copy,) = httpx.get(f"{first.address}/api/day", timeout=5).json()["copies"]
    return str(copy["why"])


def everything_in(url: str) -> Dump:
    with open_store(url, SystemClock()) as store:
        return store.read(dump)


def copies_told(url: str) -> list[str]:
    with open_store(url, SystemClock()) as store:
        entries = store.read(lambda record: list(queries.entries_after(record, 0)))
    return [entry.kind for entry in entries if entry.kind.startswith("copy.")]


def test_a_link_that_is_down_is_known_at_once_and_lost_packets_are_not(hosts: TwoHosts) -> None:
    ways = [(hosts.first, SECOND), (hosts.second, FIRST)]
    for host, address in ways:
        with hosts.link_down(host):
            assert answered(host, address) == errno.ENETUNREACH
        until(lambda: [answered(*way) for way in ways] == [errno.ECONNREFUSED] * 2)
    with hosts.silence():
        assert {answered(*way) for way in ways} <= {None, errno.EAGAIN}
    assert [answered(*way) for way in ways] == [errno.ECONNREFUSED] * 2


@parted_in_every_way
def test_parted_the_first_goes_on_and_says_so_and_healed_the_two_are_equal(
    hosts: TwoHosts, laptops: tuple[Day, Server, SecondLaptop], parted: Parted
) -> None:
    day, first, second = laptops
    before = sign(first, day.open_lines[:15])
    assert before
    until(lambda: standby_state(first) == "in-step")
    told = copies_told(first.day.url)
    with parted(hosts):
        alone = sign_alone(first, day.open_lines[15:20])
        until(lambda: why_failing(first) == "gone")
        alone += sign_alone(first, day.open_lines[20:25])
        assert standby_state(first) == "failing"
        held = tokens_in(second.url)
        assert set(before) <= held
        # The one on which the first noticed may have come through before it did.
        assert not set(alone[1:]) & held
    until(lambda: standby_state(first) == "in-step")
    after = sign(first, day.open_lines[25:30])
    assert after
    until(lambda: standby_state(first) == "in-step")
    first.kill()
    second.kill()
    assert {*before, *alone, *after} <= tokens_in(second.url)
    assert everything_in(first.day.url) == everything_in(second.url)
    # Whoever reads the log sees the gap. A busy machine may have made a short one besides.
    gaps = copies_told(second.url)
    assert len(gaps) > len(told)
    assert gaps == ["copy.failed", "copy.back"] * (len(gaps) // 2)
    assert verify_database(second.url).holds


@parted_in_every_way
def test_promoted_while_parted_it_holds_what_was_in_step_and_the_first_is_told_once_it_is_reached(
    hosts: TwoHosts, laptops: tuple[Day, Server, SecondLaptop], parted: Parted
) -> None:
    day, first, second = laptops
    before = sign(first, day.open_lines[:10])
    promoted, table = Server(Day(second.url, ())), first.station("RM", "Table 2")
    try:
        with parted(hosts):
            alone = sign_alone(first, day.open_lines[10:12])
            second.kill()
            with hosts.second.entered():
                said = second.promote("nothing is heard of the first laptop")
                assert "could not be told. IF IT STILL RUNS, IT STILL RECORDS: stop it by" in said
                assert set(before) <= tokens_in(second.url)
                promoted.start()
                token = sign_at(promoted, day.open_lines[20])
                assert sign_at(promoted, day.open_lines[0]) == "already-signed"
            # As that warning says, it records on. Only it has what it recorded alone.
            alone += sign_alone(first, day.open_lines[12:13])
        until(lambda: refusal(first) == "newer-record-elsewhere")
        refused = sign_on_paper(table, day.open_lines[30], fresh_token())
        assert refused.json()["code"] == "newer-record-elsewhere"
    finally:
        promoted.kill()
        table.close()
    assert {*before, *alone} <= tokens_in(first.day.url)
    assert not set(alone[1:]) & tokens_in(second.url)
    assert token in tokens_in(second.url)
    for url in (first.day.url, second.url):
        assert verify_database(url).holds


def sign_at(laptop: Server, line_id: str) -> str:
    """The key of the signature, or the code of what speaks against it."""
    token = fresh_token()
    with closing(laptop.station("RM", "Table 1")) as table:
        answer = sign_on_paper(table, line_id, token)
    return token if answer.status_code == 200 else str(answer.json()["code"])


def refusal(laptop: Server) -> str | None:
    said: str | None = httpx.get(f"{laptop.address}/api/day", timeout=5).json()["refusal"]
    return said
