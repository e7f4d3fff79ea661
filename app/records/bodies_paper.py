"""What entries of hours on paper say: when the table went to paper, each row keyed, the end of it.

Times that people wrote down are local, `HH:MM`; blank where nobody wrote one. No name stands here:
that of somebody on no line is kept beside the log.
"""

from __future__ import annotations

from pydantic import BaseModel, ConfigDict

from app.records.body import Body
from app.rules.catching_up import Effect


class CaughtUp(BaseModel):
    """A signature on a page of paper: the time written there, which one on which page.

    `order` counts the signatures of the page from the top; `row_seq` is the entry that keyed it.
    """

    model_config = ConfigDict(extra="forbid", frozen=True)
    at: str
    order: int
    page: int
    row_seq: int


class PaperBegun(Body):
    """The table works with the printed register, which shows the log up to `head_seq`.

    `head_seq` None: nobody said. `head_hash` None besides: this record has no such entry.
    """

    kind = "paper.begun"
    reason: str
    head_seq: int | None
    head_hash: str | None
    from_time: str
    until_time: str


class PaperRowKeyed(Body):
    """One signature of a page. `effect` duplicate: the line was signed, no second one is recorded.

    waits: the person is on no line; what was read of them stands beside the log.
    """

    kind = "paper.row_keyed"
    begun_seq: int
    row_number: int
    time: str
    page: int
    order: int
    effect: Effect
    twice: bool
    details_sha256: str | None


class PaperRowSettled(Body):
    """The lead says which line a row that waited is, or (`no_line`) why it stays without one.

    `effect` as of a row that is keyed on its line at once.
    """

    kind = "paper.row_settled"
    begun_seq: int
    row_number: int
    keyed_seq: int
    effect: Effect
    twice: bool
    reason: str


class PaperRowUndone(Body):
    """The row was keyed by mistake and counts no more; its signature is withdrawn with it.

    `keyed_seq` is the entry that keyed it, or the one that settled it.
    """

    kind = "paper.row_undone"
    begun_seq: int
    row_number: int
    keyed_seq: int
    reason: str


class PaperCaughtUp(Body):
    """Everything on paper is keyed: `lines` rows that stand, beside `counted` on the pages.

    `reason` says why the two differ, or why rows wait still. `no_line` were settled without one.
    """

    kind = "paper.caught_up"
    begun_seq: int
    lines: int
    duplicates: int
    waiting: int
    counted: int
    reason: str
    no_line: int = 0


PAPER_BODIES: tuple[type[Body], ...] = (
    PaperBegun,
    PaperRowKeyed,
    PaperRowSettled,
    PaperRowUndone,
    PaperCaughtUp,
)
