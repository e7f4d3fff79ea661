"""What each kind of entry says: one typed model for each kind.

A new kind is one new model here and, where it changes a line, one function in
`app.records.fold`. Bodies carry no birth date and no maiden name. What an affidavit or
a provisional ballot says of a person stands beside the log (`app.records.personal`);
`details_sha256` ties it to the entry.
"""

from __future__ import annotations

from typing import Literal

from pydantic import BaseModel, ConfigDict

from app.records.bodies_copies import COPY_BODIES
from app.records.bodies_day import DAY_BODIES
from app.records.bodies_lists import LIST_BODIES
from app.records.bodies_paper import PAPER_BODIES, CaughtUp
from app.records.bodies_stations import STATION_BODIES
from app.records.bodies_trust import TRUST_BODIES
from app.records.body import Body
from app.rules.line import MarkKind
from app.rules.moment import Moved
from app.rules.provisional import BallotClass

How = Literal["drawn", "paper"]
SignedHow = Literal["drawn", "paper", "mark"]
MarkMade = Literal["drawn", "paper", "none"]
Turn = Literal["day.opened", "line.cut_off", "day.closed", "hours.extended"]


class PackageLoaded(Body):
    """Always entry 1. The digests tie the printed lines and the setting to the log.

    `line_key` is the key of the opaque line_ids: HMAC-SHA-256 over the voter number,
    so that the same package loaded from this log again gives the same identifiers.
    `elsewhere` counts the people of other precincts. `log_key` is the public half of the key
    with which the laptop signs the log.
    """

    kind = "package.loaded"
    election_id: str
    precinct: str
    files: dict[str, str]
    lines: int
    lines_sha256: str
    elsewhere: int
    elsewhere_sha256: str
    setting_sha256: str
    line_key: str
    log_key: str


class DayOpened(Body):
    kind = "day.opened"


class LineCutOff(Body):
    """The lead marked who is last in line."""

    kind = "line.cut_off"


class DayClosed(Body):
    """`balance` are the terms as they stood (`app.rules.balance.Terms`), with what follows from
    them; None in old entries. `difference` None: something was not read. `reason` says why it was
    closed although the counts do not agree.
    """

    kind = "day.closed"
    balance: dict[str, int | str | None] | None = None
    difference: int | None = None
    reason: str = ""


class HoursExtended(Body):
    """`reference` names the order; `until` is a local time, `HH:MM`."""

    kind = "hours.extended"
    reference: str
    until: str


class TurnWithdrawn(Body):
    """`turn_seq` is the entry that is taken back."""

    kind = "turn.withdrawn"
    turn: Turn
    turn_seq: int
    reason: str


class SignatureRecorded(Body):
    """`told_apart`: the birth date said was compared and agreed.

    What nobody had to ask is None. `moved_from` is the line on which the voter signed
    by mistake, where the signature was moved here.

    `how` mark: the voter cannot sign. `mark` says how theirs was made (`none`: they can make
    none either, and say so), `witness_how` how the witness signed beside it. The witness's name
    and drawing stand beside the log. `caught_up`: signed on paper and keyed later.
    """

    kind = "signature.recorded"
    how: SignedHow
    strokes_sha256: str | None
    ballot_button: int | None
    told_apart: bool | None
    identification: Literal["shown", "not_shown", "affirmed"] | None
    in_line_at_cut_off: bool | None
    address_affirmed: bool | None = None
    moved: Moved | None = None
    moved_from: str | None = None
    mark: MarkMade | None = None
    witness_how: How | None = None
    details_sha256: str | None = None
    caught_up: CaughtUp | None = None


class SignatureWithdrawn(Body):
    """`signature_seq` is the entry that is withdrawn; `moved_to` the line it belongs on."""

    kind = "signature.withdrawn"
    signature_seq: int
    why: Literal["wrong_line", "spoiled", "other"] = "other"
    reason: str
    moved_to: str | None = None


class VoterLeft(Body):
    """The voter signed and left without voting; the signature stands, counted apart."""

    kind = "voter.left"
    signature_seq: int
    reason: str


class VoterReturned(Body):
    """The voter has not left after all, or is back."""

    kind = "voter.returned"
    signature_seq: int
    reason: str


class MarkRecorded(Body):
    """A mark from a late list (`list_seq` is the entry that names it) or a phone-in."""

    kind = "mark.recorded"
    mark: MarkKind
    source: str
    list_seq: int | None = None
    row_number: int | None = None
    phone_in_seq: int | None = None


class MarkWithdrawn(Body):
    """`mark_seq` is the entry whose mark goes; None takes every mark of the kind off."""

    kind = "mark.withdrawn"
    mark: MarkKind
    reason: str
    mark_seq: int | None = None
    list_seq: int | None = None
    phone_in_seq: int | None = None


class LineRemoved(Body):
    kind = "line.removed"
    reason: str
    list_seq: int | None = None
    row_number: int | None = None
    phone_in_seq: int | None = None


class LineRestored(Body):
    """The registrar puts a removed line back."""

    kind = "line.restored"
    reason: str
    list_seq: int | None = None
    phone_in_seq: int | None = None


class LineCorrected(Body):
    """`detail` is a column of the line; what it is now stands beside the log."""

    kind = "line.corrected"
    detail: str
    phone_in_seq: int | None = None
    details_sha256: str


class LineAdded(Body):
    """A line for a person who had none: by a correction affidavit, or from a supplemental list.

    `authorised_by` is the name at the registrar's office, or the list's. `somebody_else`: the
    lead or the registrar says that it is not the person of the same name and birth date.
    `authorisation_seq` is the phone-in that authorised the affidavit, where one is named.
    """

    kind = "line.added"
    authorised_by: str
    authorised_how: Literal["phone", "in_person", "writing", "list"]
    somebody_else: bool
    ballot_button: int | None
    details_sha256: str
    authorisation_seq: int | None = None
    list_seq: int | None = None
    row_number: int | None = None


class FormGiven(Body):
    """A form was handed over to a voter who wants a detail changed; nothing else is kept."""

    kind = "form.given"
    form: Literal["registration"]


class PlaceTold(BaseModel):
    """A polling place as the registrar named it on the telephone."""

    model_config = ConfigDict(extra="forbid", frozen=True)
    precinct: str
    polling_place: str
    place_address: str


class PersonDirected(Body):
    """How a person left who got no ballot here.

    `elsewhere_id` is a row of the people of other precincts. `situation` holds the answers
    on the way. `details_sha256` is None where no name was written down.
    """

    kind = "person.directed"
    way: Literal["elsewhere", "registration_form", "left"]
    elsewhere_id: str | None
    place: PlaceTold | None
    situation: dict[str, str | bool] | None
    reason: str
    provisional_declined: bool
    details_sha256: str | None


class ProvisionalRecorded(Body):
    """A provisional ballot in envelope `envelope`; `reason` is a code."""

    kind = "provisional.recorded"
    envelope: str
    reason: str
    note: str
    ballot_class: BallotClass
    ballot_button: int | None
    how: How
    strokes_sha256: str | None
    situation: dict[str, str | bool] | None
    details_sha256: str


class ProvisionalWithdrawn(Body):
    """The record was a mistake; the envelope's number is not used again."""

    kind = "provisional.withdrawn"
    provisional_seq: int
    reason: str


class AddressConfirmed(Body):
    """The voter completed the card; the card itself is the paper.

    `row_seq`: it was done on paper, and keyed with the row of that entry.
    """

    kind = "address.confirmed"
    row_seq: int | None = None


class AssistanceRecorded(Body):
    """`wanted` False: asked, and no help was wanted today.

    `reason` is needed where no Y is printed on the line; there too the voter makes a
    statement of support. `helper_is` is asked each time (52 U.S.C. 10508). `row_seq`: done on
    paper, and keyed with the row of that entry.
    """

    kind = "assistance.recorded"
    wanted: bool
    helper_name: str
    reason: str
    how: How | None
    strokes_sha256: str | None
    helper_is: Literal["other"] | None = None
    statement_of_support: bool = False
    row_seq: int | None = None


class WorkerSignedOn(Body):
    kind = "worker.signed_on"
    role: str


class WorkerSignedOff(Body):
    kind = "worker.signed_off"


_BODIES: tuple[type[Body], ...] = (
    PackageLoaded,
    DayOpened,
    LineCutOff,
    DayClosed,
    HoursExtended,
    TurnWithdrawn,
    SignatureRecorded,
    SignatureWithdrawn,
    VoterLeft,
    VoterReturned,
    LineAdded,
    FormGiven,
    PersonDirected,
    ProvisionalRecorded,
    ProvisionalWithdrawn,
    MarkRecorded,
    MarkWithdrawn,
    LineRemoved,
    LineRestored,
    LineCorrected,
    *LIST_BODIES,
    *COPY_BODIES,
    *DAY_BODIES,
    *PAPER_BODIES,
    *TRUST_BODIES,
    *STATION_BODIES,
    AddressConfirmed,
    AssistanceRecorded,
    WorkerSignedOn,
    WorkerSignedOff,
)

BODY_OF_KIND: dict[str, type[Body]] = {model.kind: model for model in _BODIES}
