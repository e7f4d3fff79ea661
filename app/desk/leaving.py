"""A voter who signs and leaves without voting, and one who comes back; a form handed over."""

from __future__ import annotations

from app.desk.outcomes import Recorded, Refused
from app.records import queries
from app.records.bodies import FormGiven, VoterLeft, VoterReturned
from app.records.entry import Actor, Entry
from app.records.fold import act_of
from app.records.unit import Unit


def leave(unit: Unit, actor: Actor, token: str, line_id: str, reason: str) -> Recorded | Refused:
    """The signature stands and is counted apart: the box will hold one ballot less."""
    again = unit.already(token, VoterLeft.kind, line_id, reason=reason)
    if again:
        return _left(again)
    state = queries.stored_state(unit.connection, line_id).state
    if state.signature is None or state.left:
        return Refused("nothing-to-record")
    body = VoterLeft(signature_seq=state.signature.seq, reason=reason)
    return _left(unit.append(actor, token, body, line_id))


def come_back(
    unit: Unit, actor: Actor, token: str, line_id: str, reason: str
) -> Recorded | Refused:
    """The voter is back, or never left: the signature counts as any other again."""
    again = unit.already(token, VoterReturned.kind, line_id, reason=reason)
    if again:
        return _returned(unit, again)
    state = queries.stored_state(unit.connection, line_id).state
    if state.signature is None or state.left is None:
        return Refused("nothing-to-withdraw")
    body = VoterReturned(signature_seq=state.signature.seq, reason=reason)
    return _returned(unit, unit.append(actor, token, body, line_id))


def give_form(unit: Unit, actor: Actor, token: str, line_id: str) -> Recorded | Refused:
    """A voter on the list wants a detail changed: they vote as printed and get a form.

    The log keeps that a form was given, and nothing of what is to be changed.
    """
    again = unit.already(token, FormGiven.kind, line_id)
    if again:
        return Recorded(again)
    queries.line_as_stored(unit.connection, line_id)
    return Recorded(unit.append(actor, token, FormGiven(form="registration"), line_id))


def _left(entry: Entry) -> Recorded:
    return Recorded(entry, before={"left": None}, after={"left": act_of(entry)})


def _returned(unit: Unit, entry: Entry) -> Recorded:
    """Before: the last departure before this entry."""
    departures = [
        past
        for past in queries.history(unit.connection, str(entry.line_id))
        if past.kind == VoterLeft.kind and past.seq < entry.seq
    ]
    return Recorded(entry, before={"left": act_of(departures[-1])}, after={"left": None})
