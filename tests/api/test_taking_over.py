"""The lead takes over at the laptop that follows; the other one is told, now or later."""

from __future__ import annotations

import json
from collections.abc import Callable, Iterator
from contextlib import contextmanager, nullcontext
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest
from starlette.testclient import TestClient

from app.api import telling
from app.desk import following, taking_over
from app.desk.standing_by import known_secret
from app.records import queries
from app.records.bodies_stations import StationJoined
from app.records.clock import SystemClock
from app.records.entry import Actor
from app.records.replaced import (
    Replaced,
    forget_replaced,
    keep_replaced,
    replaced_by,
    replaced_path,
    settle,
)
from app.records.standby_epoch import epoch_of
from app.records.standby_record import Followed, follow, followed_by
from app.records.stations import Station, all_stations, keep_station
from app.records.store import open_store, verify_database
from app.records.unit import Unit
from app.rules.faults import StorageRefused
from app.rules.policy import Policy
from app.server import build_app
from tests.api.conftest import HOST, PINS, Precinct
from tests.api.test_standing_by import all_of
from tests.api.two_laptops import TwoLaptops, two_laptops, until

Templates = Callable[[Policy], tuple[Path, Any]]
WHY = "the first laptop fell off the table"


@pytest.fixture
def both(
    templates: Templates, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> Iterator[TwoLaptops]:
    """Nothing is told over the network here but what `reach` lets through."""
    monkeypatch.setattr(following, "tell_that_this_one_took_over", _nobody_is_there)
    monkeypatch.setattr(taking_over, "tell_that_this_one_took_over", _nobody_is_there)
    monkeypatch.setattr(telling, "TELL_SECONDS", 0.02)
    with two_laptops(*templates(Policy()), tmp_path, monkeypatch) as laptops, laptops.serving():
        yield laptops


def _nobody_is_there(followed: Followed, epoch: int) -> bool:
    return False


def reach(both: TwoLaptops, monkeypatch: pytest.MonkeyPatch) -> None:
    """The first one is there, and hears what it is told."""

    def tell(followed: Followed, epoch: int) -> bool:
        told = both.client.post("/api/copy/took-over", json={"epoch": epoch})
        return bool(told.json().get("gives_way") is True)

    monkeypatch.setattr(taking_over, "tell_that_this_one_took_over", tell)


def take_over(both: TwoLaptops, client: TestClient, **other: Any) -> Any:
    token = other.pop("token", None)
    body = {"reason": WHY, "pin": PINS["LO"], **other}
    return both.second.post(client, "/api/standby/take-over", body, token)


def entries(url: str) -> list[Any]:
    with open_store(url, SystemClock()) as store:
        return store.read(lambda record: list(queries.entries_after(record, 0)))


def test_the_lead_takes_over_and_the_same_record_goes_on_with_their_name_on_the_act(
    both: TwoLaptops,
) -> None:
    table = both.first.station("RM")
    assert both.first.sign(table, "plain").status_code == 200
    both.link.cut.set()
    answer = take_over(both, both.second.station("LO"))
    assert answer.status_code == 200, answer.json()
    said = answer.json()
    assert (said["epoch"], said["is_told"]) == (1, False)
    assert followed_by(both.database) is None
    last = entries(both.url)[-1]
    assert (last.seq, last.kind, last.initials) == (said["seq"], "laptop.took_over", "LO")
    assert last.body == {"epoch": 1, "reason": WHY}
    assert said["head"].replace(" ", "") == last.hash[:16]
    assert verify_database(both.url).holds
    with recording(both) as taken:
        assert known_secret(taken.app.state.roster.store) is None, "nobody follows this one yet"
        again = taken.station("RM")
        assert taken.sign(again, "second ballot").status_code == 200
        assert taken.sign(again, "plain").json()["code"] == "already-signed"
        assert taken.client().get("/api/day").json()["standby"] is None


@contextmanager
def recording(both: TwoLaptops) -> Iterator[Precinct]:
    """The second laptop once it has been started anew as the one that records."""
    app = build_app(both.url, {HOST})
    with TestClient(app, base_url=f"http://{HOST}"):
        yield Precinct(both.url, app, both.first.ids, both.first.tokens)


@pytest.mark.parametrize("initials", ["RM", "GS", ""])
def test_nobody_but_the_lead_takes_over(both: TwoLaptops, initials: str) -> None:
    before = all_of(both.url)
    client = both.second.station(initials) if initials else both.second.client()
    assert take_over(both, client).json()["code"] in ("not-allowed", "not-signed-on")
    assert all_of(both.url) == before
    assert followed_by(both.database)


@pytest.mark.parametrize(
    ("other", "code"),
    [
        ({"pin": "000000"}, "wrong-pin"),
        ({"pin": PINS["RM"]}, "wrong-pin"),
        ({"pin": ""}, "bad-request"),
        ({"reason": ""}, "bad-request"),
        ({"reason": "   "}, "bad-request"),
        ({"token": "short"}, "token-missing"),
    ],
)
def test_what_is_wrong_is_said_and_it_follows_on(
    both: TwoLaptops, other: dict[str, str], code: str
) -> None:
    lead = both.second.station("LO")
    assert take_over(both, lead, **other).json()["code"] == code
    assert followed_by(both.database)
    assert not replaced_path(both.database).exists()
    assert both.first.sign(both.first.station("RM"), "plain").status_code == 200
    until(lambda: all_of(both.url) == all_of(both.first.url))


def test_ten_wrong_pins_of_the_lead_lock_the_taking_over(both: TwoLaptops) -> None:
    lead = both.second.station("LO")
    evaluated = 0
    for _ in range(14):
        evaluated += take_over(both, lead, pin="000000").json()["code"] == "wrong-pin"
        both.standby.sign_ons._tries._times["LO"] = [
            at - 200 for at in both.standby.sign_ons._tries._times["LO"]
        ]
    assert evaluated == 10
    assert take_over(both, lead).json()["code"] == "pin-locked"
    assert followed_by(both.database)


def test_a_laptop_that_follows_nobody_has_nothing_to_take_over(both: TwoLaptops) -> None:
    lead = both.first.station("LO")
    refused = both.first.post(lead, "/api/standby/take-over", {"reason": WHY, "pin": PINS["LO"]})
    assert (refused.status_code, refused.json()["code"]) == (409, "no-standby")


def test_nothing_is_followed_into_the_record_once_it_was_taken_over(both: TwoLaptops) -> None:
    lead, table = both.second.station("LO"), both.first.station("RM")
    assert take_over(both, lead).status_code == 200
    before = all_of(both.url)
    # The first one could not be told: it records on, and its second laptop takes nothing more.
    assert both.first.sign(table, "plain").status_code == 200
    until(lambda: not both.in_step())
    assert all_of(both.url) == before


def test_pressed_twice_it_is_one_act_and_asked_again_later_the_answer_is_the_same(
    both: TwoLaptops,
) -> None:
    lead, key = both.second.station("LO"), both.second.token()
    first = take_over(both, lead, token=key).json()
    assert take_over(both, lead, token=key).json() == first
    assert take_over(both, lead).json() == first
    assert [one.kind for one in entries(both.url)].count("laptop.took_over") == 1
    with recording(both) as taken:
        body = {"reason": WHY, "pin": PINS["LO"]}
        again = taken.post(taken.station("LO"), "/api/standby/take-over", body, key)
        assert again.json() == first


def test_wrong_pins_that_were_counted_here_count_on_in_the_record(both: TwoLaptops) -> None:
    body = {"initials": "RM", "pin": "000000", "station": "Table 1"}
    for _ in range(3):
        assert both.second.post(both.second.client(), "/api/sign-on", body).status_code == 401
    assert take_over(both, both.second.station("LO")).status_code == 200
    assert not (both.database.parent / "standby.db.standby_tries").exists()
    with recording(both) as taken:
        left = taken.post(taken.client(), "/api/sign-on", body).json()["tries_left"]
    assert left == 10 - 4


def test_a_table_that_was_let_in_at_the_first_may_have_its_name_here(both: TwoLaptops) -> None:
    joined = Station("a1b2c3d4", "Table 7", "12" * 32, "34" * 32, "192.0.2.9", 0)

    def let_in(unit: Unit) -> None:
        body = StationJoined(station_id=joined.station_id, address=joined.address)
        entry = unit.append(Actor("door", "", joined.name), "a-table-is-let-in", body)
        keep_station(unit, replace(joined, joined_seq=entry.seq))

    both.first.app.state.roster.store.writer.write(let_in)
    until(lambda: entries(both.url)[-1].kind == "station.joined")
    assert take_over(both, both.second.station("LO")).status_code == 200
    *_, out, act = entries(both.url)
    assert (out.kind, out.body["name"], out.initials) == ("station.revoked", "Table 7", "LO")
    assert act.kind == "laptop.took_over"
    with open_store(both.url, SystemClock()) as store:
        ((station, _),) = store.read(all_stations)
    assert station.revoked_seq == out.seq
    assert verify_database(both.url).holds


def test_where_the_act_cannot_be_written_the_record_still_follows(
    both: TwoLaptops, monkeypatch: pytest.MonkeyPatch
) -> None:
    before = all_of(both.url)
    lead = both.second.station("LO")

    def full(*_: object) -> None:
        raise StorageRefused(why="no room")

    with monkeypatch.context() as patched:
        patched.setattr(taking_over, "raise_epoch", full)
        assert take_over(both, lead).json()["code"] == "storage-refused"
    assert all_of(both.url) == before
    assert followed_by(both.database)
    # What was prepared is undone at the next start; asked for again it is done.
    assert take_over(both, lead).status_code == 200


# Telling the one that was replaced


def test_a_laptop_that_is_there_is_told_at_once_and_records_nothing_more(
    both: TwoLaptops, monkeypatch: pytest.MonkeyPatch
) -> None:
    reach(both, monkeypatch)
    table = both.first.station("RM")
    assert take_over(both, both.second.station("LO")).json()["is_told"] is True
    assert both.first.sign(table, "plain").json()["code"] == "newer-record-elsewhere"
    with recording(both):
        until(lambda: not replaced_path(both.database).exists())
    assert [one.kind for one in entries(both.url)].count("laptop.gave_way") == 1


def test_one_that_was_not_there_is_told_later_over_restarts_and_until_then_the_lead_sees_it(
    both: TwoLaptops, monkeypatch: pytest.MonkeyPatch
) -> None:
    assert take_over(both, both.second.station("LO")).json()["is_told"] is False
    for _ in range(2):
        with recording(both) as taken:
            assert needs(taken)["old-laptop-untold"]["address"] == both.standby.followed.url
    assert replaced_path(both.database).stat().st_mode & 0o077 == 0
    with recording(both) as taken:
        reach(both, monkeypatch)
        until(lambda: "old-laptop-untold" not in needs(taken))
    assert both.first.client().get("/api/day").json()["refusal"] == "newer-record-elsewhere"
    (told,) = [one for one in entries(both.url) if one.kind == "laptop.gave_way"]
    assert told.body == {"epoch": 1}
    assert verify_database(both.url).holds


def test_a_laptop_that_stops_between_the_entry_and_forgetting_writes_it_down_once(
    both: TwoLaptops, monkeypatch: pytest.MonkeyPatch
) -> None:
    reach(both, monkeypatch)
    assert take_over(both, both.second.station("LO")).status_code == 200
    kept = replaced_by(both.database)
    assert kept is not None
    with open_store(both.url, SystemClock()) as store:
        for _ in range(2):
            keep_replaced(both.database, kept)
            assert taking_over.tell_and_write_down(store)
    assert [one.kind for one in entries(both.url)].count("laptop.gave_way") == 1


def needs(precinct: Precinct) -> dict[str, Any]:
    items = precinct.station("LO").get("/api/attention").json()["items"]
    return {item["kind"]: item["facts"] for item in items}


def test_an_old_laptop_that_was_started_so_that_nobody_may_follow_it_hears_it_all_the_same(
    both: TwoLaptops,
) -> None:
    plain = build_app(both.first.url, {HOST})
    with TestClient(plain, base_url=f"http://{HOST}") as running:
        secret = both.client.headers["Authorization"]
        for header, code in (("Bearer wrong", "not-joined"), ("", "not-joined")):
            refused = running.post(
                "/api/copy/took-over", json={"epoch": 1}, headers={"Authorization": header}
            )
            assert refused.json()["code"] == code
        told = running.post(
            "/api/copy/took-over", json={"epoch": 1}, headers={"Authorization": secret}
        )
        assert told.json() == {"gives_way": True}


@pytest.mark.parametrize(
    ("status", "body"),
    [
        (401, {"code": "not-joined"}),
        (200, {"gives_way": False}),
        (200, {"gives_way": "yes"}),
        (200, {}),
        (200, []),
        (503, {"code": "read-only-standby"}),
    ],
)
def test_any_answer_but_giving_way_is_no_success(
    monkeypatch: pytest.MonkeyPatch, status: int, body: Any
) -> None:
    import httpx

    def answer(_: httpx.Request) -> httpx.Response:
        return httpx.Response(status, json=body)

    client = httpx.Client(base_url="http://127.0.0.1:1", transport=httpx.MockTransport(answer))
    monkeypatch.setattr(following, "_client", lambda *_: nullcontext(client))
    followed = Followed("http://127.0.0.1:1", "", "secret")
    assert following.tell_that_this_one_took_over(followed, 1) is False
    client.close()


# Cut short


def test_a_taking_over_that_was_cut_short_is_finished_or_undone(tmp_path: Path) -> None:
    database = tmp_path / "day.db"
    followed = Followed("https://192.0.2.7:8408", "", "secret-of-the-second")
    follow(database, followed)
    keep_replaced(database, Replaced(followed, 3))
    assert "secret-of" not in repr(replaced_by(database))
    settle(database, 2)
    assert followed_by(database) == followed, "the act was never written"
    assert replaced_by(database) is None
    keep_replaced(database, Replaced(followed, 3))
    settle(database, 3)
    assert followed_by(database) is None
    assert replaced_by(database) == Replaced(followed, 3)
    settle(database, 3)
    forget_replaced(database)
    forget_replaced(database)
    assert list(tmp_path.iterdir()) == []


@pytest.mark.parametrize(
    "text", ["{", "[]", '{"epoch": 1}', json.dumps({"followed": {}, "epoch": 1})]
)
def test_a_file_of_whom_it_replaced_that_cannot_be_read_says_what_to_do(
    tmp_path: Path, text: str
) -> None:
    database = tmp_path / "day.db"
    replaced_path(database).write_text(text, encoding="utf-8")
    with pytest.raises(StorageRefused, match="by hand"):
        replaced_by(database)


def test_the_epoch_goes_up_with_the_act_and_not_without_it(both: TwoLaptops) -> None:
    def epoch() -> int:
        with open_store(both.url, SystemClock()) as store:
            return store.read(epoch_of)

    assert epoch() == 0
    assert take_over(both, both.second.station("LO")).status_code == 200
    assert epoch() == 1
