"""Every route tried with what its description allows and forbids, by somebody signed on.

The answers must be described: no status, form or shape that is not, and nothing in the 500s but the
503 that says what to do.
"""

from __future__ import annotations

import itertools
from collections import Counter
from dataclasses import dataclass, field
from typing import Any

import schemathesis
from hypothesis import HealthCheck, Phase, given, seed, settings
from schemathesis.checks import not_a_server_error
from schemathesis.core.result import Ok
from schemathesis.specs.openapi.checks import (
    content_type_conformance,
    response_schema_conformance,
    status_code_conformance,
)
from starlette.testclient import TestClient

from app.api.described import describe
from tests.api.conftest import Precinct

CHECKS = [
    not_a_server_error,
    status_code_conformance,
    content_type_conformance,
    response_schema_conformance,
]
# A stream without end; what would end or cover the sign-on that all the others need.
LEFT_OUT = {("GET", "/api/log/live"), ("POST", "/api/sign-off"), ("POST", "/api/cover")}
# Turns of the day come last, since after the close hardly anything is taken.
LAST = ("/api/day/cut-off", "/api/day/close", "/api/day/hand-over")
SEED = 407


@dataclass
class Tried:
    cases: int = 0
    statuses: Counter[int] = field(default_factory=Counter)


def try_every_route(
    precinct: Precinct, client: TestClient, examples: int, *, is_refusing: bool = False
) -> Tried:
    """`examples` requests to every route but those of LEFT_OUT; raises at the first bad answer.

    `is_refusing`: most of it is answered with a 503, at a laptop that records nothing.
    """
    checks = CHECKS[1:] if is_refusing else CHECKS
    schema = schemathesis.openapi.from_dict(describe(precinct.app))
    tried = Tried()
    results = list(schema.get_all_operations())
    operations = [result.ok() for result in results if isinstance(result, Ok)]
    assert len(operations) == len(results), "a route is described in a way that cannot be read"
    for operation in sorted(operations, key=lambda each: (each.path in LAST, each.path)):
        if (operation.method.upper(), operation.path) not in LEFT_OUT:
            _try_route(precinct, client, operation, examples, tried, checks)
    return tried


def _try_route(
    precinct: Precinct,
    client: TestClient,
    operation: Any,
    examples: int,
    tried: Tried,
    checks: list[Any],
) -> None:
    # Half of the lines asked for exist: drawn at random none would.
    lines = itertools.cycle(precinct.ids.values())

    @seed(SEED)
    @settings(
        max_examples=examples,
        deadline=None,
        database=None,
        phases=[Phase.generate],
        suppress_health_check=list(HealthCheck),
    )
    @given(case=operation.as_strategy())
    def one(case: Any) -> None:
        if tried.cases % 2 and "line_id" in case.path_parameters:
            case.path_parameters["line_id"] = next(lines)
        answer = client.request(**_sent(precinct, client, case, is_keyed=tried.cases % 4 > 0))
        tried.cases += 1
        tried.statuses[answer.status_code] += 1
        case.validate_response(answer, checks=checks)

    one()


def _sent(precinct: Precinct, client: TestClient, case: Any, *, is_keyed: bool) -> dict[str, Any]:
    """The request as drawn, but with this browser's sign-on; mostly with a key that is new."""
    drawn = case.as_transport_kwargs(base_url=str(client.base_url))
    headers = {name.lower(): value for name, value in (drawn.pop("headers", None) or {}).items()}
    if is_keyed:
        headers["idempotency-key"] = precinct.token()
    rest = {name: value for name, value in drawn.items() if name != "cookies"}
    return {"headers": headers, **rest}
