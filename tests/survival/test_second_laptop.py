"""A second laptop that follows for real: over TLS, killed, promoted, the old one coming back."""

from __future__ import annotations

import socket
import subprocess
import sys
import time
from collections.abc import Callable, Iterator, Sequence
from contextlib import AbstractContextManager, closing, contextmanager, nullcontext
from pathlib import Path
from typing import Any

import httpx
import pytest

from _running_server import (
    PINS,
    PROJECT,
    Day,
    Server,
    free_port,
    fresh_token,
    make_day,
    post,
    sign_on_paper,
)
from _second_laptop import SecondLaptop, standby_state, wait_until_in_step
from app.desk import following
from app.desk.following import join
from app.desk.standing_by import Pairing
from app.records import keyring, queries, unlocking
from app.records.carbon import carbon_into
from app.records.clock import SystemClock
from app.records.engine import sqlite_path
from app.records.store import Store, open_store, verify_database
from app.rules.faults import CannotFollow
from kill_server import run
from tests.survival.test_nothing_readable import PASSPHRASE, Searched

pytestmark = pytest.mark.survival

PATIENCE = 60.0


@contextmanager
def two_laptops(
    folder: Path,
    *options: str,
    there: Callable[[], AbstractContextManager[None]] = nullcontext,
    following: Sequence[str] = (),
    passphrase: str = "",
) -> Iterator[tuple[Day, Server, SecondLaptop]]:
    """The first one serves with its polls open, and the second follows, in step.

    `there` enters the host of the second, `following` are its options; with a passphrase both
    records are encrypted.
    """
    for name in ("first", "second"):
        (folder / name).mkdir()
    day, said = make_day(folder / "first", passphrase=passphrase), folder / "said.txt"
    first = Server(day, options=("--standby", *options))
    second = SecondLaptop(first, said, folder / "second", following, passphrase)
    try:
        with said.open("ab") as file:
            first.said = file
            first.start()
            with there():
                second.start()
            wait_until_in_step(first, PATIENCE)
            first.open_polls()
            yield day, first, second
    finally:
        first.kill()
        second.kill()


def sign(first: Server, lines: tuple[str, ...]) -> list[str]:
    """The keys of what was acknowledged while the second laptop was reported in step."""
    tokens = []
    with closing(first.station("RM", "Table 1")) as table:
        for line_id in lines:
            before, token = standby_state(first), fresh_token()
            assert sign_on_paper(table, line_id, token).status_code == 200
            if before == standby_state(first) == "in-step":
                tokens.append(token)
    return tokens


def tokens_in(url: str) -> set[str]:
    with open_store(url, SystemClock()) as store:
        entries = store.read(lambda connection: list(queries.entries_after(connection, 0)))
    return {entry.token for entry in entries}


def until(is_so: Callable[[], object]) -> None:
    deadline = time.monotonic() + PATIENCE
    while not is_so():
        assert time.monotonic() < deadline, "it never came"
        time.sleep(0.1)


def test_the_first_one_dies_the_second_takes_over_and_the_old_one_coming_back_gives_way(
    tmp_path: Path,
) -> None:
    with two_laptops(tmp_path) as (day, first, second):
        tokens = sign(first, day.open_lines[:25])
        assert len(tokens) > 20
        first.kill()
        second.kill()
        assert set(tokens) <= tokens_in(second.url)
        assert verify_database(second.url).holds
        # Coming back before it is told, the old one cannot know; told, it gives way for good.
        first.start()
        with closing(first.station("RM", "Table 1")) as table:
            said = second.promote("the first laptop fell off the table")
            assert "it was told, and writes no more" in said
            refused = sign_on_paper(table, day.open_lines[30], fresh_token())
            assert refused.json()["code"] == "newer-record-elsewhere"
        first.kill()
        again = _ended(day.url, "serve")
        assert again.returncode == 1
        assert "another laptop took over" in again.stderr
    promoted = Server(Day(second.url, ()))
    promoted.start()
    try:
        with closing(promoted.station("RM", "Table 1")) as table:
            assert sign_on_paper(table, day.open_lines[31], fresh_token()).status_code == 200
            doubled = sign_on_paper(table, day.open_lines[0], fresh_token())
            assert doubled.json()["code"] == "already-signed"
    finally:
        promoted.kill()
    assert verify_database(second.url).holds
    with open_store(second.url, SystemClock()) as store:
        (taken,) = store.read(lambda c: queries.entries_of(c, "laptop.took_over"))
    assert taken.body == {"epoch": 1, "reason": "the first laptop fell off the table"}


def signed_on(laptop: SecondLaptop, initials: str) -> httpx.Client:
    """A browser at the second laptop, once it answers."""
    until(lambda: _answers(laptop.address))
    client = httpx.Client(base_url=laptop.address, timeout=20)
    body = {"initials": initials, "pin": PINS[initials], "station": "Second laptop"}
    post(client, "/api/sign-on", body).raise_for_status()
    return client


def take_over(second: SecondLaptop) -> httpx.Response:
    with closing(signed_on(second, "LO")) as lead:
        body = {"reason": "the first laptop fell off the table", "pin": PINS["LO"]}
        return post(lead, "/api/standby/take-over", body)


def day_of(laptop: SecondLaptop) -> dict[str, Any]:
    day: dict[str, Any] = httpx.get(f"{laptop.address}/api/day", timeout=20).json()
    return day


def needs_of(laptop: SecondLaptop) -> set[str]:
    with closing(signed_on(laptop, "LO")) as lead:
        return {item["kind"] for item in lead.get("/api/attention").json()["items"]}


def test_the_lead_takes_over_on_the_page_and_the_old_one_coming_back_later_is_told_by_itself(
    tmp_path: Path,
) -> None:
    (tmp_path / "stick").mkdir()
    port = free_port()
    options = ("--carbon", str(tmp_path / "stick"), "--stations", f"127.0.0.1:{port}")
    with two_laptops(tmp_path, following=options) as (day, first, second):
        tokens = sign(first, day.open_lines[:25])
        first.kill()
        until(lambda: day_of(second)["standby"]["state"] == "apart")
        assert not any((tmp_path / "stick").iterdir())
        taken = take_over(second)
        assert taken.status_code == 200, taken.text
        assert taken.json()["is_told"] is False
        # The same process on the same port, with the options that were given.
        until(lambda: day_of(second)["standby"] is None)
        assert [one["which"] for one in day_of(second)["copies"]] == ["carbon"]
        assert len(list((tmp_path / "stick").iterdir())) == 1
        with closing(socket.create_connection(("127.0.0.1", port), 5)):
            pass
        assert "old-laptop-untold" in needs_of(second)
        with closing(signed_on(second, "RM")) as table:
            assert sign_on_paper(table, day.open_lines[31], fresh_token()).status_code == 200
            doubled = sign_on_paper(table, day.open_lines[0], fresh_token())
            assert doubled.json()["code"] == "already-signed"
        # Only now, with nobody at it, the old one comes back.
        first.start()
        until(lambda: httpx.get(f"{first.address}/api/day").json()["refusal"])
        until(lambda: "old-laptop-untold" not in needs_of(second))
        assert _told(first) == "newer-record-elsewhere"
        second.kill()
        assert set(tokens) <= tokens_in(second.url)
        assert verify_database(second.url).holds
        kinds = kinds_in(second.url)
        assert kinds.count("laptop.took_over") == kinds.count("laptop.gave_way") == 1
        assert not list((tmp_path / "second").glob("*.replaced"))


def test_what_cannot_be_had_at_taking_over_is_done_without_and_told_on_the_page(
    tmp_path: Path,
) -> None:
    for name in ("stick", "other", "elsewhere"):
        (tmp_path / name).mkdir()
    port = free_port()
    options = ("--carbon", str(tmp_path / "stick"), "--stations", f"127.0.0.1:{port}")
    with two_laptops(tmp_path, following=options) as (day, first, second):
        first.kill()
        until(lambda: day_of(second)["standby"]["state"] == "apart")
        # Meanwhile the stick became another day's, and the address somebody else's.
        foreign = carbon_of_another_day(tmp_path / "other", tmp_path / "stick")
        before = foreign.read_bytes()
        with closing(socket.create_server(("127.0.0.1", port))):
            assert take_over(second).status_code == 200
            until(lambda: day_of(second)["standby"] is None)
            (copy,) = day_of(second)["copies"]
            assert (copy["which"], copy["state"], copy["why"]) == ("carbon", "failing", "refused")
            with closing(signed_on(second, "LO")) as lead:
                needs = lead.get("/api/attention").json()["items"]
                (told,) = lead.get("/api/irregularities").json()["irregularities"]
            assert {"copy-failing", "irregularity-open"} <= {need["kind"] for need in needs}
            assert told["code"] == "stations-not-served"
            assert told["facts"] == {"place": f"127.0.0.1:{port}"}
            with closing(signed_on(second, "RM")) as table:
                assert sign_on_paper(table, day.open_lines[0], fresh_token()).status_code == 200
        assert foreign.read_bytes() == before
        # The right stick in its place: it is written without anybody doing more.
        foreign.rename(tmp_path / "elsewhere" / foreign.name)
        until(lambda: day_of(second)["copies"][0]["state"] == "in-step")


def carbon_of_another_day(folder: Path, stick: Path) -> Path:
    other = make_day(folder)
    database = sqlite_path(other.url)
    assert database is not None
    with closing(Store(other.url, SystemClock(), copy_to=[carbon_into(stick, database)])):
        (carbon,) = stick.iterdir()
    return carbon


def test_a_record_put_together_from_an_older_stick_does_not_take_the_place_of_the_newer_one(
    tmp_path: Path,
) -> None:
    stick, pulled = tmp_path / "stick", tmp_path / "pulled"
    stick.mkdir()
    with two_laptops(tmp_path, "--carbon", str(stick)) as (day, first, second):
        sign(first, day.open_lines[:3])
        stick.rename(pulled)
        late = sign(first, day.open_lines[3:13])
        assert len(late) > 5
        first.kill()
        # Its disk is dead: another one is put in, and the stick is all that there is.
        for file in (tmp_path / "first").iterdir():
            file.unlink()
        (carbon,) = pulled.iterdir()
        recover = [sys.executable, "-m", "app.cli", "recover", "--carbon", str(carbon)]
        subprocess.run([*recover, "--out", day.url], cwd=PROJECT, check=True, capture_output=True)
        pulled.rename(stick)
        first.start()
        until(lambda: copy_of(first, "standby")["why"] == "holds-more")
        until(lambda: day_of(second)["standby"]["why"] == "holds-more")
        assert day_of(second)["standby"]["state"] == "apart"
        first.kill()
        assert take_over(second).status_code == 200
        second.kill()
        assert set(late) <= tokens_in(second.url)
        assert verify_database(second.url).holds


def copy_of(first: Server, which: str) -> dict[str, Any]:
    copies = httpx.get(f"{first.address}/api/day", timeout=20).json()["copies"]
    return next(one for one in copies if one["which"] == which)


def _told(first: Server) -> str:
    return str(httpx.get(f"{first.address}/api/day").json()["refusal"])


def kinds_in(url: str) -> list[str]:
    with open_store(url, SystemClock()) as store:
        entries = store.read(lambda connection: list(queries.entries_after(connection, 0)))
    return [entry.kind for entry in entries]


def test_a_second_laptop_that_is_started_again_after_the_first_died_takes_over_all_the_same(
    tmp_path: Path,
) -> None:
    with two_laptops(tmp_path) as (day, first, second):
        tokens = sign(first, day.open_lines[:5])
        first.kill()
        second.kill()
        second.restart()
        until(lambda: _answers(second.address))
        assert day_of(second)["standby"]["state"] == "apart"
        assert take_over(second).status_code == 200
        until(lambda: day_of(second)["standby"] is None)
        second.kill()
        assert set(tokens) <= tokens_in(second.url)
        # From here on it is no standby: following is refused, serving is not.
        assert "already" in _ended(second.url, "follow").stderr
        assert verify_database(second.url).holds


def _ended(url: str, command: str) -> subprocess.CompletedProcess[str]:
    """What came of a command that serves, where it is refused."""
    return subprocess.run(
        [sys.executable, "-m", "app.cli", "--database", url, command, "--port", str(free_port())],
        cwd=PROJECT,
        capture_output=True,
        text=True,
        timeout=PATIENCE,
    )


def test_two_encrypted_laptops_over_tls_leave_no_name_on_either_and_the_second_takes_over(
    tmp_path: Path,
) -> None:
    port = free_port()
    stations = ("--stations", f"127.0.0.1:{port}")
    with two_laptops(tmp_path, *stations, passphrase=PASSPHRASE) as (day, first, second):
        tokens = sign(first, day.open_lines[:10])
        with closing(signed_on(second, "RM")) as table:
            found = table.post("/api/find", json={"text": "abernathy"}).json()["matches"]
            assert found
        first.kill()
        assert take_over(second).status_code == 200
        until(lambda: day_of(second)["standby"] is None)
        with closing(signed_on(second, "RM")) as table:
            assert sign_on_paper(table, day.open_lines[20], fresh_token()).status_code == 200
        searched = Searched()
        searched.look_through(tmp_path / "second")
        searched.look_through(tmp_path / "first")
        searched.look_at("said", (tmp_path / "said.txt").read_bytes())
        assert searched.found == {}
        second.kill()
        kept = sqlite_path(second.url)
        assert kept is not None
        unlocking.unlock(kept, [PASSPHRASE])
        try:
            assert verify_database(second.url).holds
            assert set(tokens) <= tokens_in(second.url)
        finally:
            keyring.lock(kept)
            keyring.lock(Path(day.url.removeprefix("sqlite:///")))


def test_it_is_read_only_while_it_follows_and_serve_says_what_to_do(tmp_path: Path) -> None:
    with two_laptops(tmp_path) as (day, _, second):
        page = f"http://127.0.0.1:{second.port}"
        until(lambda: _answers(page))
        assert httpx.get(f"{page}/api/day").json()["refusal"] == "read-only-standby"
        with closing(signed_on(second, "RM")) as table:
            refused = sign_on_paper(table, day.open_lines[0], fresh_token())
            assert (refused.status_code, refused.json()["code"]) == (503, "read-only-standby")
            assert table.get(f"/api/lines/{day.open_lines[0]}").status_code == 200
        served = _ended(second.url, "serve")
        assert served.returncode == 1
        assert "tablebook promote" in served.stderr


def _answers(page: str) -> bool:
    try:
        return httpx.get(f"{page}/api/day").status_code == 200
    except httpx.HTTPError:
        return False


def test_it_follows_over_tls_alone_where_it_is_told_the_code_and_nobody_else_is(
    tmp_path: Path,
) -> None:
    port = free_port()
    with two_laptops(tmp_path, "--stations", f"127.0.0.1:{port}") as (day, first, _):
        # What was shown is the address with TLS, and the second laptop followed that.
        assert len(sign(first, day.open_lines[:5])) > 0
        assert f"https://127.0.0.1:{port}" in (tmp_path / "said.txt").read_text(encoding="utf-8")
        kept = (tmp_path / "second" / "standby.db.follows").read_text(encoding="utf-8")
        assert f"https://127.0.0.1:{port}" in kept
        assert "BEGIN CERTIFICATE" in kept
        asked: list[str] = []
        with pytest.MonkeyPatch.context() as patched:
            patched.setattr(following, "_asked", lambda *given: asked.append(str(given)))
            other = Pairing(b"the certificate of somebody in between").code
            with pytest.raises(CannotFollow, match="not the one that showed this code"):
                join(f"https://127.0.0.1:{port}", other)
        assert not asked, "the code was sent to somebody else"


@pytest.mark.parametrize(
    "url", ["http://192.0.2.7:8408", "https://192.0.2.7", "ftp://127.0.0.1:9", "127.0.0.1:8408"]
)
def test_an_address_without_tls_is_refused_before_anything_is_asked(url: str) -> None:
    from app.rules.faults import BadRequest

    with pytest.raises(BadRequest):
        join(url, Pairing(b"").code)


def test_killed_again_and_again_nothing_is_missing_on_any_of_the_three(tmp_path: Path) -> None:
    for name in ("laptop", "stick", "second"):
        (tmp_path / name).mkdir()
    day = make_day(tmp_path / "laptop")
    report = run(
        day, 6, seed=409, stations=8, carbon=tmp_path / "stick", standby=tmp_path / "second"
    )
    assert report.acknowledged > 6
    assert report.missing_after_kills == 0
    for kept in (report.record, report.carbon, report.standby):
        assert kept is not None
        assert (kept.lost, kept.doubled, kept.torn, kept.verified) == (0, 0, 0, "holds")
