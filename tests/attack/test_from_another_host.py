"""The same from another host: another network stack, another address, a cable between.

What comes from 127.* never leaves the machine, and the system treats it otherwise. Here the test
sits at the laptop, and the station and the attacker at the other end of a cable.
"""

from __future__ import annotations

from collections.abc import Iterator

import httpx
import pytest

from _hall import Hall, hall_of
from _running_server import make_day
from app.records.store import verify_database
from tests.attack import test_attacker
from tests.attack.conftest import Who
from tests.attack.test_attacker import SLOW_BODY, is_cut_off_after_ten_seconds
from tests.two_hosts import FIRST, NEEDS_TWO_HOSTS, SECOND, THIRD, TwoHosts, two_hosts

pytestmark = NEEDS_TWO_HOSTS


@pytest.fixture(scope="module")
def who() -> Who:
    return Who(table=SECOND, attacker=THIRD)


@pytest.fixture(scope="module")
def hosts(who: Who) -> Iterator[TwoHosts]:
    with two_hosts(second=(who.table, who.attacker)) as made, made.first.entered():
        yield made


@pytest.fixture(scope="module")
def hall(hosts: TwoHosts, tmp_path_factory: pytest.TempPathFactory) -> Iterator[Hall]:
    day = make_day(tmp_path_factory.mktemp("attacked"))
    with hall_of(day, laptop=FIRST, entered=hosts.second.entered) as hall:
        yield hall
    assert verify_database(day.url).holds


def test_whoever_takes_a_stations_address_is_no_station(
    hall: Hall, who: Who, table: httpx.Client
) -> None:
    with hall.browser(who.table) as device:
        assert device.get("/api/log").status_code == 401
    assert table.get("/api/log").status_code == 200


def test_whoever_sends_a_body_slowly_is_cut_off_after_ten_seconds(hall: Hall, who: Who) -> None:
    is_cut_off_after_ten_seconds(hall, who, SLOW_BODY)


# Ten seconds each, of which one is enough: above.
LEFT_OUT = {"test_whoever_sends_slowly_is_cut_off_after_ten_seconds"}

# In their order, since the last of them tells what those before it were refused.
globals().update(
    {
        name: test
        for name, test in vars(test_attacker).items()
        if name.startswith("test_") and name not in LEFT_OUT
    }
)
