"""A laptop that follows is used to look things up: it serves, and records nothing."""

from __future__ import annotations

import asyncio
import re
from collections.abc import Callable, Iterator
from datetime import timedelta
from pathlib import Path
from typing import Any

import pytest
from starlette.testclient import TestClient

from app.api.access import _WHILE_FOLLOWING, ACCESS
from app.desk.standby_here import StandbyHere
from app.records import people, queries
from app.records.clock import SystemClock, from_text
from app.records.engine import open_for_reading
from app.records.people import WrongPins
from app.records.standby_record import Holds, followed_by
from app.rules.policy import Policy
from tests.api.any_request import try_every_route
from tests.api.conftest import PINS, ROLES, Precinct
from tests.api.listing import bring, row_of
from tests.api.live_page import happens, listening
from tests.api.people_apart import AFFIDAVIT
from tests.api.two_laptops import FIRST, TwoLaptops, day, two_laptops, until
from tests.records.test_changes import dump

Templates = Callable[[Policy], tuple[Path, Any]]


@pytest.fixture
def both(
    templates: Templates, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> Iterator[TwoLaptops]:
    with two_laptops(*templates(Policy()), tmp_path, monkeypatch) as laptops, laptops.serving():
        yield laptops


def all_of(url: str) -> object:
    engine = open_for_reading(url)
    try:
        with engine.connect() as connection:
            return dump(connection)
    finally:
        engine.dispose()


def try_pin(precinct: Precinct, initials: str, pin: str) -> Any:
    body = {"initials": initials, "pin": pin, "station": "Table 1"}
    return precinct.post(precinct.client(), "/api/sign-on", body)


def names(precinct: Precinct, client: TestClient, text: str) -> list[str]:
    matches = precinct.post(client, "/api/find", {"text": text}).json()["matches"]
    return [match["name"] for match in matches]


# What it serves


def test_a_worker_signs_on_finds_a_person_and_reads_their_line_and_nothing_is_written(
    both: TwoLaptops,
) -> None:
    before = all_of(both.url)
    table = both.second.station("RM")
    assert names(both.second, table, "quill") == ["Quillfeather, Odette"]
    assert both.second.sheet(table, "plain")["verdict"]["outcome"] == "sign"
    assert table.get("/api/log").json()["entries"]
    assert table.get("/api/day").json()["worker"]["initials"] == "RM"
    assert all_of(both.url) == before == all_of(both.first.url)


def test_the_day_says_whom_it_follows_and_that_nothing_is_recorded(both: TwoLaptops) -> None:
    found = day(both.second)
    head = both.first.app.state.roster.store.read(queries.head)
    assert found["refusal"] == "read-only-standby"
    assert found["may_be_followed"] is False
    said = found["standby"]
    assert re.fullmatch(r"\d\d:\d\d", said.pop("since"))
    fours = " ".join(head.hash[at : at + 4] for at in range(0, 16, 4))
    assert said == {
        "follows": FIRST, "state": "in-step", "why": "", "seq": head.seq, "head": fours,
    }  # fmt: skip
    first = day(both.first)
    assert (first["standby"], first["may_be_followed"]) == (None, True)


@pytest.mark.parametrize("initials", [*ROLES, ""])
def test_every_route_reads_or_says_that_nothing_is_recorded_here(
    both: TwoLaptops, initials: str
) -> None:
    before = all_of(both.url)
    station: Callable[[], TestClient] = (
        (lambda: both.second.station(initials)) if initials else both.second.client
    )
    client, refused = station(), 0
    for (method, path), roles in ACCESS.items():
        if (method, path) in LEFT_OUT:
            continue
        filled = re.sub(r"\{[a-z_]+\}", "1", path.replace("{line_id}", both.first.ids["plain"]))
        key = {"Idempotency-Key": both.second.token()}
        body: dict[str, str] | None = None if method == "GET" else {}
        answer = client.request(method, filled, json=body, headers=key)
        code = answer.json()["code"] if answer.is_error else ""
        if roles and not initials:
            assert code == "not-signed-on", path
        elif roles and ROLES[initials] not in roles:
            assert code == "not-allowed", path
        elif method != "GET" and (method, path) not in _WHILE_FOLLOWING:
            assert (answer.status_code, code) == (503, "read-only-standby"), path
            refused += 1
        else:
            assert code not in ("read-only-standby", "unexpected"), path
        if path == "/api/cover":
            client = station()
    assert refused > (2 if not initials else 8)
    assert all_of(both.url) == before == all_of(both.first.url)


@pytest.mark.parametrize("initials", ["RM", "LO", ""])
def test_any_request_is_answered_as_described_and_changes_nothing(
    both: TwoLaptops, initials: str
) -> None:
    before = all_of(both.url)
    client = both.second.station(initials) if initials else both.second.client()
    tried = try_every_route(both.second, client, examples=2, is_refusing=True)
    assert set(tried.statuses) <= {200, 400, 401, 403, 404, 409, 415, 422, 423, 429, 503}
    assert tried.cases > len(ACCESS)
    assert tried.statuses[503] > 40 or not initials
    assert all_of(both.url) == before == all_of(both.first.url)
    assert followed_by(both.database)


# A stream without end; what takes over is tried in test_taking_over.py.
LEFT_OUT = {("GET", "/api/log/live"), ("POST", "/api/sign-off")}


def test_a_line_asked_for_again_and_again_has_every_answer_that_it_has_at_the_first(
    both: TwoLaptops,
) -> None:
    first, second = both.first.station("LO"), both.second.station("LO")
    until(both.in_step)
    for path in (
        "/api/turnout",
        "/api/late-lists",
        "/api/irregularities",
        "/api/checklists/opening",
    ):
        there, here = first.get(path).json(), second.get(path).json()
        for said in (there, here):
            said.pop("as_of", None)
            said.pop("local_time", None)
        assert here == there, path
    for line_id in both.first.ids.values():
        assert (
            first.get(f"/api/lines/{line_id}").json() == second.get(f"/api/lines/{line_id}").json()
        )


@pytest.mark.parametrize("paper", ["register", "register-now", "log-head", "irregularities"])
def test_papers_that_are_only_read_are_printed(both: TwoLaptops, paper: str) -> None:
    answer = both.second.station("LO").get(f"/api/papers/{paper}.pdf")
    assert (answer.status_code, answer.content[:5]) == (200, b"%PDF-")


# It moves along


def test_what_is_recorded_at_the_first_is_seen_here_at_once(both: TwoLaptops) -> None:
    reader = both.second.station("RM")
    assert both.second.sheet(reader, "plain")["verdict"]["outcome"] == "sign"
    writer = both.first.station("RM")
    assert both.first.sign(writer, "plain").status_code == 200
    assert both.second.sheet(reader, "plain")["verdict"]["outcome"] != "sign"
    assert reader.get("/api/day").json()["counts"] == writer.get("/api/day").json()["counts"]


def test_what_changes_without_an_entry_is_seen_here_too(both: TwoLaptops) -> None:
    reader, lead = both.second.station("RM"), both.first.station("LO")
    assert reader.get("/api/day").json()["counts"]["late_lists_draft"] == 0
    before = day(both.second)["standby"]["seq"]
    assert bring(both.first, lead, row_of("plain")).status_code == 200
    assert reader.get("/api/day").json()["counts"]["late_lists_draft"] == 1
    assert day(both.second)["standby"]["seq"] == before


def test_a_line_that_is_added_at_the_first_is_found_here(both: TwoLaptops) -> None:
    reader, lead = both.second.station("RM"), both.first.station("LO")
    assert names(both.second, reader, "nettlefold") == []
    answer = both.first.post(lead, "/api/correction-affidavits", AFFIDAVIT)
    assert answer.status_code == 200, answer.json()
    until(lambda: names(both.second, reader, "nettlefold") == ["Nettlefold, Ambrose"])


def test_a_page_here_hears_of_entries_and_of_each_turn(both: TwoLaptops) -> None:
    reader, writer = both.second.station("RM"), both.first.station("RM")

    async def hear() -> str:
        async with listening(both.second, reader) as sent:

            def heard(what: str) -> bool:
                return what in _text(sent)

            await asyncio.to_thread(both.first.sign, writer, "plain")
            assert await happens(lambda: heard('"signature.recorded"'))
            both.link.cut.set()
            assert await happens(lambda: heard('"apart"'))
            both.link.cut.clear()
            assert await happens(lambda: heard('"in-step"'))
            return _text(sent)

    said = asyncio.run(hear())
    assert said.index("event: entry") < said.index("event: standby")
    assert both.first.ids["plain"] in said
    assert "Quillfeather" not in said


def _text(sent: list[dict[str, Any]]) -> str:
    return b"".join(message.get("body", b"") for message in sent).decode()


def test_when_the_other_one_is_gone_it_says_so_and_goes_on_answering(both: TwoLaptops) -> None:
    both.link.cut.set()
    until(lambda: day(both.second)["standby"]["state"] == "apart")
    assert day(both.second)["standby"]["why"] == "gone"
    table = both.second.station("RM")
    assert both.second.sheet(table, "plain")["verdict"]["outcome"] == "sign"


def test_it_is_apart_since_it_was_in_step_for_certain_and_not_since_it_noticed_or_was_started(
    both: TwoLaptops, monkeypatch: pytest.MonkeyPatch
) -> None:
    newest = both.first.app.state.roster.store.read(
        lambda record: queries.entry(record, queries.head(record).seq)
    )
    later = SystemClock().now() + timedelta(hours=2)
    monkeypatch.setattr(SystemClock, "now", lambda _: later)
    again = StandbyHere(both.database, both.standby.followed, SystemClock())
    again.turned("apart", "gone")
    assert again.standing.since == from_text(newest.at)
    again.follower.in_step_at = later - timedelta(seconds=8)
    again.turned("apart", "refused")
    assert again.standing.since == later - timedelta(seconds=8)
    again.turned("in-step", "")
    assert again.standing.since == later
    again.follower.dispose()


def test_after_everything_was_fetched_anew_the_roster_is_that_of_the_new_record(
    both: TwoLaptops,
) -> None:
    reader, lead = both.second.station("RM"), both.first.station("LO")
    before = both.second.app.state.roster
    assert both.first.post(lead, "/api/correction-affidavits", AFFIDAVIT).status_code == 200
    both.link.cut.set()
    until(lambda: both.standby.standing.state == "apart")
    both.standby.follower._holds = Holds()
    both.link.cut.clear()
    assert both.first.sign(lead, "spare 1").status_code == 200
    until(lambda: both.second.app.state.roster is not before)
    until(both.in_step)
    assert reader.get("/api/day").json()["worker"]["initials"] == "RM", "still signed on"
    assert names(both.second, reader, "nettlefold") == ["Nettlefold, Ambrose"]
    assert both.second.sheet(reader, "spare 1")["verdict"]["outcome"] != "sign"


def test_a_lead_is_not_told_that_the_tables_of_the_other_laptop_are_silent(
    both: TwoLaptops,
) -> None:
    both.first.station("RM", "Table 1")
    both.second.app.state.watch.stations._started -= 600
    items = both.second.station("LO").get("/api/attention").json()["items"]
    assert "station-quiet" not in [item["kind"] for item in items]


# Who is signed on


def test_a_restart_signs_everybody_off_and_signing_off_one(both: TwoLaptops) -> None:
    table, other = both.second.station("RM"), both.second.station("TB", "Table 2")
    assert both.second.post(table, "/api/sign-off").status_code == 200
    assert table.get("/api/log").status_code == 401
    assert other.get("/api/log").status_code == 200
    both.standby.sign_ons = StandbyHere(
        both.database, both.standby.followed, SystemClock()
    ).sign_ons
    with both.serving() as again:
        client = again.client()
        client.cookies = other.cookies
        assert client.get("/api/log").json()["code"] == "not-signed-on"


def test_in_one_browser_signing_on_here_signs_nobody_off_at_the_first(both: TwoLaptops) -> None:
    table = both.first.station("RM")
    reader = both.second.client()
    reader.cookies = table.cookies
    body = {"initials": "TB", "pin": PINS["TB"], "station": "Table 1"}
    assert both.second.post(reader, "/api/sign-on", body).status_code == 200
    table.cookies = reader.cookies
    assert table.get("/api/day").json()["worker"]["initials"] == "RM"
    assert reader.get("/api/day").json()["worker"]["initials"] == "TB"


def test_what_is_covered_stays_covered_until_the_pin_is_typed(both: TwoLaptops) -> None:
    table = both.second.station("RM")
    assert both.second.post(table, "/api/cover").status_code == 200
    assert table.get("/api/log").json()["code"] == "covered"
    body = {"initials": "RM", "pin": PINS["RM"], "station": "Table 1"}
    assert both.second.post(table, "/api/sign-on", body).status_code == 200
    assert table.get("/api/log").status_code == 200


def test_the_same_key_again_signs_on_the_same_browser_and_ends_the_secret_before(
    both: TwoLaptops,
) -> None:
    key, body = both.second.token(), {"initials": "RM", "pin": PINS["RM"], "station": "Table 1"}
    first, second = both.second.client(), both.second.client()
    for client in (first, second):
        assert both.second.post(client, "/api/sign-on", body, key).status_code == 200
    assert first.get("/api/log").status_code == 401
    assert second.get("/api/log").status_code == 200


def test_a_pin_that_is_changed_at_the_first_is_the_one_that_counts_here(both: TwoLaptops) -> None:
    from app.desk.signing_on import set_pin

    set_pin(both.first.app.state.roster.store, initials="RM", pin="111222")
    assert try_pin(both.second, "RM", PINS["RM"]).status_code == 401
    assert try_pin(both.second, "RM", "111222").status_code == 200


def test_ten_wrong_pins_and_no_more_are_looked_at_also_over_restarts(both: TwoLaptops) -> None:
    evaluated = 0
    for _ in range(6):
        # A restart: what is kept in memory is gone, also when a try was made.
        both.standby.sign_ons = StandbyHere(
            both.database, both.standby.followed, SystemClock()
        ).sign_ons
        both.standby.sign_ons._tries._started -= 200
        with both.serving() as again:
            for _ in range(4):
                code = try_pin(again, "RM", "000000").json()["code"]
                evaluated += code == "wrong-pin"
                again.app.state.roster.here._tries._times.clear()
    assert evaluated == 10
    with both.serving() as again:
        assert try_pin(again, "RM", PINS["RM"]).json()["code"] == "pin-locked"
        assert try_pin(again, "TB", PINS["TB"]).status_code == 200, "nobody else is locked out"
    assert (both.database.parent / "standby.db.standby_tries").stat().st_mode & 0o077 == 0


def test_what_was_typed_wrong_at_the_first_counts_here_until_the_lead_unlocks_it_there(
    both: TwoLaptops,
) -> None:
    for _ in range(4):
        assert try_pin(both.first, "RM", "000000").status_code == 401
    left = try_pin(both.second, "RM", "000000").json()["tries_left"]
    assert left == 10 - 5
    lead = both.first.station("LO")
    (worker,) = [
        one for one in lead.get("/api/stations").json()["workers"] if one["initials"] == "RM"
    ]
    path = f"/api/workers/{worker['worker_id']}/unlock"
    assert both.first.post(lead, path, {"pin": PINS["LO"]}).status_code == 200
    assert try_pin(both.second, "RM", "000000").json()["tries_left"] == 10 - 2


@pytest.mark.parametrize("counted", [WrongPins(9, 0), WrongPins(0, 9)])
def test_nine_wrong_at_the_first_leave_one_here(both: TwoLaptops, counted: WrongPins) -> None:
    first = both.first.app.state.roster.store
    first.writer.write(lambda unit: people.keep_wrong(unit, "RM", counted))
    # Nobody has to wait: it was long ago.
    both.standby.sign_ons._tries._started -= 200
    assert try_pin(both.second, "RM", "000000").json()["tries_left"] == 0
    both.standby.sign_ons._tries._times["RM"] = [both.standby.sign_ons._tries._started]
    assert try_pin(both.second, "RM", PINS["RM"]).json()["code"] == "pin-locked"


def test_initials_of_nobody_are_counted_like_any_others(both: TwoLaptops) -> None:
    assert try_pin(both.second, "ZZ", "000000").json()["tries_left"] == 9
    assert try_pin(both.second, "ZZ", "000000").json()["tries_left"] == 8


def test_where_a_try_cannot_be_counted_no_pin_is_looked_at(
    both: TwoLaptops, monkeypatch: pytest.MonkeyPatch
) -> None:
    from app.records import standby_tries

    def full(*_: object) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(standby_tries, "write_durably", full)
    for pin in ("000000", PINS["RM"]):
        assert try_pin(both.second, "RM", pin).json()["code"] == "storage-refused"
