"""The counts of ballots on paper that a place makes where no machine counts: their names."""

from __future__ import annotations

from typing import Literal, get_args

# received before the opening, resupplied in the day; spoiled are all spoiled ones, found bad or
# given back; reissued those given back for which another was handed out; issued by the stubs.
Counted = Literal["received", "resupplied", "issued", "spoiled", "reissued", "unused"]

COUNTED: tuple[Counted, ...] = get_args(Counted)

# These come more than once a day and are added up.
ADDED_UP = frozenset({"resupplied"})
