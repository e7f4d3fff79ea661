"""How much anybody may ask in a short time."""

from __future__ import annotations

import time
from collections.abc import Callable

# Whoever asks from many addresses must not fill the memory: the oldest are forgotten together.
MOST_KEYS = 5_000


class Rate:
    """`most` in `seconds` for each key, refilled steadily. Used from one event loop."""

    def __init__(
        self, most: int, seconds: float, ticking: Callable[[], float] = time.monotonic
    ) -> None:
        self._most = most
        self._each = most / seconds
        self._ticking = ticking
        self._left: dict[str, tuple[float, float]] = {}

    def allows(self, key: str) -> bool:
        """Whether one more is allowed now; it counts if it is."""
        now = self._ticking()
        left, at = self._left.get(key, (float(self._most), now))
        left = min(self._most, left + (now - at) * self._each)
        if len(self._left) >= MOST_KEYS and key not in self._left:
            self._left.clear()
        self._left[key] = (left - 1 if left >= 1 else left), now
        return left >= 1
