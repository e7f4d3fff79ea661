"""People who leave without a ballot: sent elsewhere, given a form, or gone for a reason."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Literal

from sqlalchemy import Connection

from app.desk.evidence import NOTHING_SAID, Said, evidence_about
from app.desk.outcomes import Recorded, Refused
from app.desk.roster import Roster
from app.records import elsewhere, personal, queries
from app.records.bodies import PersonDirected, PlaceTold
from app.records.entry import Actor, Entry
from app.records.unit import Unit
from app.rules.faults import BadRequest, TokenReused
from app.rules.ways_out import Situation, may_have_provisional

Way = Literal["elsewhere", "registration_form", "left"]


@dataclass(frozen=True, slots=True)
class Direction:
    """How somebody leaves. A name is kept beside the log, never in it.

    `elsewhere_id` is the person's row among the other precincts; `place` what the registrar
    said where there is none. `line_id` is set where the person stands on a line here.
    """

    way: Way
    elsewhere_id: str | None = None
    place: PlaceTold | None = None
    line_id: str | None = None
    situation: Situation = field(default_factory=Situation)
    said: Said = NOTHING_SAID
    name: str = ""
    reason: str = ""
    provisional_declined: bool = False


@dataclass(frozen=True, slots=True)
class Directed:
    """Who left how, for the lead. `born` is a year and known only of people elsewhere."""

    entry: Entry
    name: str
    born: int | None
    place: PlaceTold | None


def direct(
    unit: Unit, roster: Roster, actor: Actor, token: str, direction: Direction
) -> Recorded | Refused:
    """Record how the person leaves.

    Nobody who may have a provisional ballot leaves with less before it was offered.
    BadRequest where the place or the reason is missing, NotFound for an unknown row or line.
    """
    asked = _asked(direction)
    again = unit.already(token, PersonDirected.kind, direction.line_id, **asked)
    if again:
        kept = personal.details_of(unit.connection, again).get("name", "")
        if kept != direction.name:
            raise TokenReused(seq=again.seq, kind=again.kind)
        return Recorded(again)
    _check(direction)
    if direction.elsewhere_id:
        elsewhere.person(unit.connection, direction.elsewhere_id)
    if _must_be_offered_first(unit.connection, roster, direction):
        return Refused("provisional-not-offered")
    sealed = personal.seal({"name": direction.name}) if direction.name else None
    body = PersonDirected.model_validate(
        {**asked, "details_sha256": sealed.digest if sealed else None}
    )
    entry = unit.append(actor, token, body, direction.line_id)
    if sealed:
        personal.keep(unit, entry, sealed)
    return Recorded(entry)


def read_directed(roster: Roster) -> list[Directed]:
    """Everybody who was sent elsewhere, given a form, or left; oldest first."""

    def directed(connection: Connection) -> list[Directed]:
        entries = queries.entries_of(connection, PersonDirected.kind)
        return [directed_by(connection, entry) for entry in entries]

    return roster.store.read(directed)


def directed_by(connection: Connection, entry: Entry) -> Directed:
    """Who left how, of one entry."""
    name = str(personal.details_of(connection, entry).get("name", ""))
    told = entry.body["place"]
    if entry.body["elsewhere_id"] is None:
        if not name and entry.line_id:
            name = queries.line_as_stored(connection, entry.line_id).printed.name_last_first
        return Directed(entry, name, None, PlaceTold(**told) if told else None)
    of = elsewhere.person(connection, entry.body["elsewhere_id"]).line
    place = PlaceTold(
        precinct=of.precinct, polling_place=of.polling_place, place_address=of.place_address
    )
    return Directed(entry, name or of.name_last_first, of.birth_year, place)


def _asked(direction: Direction) -> Mapping[str, object]:
    has_way = direction.line_id is None
    return {
        "way": direction.way,
        "elsewhere_id": direction.elsewhere_id,
        "place": direction.place.model_dump(mode="json") if direction.place else None,
        "situation": direction.situation.answers() if has_way else None,
        "reason": direction.reason,
        "provisional_declined": direction.provisional_declined,
    }


def _check(direction: Direction) -> None:
    has_place = direction.elsewhere_id is not None or direction.place is not None
    if direction.way == "elsewhere" and not has_place:
        raise BadRequest(missing=["elsewhere_id"])
    if direction.way != "elsewhere" and has_place:
        raise BadRequest(field="way", expected="elsewhere, where a place is named")
    if direction.way == "left" and not direction.reason:
        raise BadRequest(missing=["reason"])


def _must_be_offered_first(connection: Connection, roster: Roster, direction: Direction) -> bool:
    if direction.way == "elsewhere" or direction.provisional_declined:
        return False
    if direction.line_id is None:
        setting, day = roster.setting, queries.day_state(connection)
        return may_have_provisional(direction.situation, setting.policy, setting, day)
    line = queries.line(connection, direction.line_id)
    verdict = roster.judge_now(connection, line, evidence_about(roster, line, direction.said))
    offered = (*verdict.options, *verdict.if_not_done)
    return any(option.code == "provisional-ballot" for option in offered)
