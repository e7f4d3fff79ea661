"""What each kind of entry says: one typed model for each kind.

A new kind is one new model here and, where it changes a line, one function in
`app.records.fold`. Bodies carry no birth date and no maiden name.
"""

from __future__ import annotations

from typing import ClassVar, Literal

from pydantic import BaseModel, ConfigDict

from app.rules.line import MarkKind

How = Literal["drawn", "paper"]


class Body(BaseModel):
    """Base of every body. `kind` is the entry's kind."""

    model_config = ConfigDict(extra="forbid", frozen=True)
    kind: ClassVar[str]


class PackageLoaded(Body):
    """Always entry 1. The digests tie the printed lines and the setting to the log.

    `line_key` is the key of the opaque line_ids: HMAC-SHA-256 over the voter number,
    so that the same package loaded from this log again gives the same identifiers.
    """

    kind = "package.loaded"
    election_id: str
    precinct: str
    files: dict[str, str]
    lines: int
    lines_sha256: str
    setting_sha256: str
    line_key: str


class DayOpened(Body):
    kind = "day.opened"


class LineCutOff(Body):
    """The lead marked who is last in line."""

    kind = "line.cut_off"


class DayClosed(Body):
    kind = "day.closed"


class SignatureRecorded(Body):
    """`told_apart`: the birth date said was compared and agreed.

    `in_line_at_cut_off` and `identification` are None where nobody had to ask.
    """

    kind = "signature.recorded"
    how: How
    strokes_sha256: str | None
    ballot_button: int | None
    told_apart: bool | None
    identification: Literal["shown", "not_shown", "affirmed"] | None
    in_line_at_cut_off: bool | None


class SignatureWithdrawn(Body):
    """`signature_seq` is the entry that is withdrawn."""

    kind = "signature.withdrawn"
    signature_seq: int
    reason: str


class MarkRecorded(Body):
    kind = "mark.recorded"
    mark: MarkKind
    source: str


class MarkWithdrawn(Body):
    kind = "mark.withdrawn"
    mark: MarkKind
    reason: str


class LineRemoved(Body):
    kind = "line.removed"
    reason: str


class AddressConfirmed(Body):
    """The voter completed the card; the card itself is the paper."""

    kind = "address.confirmed"


class AssistanceRecorded(Body):
    """`wanted` False: asked, and no help was wanted today.

    `reason` is needed where no Y is printed on the line.
    """

    kind = "assistance.recorded"
    wanted: bool
    helper_name: str
    reason: str
    how: How | None
    strokes_sha256: str | None


class WorkerSignedOn(Body):
    kind = "worker.signed_on"
    role: str


class WorkerSignedOff(Body):
    kind = "worker.signed_off"


BODY_OF_KIND: dict[str, type[Body]] = {
    model.kind: model
    for model in (
        PackageLoaded,
        DayOpened,
        LineCutOff,
        DayClosed,
        SignatureRecorded,
        SignatureWithdrawn,
        MarkRecorded,
        MarkWithdrawn,
        LineRemoved,
        AddressConfirmed,
        AssistanceRecorded,
        WorkerSignedOn,
        WorkerSignedOff,
    )
}
