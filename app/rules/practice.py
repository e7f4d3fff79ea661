"""A practice day: the setting of a real one, marked for good, and people who cannot exist. Pure.

The mark is part of the setting, whose digest stands in entry 1 of the log. The people were born
so long ago that nobody so old is living, have numbers that no county gives out, and are called
after things and after practising, so that each of them says at a glance what they are.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass, field, replace
from datetime import date
from typing import Any

from app.rules.elsewhere import ElsewhereLine
from app.rules.line import MarkKind, Part, PrintedLine, PrintedMark
from app.rules.setting import Setting

# Stands before the name of the election, and so on everything that names it.
PRACTICE = "PRACTICE / PRÁCTICA"
NUMBER = "PRACTICE-"
# At the table a birth date is read up to 130 years back; the oldest person known lived to 122.
OLDEST_YEARS = 130
# Each set of people is gone through once, by one worker: most tables have fewer than six.
LAST_NAMES = (
    *("Practice", "Ensayo", "Rehearsal", "Prueba", "Pretend", "Ficción"),
    *("Tryout", "Simulacro", "Makebelieve", "Inventado", "Nobody", "Nadie"),
)
SETS = len(LAST_NAMES)


@dataclass(frozen=True, slots=True)
class Role:
    """One invented person of every set. `day` of the calendar of three years tells them apart.

    `part` None: not on a line here, but in the list of the other precincts; `is_nobody`: on none.
    """

    key: str
    first_name: str
    born: tuple[int, int, int]
    part: Part | None = Part.REGISTER
    is_nobody: bool = False
    is_signed: bool = False
    columns: dict[str, Any] = field(default_factory=dict)
    marks: tuple[MarkKind, ...] = ()


BY_MAIL, EARLY = MarkKind.VOTED_BY_MAIL, MarkKind.VOTED_EARLY
# `born` is month, day, and how many years (0 to 2) after the earliest that is read.
ROLES = (
    Role("plain", "Quill", (4, 3, 0)),
    Role("number", "Inkwell", (9, 21, 1)),
    Role("sound", "Katharine", (1, 30, 2)),
    Role("alike", "Kettle", (6, 12, 0)),
    Role("alike-other", "Kettle", (11, 2, 2)),
    Role("twin", "Thimble", (8, 8, 1)),
    Role("twin-other", "Lantern", (8, 8, 1)),
    Role("card", "Compass", (2, 14, 0), columns={"address_confirmation": True}),
    Role("helper", "Ribbon", (12, 24, 1), columns={"assistance": True}),
    Role("inactive", "Candle", (7, 4, 2), columns={"inactive": True}),
    Role("mailed", "Pebble", (3, 17, 1), marks=(BY_MAIL,)),
    Role("early", "Saddle", (10, 5, 0), marks=(EARLY,)),
    Role("contradiction", "Bucket", (5, 26, 2), marks=(BY_MAIL, EARLY)),
    Role("supplemental", "Feather", (9, 9, 0), Part.SUPPLEMENTAL),
    Role("signed", "Hammer", (4, 28, 2), is_signed=True),
    Role("date", "Needle", (2, 2, 1)),
    Role("date-other", "Needle", (12, 11, 0)),
    Role("elsewhere", "Anvil", (6, 30, 1), None),
    Role("nobody", "Umbrella", (1, 7, 0), None, is_nobody=True),
    # Nobody asks for these: a register has more lines than those that are looked for.
    Role("passer-by", "Bonnet", (3, 3, 2)),
    Role("passer-by-2", "Wagon", (11, 19, 0)),
    Role("passer-by-3", "Mitten", (5, 1, 1), Part.SUPPLEMENTAL),
)
ROLE = {role.key: role for role in ROLES}
_PLACE = {role.key: place for place, role in enumerate(ROLES, 1)}
_SOURCE = {BY_MAIL: "mail-voted.csv", EARLY: "early-voted.csv"}


def practice_setting(setting: Setting) -> Setting:
    """The same place, rules, buttons and machines; the election is marked in name and id."""
    election = replace(
        setting.election,
        id=f"practice-{setting.election.id}",
        name=f"{PRACTICE} · {setting.election.name}",
    )
    return replace(setting, election=election, is_practice=True)


def precinct_and_day(setting: Setting) -> str:
    """Precinct and day as part of a file's name: `4-07-2027-03-02`."""
    precinct = re.sub(r"[^A-Za-z0-9]+", "-", setting.precinct.number).strip("-")
    return f"{precinct}-{setting.election.date.isoformat()}"


def number_of(place: int, key: str) -> str:
    """The voter number of a role in the set `place` (from 0): `PRACTICE-0103`."""
    return f"{NUMBER}{place + 1:02}{_PLACE[key]:02}"


def envelope_of(place: int, key: str) -> str:
    """The envelope that lies ready for a role, should it come to that: `PR-0109`."""
    return f"PR-{place + 1:02}{_PLACE[key]:02}"


def address_of(key: str) -> str:
    """Where a role lives: no street of any place."""
    return f"{_PLACE[key]} Practice Lane"


def birth_date_of(setting: Setting, key: str) -> date:
    month, day, later = ROLE[key].born
    return date(setting.election.date.year - OLDEST_YEARS + later, month, day)


def practice_lines(setting: Setting) -> tuple[PrintedLine, ...]:
    """The lines of every set, the register's before the supplemental ones."""
    lines = [*_lines(setting)]
    return tuple(sorted(lines, key=lambda line: line.part is Part.SUPPLEMENTAL))


def practice_elsewhere(setting: Setting) -> tuple[ElsewhereLine, ...]:
    """The people of another precinct, which does not exist either."""
    key = "elsewhere"
    return tuple(
        ElsewhereLine(
            last_name,
            ROLE[key].first_name,
            birth_date_of(setting, key).year,
            "PRACTICE",
            "Practice Hall",
            "2 Practice Lane",
        )
        for last_name in LAST_NAMES
    )


def _lines(setting: Setting) -> Iterator[PrintedLine]:
    buttons = setting.ballot_buttons
    for place, last_name in enumerate(LAST_NAMES):
        for at, role in enumerate(ROLES):
            if role.part is not None:
                yield PrintedLine(
                    voter_number=number_of(place, role.key),
                    last_name=last_name,
                    first_name=role.first_name,
                    birth_date=birth_date_of(setting, role.key),
                    street_address=address_of(role.key),
                    city=setting.polling_place.city,
                    postal_code=setting.polling_place.postal_code,
                    ballot_button=buttons[(place + at) % len(buttons)] if buttons else None,
                    marks=tuple(PrintedMark(kind, _SOURCE[kind], "PR") for kind in role.marks),
                    part=role.part,
                    **role.columns,
                )
