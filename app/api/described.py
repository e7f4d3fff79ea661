"""The description of the whole API: every route with every status that it may answer, and its form.

It is served nowhere: it would only help somebody who should not be there. The tests take it, and
try every route against it. Statuses follow from what a route is (who may call it, whether it
writes, what its path names); `PROBLEMS` says what each of them can mean.
"""

from __future__ import annotations

from typing import Any

from fastapi import FastAPI
from fastapi.openapi.utils import get_openapi

from app import __version__
from app.api.access import ACCESS
from app.api.problems import MEDIA_TYPE, PROBLEMS

# Of every request: a Host that is not this server's own; a route or a method that is not there.
_ALWAYS = (404, 405, 421)
# Of a write: another page's, not JSON, too large, of a form that is not known, the key missing or
# used, refused by the rules, and that nobody can tell yet whether it was recorded.
_WRITING = (400, 403, 409, 413, 415, 422, 503)
# 423: the page lies covered.
_NEEDS_SIGN_ON = (401, 403, 423)
# Where a PIN or a spoken code is tried.
_LOCKING = {
    "/api/sign-on": (401, 423, 429),
    "/api/workers/": (401, 423, 429),
    "/api/join": (401,),
    "/api/phone-ins": (423,),
    "/api/copy/": (401,),
    "/api/standby/take-over": (401, 423, 429),
}
# What brings many rows at once, which a disk that is nearly full has no room for.
_TAKES_ROOM = ("/api/late-lists", "/api/late-lists/{list_id}/apply")
# A paper or an export that the day has nothing for yet, or that this place's policy does not know.
_NOT_YET = (409,)

# A clock time at the place has no offset; the format `time` of JSON Schema (RFC 3339) needs one.
_LOCAL_TIME = r"^([01][0-9]|2[0-3]):[0-5][0-9]:[0-5][0-9]$"

# What is answered as something else than JSON.
_FORMS = (
    ("/api/log/live", ("text/event-stream",)),
    ("/api/copy/snapshot", ("application/jsonl",)),
    ("/api/exports/bundle.zip", ("application/zip",)),
    ("/api/exports/", ("text/csv; charset=utf-8", "application/json", "application/jsonl")),
)

_PROBLEM_SCHEMA = {
    "type": "object",
    "title": "Problem",
    "description": "RFC 9457, with a stable code, what to do, and the facts of the case.",
    "required": ["type", "title", "status", "detail", "code", "what_to_do"],
    "properties": {
        "type": {"type": "string"},
        "title": {"type": "string"},
        "status": {"type": "integer"},
        "detail": {"type": "string"},
        "code": {"type": "string", "enum": sorted(PROBLEMS)},
        "what_to_do": {"type": "string"},
    },
}
_REFERENCE = {"$ref": "#/components/schemas/Problem"}


def describe(app: FastAPI) -> dict[str, Any]:
    """The OpenAPI description of every route of the API."""
    description = get_openapi(title="Tablebook", version=__version__, routes=app.routes)
    paths = description["paths"]
    description["paths"] = {path: of for path, of in paths.items() if path.startswith("/api/")}
    for path, operations in description["paths"].items():
        for method, operation in operations.items():
            _add_form(path, operation)
            for status in sorted(_statuses(method.upper(), path)):
                operation["responses"][str(status)] = _problem(status)
    schemas = description.setdefault("components", {}).setdefault("schemas", {})
    for schema in schemas.values():
        _say_local_times(schema)
    schemas["Problem"] = _PROBLEM_SCHEMA
    return description


def _say_local_times(schema: dict[str, Any]) -> None:
    for of in schema.get("properties", {}).values():
        if of.get("format") == "time":
            del of["format"]
            of["pattern"] = _LOCAL_TIME


def _statuses(method: str, path: str) -> set[int]:
    """The statuses of the problems that this route may answer with."""
    statuses = set(_ALWAYS)
    if ACCESS.get((method, path)):
        statuses.update(_NEEDS_SIGN_ON)
    if method != "GET":
        statuses.update(_WRITING)
        statuses.update({507} if path in _TAKES_ROOM else ())
    else:
        statuses.add(422)
        if path.startswith(("/api/papers/", "/api/exports/")):
            statuses.update(_NOT_YET)
    statuses.update(next((of for start, of in _LOCKING.items() if path.startswith(start)), ()))
    return statuses


def _add_form(path: str, operation: dict[str, Any]) -> None:
    forms = next((forms for start, forms in _FORMS if path.startswith(start)), ())
    if path.endswith(".pdf"):
        forms = ("application/pdf",)
    if forms:
        operation["responses"]["200"]["content"] = {form: {} for form in forms}


def _problem(status: int) -> dict[str, Any]:
    titles = (f"{code}: {each.title}" for code, each in PROBLEMS.items() if each.status == status)
    return {
        "description": "; ".join(titles),
        "content": {MEDIA_TYPE: {"schema": _REFERENCE}},
    }
