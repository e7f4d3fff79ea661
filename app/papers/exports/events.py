"""The day log in the form of NIST SP 1500-101 (election event logging), and its documentation.

The standard leaves open what an event's `Hash` is taken over. Ours is the hash of the entry in the
day log: SHA-256 over the hash of the entry before and the canonical JSON of the entry, both of
which stand in day-log.jsonl. So the chain is checked there, and compared with here.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from app.papers.exports.event_words import GROUP_WORDS, KIND_WORDS
from app.papers.exports.json_text import json_bytes
from app.rules.setting import Setting

MANUFACTURER = "Tablebook"
MODEL = "Tablebook roster"
HASH_RULE = (
    "Hash is the entry's own in the day log: SHA-256 over the Hash before it, in hexadecimal "
    "(64 zeros before the first), followed by the canonical JSON (RFC 8785) of the entry, both "
    "as in day-log.jsonl. SP 1500-101 leaves open what is hashed."
)


@dataclass(frozen=True, slots=True)
class LoggedEvent:
    """An entry; `at` is local. `is_failure`: what was tried did not succeed."""

    seq: int
    at: datetime
    kind: str
    user: str
    station: str
    hash: str
    is_failure: bool


def events_json(
    setting: Setting, version: str, made_at: datetime, events: Iterable[LoggedEvent]
) -> bytes:
    """`ElectionEventLog`: one device, one event for each entry, in order."""
    device = {
        "@type": "EventLogging.Device",
        "Id": device_id(setting),
        "Type": "electronic-poll-book",
        "Manufacturer": MANUFACTURER,
        "Model": MODEL,
        "Version": version,
        "HashType": "sha-256",
        "Event": list(map(_event, events)),
    }
    return json_bytes(
        {
            "@type": "EventLogging.ElectionEventLog",
            "ElectionId": setting.election.id,
            "GeneratedTime": made_at.isoformat(timespec="milliseconds"),
            "Details": HASH_RULE,
            "Device": [device],
        }
    )


def documentation_json(setting: Setting, version: str, made_at: datetime) -> bytes:
    """`ElectionEventLogDocumentation`: what every kind and group of events means."""
    return json_bytes(
        {
            "@type": "EventLogging.ElectionEventLogDocumentation",
            "DeviceManufacturer": MANUFACTURER,
            "DeviceModel": MODEL,
            "DeviceId": device_id(setting),
            "DeviceVersion": version,
            "GeneratedDate": made_at.date().isoformat(),
            "EventIdDescription": [
                {"@type": "EventLogging.EventIdDescription", "Id": kind, "Description": words}
                for kind, words in KIND_WORDS.items()
            ],
            "EventTypeDescription": [
                {"@type": "EventLogging.EventTypeDescription", "Type": group, "Description": words}
                for group, words in GROUP_WORDS.items()
            ],
        }
    )


def device_id(setting: Setting) -> str:
    return f"roster of precinct {setting.precinct.number}"


def group_of(kind: str) -> str:
    """What an event is about: `signature` of `signature.recorded`."""
    return kind.partition(".")[0]


def _event(event: LoggedEvent) -> dict[str, Any]:
    words = KIND_WORDS.get(event.kind, "")
    found = {
        "@type": "EventLogging.Event",
        "Id": event.kind,
        "Type": group_of(event.kind),
        "Disposition": "failure" if event.is_failure else "success",
        "Sequence": str(event.seq),
        "TimeStamp": event.at.isoformat(timespec="milliseconds"),
        "UserId": event.user,
        "Details": f"station {event.station}",
        "Hash": event.hash,
    }
    return {**found, "Description": words} if words else found
