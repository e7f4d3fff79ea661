"""Telling the laptop that was replaced, for as long as it takes."""

from __future__ import annotations

import asyncio
from contextlib import suppress

from app.desk.taking_over import tell_and_write_down
from app.records.store import Store
from app.rules.faults import TablebookFault

# It may be switched on again at any time, and until it hears, somebody could sign at both.
TELL_SECONDS = 5.0


async def keep_telling(store: Store) -> None:
    """Until it has said that it gives way, and that stands in the log; cancelled before that."""
    while True:
        # A disk that fails now may not fail the next time.
        with suppress(TablebookFault):
            if await asyncio.to_thread(tell_and_write_down, store):
                return
        await asyncio.sleep(TELL_SECONDS)
