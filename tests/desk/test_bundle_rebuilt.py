"""A bundle and the registrar's package hold the whole day: every row comes back as it was."""

from __future__ import annotations

import io
import json
import zipfile
from pathlib import Path
from typing import Any

import pytest
from sqlalchemy import Connection, Table, select

from app.records import late_lists, loading, queries
from app.records.clock import SystemClock
from app.records.entry import canonical
from app.records.rows import line_to_row
from app.records.store import open_store
from tests.api.busy_day import precinct_in, work_the_day
from tests.api.conftest import LOOK_ALIKES, PEOPLE

Rows = list[dict[str, Any]]
# By the tables' names. What is left out of a bundle, or follows from what is in it, is named here:
# `line_state`, `corrected_line`, `later_look_alike` and `envelope` are refolded by `verify`.
TABLES = (
    queries.day_log,
    queries.lines,
    queries.drawing,
    queries.personal,
    late_lists.late_lists,
    late_lists.late_rows,
    late_lists.late_gone,
)


@pytest.fixture(scope="module")
def day(tmp_path_factory: pytest.TempPathFactory) -> tuple[dict[str, bytes], dict[str, Rows]]:
    """The files of the bundle, and the rows of the record."""
    folder: Path = tmp_path_factory.mktemp("busy")
    with precinct_in(folder) as precinct:
        lead = work_the_day(precinct)
        assert precinct.post(lead, "/api/day/hand-over").status_code == 200
        data = lead.get("/api/exports/bundle.zip").content
    with zipfile.ZipFile(io.BytesIO(data)) as archive:
        files = {name: archive.read(name) for name in archive.namelist()}
    with open_store(f"sqlite:///{folder.as_posix()}/day.db", SystemClock()) as store:
        return files, {table.name: store.read(reader(table)) for table in TABLES}


def reader(table: Table) -> Any:
    def rows(connection: Connection) -> Rows:
        keys = list(table.primary_key.columns)
        found = connection.execute(select(table).order_by(*keys)).mappings()
        # How a file was read is an object; in which order it says so is nothing.
        return [
            {**row, "about": json.loads(row["about"])} if "about" in row else dict(row)
            for row in found
        ]

    return rows


def lines(data: bytes) -> Rows:
    return [json.loads(line) for line in data.splitlines()]


def rebuilt(files: dict[str, bytes]) -> dict[str, Rows]:
    """The rows, from the bundle and the people of the package alone."""
    log = [{**row["entry"], "hash": row["hash"], "prev": row["prev"]} for row in lines_of(files)]
    key = log[0]["body"]["line_key"]
    printed = loading.identified(list(PEOPLE.values()), LOOK_ALIKES, key)
    personal = lines(files["record-personal.jsonl"])
    added = {row["seq"] for row in log if row["kind"] == "line.added"}
    lists = lines(files["record-lists.jsonl"])
    every_line = [line_to_row(line) for line in printed]
    every_line += [json.loads(row["details"]) for row in personal if row["seq"] in added]
    return {
        "day_log": [_logged(row) for row in log],
        "line": sorted(every_line, key=lambda row: row["line_id"]),
        "drawing": lines(files["record-strokes.jsonl"]),
        "personal": [{**row, "details": None} if row["seq"] in added else row for row in personal],
        "late_list": [one["list"] for one in lists],
        "late_list_row": sorted(
            ({"list_id": one["list"]["list_id"], **row} for one in lists for row in one["rows"]),
            key=lambda row: (row["list_id"], row["row_number"]),
        ),
        "late_list_gone": [],
    }


def lines_of(files: dict[str, bytes]) -> Rows:
    return lines(files["day-log.jsonl"])


def _logged(row: dict[str, Any]) -> dict[str, Any]:
    worker = row["worker"]
    columns = {name: value for name, value in row.items() if name != "worker"}
    by = {"worker_id": worker["id"], "initials": worker["initials"]}
    return {**columns, **by, "body": canonical(row["body"])}


@pytest.mark.parametrize("name", [table.name for table in TABLES])
def test_every_row_comes_back_from_the_bundle_and_the_package(
    day: tuple[dict[str, bytes], dict[str, Rows]], name: str
) -> None:
    files, kept = day
    assert rebuilt(files)[name] == kept[name]
    assert kept[name] or name == "late_list_gone"


def test_the_setting_is_the_one_of_the_record(
    day: tuple[dict[str, bytes], dict[str, Rows]],
) -> None:
    files, kept = day
    first = json.loads(kept["day_log"][0]["body"])
    assert first["lines"] == len(PEOPLE)
    assert json.loads(files["record-setting.json"])["precinct"]["number"] == first["precinct"]
