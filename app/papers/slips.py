"""The slips that a voter takes along. Each is half a letter page, and says whom to call."""

from __future__ import annotations

from app.papers.page import BODY, TITLE, Slip
from app.papers.words import Language, written_date, written_time
from app.rules.elsewhere import ElsewhereLine
from app.rules.setting import Setting

# The one thing that must be read over the telephone without a slip.
_ENVELOPE = 34.0


def direction_slip(setting: Setting, person: ElsewhereLine, language: Language) -> bytes:
    """Where somebody is to go who is registered in another precinct."""
    election = setting.election
    slip = Slip(setting, language, "direction.title")
    slip.sentence("direction.lead")
    slip.fact(None, person.polling_place, TITLE)
    slip.fact(None, person.place_address)
    slip.fact("direction.precinct", person.precinct)
    slip.fact("direction.name", person.name_last_first)
    slip.sentence(
        "direction.hours",
        date=written_date(election.date, language),
        opens=written_time(election.opens, language),
        closes=written_time(election.closes, language),
    )
    slip.sentence("direction.trouble")
    slip.registrar()
    slip.end()
    return slip.to_bytes()


def provisional_slip(
    setting: Setting,
    envelope_number: str,
    voter_name: str,
    language: Language,
    is_extended_hours: bool,
) -> bytes:
    """How to learn whether a provisional ballot was counted: 52 U.S.C. 21082(a)(5)."""
    election = setting.election
    slip = Slip(setting, language, "provisional.title")
    slip.fact("provisional.envelope", envelope_number, _ENVELOPE)
    slip.fact("provisional.name", voter_name)
    date = written_date(election.date, language)
    slip.fact("provisional.election", f"{election.name}, {date}", BODY)
    slip.heading("provisional.how")
    slip.sentence("provisional.call")
    slip.registrar()
    slip.sentence("provisional.when")
    slip.sentence("provisional.only_you")
    if is_extended_hours:
        slip.sentence("provisional.extended")
    slip.end()
    return slip.to_bytes()
