"""election.toml to a `Setting`: every fault with its dotted key, unknown keys included.

A misspelled setting must never be passed over in silence: `[policy]` decides what a voter is
asked. What later files are checked against (`Facts`) is kept even where the rest has faults.
"""

from __future__ import annotations

import re
import tomllib
from collections.abc import Hashable, Mapping
from dataclasses import dataclass, field, fields
from datetime import date, time
from typing import Any, Literal, cast, get_args, get_origin, get_type_hints
from zoneinfo import ZoneInfo

from app.intake.fault_codes import Code
from app.intake.faults import FaultList
from app.intake.text import decode_settings
from app.intake.toml_keys import Keys
from app.rules.policy import Policy
from app.rules.setting import (
    Ballot,
    ChecklistItem,
    Election,
    Machine,
    PollingPlace,
    Precinct,
    Registrar,
    Setting,
)

# Election ids stand in file names and on papers.
_ELECTION_ID = re.compile(r"[A-Za-z0-9][A-Za-z0-9._-]{0,63}")
_CHECKLIST_CODE = re.compile(r"[a-z0-9]+(?:-[a-z0-9]+)*")

# Machine attendants' button boards have two digits at the most; three leave room.
_HIGHEST_BUTTON = 999

# Protective counters have six or seven digits and never go back to zero.
_HIGHEST_COUNTER = 99_999_999

# Lowest and highest value of each whole number in [policy]. Nobody helps a thousand voters, and
# nobody at a table sees what happens farther off than 2,000 feet.
_POLICY_RANGES = {
    "helper_limit": (0, 1_000),
    "electioneering_distance_feet": (0, 2_000),
    "idle_lock_minutes": (0, 120),
    "passphrase_officers": (1, 2),
}

# What the table can read out to a voter without losing them.
_MOST_TEXTS = 8

# tomllib takes time with the square of the dots in a key; nothing in this file needs long lines.
_LINE_CHARACTERS = 2_000


@dataclass(frozen=True, slots=True)
class Facts:
    """What the other files are checked against; None or empty where the file does not say.

    `buttons` None means that the ballots have faults, so no button can be judged.
    `headings` maps our column names to the headings used in the lists.
    """

    election_id: str | None = None
    election_date: date | None = None
    precinct: str | None = None
    buttons: frozenset[int] | None = None
    has_one_ballot: bool = True
    headings: Mapping[str, str] = field(default_factory=dict)


def read_election(
    file: str, data: bytes, list_columns: frozenset[str], faults: FaultList
) -> tuple[Setting | None, Facts]:
    """The setting, None where it has any fault, and what of it the lists can be checked against.

    `list_columns` are the column names that `[columns]` may map.
    """
    table = _parse(file, data, faults)
    if table is None:
        return None, Facts()
    before = faults.count
    top = Keys(faults, file, "", table)
    election = _election(top)
    precinct = _precinct(top)
    place, registrar = _polling_place(top), _registrar(top)
    policy = _policy(top, is_federal=election["federal"])
    before_ballots = faults.count
    ballots = _ballots(top)
    ballots_are_good = faults.count == before_ballots
    machines, checklist = _machines(top), _checklist(top)
    headings = _headings(top, list_columns)
    top.close()
    facts = Facts(
        election_id=election.get("id") or None,
        election_date=election["date"],
        precinct=precinct.number or None,
        buttons=_buttons(ballots) if ballots_are_good else None,
        has_one_ballot=len(ballots) <= 1,
        headings=headings,
    )
    if faults.count != before:
        return None, facts
    setting = Setting(
        Election(**election), precinct, place, registrar, policy, ballots, machines, checklist
    )
    return setting, facts


def _parse(file: str, data: bytes, faults: FaultList) -> dict[str, Any] | None:
    text = decode_settings(file, data, faults)
    if text is None:
        return None
    for row, line in enumerate(text.split("\n"), start=1):
        if len(line) > _LINE_CHARACTERS:
            found, expected = f"{len(line):,} characters", f"lines of {_LINE_CHARACTERS:,} or fewer"
            faults.add(Code.TOML_UNREADABLE, file, row=row, found=found, expected=expected)
            return None
    try:
        return tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        place = re.search(r"\(at line (\d+),", str(error))
        row_or_none = int(place[1]) if place else None
        faults.add(Code.TOML_UNREADABLE, file, row=row_or_none, found=str(error))
    except (RecursionError, ValueError):
        # Lists in lists in lists, or an integer longer than Python reads.
        faults.add(Code.TOML_UNREADABLE, file, expected="plain settings")
    return None


def _election(top: Keys) -> dict[str, Any]:
    with top.section("election") as keys:
        election_id = keys.text("id", example="tern-2027-03-02")
        if election_id and not _ELECTION_ID.fullmatch(election_id):
            expected = "at most 64 letters, digits, hyphens, dots and underscores"
            keys.add(Code.VALUE_NOT_ALLOWED, "id", election_id, expected)
            election_id = ""
        opens, closes = keys.clock_time("opens"), keys.clock_time("closes")
        if opens and closes and closes <= opens:
            keys.add(Code.VALUE_NOT_ALLOWED, "closes", closes, f"a time after {opens:%H:%M}")
        return {
            "id": election_id,
            "name": keys.text("name"),
            "date": keys.day("date"),
            "federal": keys.yes_no("federal"),
            "opens": opens or time(),
            "closes": closes or time(),
            "time_zone": _time_zone(keys),
        }


def _time_zone(keys: Keys) -> str:
    name = keys.text("time_zone", example="America/New_York")
    if not name:
        return ""
    try:
        ZoneInfo(name)
    except (KeyError, ValueError, OSError):
        # ZoneInfoNotFoundError is a KeyError; a region alone opens as a folder.
        expected = 'an IANA time zone, such as "America/New_York"'
        keys.add(Code.VALUE_NOT_ALLOWED, "time_zone", name, expected)
    return name


def _precinct(top: Keys) -> Precinct:
    with top.section("precinct") as keys:
        return Precinct(keys.text("county"), keys.text("number", example="4-07"))


def _polling_place(top: Keys) -> PollingPlace:
    with top.section("polling_place") as keys:
        return PollingPlace(
            name=keys.text("name"),
            street_address=keys.text("street_address", required=False),
            city=keys.text("city", required=False),
            postal_code=keys.text("postal_code", required=False),
        )


def _registrar(top: Keys) -> Registrar:
    with top.section("registrar") as keys:
        return Registrar(keys.text("office"), keys.text("phone", example="555-0142"))


def _policy(top: Keys, *, is_federal: bool) -> Policy:
    """Read by the types of `Policy`: only a whole number there needs its range here."""
    kinds = get_type_hints(Policy)
    values: dict[str, Any] = {}
    with top.section("policy", required=False) as keys:
        for each in fields(Policy):
            kind = kinds[each.name]
            if get_origin(kind) is Literal:
                values[each.name] = keys.one_of(each.name, get_args(kind), cast(str, each.default))
            elif kind is bool:
                values[each.name] = keys.yes_no(each.name, cast(bool, each.default))
            elif kind is int:
                low, high = _POLICY_RANGES[each.name]
                number = keys.whole_number(each.name, low, high, required=False)
                values[each.name] = each.default if number is None else number
            elif kind is str:
                text = keys.text(each.name, required=keys.has(each.name))
                values[each.name] = text or each.default
            else:
                values[each.name] = _policy_texts(keys, each.name) or each.default
        policy = Policy(**values)
        if is_federal and policy.provisional == "never" and not policy.provisional_exempt:
            keys.add(
                Code.FEDERAL_NEEDS_PROVISIONAL,
                "provisional",
                policy.provisional,
                '"federal_only" or "always", as [election] federal = true',
            )
    return policy


def _policy_texts(keys: Keys, key: str) -> tuple[str, ...]:
    """A list with something in it, so that nobody is asked for one of nothing."""
    texts = keys.texts(key)
    count = keys.count(key)
    if keys.is_list(key) and not 1 <= count <= _MOST_TEXTS:
        expected = f"a list of 1 to {_MOST_TEXTS} texts"
        keys.add(Code.VALUE_NOT_ALLOWED, key, f"a list of {count}", expected)
    return texts


def _ballots(top: Keys) -> tuple[Ballot, ...]:
    ballots = []
    styles, buttons = _Once("style"), _Once("button")
    several = top.count("ballot") > 1
    for keys in top.entries("ballot"):
        style = keys.text("style", example="4-07 A")
        # With one ballot there is no button to press, so none need be given.
        button = keys.whole_number("button", 1, _HIGHEST_BUTTON, required=several)
        styles.check(keys, style)
        buttons.check(keys, button)
        ballots.append(Ballot(style, button, keys.texts("contests")))
    return tuple(ballots)


def _buttons(ballots: tuple[Ballot, ...]) -> frozenset[int]:
    return frozenset(ballot.button for ballot in ballots if ballot.button is not None)


def _machines(top: Keys) -> tuple[Machine, ...]:
    machines = []
    serials = _Once("serial")
    for keys in top.entries("machine"):
        serial = keys.text("serial", example="TM-0417")
        counter = keys.whole_number("protective_counter", 0, _HIGHEST_COUNTER)
        serials.check(keys, serial)
        machines.append(Machine(serial, counter or 0))
    return tuple(machines)


def _checklist(top: Keys) -> tuple[ChecklistItem, ...]:
    items = []
    codes = _Once("code")
    for keys in top.entries("checklist"):
        stage = cast(Literal["opening", "closing"], keys.one_of("stage", ("opening", "closing")))
        code = keys.text("code", example="seals-checked")
        if code and not _CHECKLIST_CODE.fullmatch(code):
            expected = "small letters, digits and hyphens, such as seals-checked"
            keys.add(Code.VALUE_NOT_ALLOWED, "code", code, expected)
        codes.check(keys, code and (stage, code))
        sentence, required = keys.text("sentence"), keys.yes_no("required", default=True)
        items.append(ChecklistItem(stage, code, sentence, required))
    return tuple(items)


def _headings(top: Keys, list_columns: frozenset[str]) -> dict[str, str]:
    """`[columns]`: our column name -> the heading in the files."""
    headings: dict[str, str] = {}
    once: dict[str, str] = {}
    with top.section("columns", required=False) as keys:
        for name in sorted(list_columns):
            heading = keys.text(name, required=keys.has(name))
            if not heading:
                continue
            if heading in once:
                keys.add(Code.VALUE_TWICE, name, heading, f"a heading other than {once[heading]}'s")
                continue
            once[heading] = name
            headings[name] = heading
    return headings


class _Once:
    """Values that must each be their own within one list of the file."""

    def __init__(self, key: str) -> None:
        self._key = key
        self._seen: set[Hashable] = set()

    def check(self, keys: Keys, value: Hashable) -> None:
        """Add a fault where the value came before; blank and absent values are passed over."""
        if value in ("", None):
            return
        if value in self._seen:
            found = value[-1] if isinstance(value, tuple) else value
            keys.add(Code.VALUE_TWICE, self._key, found, f"a {self._key} of its own")
        self._seen.add(value)
