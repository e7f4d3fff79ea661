"""What entries say of the laptop itself: its keys, its clock, the copies, the stations."""

from __future__ import annotations

from typing import Literal

from app.records.body import Body

SlotName = Literal["passphrase", "two-officers", "recovery"]


class StorageUnlocked(Body):
    """The encrypted record was opened to be served. `by` is the slot that opened it.

    `wrong_tries` and `recovery_uses` count from the entry of this kind before, also what
    commands were given meanwhile that write nothing.
    """

    kind = "storage.unlocked"
    by: SlotName
    slot: int
    wrong_tries: int
    recovery_uses: int


class StorageKeysChanged(Body):
    """A slot was added or removed, or the record encrypted; `slot` is its number."""

    kind = "storage.keys_changed"
    change: Literal["encrypted", "added", "removed"]
    by: SlotName
    slot: int


class LogKeyChanged(Body):
    """From this entry on heads are signed with another key: the record was put together anew.

    `log_key` is its public half. Whoever reads the log asks why: see `reason`.
    """

    kind = "log.key_changed"
    log_key: str
    reason: str


class ClockJumped(Body):
    """The laptop's clock was set: `before` is what it would have shown, `now` what it shows.

    The order of the log is its `seq`; only the times that entries show are in question.
    """

    kind = "clock.jumped"
    before: str
    now: str
    by_seconds: int


TRUST_BODIES: tuple[type[Body], ...] = (
    StorageUnlocked,
    StorageKeysChanged,
    LogKeyChanged,
    ClockJumped,
)
