"""A voter number as the bars of a Code 128 (ISO/IEC 15417), in modules.

`python-barcode` makes the modules; here they become bars, with the quiet zone and the width that
a reader needs.
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import groupby
from typing import cast

from barcode.codex import Code128
from barcode.errors import BarcodeError

# Modules left white before and after (ISO/IEC 15417: at least ten; from memory).
QUIET = 10
# Points. A module of the least is 2.6 dots of a page scanned at 200 an inch: below 2.3 an
# independent reader began to miss some (tests/papers/test_register_barcodes.py).
MODULE, LEAST_MODULE = 1.02, 0.94


@dataclass(frozen=True, slots=True)
class Barcode:
    """Bars as (first module, modules), from the first bar on; `modules` in all."""

    bars: tuple[tuple[int, int], ...]
    modules: int

    def module_for(self, room: float) -> float | None:
        """The width of a module in points, None where `room` is too small to be read.

        The quiet zone after the bars is within `room`; before them it must be white already.
        """
        module = min(MODULE, room / (self.modules + QUIET))
        return module if module >= LEAST_MODULE else None


# The value of the character that changes to set C, and in set C the digits 99.
_CHANGES_TO_C = 99


class _Code128(Code128):  # type: ignore[misc]  # the library carries no types
    """The library takes a 99 at the beginning for a change of set, and leaves it out.

    Every number that begins with 99 would carry another number's barcode (python-barcode 0.16.1).
    It begins in set C, so nothing in this place can be a change to it.
    """

    def _try_to_optimize(self, encoded: list[int]) -> list[int]:
        if encoded[1] == _CHANGES_TO_C:
            return encoded
        return cast("list[int]", super()._try_to_optimize(encoded))


def code_128(text: str) -> Barcode | None:
    """The bars of a text; None where it is blank or has letters that the code has not."""
    if not text.isascii() or not text.isprintable() or not text:
        return None
    try:
        (modules,) = _Code128(text).build()
    except BarcodeError:
        return None
    bars, at = [], 0
    for is_bar, run in groupby(modules):
        length = len(list(run))
        if is_bar == "1":
            bars.append((at, length))
        at += length
    return Barcode(tuple(bars), at)
