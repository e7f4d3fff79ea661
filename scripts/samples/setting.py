"""What `election.toml` of each package says: the election, the place, ballots, machines."""

from __future__ import annotations

import json
from dataclasses import dataclass
from datetime import date

from .checklists import CLOSING, OPENING, Item
from .person import ELECTION_DAY
from .streets import CITY

PRECINCT = "4-07"
OFFICE = "Tern County Registrar of Voters"
CAUTION = "Local law and the registrar decide. Nobody is sent away without an answer."


@dataclass(frozen=True, slots=True)
class Ballot:
    """`button` None: one ballot for the whole precinct."""

    style: str
    button: int | None
    contests: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Election:
    id: str
    name: str
    day: date
    federal: bool
    ballots: tuple[Ballot, ...]
    machines: tuple[tuple[str, int], ...]

    @property
    def has_one_ballot(self) -> bool:
        return len(self.ballots) == 1


_TOWN_WIDE = ("Town Moderator", "Town Clerk", "School Committee, vote for three")

MARCH = Election(
    id="tern-2027-03-02",
    name="Federal and Municipal Election",
    day=ELECTION_DAY,
    federal=True,
    ballots=(
        Ballot(
            "4-07 A",
            1,
            ("Representative in Congress, District 3", "Town Council, Ward 4", *_TOWN_WIDE),
        ),
        Ballot(
            "4-07 B",
            2,
            ("Representative in Congress, District 3", "Town Council, Ward 5", *_TOWN_WIDE),
        ),
        Ballot(
            "4-07 C",
            3,
            (
                "Representative in Congress, District 5",
                "Town Council, Ward 5",
                *_TOWN_WIDE,
                "Question 1, Salt Pan Water District",
            ),
        ),
    ),
    machines=(("TM-0417", 18233), ("TM-0418", 17960)),
)

MAY = Election(
    id="tern-2027-05-04",
    name="Municipal Election",
    day=date(2027, 5, 4),
    federal=False,
    ballots=(
        Ballot(
            "4-07",
            None,
            ("Library Trustees, vote for two", "Question 1, Repair of the Ferry Landing"),
        ),
    ),
    machines=(("TM-0417", 18794), ("TM-0418", 18507)),
)


def election_toml(election: Election) -> str:
    """The whole file; tables in the order of the design, one blank line between them."""
    tables = [_fixed_tables(election)]
    tables += [_ballot_table(ballot) for ballot in election.ballots]
    tables += [
        f"[[machine]]\nserial = {_quoted(serial)}\nprotective_counter = {counter}\n"
        for serial, counter in election.machines
    ]
    tables += [_item_table("opening", item) for item in OPENING]
    tables += [_item_table("closing", item) for item in CLOSING]
    return "\n".join(tables)


def _fixed_tables(election: Election) -> str:
    return f"""\
[election]
id = {_quoted(election.id)}
name = {_quoted(election.name)}
date = {election.day.isoformat()}
federal = {_yes_or_no(election.federal)}
opens = "07:00"
closes = "20:00"
time_zone = "America/New_York"

[precinct]
county = "Tern County"
number = {_quoted(PRECINCT)}

[polling_place]
name = "Wheelhouse Road School, gym"
street_address = "40 Wheelhouse Road"
city = {_quoted(CITY)}
postal_code = "00417"

[registrar]
office = {_quoted(OFFICE)}
phone = "555-0142"

[policy]
identification = "none"
provisional = "federal_only"
provisional_exempt = false
correction_affidavit = true
address_confirmation_first = true
assistance_first = true
tell_look_alikes_apart = true
in_line_may_sign = true
date_order = "month_first"
identification_kinds = [
    "a current card with a photograph",
    "a utility bill, bank statement, pay slip or government paper with name and address",
]
identification_affirmed = true
electioneering_distance_feet = 75
first_time_by_mail = "identification"
inactive = "affirm"
moved_within = "affirm"
helper_limit = 5
extended_hours_provisional = true
caution = {_quoted(CAUTION)}
"""


def _ballot_table(ballot: Ballot) -> str:
    button = "" if ballot.button is None else f"button = {ballot.button}\n"
    contests = "".join(f"    {_quoted(contest)},\n" for contest in ballot.contests)
    return f"[[ballot]]\nstyle = {_quoted(ballot.style)}\n{button}contests = [\n{contests}]\n"


def _item_table(stage: str, item: Item) -> str:
    return (
        f"[[checklist]]\nstage = {_quoted(stage)}\ncode = {_quoted(item.code)}\n"
        f"sentence = {_quoted(item.sentence)}\nrequired = {_yes_or_no(item.required)}\n"
    )


def _quoted(text: str) -> str:
    """A TOML basic string; JSON escapes the same characters in the same way."""
    return json.dumps(text, ensure_ascii=False)


def _yes_or_no(flag: bool) -> str:
    return "true" if flag else "false"
