"""Rows of the tables to the values the rest of the program speaks of, and back."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import asdict
from datetime import date
from functools import lru_cache
from typing import Any

from pydantic import TypeAdapter

from app.records.entry import Entry, canonical, from_text
from app.rules.line import Line, LineState, MarkKind, Part, PrintedLine, PrintedMark, state_of_marks
from app.rules.setting import Setting

_STATE = TypeAdapter(LineState)
_SETTING = TypeAdapter(Setting)

Row = Mapping[str, Any]


def entry_from_row(row: Row) -> Entry:
    return Entry(**{**row, "body": from_text(row["body"])})


def entry_to_row(entry: Entry) -> dict[str, Any]:
    columns = {name: getattr(entry, name) for name in Entry.__dataclass_fields__}
    return {**columns, "body": canonical(entry.body)}


def line_from_row(row: Row) -> Line:
    values = dict(row)
    line_id = values.pop("line_id")
    look_alikes = tuple(from_text(values.pop("look_alikes")))
    values["part"] = Part(values["part"])
    values["birth_date"] = date.fromisoformat(values["birth_date"])
    values["marks"] = _marks_from_text(values["marks"])
    return Line(line_id, PrintedLine(**values), look_alikes)


def _marks_from_text(text: str) -> tuple[PrintedMark, ...]:
    return tuple(
        PrintedMark(MarkKind(mark["kind"]), mark["source"], mark["initials"])
        for mark in from_text(text)
    )


# A register has few different marks; a hundred thousand lines share the state of each.
@lru_cache(maxsize=1_000)
def state_as_printed_in(marks_text: str) -> LineState:
    """The state of a line on which nothing has happened yet, by the marks of its row."""
    return state_of_marks(_marks_from_text(marks_text))


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
