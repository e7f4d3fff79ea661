"""The script of the day, from the oath to the last count; without slips all do what they should.

Who signs, signs in the record; who votes, votes in the truth beside it, and the machines show that.
"""

from __future__ import annotations

import copy
import shutil
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import datetime, timedelta
from pathlib import Path
from typing import Any

from app.rules.line import Line
from tests.api.busy_day import HELPED
from tests.api.listing import bring_and_apply
from tests.api.pages import begin
from tests.api.people_apart import AFFIDAVIT
from tests.api.test_slips import ENVELOPE
from tests.whole_day.tables import Act, Day, at_work, load, said
from tests.whole_day.truth import PACKAGED, SERIALS, Truth, WallClock, local

ROWS_ON_PAGE = 12
HOUR_ON_PAPER = {"reason": "no power at the tables", "from": "17:01", "until": "18:05"}


@dataclass(frozen=True)
class Until:
    """A day up to some hour: its record, its clock, what really happened and what was doubted."""

    folder: Path
    at: datetime
    truth: Truth
    doubted: tuple[str, ...]


def worked_until_paper(folder: Path, plant: Callable[[Truth], object] | None = None) -> Until:
    """From the oath to five in the afternoon. `plant` happens before anybody comes."""
    clock, truth = WallClock(), Truth()
    url = load(folder, clock)
    if plant:
        plant(truth)
    with at_work(url, clock, truth) as day:
        open_the_polls(day)
        work_until_paper(day)
    return Until(folder, clock.at, truth, tuple(day.doubted))


@contextmanager
def going_on(until: Until, folder: Path) -> Iterator[Day]:
    """The same day at a copy of its record, from the same hour."""
    for file in until.folder.glob("day.db*"):
        shutil.copy(file, folder)
    clock = WallClock()
    clock.at = until.at
    url = f"sqlite:///{folder.as_posix()}/day.db"
    with at_work(url, clock, copy.deepcopy(until.truth)) as day:
        day.doubted += until.doubted
        yield day


def open_the_polls(day: Day) -> None:
    """Checks, seals, zero reports and the list that came at dawn."""
    day.run(
        (
            (local("06:10"), lambda: tick(day, "opening", "oath-taken")),
            (local("06:20"), lambda: _bring(day, "early", kind="early_voted", name="early.csv")),
            (local("06:30"), lambda: _open_machines(day)),
            (local("06:50"), lambda: tick(day, "opening")),
            (local("07:00"), lambda: day.done("/api/day/open")),
        )
    )


def tick(day: Day, stage: str, *codes: str) -> None:
    """Those checks, or all that are not made yet."""
    items = day.lead.get(f"/api/checklists/{stage}").json()["items"]
    due = codes or [item["code"] for item in items if item["tick"] is None]
    for code in due:
        day.done(f"/api/checklists/{stage}", {"code": code, "passed": True}, 0)


def _open_machines(day: Day) -> None:
    """Seals read and cut, zero reports read as they are."""
    for serial in SERIALS:
        seal = {"of": "machine", "where": serial, "number": f"A-{serial[-2:]}", "agrees": True}
        for act in ("read", "broken"):
            day.done("/api/seals", {**seal, "act": act}, 0)
        public = day.truth.public(serial, day.clock.at)
        report = day.place.zero_report(PACKAGED[serial] + public)
        read(day, serial, "opening", zero_report={**report, "candidates_zero": public == 0})


def _walk(day: Day) -> None:
    for serial in SERIALS:
        read(day, serial, "during")


def read(day: Day, serial: str, at_moment: str, **more: Any) -> None:
    """What the counters show now, and what of it is written; insisted on where it is doubted."""
    true = day.truth.public(serial, day.clock.at)
    is_close = at_moment == "close"
    body: dict[str, Any] = {"at_moment": at_moment, "public": true, **more}
    if day.slips.has_protective or not is_close:
        body["protective"] = PACKAGED[serial] + true
    if is_close:
        body["public"] = day.slips.misread.get(serial, int)(true)
        body["by_button"] = day.truth.by_button(serial, day.clock.at)
    path = f"/api/machines/{serial}/readings"
    answer = day.place.post(day.lead, path, body)
    if answer.status_code == 409:
        day.doubted += [one["code"] for one in answer.json()["doubts"]]
        body |= {"anyway": True, "reason": "that is what it shows"}
        answer = day.place.post(day.lead, path, body)
    assert answer.status_code == 200, answer.json()


def _bring(day: Day, which: str, **more: str) -> None:
    """A late list in a file."""
    rows = [_row_of(line) for line in day.cast.lists[which]]
    bring_and_apply(day.place, day.lead, *rows, **more)


def _row_of(line: Line) -> str:
    one = line.printed
    return f"{one.voter_number},{one.last_name},{one.first_name},{one.birth_date.isoformat()}"


def work_until_paper(day: Day) -> None:
    """Seven to five, with the counters read at noon."""
    times = day.truth.times("07:00", "16:58", len(day.cast.before_paper))
    acts = [_arrival(day, *each) for each in zip(times, day.cast.before_paper, strict=True)]
    day.run(
        (
            *acts,
            (local("08:30"), lambda: _affidavit(day)),
            (local("09:10"), lambda: day.sign(day.cast.moved[0], 1)),
            (local("09:13"), lambda: _move(day)),
            (local("09:40"), lambda: _provisional(day, "P-0001", 1)),
            (local("10:15"), lambda: day.sign(day.cast.leaves)),
            (local("10:31"), lambda: day.on(day.cast.leaves, "left", {"reason": "in a hurry"})),
            (local("11:05"), lambda: _help(day)),
            (local("12:00"), lambda: _walk(day)),
            (local("13:20"), lambda: _bring(day, "mail", name="mail-1300.csv")),
        )
    )
    day.clock.at = local("17:00")


def _arrival(day: Day, at: datetime, line: Line) -> Act:
    return at, lambda: day.sign_and_vote(line)


def _call(day: Day, what: str, argument: str, line: Line | None = None) -> int:
    """The registrar's office calls; the number of the call."""
    body: dict[str, Any] = {
        "caller": "Clerk on duty",
        "office": "Registrar of Voters",
        "number_called_back": "555-0142",
        "asked": "as was talked about",
        "change": {"what": what, "argument": argument},
        "confirmed": True,
    }
    if line:
        one = line.printed
        name, year = f"{one.first_name} {one.last_name}", one.birth_date.year
        number = one.voter_number
        body["read_back"] = {"voter_number": number, "name": name, "birth_year": year}
        body["line_id"] = line.line_id
    return int(day.done("/api/phone-ins", body)["phone_in"]["seq"])


def _affidavit(day: Day) -> None:
    call = _call(day, "authorise_affidavit", "Ambrose Nettlefold 1974")
    day.done("/api/correction-affidavits", {**AFFIDAVIT, "authorisation_seq": call}, 1)
    day.truth.vote_after(day.clock.at, AFFIDAVIT["ballot_button"])


def _move(day: Day) -> None:
    """The birth date had been read off the line; the lead moves the signature."""
    wrong, right = day.cast.moved
    body = {"to_line_id": right.line_id, "reason": "a namesake", "evidence": said(right)}
    day.on(wrong, "signature/move", body)
    day.truth.vote_after(day.clock.at, right.printed.ballot_button)


def _provisional(day: Day, envelope: str, button: int) -> None:
    given = {**ENVELOPE, "name": f"Somebody {envelope}", "envelope": envelope}
    day.done("/api/provisional-ballots", {**given, "ballot_button": button}, 2)


def _help(day: Day) -> None:
    day.on(day.cast.helped, "assistance", HELPED, 0)
    day.sign_and_vote(day.cast.helped, 0)


def work_until_close(day: Day) -> None:
    """An hour on paper, then the evening, and the counters at the end."""
    times = day.truth.times("18:10", "19:57", len(day.cast.after_paper))
    acts = [_arrival(day, *each) for each in zip(times, day.cast.after_paper, strict=True)]
    day.run(
        (
            *acts,
            *day.slips.more,
            (local("18:06"), lambda: _catch_up(day)),
            (local("18:20"), lambda: _second_envelope(day)),
            (local("18:30"), lambda: _key_a_list(day)),
            (local("18:40"), lambda: _mail_ballot_never_came(day)),
            *_one_of_twins(day),
            (local("19:10"), lambda: _next_ballot(day)),
            (local("20:00"), lambda: day.done("/api/day/cut-off")),
            (local("20:20"), lambda: _count(day)),
        )
    )


def _catch_up(day: Day) -> None:
    """The rows are keyed one after the other, and counted against the pages."""
    day.done("/api/paper/begin", HOUR_ON_PAPER)
    rows = _signed_on_paper(day)
    counted = len(rows)
    if day.slips.keyed_twice:
        rows.insert(1, (rows[0][0], day.cast.paper_pair[0]))
    begun = day.clock.at
    for number, (at, line) in enumerate(rows):
        day.clock.at = begun + timedelta(seconds=2 * number)
        day.done("/api/paper/caught-up", _row(number, at, line), 2)
    finish: dict[str, Any] = {"counted": counted}
    if len(rows) > counted:
        refused = day.place.post(day.lead, "/api/paper/finish", finish)
        assert refused.json()["code"] == "paper-does-not-agree", refused.json()
        finish["reason"] = "counted again, and it stays so"
    day.done("/api/paper/finish", finish)


def _signed_on_paper(day: Day) -> list[tuple[datetime, Line]]:
    """Who signed on paper, and when; they voted then."""
    times = day.truth.times("17:02", "18:00", len(day.cast.on_paper))
    rows = [*zip(times, day.cast.on_paper, strict=True)]
    for at, line in rows:
        day.truth.vote_after(at, line.printed.ballot_button)
    return rows


def _row(number: int, at: datetime, line: Line) -> dict[str, Any]:
    page, order = divmod(number, ROWS_ON_PAGE)
    place = {"time": f"{at:%H:%M}", "page": page + 1, "order": order + 1}
    return {"line_id": line.line_id, **place, "told_apart": True}


def _second_envelope(day: Day) -> None:
    _provisional(day, "P-0002", 2)
    if day.slips.envelope_in_machine:
        day.truth.vote_after(day.clock.at, 2)


def _key_a_list(day: Day) -> None:
    """Row by row, each marked."""
    lines = day.cast.lists["paper"]
    keyed = lines[1:] if day.slips.row_missed else lines
    list_id = begin(day.place, day.lead, len(lines), "mail_voted")
    for line in keyed:
        day.done(f"/api/late-lists/{list_id}/keyed", {"line_id": line.line_id}, 0)
    path = f"/api/late-lists/{list_id}/finish"
    answer = day.place.post(day.tables[0], path)
    if day.slips.row_missed:  # and nobody comes back to it
        assert answer.json()["code"] == "totals-differ", answer.json()
    else:
        assert answer.status_code == 200, answer.json()


def _mail_ballot_never_came(day: Day) -> None:
    _call(day, "withdraw_mark", "voted_by_mail", day.cast.unmarked)
    day.sign_and_vote(day.cast.unmarked, 1)


def _one_of_twins(day: Day) -> Iterator[Act]:
    """On the own line; or first on the namesake's, whose birth date was read off the page."""
    other, own = day.cast.twins
    if day.slips.namesake_first:
        yield local("18:50"), lambda: day.sign(other, 1)
    yield local("18:52"), lambda: day.sign_and_vote(own, 1)


def _next_ballot(day: Day) -> None:
    """The attendant presses the button that the table gave, or its neighbour."""
    line = day.cast.next_ballot
    button = line.printed.ballot_button or 1
    day.sign(line, 0)
    given = button % 3 + 1 if day.slips.wrong_button else button
    day.truth.vote_after(day.clock.at, given)


def _count(day: Day) -> None:
    for serial in SERIALS:
        if serial not in day.slips.unread:
            read(day, serial, "close")
    tick(day, "closing")
