"""Who may call which route: one table, and the one dependency that enforces it.

A route that is not in the table is refused to everybody, so a forgotten entry
fails closed.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import replace
from typing import Annotated, Final

from fastapi import Depends, Header, Request

from app.api.door import STATION, is_from_afar
from app.desk import signing_on
from app.desk.roster import Roster
from app.records.entry import Actor
from app.records.queries import SignOn
from app.records.stations import Station
from app.rules.faults import Covered, NotAllowed, NotSignedOn, ReadOnlyStandby, TokenMissing

COOKIE: Final = "tablebook_sign_on"
# Over TLS the browser itself holds the cookie to this host and to TLS (RFC 6265bis, 4.1.3.2).
_TO_THIS_HOST: Final = "__Host-"
# A browser sends its cookies to every port of a laptop: a name of its own, so that signing on to
# practise signs nobody off at the real table.
PRACTICE_COOKIE: Final = "tablebook_practice"
# The same where both laptops are tried on one.
STANDBY_COOKIE: Final = "tablebook_standby"

ANYBODY: Final[frozenset[str]] = frozenset()
EVERY_ROLE: Final = frozenset({"worker", "lead", "registrar"})
TABLE: Final = frozenset({"worker", "lead"})
LEAD: Final = frozenset({"lead"})
LEAD_AND_REGISTRAR: Final = frozenset({"lead", "registrar"})

ACCESS: Mapping[tuple[str, str], frozenset[str]] = {
    ("GET", "/api/day"): ANYBODY,
    ("POST", "/api/sign-on"): ANYBODY,
    ("POST", "/api/sign-off"): EVERY_ROLE,
    ("POST", "/api/log/seen"): EVERY_ROLE,
    ("POST", "/api/cover"): EVERY_ROLE,
    ("GET", "/api/health"): ANYBODY,
    ("POST", "/api/join"): ANYBODY,
    ("GET", "/api/stations"): LEAD,
    ("POST", "/api/stations/code"): LEAD,
    ("POST", "/api/stations/{station_id}/revoke"): LEAD,
    ("POST", "/api/sign-ons/{seq}/end"): LEAD,
    ("POST", "/api/workers/{worker_id}/unlock"): LEAD,
    ("POST", "/api/door/looked-at"): LEAD,
    ("POST", "/api/find"): EVERY_ROLE,
    ("GET", "/api/lines/{line_id}"): EVERY_ROLE,
    ("POST", "/api/lines/{line_id}/check"): EVERY_ROLE,
    ("POST", "/api/lines/{line_id}/signature"): TABLE,
    ("POST", "/api/lines/{line_id}/signature/withdraw"): LEAD,
    ("POST", "/api/lines/{line_id}/signature/move"): LEAD,
    ("POST", "/api/lines/{line_id}/left"): LEAD,
    ("POST", "/api/lines/{line_id}/returned"): LEAD,
    ("POST", "/api/lines/{line_id}/form-given"): TABLE,
    ("POST", "/api/lines/{line_id}/address-confirmation"): TABLE,
    ("POST", "/api/lines/{line_id}/assistance"): TABLE,
    ("GET", "/api/helpers"): LEAD_AND_REGISTRAR,
    ("POST", "/api/ways-out"): EVERY_ROLE,
    ("POST", "/api/elsewhere/find"): EVERY_ROLE,
    ("POST", "/api/people-directed"): TABLE,
    ("GET", "/api/people-directed"): LEAD_AND_REGISTRAR,
    ("POST", "/api/correction-affidavits"): EVERY_ROLE,
    ("POST", "/api/correction-affidavits/check"): EVERY_ROLE,
    ("POST", "/api/provisional-ballots"): TABLE,
    ("GET", "/api/provisional-ballots"): LEAD_AND_REGISTRAR,
    ("POST", "/api/provisional-ballots/{seq}/withdraw"): LEAD,
    ("POST", "/api/late-lists"): LEAD_AND_REGISTRAR,
    ("GET", "/api/late-lists"): EVERY_ROLE,
    ("GET", "/api/late-lists/{list_id}"): EVERY_ROLE,
    ("POST", "/api/late-lists/{list_id}/rows/{row_number}/settle"): LEAD_AND_REGISTRAR,
    ("POST", "/api/late-lists/{list_id}/rows/{row_number}/undo"): TABLE,
    ("POST", "/api/late-lists/{list_id}/gone/{line_id}/settle"): LEAD_AND_REGISTRAR,
    ("POST", "/api/late-lists/{list_id}/apply"): LEAD_AND_REGISTRAR,
    ("POST", "/api/late-lists/{list_id}/drop"): LEAD_AND_REGISTRAR,
    ("POST", "/api/late-lists/{list_id}/keyed"): TABLE,
    ("POST", "/api/late-lists/{list_id}/people"): TABLE,
    ("POST", "/api/late-lists/{list_id}/not-found"): TABLE,
    ("POST", "/api/late-lists/{list_id}/finish"): TABLE,
    ("POST", "/api/phone-ins"): LEAD,
    ("GET", "/api/phone-ins"): LEAD_AND_REGISTRAR,
    ("POST", "/api/phone-ins/unlock"): LEAD,
    ("GET", "/api/authorisations"): EVERY_ROLE,
    ("GET", "/api/irregularities"): LEAD_AND_REGISTRAR,
    ("POST", "/api/irregularities"): TABLE,
    ("POST", "/api/irregularities/{seq}/settle"): LEAD,
    ("GET", "/api/checklists/{stage}"): EVERY_ROLE,
    ("POST", "/api/checklists/{stage}"): TABLE,
    ("GET", "/api/machines"): EVERY_ROLE,
    ("POST", "/api/machines/{serial}/readings"): TABLE,
    ("GET", "/api/seals"): EVERY_ROLE,
    ("POST", "/api/seals"): TABLE,
    ("GET", "/api/ballots-counted"): EVERY_ROLE,
    ("POST", "/api/ballots-counted"): TABLE,
    ("GET", "/api/paper"): EVERY_ROLE,
    ("POST", "/api/paper/begin"): LEAD,
    ("POST", "/api/paper/caught-up"): TABLE,
    ("POST", "/api/paper/rows/{row_number}/undo"): TABLE,
    ("POST", "/api/paper/rows/{row_number}/settle"): LEAD,
    ("POST", "/api/paper/finish"): TABLE,
    ("GET", "/api/reconciliation"): LEAD_AND_REGISTRAR,
    ("POST", "/api/day/open"): LEAD,
    ("POST", "/api/day/cut-off"): LEAD,
    ("POST", "/api/day/close"): LEAD,
    ("POST", "/api/day/extend-hours"): LEAD,
    ("POST", "/api/day/withdraw-turn"): LEAD,
    ("GET", "/api/papers/slip-{seq}.pdf"): TABLE,
    ("GET", "/api/papers/list-{list_id}.pdf"): LEAD,
    ("GET", "/api/attention"): LEAD,
    ("GET", "/api/turnout"): LEAD,
    ("GET", "/api/papers/posted-count.pdf"): LEAD,
    ("GET", "/api/papers/register.pdf"): LEAD,
    ("GET", "/api/papers/register-now.pdf"): LEAD,
    ("GET", "/api/papers/supplemental.pdf"): LEAD,
    ("GET", "/api/papers/affidavits.pdf"): LEAD,
    ("GET", "/api/papers/affidavit-form.pdf"): LEAD,
    ("GET", "/api/papers/assistance.pdf"): LEAD,
    ("GET", "/api/papers/provisional.pdf"): LEAD,
    ("GET", "/api/papers/irregularities.pdf"): LEAD,
    ("GET", "/api/papers/log-head.pdf"): LEAD,
    ("GET", "/api/papers/ballot-button-{button}.pdf"): TABLE,
    ("GET", "/api/papers/opening.pdf"): LEAD,
    ("GET", "/api/papers/closing.pdf"): LEAD,
    ("POST", "/api/day/hand-over"): LEAD,
    ("GET", "/api/exports/bundle.zip"): LEAD_AND_REGISTRAR,
    ("GET", "/api/exports/{name}"): LEAD_AND_REGISTRAR,
    ("GET", "/api/practice"): EVERY_ROLE,
    ("POST", "/api/practice/begin"): TABLE,
    ("POST", "/api/practice/end"): TABLE,
    ("POST", "/api/practice/again"): TABLE,
    ("GET", "/api/papers/practice-score.pdf"): TABLE,
    # Each asks for the secret of the laptop that follows; joining for the code.
    ("POST", "/api/copy/join"): ANYBODY,
    ("GET", "/api/copy/snapshot"): ANYBODY,
    ("POST", "/api/copy/changes"): ANYBODY,
    ("POST", "/api/copy/took-over"): ANYBODY,
    ("POST", "/api/copy/code"): LEAD,
    ("POST", "/api/standby/take-over"): LEAD,
    ("GET", "/api/log"): EVERY_ROLE,
    ("GET", "/api/log/live"): EVERY_ROLE,
}

# While the page lies covered: what it needs to be uncovered, none of it personal.
_WHILE_COVERED: Final = frozenset(
    {
        ("GET", "/api/day"),
        ("GET", "/api/log/live"),
        ("POST", "/api/sign-on"),
        ("POST", "/api/sign-off"),
        ("POST", "/api/cover"),
    }
)

# Of what is no GET: what a laptop that follows does all the same, since it only reads, or since
# it is kept in memory, or ends the following.
_WHILE_FOLLOWING: Final = frozenset(
    {
        ("POST", "/api/sign-on"),
        ("POST", "/api/sign-off"),
        ("POST", "/api/cover"),
        ("POST", "/api/find"),
        ("POST", "/api/lines/{line_id}/check"),
        ("POST", "/api/ways-out"),
        ("POST", "/api/elsewhere/find"),
        ("POST", "/api/correction-affidavits/check"),
        ("POST", "/api/log/seen"),
        ("POST", "/api/standby/take-over"),
    }
)

_TOKEN = re.compile(r"[A-Za-z0-9_-]{16,64}")


def cookie_of(request: Request) -> str:
    """The name under which a browser keeps who is signed on here."""
    roster = roster_of(request)
    name = PRACTICE_COOKIE if roster.setting.is_practice else COOKIE
    name = STANDBY_COOKIE if roster.here else name
    return f"{_TO_THIS_HOST}{name}" if is_from_afar(request.scope) else name


def roster_of(request: Request) -> Roster:
    roster: Roster = request.app.state.roster
    return roster


def device_of(request: Request) -> str:
    """The joined station that asks, empty for the laptop itself."""
    station: Station | None = request.scope.get(STATION)
    return station.station_id if station else ""


def known_by(request: Request) -> tuple[str, ...]:
    """What a live stream is ended by: its station taken out, or its sign-on ended."""
    secret = request.cookies.get(cookie_of(request), "")
    return device_of(request) or "laptop", signing_on.digest(secret)


async def admit(request: Request) -> SignOn | None:
    """Who is signed on, if the route is theirs to call.

    NotSignedOn, NotAllowed or Covered if it is not; ReadOnlyStandby where it would write at a
    laptop that follows.
    """
    path = request.scope["route"].path
    roles = ACCESS.get((request.method, path))
    if roles is None:
        raise NotAllowed(route=path)
    signed_on = _signed_on(request)
    if roles and signed_on is None:
        raise NotSignedOn
    if roles and signed_on and signed_on.worker.role not in roles:
        raise NotAllowed(role=signed_on.worker.role)
    if signed_on:
        if signed_on.is_covered and (request.method, path) not in _WHILE_COVERED:
            raise Covered
        request.app.state.watch.stations.heard(signed_on.station)
    if roster_of(request).here and not _only_reads(request.method, path):
        raise ReadOnlyStandby
    return signed_on


def _only_reads(method: str, path: str) -> bool:
    return method == "GET" or (method, path) in _WHILE_FOLLOWING


def _signed_on(request: Request) -> SignOn | None:
    """Whose cookie it is; None too where it belongs to another station."""
    roster = roster_of(request)
    secret = request.cookies.get(cookie_of(request))
    signed_on = signing_on.who(roster, secret) if secret else None
    if not secret or signed_on is None:
        return None
    if signed_on.device != device_of(request):
        request.app.state.door.refuse("copied-cookie", request.scope)
        return None
    idle_minutes = roster.setting.policy.idle_lock_minutes
    if roster.sessions.was_silent(signing_on.digest(secret), idle_minutes):
        if not signed_on.is_covered:
            signing_on.cover(roster, secret)
        return replace(signed_on, is_covered=True)
    return signed_on


Admitted = Annotated[SignOn | None, Depends(admit)]


async def acting(signed_on: Admitted) -> Actor:
    """The signed-on worker as the author of an entry."""
    if signed_on is None:
        raise NotSignedOn
    worker = signed_on.worker
    return Actor(worker.worker_id, worker.initials, signed_on.station)


async def acting_as_lead(signed_on: Admitted) -> bool:
    """Whether it is the lead who acts, where others may as well but not in every way."""
    if signed_on is None:
        raise NotSignedOn
    return signed_on.worker.role == "lead"


async def idempotency_key(
    idempotency_key: Annotated[str, Header(description="16 to 64 of A-Z a-z 0-9 _ -")] = "",
) -> str:
    """The client's token for a write; TokenMissing where it is absent or malformed."""
    if not _TOKEN.fullmatch(idempotency_key):
        raise TokenMissing
    return idempotency_key


Acting = Annotated[Actor, Depends(acting)]
ActingAsLead = Annotated[bool, Depends(acting_as_lead)]
Token = Annotated[str, Depends(idempotency_key)]
OpenRoster = Annotated[Roster, Depends(roster_of)]
