"""What needs the lead now, gathered from the record and from who was heard of.

A new kind is a member of `Need`, a function here or, of what lies around the record, in
`app.desk.attention_laptop`, and one entry in `SOURCES`.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping
from datetime import datetime

from sqlalchemy import Connection

from app.desk import spoken_codes
from app.desk.attention_laptop import (
    failing_copies,
    nearly_full_disk,
    old_laptop,
    quiet_stations,
    refused_at_the_door,
)
from app.desk.attention_look import Look, Watch
from app.desk.late_open import open_rows
from app.desk.machines import readings_off
from app.desk.paper_hours import open_hour
from app.desk.roster import Roster
from app.matching.names import glue
from app.records import queries, waiting
from app.records.bodies_lists import LateListApplied, LateListFinished, PhoneCodeRefused
from app.records.clock import from_text
from app.records.entry import Entry
from app.records.late_lists import KeptList
from app.records.waiting import Helped, Keyed
from app.rules.attention import Item, Need, contradicting_since, oldest_first
from app.rules.line import LineState


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
    Need.STATION_QUIET: quiet_stations,
    Need.REFUSED_AT_THE_DOOR: refused_at_the_door,
    Need.COPY_FAILING: failing_copies,
    Need.OLD_LAPTOP_UNTOLD: old_laptop,
    Need.DISK_NEARLY_FULL: nearly_full_disk,
}
