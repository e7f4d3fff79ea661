"""A copy that may be refused, where somebody waits at the table and the day has to go on.

Ordinarily nothing is served beside a carbon that is another record's, or that holds more than this
one. After a taking over it is: the copy fails instead, every page says so, it is tried again, and
nothing is written into what was refused.
"""

from __future__ import annotations

from app.records.changes import Change
from app.records.copies import Copy, CopyFailed, MakeCopy, Read, why_refused
from app.rules.faults import TablebookFault


class Tolerated:
    """See `Copy`; `resume` raises CopyFailed alone, from the fault with which it was refused."""

    def __init__(self, copy: Copy) -> None:
        self._copy = copy
        self.which, self.patience_seconds = copy.which, copy.patience_seconds

    def resume(self) -> int | None:
        try:
            return self._copy.resume()
        except TablebookFault as refused:
            raise CopyFailed(why_refused(refused)) from refused

    def start_over(self) -> int:
        return self._copy.start_over()

    def write(self, change: Change) -> None:
        self._copy.write(change)

    def close(self) -> None:
        self._copy.close()


def tolerated(make: MakeCopy) -> MakeCopy:
    """What makes the same copy, tolerated."""

    def make_tolerated(read: Read) -> Copy:
        return Tolerated(make(read))

    return make_tolerated
