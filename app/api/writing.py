"""How a route writes: hand the work to the writer, wait until it is durable, answer a receipt."""

from __future__ import annotations

import asyncio
from collections.abc import Callable

from fastapi import Request

from app.api.access import roster_of
from app.api.answers import Receipt, receipt
from app.api.problems import RefusedByRules
from app.desk.outcomes import Recorded, Refused
from app.records.unit import Unit


async def record(request: Request, work: Callable[[Unit], Recorded | Refused]) -> Receipt:
    """The receipt of what `work` recorded; RefusedByRules where the rules said no."""
    future = roster_of(request).store.writer.submit(work)
    # Shielded: a client that hangs up must not turn a recorded signature into a cancelled one.
    outcome = await asyncio.shield(asyncio.wrap_future(future))
    if isinstance(outcome, Refused):
        raise RefusedByRules(outcome)
    return receipt(outcome.entry, request.app.state.clockface)
