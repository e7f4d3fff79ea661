"""Rows of the tables to the values the rest of the program speaks of, and back."""

from __future__ import annotations

import json
from collections.abc import Mapping
from dataclasses import asdict
from datetime import date
from typing import Any

from pydantic import TypeAdapter

from app.records.entry import Entry, canonical
from app.rules.line import Line, LineState, MarkKind, Part, PrintedLine, PrintedMark
from app.rules.setting import Setting

_STATE = TypeAdapter(LineState)
_SETTING = TypeAdapter(Setting)

Row = Mapping[str, Any]


def entry_from_row(row: Row) -> Entry:
    return Entry(**{**row, "body": json.loads(row["body"])})


def entry_to_row(entry: Entry) -> dict[str, Any]:
    columns = {name: getattr(entry, name) for name in Entry.__dataclass_fields__}
    return {**columns, "body": canonical(entry.body)}


def line_from_row(row: Row) -> Line:
    values = dict(row)
    line_id = values.pop("line_id")
    look_alikes = tuple(json.loads(values.pop("look_alikes")))
    values["part"] = Part(values["part"])
    values["birth_date"] = date.fromisoformat(values["birth_date"])
    values["marks"] = tuple(
        PrintedMark(MarkKind(mark["kind"]), mark["source"], mark["initials"])
        for mark in json.loads(values["marks"])
    )
    return Line(line_id, PrintedLine(**values), look_alikes)


def line_to_row(line: Line) -> dict[str, Any]:
    values = {name: getattr(line.printed, name) for name in PrintedLine.__dataclass_fields__}
    values["part"] = line.printed.part.value
    values["birth_date"] = line.printed.birth_date.isoformat()
    values["marks"] = canonical([asdict(mark) for mark in line.printed.marks])
    return {
        "line_id": line.line_id,
        "look_alikes": canonical(list(line.look_alikes)),
        **values,
    }


def state_to_row(line_id: str, state: LineState, version: int) -> dict[str, Any]:
    """The derived row of a line: everything in it follows from `state`."""
    return {
        "line_id": line_id,
        "standing": state.standing.value,
        "has_left": state.left is not None,
        "version": version,
        "state": state_to_text(state),
    }


def state_to_text(state: LineState) -> str:
    return canonical(_STATE.dump_python(state, mode="json"))


def state_from_text(text: str) -> LineState:
    return _STATE.validate_json(text)


def setting_to_text(setting: Setting) -> str:
    return canonical(_SETTING.dump_python(setting, mode="json"))


def setting_from_text(text: str) -> Setting:
    return _SETTING.validate_json(text)
