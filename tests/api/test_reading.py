"""Finding, the day, the log: what is read and what it never says."""

from __future__ import annotations

import asyncio
import json
from datetime import UTC, datetime

import pytest

from app.api.live import MOST_WAITING, Live, Told
from app.records.entry import FIRST_PREV, Entry
from tests.api.conftest import Precinct


def test_a_person_is_found_with_the_verdicts_outcome_and_why(precinct: Precinct) -> None:
    table = precinct.station("RM")
    answer = precinct.post(table, "/api/find", {"text": "saltmarsh"}).json()
    (first, *_) = answer["matches"]
    assert first["name"] == "Saltmarsh, Bettina"
    assert first["outcome"] == "stop"
    assert first["why"]
    assert answer["took_ms"] >= 0


def test_what_the_outcome_says_follows_the_line(precinct: Precinct) -> None:
    table = precinct.station("RM")

    def outcome() -> str:
        matches = precinct.post(table, "/api/find", {"text": "quillfeather"}).json()["matches"]
        return str(matches[0]["outcome"])

    assert outcome() == "sign"
    precinct.sign(table, "plain")
    assert outcome() == "stop"


@pytest.mark.parametrize("text", ["", "   ", "\x00\x01", "zzzzqqqqxxxx", "🗳️", "a" * 2_000])
def test_nonsense_finds_nobody_and_breaks_nothing(precinct: Precinct, text: str) -> None:
    answer = precinct.post(precinct.station("RM"), "/api/find", {"text": text})
    assert answer.status_code == 200
    assert answer.json()["matches"] == []


def test_hostile_names_come_back_as_they_are_printed(precinct: Precinct) -> None:
    sheet = precinct.sheet(precinct.station("RM"), "hostile")
    assert sheet["line"]["last_name"] == "<script>alert(1)</script>"


def test_the_counts_follow_the_day(precinct: Precinct) -> None:
    table = precinct.station("RM")
    before = table.get("/api/day").json()["counts"]
    precinct.sign(table, "plain")
    after = table.get("/api/day").json()["counts"]
    assert after == {**before, "open": before["open"] - 1, "signed": 1}
    assert before["marked"] == 3
    assert before["lines"] == sum(before[s] for s in ("open", "signed", "marked", "removed"))


class StoppedClock:
    """08:05 in New York on the day after the invented election; 13:05 in UTC."""

    def now(self) -> datetime:
        return datetime(2027, 3, 3, 13, 5, tzinfo=UTC)


def test_the_day_tells_the_time_at_the_polling_place(precinct: Precinct) -> None:
    precinct.app.state.clock = StoppedClock()
    day = precinct.client().get("/api/day").json()
    assert day["election"]["time_zone"] == "America/New_York"
    assert day["local_time"] == "08:05"
    assert day["is_election_date"] is False


def test_the_log_is_paged_and_chained_and_holds_no_birth_date(precinct: Precinct) -> None:
    table = precinct.station("RM")
    precinct.sign(table, "junior", evidence={"birth_date": "6/30/1981"})
    whole = table.get("/api/log").json()
    first = table.get("/api/log?limit=2").json()["entries"]
    rest = table.get("/api/log?after=2").json()["entries"]
    assert first + rest == whole["entries"]
    assert [entry["seq"] for entry in whole["entries"]] == list(range(1, whole["head"]["seq"] + 1))
    text = json.dumps(whole)
    assert "1981-06-30" not in text
    assert "6/30/1981" not in text
    assert "Yarrow" not in text


def entry(seq: int) -> Entry:
    return Entry(
        seq, "2027-03-02T12:00:00.000Z", "Table 1", "w", "RM", f"t{seq}", "day.opened", None, {},
        "0", FIRST_PREV,
    )  # fmt: skip


def test_every_listener_hears_every_entry_in_order() -> None:
    async def listen(live: Live) -> list[int]:
        heard: list[int] = []
        async for told in live.told():
            heard.append(told.last_seq)
            if len(heard) == 3:
                break
        return heard

    async def scenario() -> list[list[int]]:
        live = Live()
        live.start()
        listening = [asyncio.create_task(listen(live)) for _ in range(2)]
        await asyncio.sleep(0)
        live.announce([entry(1), entry(2)])
        live.announce([entry(3)])
        return [await task for task in listening]

    assert asyncio.run(scenario()) == [[1, 2, 3], [1, 2, 3]]


def test_a_page_that_sleeps_is_cut_off_and_holds_nobody_up() -> None:
    async def scenario() -> None:
        live = Live()
        live.start()
        sleeper = live.told()
        asleep = asyncio.ensure_future(anext(sleeper))
        await asyncio.sleep(0)
        for seq in range(1, MOST_WAITING + 10):
            live._spread([entry(seq)])
        with pytest.raises(StopAsyncIteration):
            await asleep
        assert not live._listeners

    asyncio.run(scenario())


def test_the_live_stream_tells_of_a_signature_without_a_name(precinct: Precinct) -> None:
    from app.api.live import live_data

    told = live_data(Told(entry(5), 5))
    assert set(told) == {"seq", "at", "kind", "line_id", "station", "initials", "line_ids"}
