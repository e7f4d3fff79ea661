"""Exports held against what others published: NIST's schemas, RFC 4180, and plain SHA-256.

- NIST SP 1500-101 v1.0 (election event logging) and SP 1500-102 v1.0 (voter records), the JSON
  schemas of usnistgov/ElectionEventLogging @ 8dda82e and usnistgov/VoterRecordsInterchange @
  9b01c03. They are read from the folder of published standards where there is one, and the checks
  are skipped elsewhere.
- That an event's Hash has no defined input in SP 1500-101 is from reading it; the chain is ours.
- Formula characters: OWASP, "CSV Injection".
"""

from __future__ import annotations

import csv
import io
import json
import os
import re
import subprocess
import sys
from collections.abc import Callable, Iterator
from datetime import datetime
from pathlib import Path
from typing import Any

import fastjsonschema
import pytest

from app.papers.exports.event_words import GROUP_WORDS, KIND_WORDS
from app.papers.exports.events import group_of
from app.records.bodies import BODY_OF_KIND
from tests.api.busy_day import precinct_in, work_the_day

STANDARDS = Path(
    os.environ.get("TABLEBOOK_STANDARDS", Path(__file__).parents[3] / "shared" / "standards")
)
EVENT_LOGGING = STANDARDS / "eel" / "NIST_V1_election_event_logging.json"
VOTER_RECORDS = STANDARDS / "vri" / "NIST_V0_voter_records_interchange.json"
NAMES = (
    "participation.csv",
    "participation.json",
    "events.json",
    "events-documentation.json",
    "register.csv",
    "supplemental.csv",
    "affidavits.csv",
    "mail-voted.csv",
    "early-voted.csv",
    "day-log.jsonl",
)


@pytest.fixture(scope="module")
def exports(tmp_path_factory: pytest.TempPathFactory) -> Iterator[dict[str, bytes]]:
    """Every export of a busy day, as the registrar's browser gets them."""
    with precinct_in(tmp_path_factory.mktemp("busy")) as precinct:
        lead = work_the_day(precinct)
        yield {name: lead.get(f"/api/exports/{name}").content for name in NAMES}


def validator(schema: Path) -> Callable[[Any], Any]:
    if not schema.is_file():
        pytest.skip(f"the published schema {schema.name} is not here")
    return fastjsonschema.compile(json.loads(schema.read_text(encoding="utf-8")))


def test_the_event_log_keeps_to_nists_schema(exports: dict[str, bytes]) -> None:
    valid = validator(EVENT_LOGGING)
    valid(json.loads(exports["events.json"]))
    valid(json.loads(exports["events-documentation.json"]))


def test_the_voter_records_keep_to_nists_schema(exports: dict[str, bytes]) -> None:
    validator(VOTER_RECORDS)(json.loads(exports["participation.json"]))


@pytest.mark.parametrize(
    ("name", "schema", "spoil"),
    [
        ("events.json", EVENT_LOGGING, lambda log: log["Device"][0]["Event"][0].pop("Sequence")),
        ("events.json", EVENT_LOGGING, lambda log: log["Device"][0].update(Type="roster")),
        ("events.json", EVENT_LOGGING, lambda log: log.update(GeneratedTime="this evening")),
        ("participation.json", VOTER_RECORDS, lambda r: r["VoterRecord"][0].pop("Voter")),
        ("participation.json", VOTER_RECORDS, lambda r: r["VoterRecord"][0].update(Time="9:00")),
    ],
)
def test_the_schema_check_can_fail(
    exports: dict[str, bytes], name: str, schema: Path, spoil: Callable[[Any], Any]
) -> None:
    valid, found = validator(schema), json.loads(exports[name])
    spoil(found)
    with pytest.raises(fastjsonschema.JsonSchemaValueException):
        valid(found)


def test_the_event_log_is_a_poll_books_with_one_event_an_entry(exports: dict[str, bytes]) -> None:
    (device,) = json.loads(exports["events.json"])["Device"]
    entries = [json.loads(line) for line in exports["day-log.jsonl"].splitlines()]
    assert (device["Type"], device["HashType"]) == ("electronic-poll-book", "sha-256")
    assert [event["Hash"] for event in device["Event"]] == [entry["hash"] for entry in entries]
    sequences = [event["Sequence"] for event in device["Event"]]
    assert sequences == [str(number) for number in range(1, len(entries) + 1)]
    assert all(datetime.fromisoformat(event["TimeStamp"]).tzinfo for event in device["Event"])


def test_every_event_that_can_be_logged_is_documented() -> None:
    """Event Id and Type are the maker's own words: SP 1500-101 asks for them to be published."""
    assert set(KIND_WORDS) >= set(BODY_OF_KIND)
    assert set(GROUP_WORDS) == {group_of(kind) for kind in KIND_WORDS}


README = (Path(__file__).parents[2] / "README.md").read_text(encoding="utf-8")


def shown_in_the_readme() -> str:
    """The one Python program of README.md."""
    (program,) = re.findall(r"```python\n(.*?)```", README, re.DOTALL)
    return str(program)


def test_the_chain_is_checked_with_nothing_but_a_hash_function(
    exports: dict[str, bytes], tmp_path: Path
) -> None:
    """The program of README.md, which knows no JSON and nothing of ours."""
    (tmp_path / "day-log.jsonl").write_bytes(exports["day-log.jsonl"])
    done = run_program(tmp_path)
    last = json.loads(exports["day-log.jsonl"].splitlines()[-1])
    assert (done.returncode, done.stdout.strip()) == (0, last["hash"])


@pytest.mark.parametrize("change", [(b"Table 1", b"Table 2"), (b'"prev":"0', b'"prev":"1')])
def test_that_program_finds_a_changed_entry(
    exports: dict[str, bytes], tmp_path: Path, change: tuple[bytes, bytes]
) -> None:
    (tmp_path / "day-log.jsonl").write_bytes(exports["day-log.jsonl"].replace(*change, 1))
    assert run_program(tmp_path).returncode == 1


def run_program(folder: Path) -> subprocess.CompletedProcess[str]:
    command = [sys.executable, "-I", "-c", shown_in_the_readme()]
    return subprocess.run(command, cwd=folder, capture_output=True, text=True)


def test_no_cell_of_any_table_would_run_in_a_spreadsheet(exports: dict[str, bytes]) -> None:
    for name in NAMES:
        if name.endswith(".csv"):
            rows = list(csv.reader(io.StringIO(exports[name].decode(), newline="")))
            assert not [cell for row in rows for cell in row if cell[:1] in tuple("=+-@\t\r")]
    assert b"'=HYPERLINK(1)" in exports["register.csv"]
    assert b'"\'=Zimmer,gate"' in exports["register.csv"]


def test_tables_end_their_lines_as_rfc_4180_says(exports: dict[str, bytes]) -> None:
    for name in NAMES:
        if name.endswith(".csv"):
            assert exports[name].count(b"\n") == exports[name].count(b"\r\n")


def test_no_birth_date_is_among_those_who_took_part(exports: dict[str, bytes]) -> None:
    for name in ("participation.csv", "participation.json", "events.json", "day-log.jsonl"):
        assert b"1980-05-17" not in exports[name]
