"""What needs the lead now, gathered from the record and from who was heard of.

A new kind is a member of `Need`, a function here, and one entry in `SOURCES`.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from contextlib import suppress
from dataclasses import dataclass, field
from datetime import datetime, timedelta
from functools import cached_property
from pathlib import Path

from sqlalchemy import Connection

from app.desk import spoken_codes
from app.desk.door import not_looked_at
from app.desk.late_open import open_rows
from app.desk.machines import readings_off
from app.desk.paper_hours import open_hour
from app.desk.roster import Roster
from app.desk.stations import Stations
from app.matching.names import glue
from app.records import late_lists, queries, waiting
from app.records.bodies_copies import LaptopTookOver
from app.records.bodies_lists import LateListApplied, LateListFinished, PhoneCodeRefused
from app.records.clock import from_text
from app.records.copies import Standing
from app.records.entry import Entry
from app.records.late_lists import KeptList
from app.records.replaced import replaced_by, replaced_path
from app.records.reserve import nearly_full
from app.records.waiting import Helped, Irregularities, Keyed
from app.rules.attention import Item, Need, contradicting_since, is_quiet, oldest_first
from app.rules.faults import StorageRefused
from app.rules.line import Line, LineState
from app.rules.moment import DayState, Phase

# Whoever stands in line at its end still votes, so a silent table matters until closing.
_TABLES_WORK = frozenset({Phase.OPEN, Phase.CUT_OFF})
_CONTRADICTION = "lists-contradict"


@dataclass
class Watch:
    """What is kept in memory for the lead's view of one open roster."""

    stations: Stations = field(default_factory=Stations)
    # Print never changes while a record is open, and reading it takes a while.
    printed_with_both_marks: Sequence[str] | None = None


@dataclass
class Look:
    """One look at the record, in one snapshot; what several sources need is read once."""

    connection: Connection
    roster: Roster
    watch: Watch
    now: datetime

    @cached_property
    def irregularities(self) -> Irregularities:
        return waiting.irregularities(self.connection)

    @cached_property
    def loaded(self) -> datetime:
        """When the package was loaded: since then what it prints contradicts itself."""
        return from_text(queries.entry(self.connection, 1).at)

    @cached_property
    def day(self) -> DayState:
        return queries.day_state(self.connection)

    @cached_property
    def lists(self) -> list[KeptList]:
        return late_lists.all_lists(self.connection)

    @cached_property
    def lines(self) -> dict[str, Line]:
        """Every line that an irregularity or the print itself makes doubtful."""
        if self.watch.printed_with_both_marks is None:
            self.watch.printed_with_both_marks = waiting.printed_with_both_marks(self.connection)
        named = (entry.line_id for entry in self.irregularities.recorded if entry.line_id)
        wanted = list(dict.fromkeys((*self.watch.printed_with_both_marks, *named)))
        return queries.lines_with(self.connection, wanted)

    @cached_property
    def contradicting(self) -> dict[str, tuple[LineState, Sequence[str]]]:
        """The lines whose verdict is that the lists contradict each other, with what stands."""
        found: dict[str, tuple[LineState, Sequence[str]]] = {}
        for line_id, stored in queries.stored_states(self.connection, list(self.lines)).items():
            verdict = self.roster.judge(self.lines[line_id], stored.state, self.day)
            first = verdict.reasons[0] if verdict.reasons else None
            if first and first.code == _CONTRADICTION:
                found[line_id] = stored.state, [reason.code for reason in verdict.reasons[1:]]
        return found

    def office(self) -> dict[str, object]:
        registrar = self.roster.setting.registrar
        return {"office": registrar.office, "phone": registrar.phone}


def what_needs_the_lead(roster: Roster, watch: Watch, now: datetime) -> list[Item]:
    """Everything that waits for the lead, oldest first."""

    def look(connection: Connection) -> list[Item]:
        here = Look(connection, roster, watch, now)
        return oldest_first(item for source in SOURCES.values() for item in source(here))

    return roster.store.read(look)


def _contradictions(look: Look) -> Iterator[Item]:
    """Every way a line comes to contradict itself during the day opens an irregularity."""
    about: dict[str, int] = {}
    for entry in look.irregularities.open:
        if entry.body["irregularity"] == "contradiction" and entry.line_id:
            about.setdefault(entry.line_id, entry.seq)
    for line_id, (state, codes) in look.contradicting.items():
        name = look.lines[line_id].printed.name_last_first
        yield Item(
            Need.LINE_CONTRADICTS,
            contradicting_since(_times(state), look.loaded),
            line_id,
            {"name": name, "codes": list(codes), **look.office()},
            line_id=line_id,
            irregularity_seq=about.get(line_id),
        )


def _times(state: LineState) -> list[datetime | None]:
    acts = [act for act in (state.signature, state.removed, *state.also_on_paper) if act]
    marks = [mark.act.at if mark.act else None for mark in state.marks]
    return [*(act.at for act in acts), *marks]


def _irregularities(look: Look) -> Iterator[Item]:
    """Without those of lines that still contradict themselves: each is one thing, not two."""
    for entry in look.irregularities.open:
        body = entry.body
        is_told = body["irregularity"] == "contradiction" and entry.line_id in look.contradicting
        if not is_told:
            yield _irregularity(look, entry)


def _irregularity(look: Look, entry: Entry) -> Item:
    line = look.lines.get(entry.line_id or "")
    facts = {
        "irregularity": entry.body["irregularity"],
        "code": entry.body["code"],
        "name": line.printed.name_last_first if line else "",
        "initials": entry.initials,
        "station": entry.station,
    }
    return Item(
        Need.IRREGULARITY_OPEN,
        from_text(entry.at),
        str(entry.seq),
        facts,
        line_id=entry.line_id,
        irregularity_seq=entry.seq,
    )


def _late_rows(look: Look) -> Iterator[Item]:
    waits = open_rows(look.connection, look.roster, look.lists)
    kinds = LateListApplied.kind, LateListFinished.kind
    done = {entry.seq: entry.at for entry in queries.entries_of(look.connection, *kinds)}
    for one in look.lists:
        # Of a list that is being keyed the same rows are told with it.
        if one.list_id in waits and one.status != "keying":
            rest = waits[one.list_id]
            since = done.get(one.done_seq or 0, one.brought_at)
            yield _of_list(Need.LATE_ROWS_OPEN, one, since, {"rows": rest.rows, "gone": rest.gone})


def _drafts(look: Look) -> Iterator[Item]:
    for one in look.lists:
        if one.status == "draft":
            facts = {"initials": one.brought_by}
            yield _of_list(Need.LATE_LIST_DRAFT, one, one.brought_at, facts)


def _paper_lists(look: Look) -> Iterator[Item]:
    begun = [one for one in look.lists if one.status == "keying"]
    keyed = waiting.keyed_so_far(look.connection) if begun else {}
    for one in begun:
        so_far = keyed.get(one.list_id, Keyed())
        facts = {
            "count": so_far.count,
            "printed_total": one.printed_total,
            "waiting": so_far.waiting,
            "initials": one.brought_by,
        }
        yield _of_list(Need.PAPER_LIST_OPEN, one, one.brought_at, facts)


def _of_list(need: Need, one: KeptList, since: str, facts: Mapping[str, object]) -> Item:
    named = {"list": one.name, "list_kind": one.kind.value}
    return Item(need, from_text(since), one.list_id, {**named, **facts}, list_id=one.list_id)


def _codes(look: Look) -> Iterator[Item]:
    if spoken_codes.code_state(look.connection).tries_left == 0:
        refused = queries.entries_of(look.connection, PhoneCodeRefused.kind)[-1]
        yield Item(Need.CODES_LOCKED, from_text(refused.at), str(refused.seq), look.office())


def _helpers(look: Look) -> Iterator[Item]:
    limit = look.roster.setting.policy.helper_limit
    if not limit:
        return
    for helped in _by_helper(waiting.help_given(look.connection)).values():
        if len(helped) > limit:
            name = str(helped[0].body["helper_name"])
            facts = {"helper": name, "helped": len(helped), "limit": limit}
            since = from_text(helped[limit].at)
            yield Item(Need.HELPER_OVER_LIMIT, since, glue(name), facts)


def _by_helper(entries: Iterable[Helped]) -> dict[str, list[Helped]]:
    """The last word on each voter, by who helps them; a name is one however it is spaced."""
    last: dict[str, Helped] = {}
    for entry in entries:
        last.pop(entry.line_id, None)
        last[entry.line_id] = entry
    found: dict[str, list[Helped]] = {}
    for entry in last.values():
        if entry.body["wanted"]:
            found.setdefault(glue(entry.body["helper_name"]), []).append(entry)
    return found


def _readings(look: Look) -> Iterator[Item]:
    off = readings_off(look.connection, look.roster.setting)
    if off:
        facts = {"difference": off.difference, "machines": off.machines, "signed": off.signed}
        yield Item(Need.READINGS_OFF, from_text(off.entry.at), str(off.entry.seq), facts)


def _paper_hours(look: Look) -> Iterator[Item]:
    """Until the paper is caught up, nobody knows who has signed."""
    hour = open_hour(look.connection)
    if hour:
        found = hour.tally
        facts = {
            "from": hour.hours[0],
            "rows": found.standing,
            "waiting": found.waiting,
            "initials": hour.begun.initials,
        }
        since = from_text(hour.begun.at)
        yield Item(Need.PAPER_HOURS_OPEN, since, str(hour.begun.seq), facts)


def _stations(look: Look) -> Iterator[Item]:
    if look.day.phase not in _TABLES_WORK:
        return
    # On a database server a station may be at another server, which hears it.
    is_shared = look.roster.store.path is None
    for station, initials in waiting.signed_on_at(look.connection).items():
        if is_shared and not look.watch.stations.was_heard(station):
            continue
        silent = look.watch.stations.silent_seconds(station)
        if is_quiet(silent):
            # Whole seconds of the wall clock, so that the same silence has the same beginning.
            since = (look.now - timedelta(seconds=silent)).replace(microsecond=0)
            facts = {"station": station, "initials": initials, "seconds": int(silent)}
            yield Item(Need.STATION_QUIET, since, station, facts, station=station)


def _copies(look: Look) -> Iterator[Item]:
    for state in look.roster.store.copies.states:
        if state.standing not in (Standing.IN_STEP, Standing.WAITING):
            facts = {"which": state.which, "why": state.why, **look.office()}
            yield Item(Need.COPY_FAILING, state.since, state.which, facts)


def _old_laptop(look: Look) -> Iterator[Item]:
    """Until the one that was replaced has said that it gives way."""
    database = look.roster.store.path
    if database is None or not replaced_path(database).exists():
        return
    for taken in queries.entries_of(look.connection, LaptopTookOver.kind)[-1:]:
        facts = {"address": _address_of(database), **look.office()}
        yield Item(Need.OLD_LAPTOP_UNTOLD, from_text(taken.at), str(taken.seq), facts)


def _address_of(database: Path) -> str:
    """Where the replaced laptop was; nothing where that cannot be read any more."""
    with suppress(StorageRefused):
        replaced = replaced_by(database)
        return replaced.followed.url if replaced else ""
    return ""


def _refused(look: Look) -> Iterator[Item]:
    """One thing, however many kinds there are: whoever looks sees them all."""
    entries = not_looked_at(look.connection)
    if entries:
        latest = entries[-1].body
        facts = {
            "n": sum(entry.body["count"] for entry in entries),
            "address": latest["address"],
            "refused": sorted({entry.body["refused"] for entry in entries}),
        }
        since = from_text(entries[0].at)
        yield Item(Need.REFUSED_AT_THE_DOOR, since, str(entries[0].seq), facts)


def _disk(look: Look) -> Iterator[Item]:
    """Since when cannot be told: it is what the disk says now."""
    free = nearly_full(look.roster.store.path)
    if free is not None:
        facts = {"megabytes": free // 1_000_000}
        yield Item(Need.DISK_NEARLY_FULL, look.now, "disk", facts)


SOURCES: Mapping[Need, Callable[[Look], Iterable[Item]]] = {
    Need.LINE_CONTRADICTS: _contradictions,
    Need.IRREGULARITY_OPEN: _irregularities,
    Need.LATE_ROWS_OPEN: _late_rows,
    Need.LATE_LIST_DRAFT: _drafts,
    Need.PAPER_LIST_OPEN: _paper_lists,
    Need.CODES_LOCKED: _codes,
    Need.HELPER_OVER_LIMIT: _helpers,
    Need.READINGS_OFF: _readings,
    Need.PAPER_HOURS_OPEN: _paper_hours,
    Need.STATION_QUIET: _stations,
    Need.REFUSED_AT_THE_DOOR: _refused,
    Need.COPY_FAILING: _copies,
    Need.OLD_LAPTOP_UNTOLD: _old_laptop,
    Need.DISK_NEARLY_FULL: _disk,
}
