"""The slip that somebody takes along: where to go, or how to learn what became of a ballot."""

from __future__ import annotations

from app.desk import directing, provisional
from app.desk.roster import Roster
from app.papers.slips import direction_slip, provisional_slip
from app.papers.words import Language
from app.rules.elsewhere import ElsewhereLine
from app.rules.faults import NotFound
from app.rules.provisional import BallotClass


def slip(roster: Roster, seq: int, language: Language) -> bytes:
    """The slip, a PDF, that goes with entry `seq`; NotFound where none does."""
    for ballot in provisional.read_provisional(roster):
        if ballot.entry.seq == seq and not ballot.withdrawn:
            is_extended = ballot.entry.body["ballot_class"] == BallotClass.EXTENDED_HOURS
            envelope = ballot.entry.body["envelope"]
            return provisional_slip(roster.setting, envelope, ballot.name, language, is_extended)
    for directed in directing.read_directed(roster):
        if directed.entry.seq == seq and directed.place:
            return direction_slip(roster.setting, _person(directed), language)
    raise NotFound(what="slip")


def _person(directed: directing.Directed) -> ElsewhereLine:
    """As much of the person as the slip says: the name as it is printed or was written."""
    place = directed.place
    if place is None:
        raise NotFound(what="slip")
    return ElsewhereLine(
        last_name=directed.name,
        first_name="",
        birth_year=directed.born or 0,
        precinct=place.precinct,
        polling_place=place.polling_place,
        place_address=place.place_address,
    )
