"""A whole encrypted day: nothing that it leaves on the disk tells a name, a birth date or a PIN.

Searched: database, write-ahead log, index of pages, carbon, key file, temporary files, what the
server says, its arguments and its environment; while it runs, after a kill, and after the close.
"""

from __future__ import annotations

import base64
import csv
import re
from collections.abc import Iterator
from contextlib import closing
from pathlib import Path
from typing import Any

import httpx
import pytest

from _running_server import PINS, SAMPLE, Day, Server, make_day, post
from app.records import keyring
from app.records.engine import sqlite_path
from app.trust.sealing import Use

pytestmark = pytest.mark.survival

PASSPHRASE = "eleven herons wade"
ADDED = {
    "last_name": "Nettlefold",
    "first_name": "Zebediah",
    "birth_date": "1951-07-29",
    "street_address": "8 Halyard Lane",
    "city": "Ternhaven",
    "ballot_button": 1,
    "authorised_by": "Clerk on duty",
    "authorised_how": "phone",
    "how": "paper",
}
STROKES = [[[1000, 5000, 0], [4000, 2000, 40], [8000, 7000, 90]]]
# Shorter ones stand in random bytes by chance; in base64, which has fewer characters, sooner.
_LEAST, _LEAST_IN_BASE64 = 6, 8


class Searched:
    """What must be nowhere, as bytes in small letters."""

    def __init__(self) -> None:
        with (SAMPLE / "register.csv").open(encoding="utf-8", newline="") as file:
            rows = list(csv.DictReader(file))
        self.found: dict[str, set[str]] = {}
        words = {ADDED["last_name"], ADDED["first_name"], ADDED["street_address"], PASSPHRASE}
        words |= {str(ADDED["birth_date"]), *PINS.values()}
        for row in rows:
            words |= {row["last_name"], row["first_name"], row["mothers_maiden_name"]}
            words |= {row["birth_date"], row["street_address"], row["voter_number"]}
        forms = {form for word in map(str, words) for form in (word, word.lower(), word.upper())}
        self.many = len(forms)
        self._by_start: dict[bytes, list[bytes]] = {}
        for form in forms:
            if len(form) >= _LEAST and form.isascii():
                self._by_start.setdefault(form.encode()[:_LEAST], []).append(form.encode())

    def look_through(self, folder: Path) -> None:
        for path in folder.rglob("*"):
            if path.is_file():
                self.look_at(path.name, path.read_bytes())

    def look_at(self, name: str, content: bytes) -> None:
        """In every run of characters, as `strings` has them; also of UTF-16."""
        least = _LEAST_IN_BASE64 if name.startswith("carbon-") else _LEAST
        for text in (content, content.replace(b"\0", b"")):
            for run in _RUNS.findall(text):
                hits = {hit.decode() for hit in self._hits(run) if len(hit) >= least}
                if hits:
                    self.found.setdefault(name, set()).update(hits)

    def _hits(self, run: bytes) -> Iterator[bytes]:
        for at in range(len(run) - _LEAST + 1):
            for form in self._by_start.get(run[at : at + _LEAST], ()):
                if run.startswith(form, at):
                    yield form


_RUNS = re.compile(rb"[\x20-\x7e]{%d,}" % _LEAST)


@pytest.fixture
def day(tmp_path: Path) -> Iterator[Day]:
    record = tmp_path / "record"
    record.mkdir()
    made = make_day(record, passphrase=PASSPHRASE)
    yield made
    path = sqlite_path(made.url)
    assert path is not None
    keyring.lock(path)


def served(day: Day, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Server:
    """A server with a carbon, whose temporary files and whose words are kept."""
    for name in ("stick", "temporary", "said"):
        (tmp_path / name).mkdir(exist_ok=True)
    monkeypatch.setenv("TMPDIR", str(tmp_path / "temporary"))
    server = Server(day, options=["--carbon", str(tmp_path / "stick")])
    with (tmp_path / "said" / "log").open("ab") as said:
        server.said = said
        server.start()
    return server


def work(server: Server, day: Day) -> None:
    """Everything that takes names in or gives them out, once."""
    server.open_polls()
    lead, table = server.station("LO", "Lead's desk"), server.station("RM", "Table 1")
    with closing(lead), closing(table):
        for number, line_id in enumerate(day.open_lines[:30]):
            body: dict[str, Any] = {"how": "drawn", "strokes": STROKES}
            signing = body if number % 2 else {"how": "paper"}
            post(table, f"/api/lines/{line_id}/signature", signing).raise_for_status()
        for typed in ("abernathy", "4/8/1945", "quillfeather"):
            table.post("/api/find", json={"text": typed}).raise_for_status()
        post(lead, "/api/correction-affidavits", ADDED).raise_for_status()
        bring_list(lead)
        for paper in ("register-now", "supplemental", "affidavits", "log-head"):
            lead.get(f"/api/papers/{paper}.pdf").raise_for_status()
        # And what is wrong: none of it may be told in a log.
        wrong = {"initials": "RM", "pin": "314159", "station": "Table 1"}
        table.post("/api/sign-on", json=wrong)
        table.post("/api/find", content=b'{"text": "abernathy', headers=JSON)
        table.get("/api/lines/abernathy")


JSON = {"Content-Type": "application/json"}


def bring_list(lead: httpx.Client) -> None:
    with (SAMPLE / "register.csv").open(encoding="utf-8", newline="") as file:
        rows = list(csv.DictReader(file))[200:300]
    columns = ("voter_number", "last_name", "first_name", "birth_date")
    lines = [",".join(columns), *(",".join(row[name] for name in columns) for row in rows)]
    content = base64.b64encode("\n".join(lines).encode()).decode()
    body = {"kind": "mail_voted", "name": "late.csv", "content_base64": content}
    brought = post(lead, "/api/late-lists", body).raise_for_status().json()
    post(lead, f"/api/late-lists/{brought['list']['list_id']}/apply", {}).raise_for_status()


def test_nothing_of_an_encrypted_day_can_be_read_off_the_disk(
    day: Day, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    searched = Searched()
    assert searched.many > 3_000
    server = served(day, tmp_path, monkeypatch)
    try:
        work(server, day)
        searched.look_through(tmp_path)
        names = {path.name for path in tmp_path.rglob("*") if path.is_file()}
        assert {"day.db", "day.db-wal", "day.db.keys", "day.db.head"} <= names
        assert any(name.startswith("carbon-") for name in names)
        if Path("/proc/self").exists():
            look_at_process(server.pid, day, searched)
    finally:
        server.kill()
    searched.look_through(tmp_path)
    # Once more, with what the kill left, and closed in order.
    again = served(day, tmp_path, monkeypatch)
    again.kill()
    searched.look_through(tmp_path)
    assert searched.found == {}


def look_at_process(pid: int, day: Day, searched: Searched) -> None:
    path = sqlite_path(day.url)
    assert path is not None
    master = keyring.master_of(path)
    assert master is not None
    keys = [master, *(keyring.key_for(path, use) or b"" for use in Use)]
    for name in ("cmdline", "environ"):
        content = Path(f"/proc/{pid}/{name}").read_bytes()
        searched.look_at(name, content)
        for key in keys:
            assert key not in content
            assert key.hex().encode() not in content.lower()
    limits = Path(f"/proc/{pid}/limits").read_text(encoding="utf-8")
    assert re.search(r"Max core file size +0 +0 ", limits)


def test_the_same_day_in_clear_is_full_of_names(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Or the test above could not fail."""
    record = tmp_path / "record"
    record.mkdir()
    day = make_day(record)
    server = served(day, tmp_path, monkeypatch)
    try:
        work(server, day)
        searched = Searched()
        searched.look_through(tmp_path)
    finally:
        server.kill()
    in_record = searched.found["day.db-wal"] | searched.found["day.db"]
    assert {"Abernathy", "1945-04-08", "Nettlefold"} <= in_record
    (carbon,) = (name for name in searched.found if name.startswith("carbon-"))
    assert {"Abernathy", "Nettlefold"} <= searched.found[carbon]
