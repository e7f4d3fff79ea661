"""The slip that somebody takes along: where to go, or how to learn what became of a ballot."""

from __future__ import annotations

from sqlalchemy import Connection

from app.desk import directing, provisional, station_names
from app.desk.directing import Directed
from app.desk.provisional import ProvisionalBallot
from app.desk.roster import Roster
from app.papers.slips import direction_slip, provisional_slip
from app.papers.words import Language
from app.records import queries
from app.records.bodies import PersonDirected, PlaceTold, ProvisionalRecorded
from app.rules.elsewhere import ElsewhereLine
from app.rules.faults import NotAllowed, NotFound
from app.rules.provisional import BallotClass


def slip(roster: Roster, seq: int, language: Language, only_of: str | None = None) -> bytes:
    """The slip, a PDF, that goes with entry `seq`; NotFound where none does.

    NotAllowed where `only_of` names a station and the entry is another's.
    """

    def written(connection: Connection) -> ProvisionalBallot | Directed | None:
        entry = queries.entry(connection, seq)
        if entry.kind not in (ProvisionalRecorded.kind, PersonDirected.kind):
            return None
        if only_of is not None and not station_names.is_same(entry.station, only_of):
            raise NotAllowed(station=only_of)
        if entry.kind == ProvisionalRecorded.kind:
            return provisional.ballot_of(connection, entry)
        return directing.directed_by(connection, entry)

    match roster.store.read(written):
        case ProvisionalBallot(withdrawn=None) as ballot:
            body = ballot.entry.body
            is_extended = body["ballot_class"] == BallotClass.EXTENDED_HOURS
            return provisional_slip(
                roster.setting, body["envelope"], ballot.name, language, is_extended
            )
        case Directed(place=PlaceTold() as place) as directed:
            return direction_slip(roster.setting, _person(directed, place), language)
    raise NotFound(what="slip")


def _person(directed: Directed, place: PlaceTold) -> ElsewhereLine:
    """As much of the person as the slip says: the name as it is printed or was written."""
    return ElsewhereLine(
        last_name=directed.name,
        first_name="",
        birth_year=directed.born or 0,
        precinct=place.precinct,
        polling_place=place.polling_place,
        place_address=place.place_address,
    )
