"""Help in the booth: who helps, why, who may not help, and who helps very many."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Literal

from sqlalchemy import Connection

from app.desk.outcomes import Recorded, Refused, refused_by
from app.desk.roster import Roster
from app.desk.signing import Strokes, strokes_digest, strokes_text
from app.matching.names import glue
from app.records import queries
from app.records.bodies import AssistanceRecorded
from app.records.entry import Actor, Entry
from app.records.unit import Unit
from app.rules.coded import Flag
from app.rules.faults import BadRequest

# The voter's employer or that employer's agent, and an officer or agent of the voter's union.
NOT_ALLOWED = "employer_or_union"

# Nothing else stands against help: whoever votes provisionally, or signed a moment ago,
# may be helped as well (52 U.S.C. 10508 speaks of any voter).
_TOO_EARLY_OR_LATE = frozenset({"polls-not-open", "polls-closed"})


@dataclass(frozen=True, slots=True)
class Assistance:
    """Whether help is wanted, who helps, and (where no Y is printed) why.

    `how` and `strokes` are the helper's signature; both None where no help is wanted.
    `helper_is` is what the helper answers when asked, which they are each time.
    """

    wanted: bool
    helper_name: str = ""
    reason: str = ""
    how: Literal["drawn", "paper"] | None = None
    strokes: Strokes | None = None
    helper_is: Literal["other", "employer_or_union"] | None = None
    statement_of_support: bool = False


@dataclass(frozen=True, slots=True)
class Helper:
    """A helper by the name first written, and how many voters they have helped."""

    name: str
    helped: int


def record_assistance(
    unit: Unit, roster: Roster, actor: Actor, token: str, line_id: str, assistance: Assistance
) -> Recorded | Refused:
    """Record who helps this voter in the booth, or that nobody needs to.

    BadRequest where help is wanted and something about the helper is missing. A helper
    whom 52 U.S.C. 10508 rules out is refused: the voter chooses another.
    """
    if assistance.wanted and assistance.helper_is == NOT_ALLOWED:
        return Refused("helper-not-allowed", {"rule": "52 U.S.C. 10508"})
    strokes = strokes_text(assistance.strokes)
    body = _body(assistance, strokes_digest(strokes))
    line = queries.line(unit.connection, line_id)
    is_printed = line.printed.assistance
    limit = roster.setting.policy.helper_limit
    before = unit.already(token, body.kind, line_id, **body.model_dump(mode="json"))
    if before:
        return _flagged(unit.connection, before, limit, is_printed=is_printed)
    _check(assistance, is_printed=is_printed)
    verdict = roster.judge_now(unit.connection, line)
    if _TOO_EARLY_OR_LATE & {reason.code for reason in verdict.reasons}:
        return refused_by(verdict)
    entry = unit.append(actor, token, body, line_id, strokes)
    return _flagged(unit.connection, entry, limit, is_printed=is_printed)


def helpers(connection: Connection) -> list[Helper]:
    """Everybody who helps, most voters first; a name is one helper however it is spaced."""
    entries = queries.entries_of(connection, AssistanceRecorded.kind)
    names: dict[str, str] = {}
    counts: dict[str, int] = {}
    for entry in _standing(entries):
        key = glue(entry.body["helper_name"])
        names.setdefault(key, entry.body["helper_name"])
        counts[key] = counts.get(key, 0) + 1
    found = [Helper(names[key], counts[key]) for key in names]
    return sorted(found, key=lambda helper: (-helper.helped, helper.name))


def _standing(entries: Iterable[Entry]) -> list[Entry]:
    """The last word on each voter, where it says that somebody helps."""
    last = {str(entry.line_id): entry for entry in entries}
    return [entry for entry in last.values() if entry.body["wanted"]]


def _flagged(connection: Connection, entry: Entry, limit: int, *, is_printed: bool) -> Recorded:
    """Counted up to this entry, so that the same request again is told the same."""
    if not entry.body["wanted"]:
        return Recorded(entry)
    flags = []
    if not is_printed and not entry.body["statement_of_support"]:
        flags.append(Flag("statement-of-support-missing"))
    past = (
        other
        for other in queries.entries_of(connection, AssistanceRecorded.kind)
        if other.seq <= entry.seq
    )
    mine = glue(entry.body["helper_name"])
    helped = sum(1 for other in _standing(past) if glue(other.body["helper_name"]) == mine)
    if 0 < limit < helped:
        flags.append(Flag("helper-over-limit", {"helped": helped, "limit": limit}))
    return Recorded(entry, flags=tuple(flags))


def _body(assistance: Assistance, digest: str | None) -> AssistanceRecorded:
    return AssistanceRecorded(
        wanted=assistance.wanted,
        helper_name=assistance.helper_name,
        reason=assistance.reason,
        how=assistance.how,
        strokes_sha256=digest,
        helper_is="other" if assistance.helper_is == "other" else None,
        statement_of_support=assistance.statement_of_support,
    )


def _check(assistance: Assistance, *, is_printed: bool) -> None:
    if not assistance.wanted:
        return
    needed = {
        "helper_name": assistance.helper_name.strip(),
        "how": assistance.how,
        "helper_is": assistance.helper_is,
    }
    if not is_printed:
        needed["reason"] = assistance.reason.strip()
    missing = [name for name, value in needed.items() if not value]
    if missing:
        raise BadRequest(missing=missing)
