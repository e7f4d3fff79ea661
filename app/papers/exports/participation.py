"""Who took part at this table: as CSV, and in the form of NIST SP 1500-102 (voter records).

The standard's `VoterParticipation` says that a person took part, and no more: it has no place for
the time, the way, the station, a provisional ballot or a voter who left. All of these stand in the
CSV. Into the JSON goes whoever signed and did not leave; what a provisional ballot is worth is not
decided at the table. Birth dates and home addresses stand in neither: the registrar has them.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any, Literal

from app.papers.exports.csv_text import csv_bytes
from app.papers.exports.json_text import json_bytes
from app.rules.setting import Setting

How = Literal["signed", "affidavit", "left", "provisional"]
HEADINGS = (
    "voter_number",
    "last_name",
    "first_name",
    "middle_name",
    "suffix",
    "ballot_button",
    "how",
    "local_time",
    "time_on_paper",
    "station",
    "initials",
    "envelope",
    "entry",
)
# Whose vote is among those that the machines or the ballots on paper should count.
COUNTED: tuple[How, ...] = ("signed", "affidavit")


@dataclass(frozen=True, slots=True)
class Participant:
    """A person who signed, or got a provisional ballot.

    `at` is the local time of the entry `seq`; `time_on_paper` the time that the paper register
    says, where the signature was caught up from it. Of somebody on no line with an envelope the
    whole name stands in `last_name`, as it was written down.
    """

    voter_number: str
    last_name: str
    first_name: str
    middle_name: str
    suffix: str
    ballot_button: int | None
    how: How
    at: datetime
    station: str
    initials: str
    seq: int
    time_on_paper: str = ""
    envelope: str = ""


def participation_csv(people: Iterable[Participant]) -> bytes:
    return csv_bytes(HEADINGS, map(_row, people))


def participation_json(setting: Setting, people: Iterable[Participant]) -> bytes:
    """`VoterRecordResults`; the precinct's number, the election and the ballot style by their
    local identifiers.
    """
    return json_bytes(
        {
            "@type": "VRI.VoterRecordResults",
            "TransactionId": f"{setting.election.id}/{setting.precinct.number}",
            "VoterRecord": [_record(setting, one) for one in people if one.how in COUNTED],
        }
    )


def _row(one: Participant) -> Sequence[str]:
    return (
        one.voter_number,
        one.last_name,
        one.first_name,
        one.middle_name,
        one.suffix,
        "" if one.ballot_button is None else str(one.ballot_button),
        one.how,
        one.at.isoformat(timespec="seconds"),
        one.time_on_paper,
        one.station,
        one.initials,
        one.envelope,
        str(one.seq),
    )


def _record(setting: Setting, one: Participant) -> dict[str, Any]:
    voter: dict[str, Any] = {
        "@type": "VRI.Voter",
        "Name": _name(one),
        # Required, and every member of it may be absent: addresses are handed on nowhere here.
        "ResidenceAddress": {"@type": "addr.GeneralAddressClass_type"},
    }
    if one.voter_number:
        number = {
            "@type": "VRI.VoterId",
            "Type": "local-voter-registration-id",
            "StringValue": one.voter_number,
        }
        voter["VoterId"] = [number]
    return {
        "@type": "VRI.VoterRecord",
        "Voter": voter,
        "Locality": [_unit("precinct", setting.precinct.number, setting.precinct.county)],
        "VoterParticipation": [_participation(setting, one)],
    }


def _name(one: Participant) -> dict[str, Any]:
    parts = {
        "FirstName": one.first_name,
        "MiddleName": [one.middle_name] if one.middle_name else [],
        "LastName": one.last_name,
        "Suffix": one.suffix,
    }
    return {"@type": "VRI.Name", **{key: value for key, value in parts.items() if value}}


def _participation(setting: Setting, one: Participant) -> dict[str, Any]:
    election = setting.election
    found: dict[str, Any] = {
        "@type": "VRI.VoterParticipation",
        "Election": {
            "@type": "VRI.Election",
            "Name": election.name,
            "StartDate": election.date.isoformat(),
            "ExternalIdentifier": [_identifier(election.id)],
        },
        "PollingLocation": {
            "@type": "VRI.ReportingUnit",
            "Type": "polling-place",
            "Name": setting.polling_place.name,
        },
    }
    style = _style(setting, one.ballot_button)
    if style:
        identifiers = [_identifier(style)]
        found["BallotStyle"] = {"@type": "VRI.BallotStyle", "ExternalIdentifier": identifiers}
    return found


def _style(setting: Setting, button: int | None) -> str:
    """The style of a ballot button; where there is one ballot for all, that one's."""
    styles = [ballot.style for ballot in setting.ballots if ballot.button == button]
    return styles[0] if len(styles) == 1 else ""


def _unit(kind: str, number: str, county: str) -> dict[str, Any]:
    return {
        "@type": "VRI.ReportingUnit",
        "Type": kind,
        "Name": f"{county}, {number}",
        "ExternalIdentifier": [_identifier(number)],
    }


def _identifier(value: str) -> dict[str, str]:
    return {"@type": "VRI.ExternalIdentifier", "Type": "local-level", "Value": value}
