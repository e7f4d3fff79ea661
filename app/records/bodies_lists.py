"""What entries of late lists, of the registrar's calls and of irregularities say.

No name and no birth date stands in them: rows, what was asked and what people wrote are kept
beside the log.
"""

from __future__ import annotations

from typing import Any, Literal

from app.records.body import Body
from app.rules.late_list import ListKind

IrregularityKind = Literal[
    "contradiction",
    "voter",
    "ballot",
    "machine",
    "seal",
    "list",
    "observer",
    "electioneering",
    "emergency",
    "place",
    "other",
]


class LateListApplied(Body):
    """A list from a file, applied whole. The counts are of its rows and add up to `rows`.

    `digest` is the SHA-256 of the file, which its office can compare. `corrects` is the list
    that this one repeats or corrects. `rows_sha256` ties the rows, kept beside the log.
    """

    kind = "late_list.applied"
    list_id: str
    list_kind: ListKind
    name: str
    digest: str
    rows: int
    applied: int
    already: int
    settled: int
    refused: int
    open: int
    corrects: str | None
    rows_sha256: str


class LateListRowSettled(Body):
    """A person decided what a row does. `row_number` None: a row that a corrected list lacks."""

    kind = "late_list.row_settled"
    list_seq: int
    row_number: int | None
    how: Literal["line", "add", "refuse", "withdraw", "keep"]
    reason: str
    settled_by: str


class LateListStarted(Body):
    """A list on paper, to be worked row by row."""

    kind = "late_list.started"
    list_id: str
    list_kind: ListKind
    name: str
    printed_total: int


class LateListRowKeyed(Body):
    """One row of a list on paper. What was read of somebody on no line stands beside the log.

    settle: waits for the lead, who decides with a `late_list.row_settled`.
    """

    kind = "late_list.row_keyed"
    list_seq: int
    row_number: int
    effect: Literal["mark", "remove", "add", "already", "settle", "not_found"]
    twice: bool
    details_sha256: str | None


class LateListRowUndone(Body):
    """The row was keyed by mistake: it does not count, and what it did is taken back."""

    kind = "late_list.row_undone"
    list_seq: int
    row_number: int
    reason: str


class LateListFinished(Body):
    """`reason` says why the count is not the printed total, blank where it is."""

    kind = "late_list.finished"
    list_seq: int
    count: int
    printed_total: int
    not_found: int
    reason: str


class PhoneInRecorded(Body):
    """A call of the registrar's office. What was asked stands beside the log.

    `what` is a code of `app.rules.phone_change`; `effect` already: it stood so before.
    `counter` is the running number of the spoken code, None where none was used.
    """

    kind = "phone_in.recorded"
    caller: str
    office: str
    number_called_back: str
    what: str
    effect: Literal["done", "already"]
    code_used: bool
    counter: int | None
    read_back: bool
    details_sha256: str


class PhoneCodeRefused(Body):
    """A spoken code that does not belong to this voter, change and precinct."""

    kind = "phone_code.refused"
    what: str


class PhoneCodeUnlocked(Body):
    """The lead called the office back after too many wrong codes."""

    kind = "phone_code.unlocked"
    number_called_back: str
    reason: str


class IrregularityRecorded(Body):
    """Something out of the ordinary. `code` and `facts` say which two facts contradict.

    What a person wrote of it stands beside the log. `machine` is the serial of the machine that
    it is about.
    """

    kind = "irregularity.recorded"
    irregularity: IrregularityKind
    code: str
    facts: dict[str, Any]
    list_seq: int | None
    row_number: int | None
    details_sha256: str | None
    machine: str | None = None


class IrregularitySettled(Body):
    kind = "irregularity.settled"
    irregularity_seq: int
    how: str


LIST_BODIES: tuple[type[Body], ...] = (
    LateListApplied,
    LateListRowSettled,
    LateListStarted,
    LateListRowKeyed,
    LateListRowUndone,
    LateListFinished,
    PhoneInRecorded,
    PhoneCodeRefused,
    PhoneCodeUnlocked,
    IrregularityRecorded,
    IrregularitySettled,
)
