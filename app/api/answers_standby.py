"""What the API answers of a laptop that follows, and of letting one follow."""

from __future__ import annotations

from pydantic import BaseModel

from app.api.answers import Clockface
from app.desk.standby_here import StandbyHere
from app.papers.made import HASH_DIGITS, in_fours
from app.records.clock import to_text
from app.records.entry import Head


class StandbyAnswer(BaseModel):
    """Whom this laptop follows, whether it is `in-step` or `apart`, since when by the clock, and a
    code of why (empty where it is in step, or has not been asked yet).

    `seq` and `head` are where the log that it holds ends: what can be compared with the other one.
    """

    follows: str
    state: str
    since: str
    why: str
    seq: int
    head: str


class TakenOverAnswer(BaseModel):
    """`is_told`: the other laptop was there and gives way; if not, it is told later."""

    epoch: int
    seq: int
    head: str
    is_told: bool


class CopyCodeAnswer(BaseModel):
    """What is typed at the second laptop, once, within so many seconds."""

    command: str
    seconds: int


def standby_answer(standby: StandbyHere, head: Head, clockface: Clockface) -> StandbyAnswer:
    standing = standby.standing
    return StandbyAnswer(
        follows=standby.followed.url,
        state=standing.state,
        since=clockface(to_text(standing.since)),
        why=standing.why,
        seq=head.seq,
        head=head_in_fours(head.hash),
    )


def head_in_fours(digits: str) -> str:
    """As much of it as is compared by eye."""
    return in_fours(digits[:HASH_DIGITS])
