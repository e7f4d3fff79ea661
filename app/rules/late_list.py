"""What a late list would do, row by row, before anything is done.

A row that fully agrees with one line applies by itself; every other is settled by a person.
Nothing is ever overwritten: where the list says one thing and the line another, both stand,
and the `Contradiction` carries both facts. Applying a list again finds everything done already.

Whom a row means is in `late_agreement`; how a list is read, in `app.intake`.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator, Mapping
from dataclasses import dataclass, replace
from enum import StrEnum

from app.rules.late_agreement import (
    Agreement,
    Candidate,
    Keys,
    ListedRow,
    Match,
    match,
)
from app.rules.line import Act, Line, LineState, Mark, MarkKind, Part


class ListKind(StrEnum):
    """The kinds of late lists."""

    MAIL_VOTED = "mail_voted"
    EARLY_VOTED = "early_voted"
    SUPPLEMENTAL = "supplemental"
    REMOVALS = "removals"


MARK_OF: Mapping[ListKind, MarkKind] = {
    ListKind.MAIL_VOTED: MarkKind.VOTED_BY_MAIL,
    ListKind.EARLY_VOTED: MarkKind.VOTED_EARLY,
}


class Effect(StrEnum):
    """What a row does when the list is applied.

    already: nothing, it stands there. settle: nothing until a person has decided.
    refuse: nothing, and nobody is asked.
    """

    MARK = "mark"
    REMOVE = "remove"
    ADD = "add"
    ALREADY = "already"
    SETTLE = "settle"
    REFUSE = "refuse"


APPLIES = frozenset({Effect.MARK, Effect.REMOVE, Effect.ADD})

# Codes of rows that are never applied, whoever is meant: another election's list.
_REFUSED_ALWAYS = frozenset({"wrong-election"})
# Reasons that leave no second number to tell two people of one name and birth date apart.
_NO_OTHER_NUMBER = frozenset({"number-missing", "number-lost-zeros"})
# Codes of rows that are none of ours unless somebody here is meant: a county's list.
_REFUSED_UNMATCHED = frozenset({"wrong-precinct"})


@dataclass(frozen=True, slots=True)
class Listed:
    """Which list it is. `source` is what its marks will name, such as `mail-1400.csv`.

    `continues`: sources of earlier lists that this one repeats or corrects. A mark of theirs is
    the same mark and not a second one; so is a printed one.
    """

    kind: ListKind
    source: str
    continues: Collection[str] = ()


@dataclass(frozen=True, slots=True)
class Contradiction:
    """Two facts of which at most one can be right.

    signed-already, marked-otherwise, marked-twice, marked-already, removed-already,
    provisional-given: `on_line` says what stands there. on-a-line-already, number-taken: a
    supplemental row names a person or a number that has a line. paper-and-signed, -marked,
    -removed, -provisional: somebody signed there on paper, and `on_list` says where.
    """

    code: str
    on_line: Mapping[str, object]
    on_list: Mapping[str, object]


@dataclass(frozen=True, slots=True)
class Proposal:
    """What one row would do.

    `line_id` is the line it would change; where a person settles, the only line that could be
    meant, or None. `candidates` are all that could. `reasons` are codes of what does not agree,
    then of what could not be read.
    """

    row_number: int
    agreement: Agreement
    line_id: str | None
    effect: Effect
    contradiction: Contradiction | None = None
    candidates: tuple[str, ...] = ()
    reasons: tuple[str, ...] = ()


def propose(
    row: ListedRow, candidates: Iterable[Candidate], listed: Listed, keys: Keys
) -> Proposal:
    """What the row would do to one of the candidates, looked at by itself."""
    found = match(row, candidates, keys)
    only = found.candidates[0] if len(found.candidates) == 1 else None
    effect, contradiction = _effect(row, found, only, listed)
    return Proposal(
        row_number=row.row_number,
        agreement=found.agreement,
        line_id=only.line.line_id if only and effect is not Effect.REFUSE else None,
        effect=effect,
        contradiction=contradiction,
        candidates=tuple(each.line.line_id for each in found.candidates),
        reasons=(*found.reasons, *row.problems),
    )


def settle(proposal: Proposal, chosen: Candidate | None, listed: Listed) -> Proposal:
    """The proposal once a person has chosen the line that is meant; None leaves the row off.

    A supplemental row changes no line: it is left off, or see `settle_by_adding`. Rows that
    were not open are returned as they are.
    """
    if proposal.effect is not Effect.SETTLE:
        return proposal
    if chosen is None or listed.kind is ListKind.SUPPLEMENTAL:
        return replace(proposal, effect=Effect.REFUSE, line_id=None, contradiction=None)
    effect, contradiction = effect_on(chosen, proposal.row_number, listed)
    line_id = chosen.line.line_id
    return replace(proposal, effect=effect, line_id=line_id, contradiction=contradiction)


def settle_by_adding(proposal: Proposal) -> Proposal:
    """A supplemental row whose person is somebody else than the one on the line: add it.

    Not where the number is taken (two lines would have one number) or a cell cannot be read.
    """
    is_open = proposal.effect is Effect.SETTLE and proposal.contradiction is not None
    if not is_open or proposal.agreement is not Agreement.PERSON_ONLY or len(proposal.reasons) > 1:
        return proposal
    return replace(proposal, effect=Effect.ADD, line_id=None, contradiction=None)


def as_on_a_page(proposal: Proposal, line: Line | None) -> Proposal:
    """A supplemental row as it is keyed from paper: who is on the register already is only counted.

    `line` is the one line that could be meant. It is the same person where number, name and birth
    date agree, and where name and birth date agree and one of the two has no number; another
    number, or a line that was removed, is for the lead to decide, as in a file.
    """
    found = proposal.contradiction
    if line is None or proposal.effect is not Effect.SETTLE or found is None:
        return proposal
    if found.code != "on-a-line-already" or not _is_one_person(proposal, line):
        return proposal
    return replace(proposal, effect=Effect.ALREADY, contradiction=None)


def _is_one_person(proposal: Proposal, line: Line) -> bool:
    if proposal.agreement is Agreement.NUMBER_AND_PERSON:
        return True
    has_no_other = _NO_OTHER_NUMBER.issuperset(proposal.reasons) or not line.printed.voter_number
    return proposal.agreement is Agreement.PERSON_ONLY and has_no_other


def effect_on(
    candidate: Candidate, row_number: int, listed: Listed
) -> tuple[Effect, Contradiction | None]:
    """What a row of the list does to this line, and what on the line contradicts it."""
    on_list = {"kind": listed.kind.value, "source": listed.source, "row": row_number}
    state = candidate.state
    if listed.kind is ListKind.REMOVALS:
        if state.removed:
            return Effect.ALREADY, None
        return Effect.REMOVE, _contradiction(_against_removal(state), on_list)
    kind = MARK_OF[listed.kind]
    if any(_is_same_mark(mark, kind, listed) for mark in state.marks):
        return Effect.ALREADY, None
    return Effect.MARK, _contradiction(_against_mark(state, kind), on_list)


def _effect(
    row: ListedRow, found: Match, only: Candidate | None, listed: Listed
) -> tuple[Effect, Contradiction | None]:
    problems = set(row.problems)
    if problems & _REFUSED_ALWAYS or (not found.candidates and problems & _REFUSED_UNMATCHED):
        return Effect.REFUSE, None
    if listed.kind is ListKind.SUPPLEMENTAL:
        return _supplemental(row, found, listed)
    if only is None:
        return Effect.SETTLE, None
    effect, contradiction = effect_on(only, row.row_number, listed)
    is_sure = found.agreement is Agreement.NUMBER_AND_PERSON
    if is_sure and (effect is Effect.ALREADY or not problems):
        return effect, contradiction
    return Effect.SETTLE, contradiction


def _supplemental(
    row: ListedRow, found: Match, listed: Listed
) -> tuple[Effect, Contradiction | None]:
    if not found.candidates:
        # An incomplete line cannot be signed; there is nothing that a person here could choose.
        return (Effect.REFUSE if row.problems else Effect.ADD), None
    first = found.candidates[0]
    printed, state = first.line.printed, first.state
    is_there = found.agreement is Agreement.NUMBER_AND_PERSON and not state.removed
    if is_there and printed.part is Part.SUPPLEMENTAL:
        return Effect.ALREADY, None
    on_list = {"kind": listed.kind.value, "source": listed.source, "row": row.row_number}
    code = "on-a-line-already"
    fact: dict[str, object] = {"what": "line", "part": printed.part.value}
    if found.agreement is Agreement.NUMBER_ONLY:
        code = "number-taken"
    elif state.removed:
        code, fact = "removed-already", _act_fact("removed", state.removed)
    return Effect.SETTLE, Contradiction(code, {**fact, "line_id": first.line.line_id}, on_list)


def _is_same_mark(mark: Mark, kind: MarkKind, listed: Listed) -> bool:
    is_known = mark.act is None or mark.source == listed.source or mark.source in listed.continues
    return mark.kind is kind and is_known


_Fact = tuple[str, Mapping[str, object]]


def _against_mark(state: LineState, kind: MarkKind) -> Iterator[_Fact]:
    """What cannot be true together with a new mark, the weightiest first."""
    if state.signature:
        fact = {**_act_fact("signed", state.signature), "left": state.left is not None}
        yield "signed-already", fact
    for mark in state.marks:
        yield ("marked-twice" if mark.kind is kind else "marked-otherwise"), _mark_fact(mark)
    if state.removed:
        yield "removed-already", _act_fact("removed", state.removed)
    if state.provisional:
        yield "provisional-given", _act_fact("provisional", state.provisional)


def _against_removal(state: LineState) -> Iterator[_Fact]:
    if state.signature:
        yield "signed-already", _act_fact("signed", state.signature)
    for mark in state.marks:
        yield "marked-already", _mark_fact(mark)


# What a signature on paper contradicts, by what the same fact is called beside a removal.
_PAPER_AND = {
    "signed-already": "paper-and-signed",
    "marked-already": "paper-and-marked",
    "removed-already": "paper-and-removed",
    "provisional-given": "paper-and-provisional",
}


def contradiction_with_paper(
    state: LineState, on_paper: Mapping[str, object]
) -> Contradiction | None:
    """What on the line cannot be true together with a signature on a page of paper.

    `on_paper` says where it was made: the time written there, the page.
    """
    found = _contradiction(_against_paper(state), on_paper)
    return replace(found, code=_PAPER_AND[found.code]) if found else None


def _against_paper(state: LineState) -> Iterator[_Fact]:
    yield from _against_removal(state)
    for act in state.also_on_paper:
        yield "signed-already", _act_fact("signed", act)
    if state.removed:
        yield "removed-already", _act_fact("removed", state.removed)
    if state.provisional:
        yield "provisional-given", _act_fact("provisional", state.provisional)


def _contradiction(facts: Iterator[_Fact], on_list: Mapping[str, object]) -> Contradiction | None:
    return next((Contradiction(code, fact, on_list) for code, fact in facts), None)


def _mark_fact(mark: Mark) -> dict[str, object]:
    fact: dict[str, object] = {"what": "marked", "kind": mark.kind.value, "source": mark.source}
    if mark.act is None:
        return {**fact, "initials": mark.initials}
    return {**_act_fact("marked", mark.act), **fact}


def _act_fact(what: str, act: Act) -> dict[str, object]:
    at = act.at.isoformat()
    return {
        "what": what,
        "seq": act.seq,
        "at": at,
        "station": act.station,
        "initials": act.initials,
    }
