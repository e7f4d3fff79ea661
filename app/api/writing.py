"""How a route writes: hand the work to the writer, wait until it is durable, answer a receipt."""

from __future__ import annotations

import asyncio
from collections.abc import Callable
from concurrent.futures import Future
from typing import TypeVar

from fastapi import Request

from app.api.access import roster_of
from app.api.answers import Receipt, receipt
from app.api.problems import RefusedByRules
from app.desk.outcomes import Recorded, Refused
from app.records.unit import Unit

T = TypeVar("T")


async def record(request: Request, work: Callable[[Unit], Recorded | Refused]) -> Receipt:
    """The receipt of what `work` recorded; RefusedByRules where the rules said no."""
    recorded = await done(request, work)
    return receipt(recorded.entry, request.app.state.clockface)


async def done(
    request: Request,
    work: Callable[[Unit], T | Refused],
    afterwards: Callable[[T], None] | None = None,
) -> T:
    """What `work` answers once it is durable; RefusedByRules where the rules said no.

    `afterwards` runs in the writer's thread after the commit and before the answer, also
    where the client has hung up meanwhile.
    """
    future = roster_of(request).store.writer.submit(work)
    if afterwards:
        future.add_done_callback(lambda settled: _follow_up(settled, afterwards))
    # Shielded: a client that hangs up must not turn a recorded signature into a cancelled one.
    outcome = await asyncio.shield(asyncio.wrap_future(future))
    if isinstance(outcome, Refused):
        raise RefusedByRules(outcome)
    return outcome


def _follow_up(settled: Future[T | Refused], afterwards: Callable[[T], None]) -> None:
    if settled.cancelled() or settled.exception():
        return
    outcome = settled.result()
    if not isinstance(outcome, Refused):
        afterwards(outcome)
