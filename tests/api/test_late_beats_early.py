"""A list that arrives while a voter stands at the table stops them before they sign."""

from __future__ import annotations

import asyncio
import threading
from collections.abc import Sequence
from typing import Any

from app.api.live import Live, Told, live_data
from app.records.entry import FIRST_PREV, Entry
from tests.api.conftest import Precinct
from tests.api.listing import apply, bring, outcome, row_of


def entry(seq: int, kind: str, line_id: str | None = None, **body: Any) -> Entry:
    return Entry(
        seq, "2027-03-02T12:00:00.000Z", "Table 1", "w", "LO", f"t{seq}", kind, line_id, body,
        "0", FIRST_PREV,
    )  # fmt: skip


def heard(entries: Sequence[Entry]) -> list[dict[str, Any]]:
    """What a page hears of one commit."""

    async def scenario() -> list[dict[str, Any]]:
        live = Live()
        live.start()
        told: list[Told] = []

        async def listen() -> None:
            told.extend([one async for one in live.told()])

        listening = asyncio.create_task(listen())
        await asyncio.sleep(0)
        live.announce(entries)
        for _ in range(len(entries) + 5):
            await asyncio.sleep(0)
        live.stop()
        await listening
        return [live_data(one) for one in told]

    return asyncio.run(scenario())


def test_a_list_of_five_thousand_is_one_message_that_names_every_line() -> None:
    rows = [
        entry(8 + n, "mark.recorded", f"line-{n}", list_seq=7, row_number=n) for n in range(5_000)
    ]
    before, begun = entry(6, "signature.recorded", "line-x"), entry(7, "late_list.applied")
    after = entry(5_008, "signature.recorded", "line-y")
    signed, applied, signed_too = heard([before, begun, *rows, after])
    assert (signed["line_id"], signed["line_ids"]) == ("line-x", [])
    assert (applied["kind"], applied["seq"]) == ("late_list.applied", 5_007)
    assert applied["line_ids"] == [f"line-{n}" for n in range(5_000)]
    assert signed_too["line_id"] == "line-y"


def test_every_other_change_is_told_by_itself() -> None:
    keyed = entry(4, "late_list.row_keyed", "line-a", list_seq=3)
    marked = entry(5, "mark.recorded", "line-a", list_seq=3)
    assert [one["seq"] for one in heard([keyed, marked])] == [4, 5]


def test_a_line_opened_before_the_list_came_cannot_be_signed_after_it(precinct: Precinct) -> None:
    """The page may not have heard yet: the transaction that signs decides."""
    lead, table = precinct.station("LO"), precinct.station("RM")
    assert outcome(precinct, table, "plain") == "sign"
    list_id = bring(precinct, lead, row_of("plain")).json()["list"]["list_id"]
    assert apply(precinct, lead, list_id).status_code == 200
    refused = precinct.sign(table, "plain").json()
    assert refused["code"] == "voted-by-mail"
    assert refused["verdict"]["outcome"] == "stop"


def test_a_signature_between_the_look_and_the_apply_is_not_overwritten(precinct: Precinct) -> None:
    lead, table = precinct.station("LO"), precinct.station("RM")
    list_id = bring(precinct, lead, row_of("plain")).json()["list"]["list_id"]
    assert precinct.sign(table, "plain").status_code == 200
    assert apply(precinct, lead, list_id).json()["irregularities"] == 1
    assert outcome(precinct, table, "plain") == "call"


def test_a_signature_and_a_list_that_race_leave_one_of_two_truths(precinct: Precinct) -> None:
    """Whoever comes second knows of the first: a stop for the voter, or a call for both facts."""
    lead, table = precinct.station("LO"), precinct.station("RM")
    people = [f"spare {n}" for n in range(8)]
    list_id = bring(precinct, lead, *map(row_of, people)).json()["list"]["list_id"]
    answers: dict[str, int] = {}

    def sign_all() -> None:
        for who in people:
            answers[who] = precinct.sign(table, who).status_code

    signing = threading.Thread(target=sign_all)
    signing.start()
    assert apply(precinct, lead, list_id).status_code == 200
    signing.join()
    for who in people:
        expected = "call" if answers[who] == 200 else "stop"
        assert outcome(precinct, lead, who) == expected
