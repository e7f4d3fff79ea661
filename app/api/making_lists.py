"""How the answers about late lists are made from what the desk says of them."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import asdict
from typing import Any

from app.api.answers import Clockface, act_answer, receipt
from app.api.answers_lines import CodedAnswer, VerdictAnswer
from app.api.answers_lists import (
    AppliedAnswer,
    CellFaultAnswer,
    ContradictionAnswer,
    CountedAnswer,
    DecisionAnswer,
    DifferenceAnswer,
    FileFaultAnswer,
    GoneAnswer,
    GoneDecision,
    ListAnswer,
    ListName,
    PersonAnswer,
    PreviewAnswer,
    ReadAnswer,
    ResemblesAnswer,
    RowAnswer,
    SettledAnswer,
    TallyAnswer,
)
from app.desk.late_applying import Applied, Settled
from app.desk.late_differences import Gone
from app.desk.late_views import ListView, RowView
from app.desk.listed_people import Listed
from app.desk.paper_lists import Counted
from app.intake.fault_codes import Code
from app.intake.faults import Fault
from app.intake.late_rows import LateRow
from app.records.late_lists import KeptList
from app.rules.late_list import Contradiction
from app.rules.late_preview import Tally
from app.rules.late_sentences import late_sentence

MOST_CANDIDATES = 8
_FAULTS = {code.value: code.sentence for code in Code}


People = Mapping[str, Listed]


def list_answer(shown: ListView, clockface: Clockface) -> ListAnswer:
    kept = shown.kept
    tally = shown.tally
    return ListAnswer(
        list_id=kept.list_id,
        kind=kept.kind,
        form=kept.form,
        name=kept.name,
        status=kept.status,
        digest=kept.digest,
        tally=tally_answer(tally),
        printed_total=kept.printed_total,
        count=shown.count,
        not_found=tally.refused if kept.form == "paper" else 0,
        taken_back=shown.taken_back,
        corrects=_name(shown.corrects),
        initials=kept.brought_by,
        local_time=clockface(kept.brought_at),
        done=act_answer(shown.done, clockface),
        reason=kept.reason,
    )


def tally_answer(tally: Tally) -> TallyAnswer:
    return TallyAnswer(**asdict(tally))


def preview_answer(
    shown: ListView,
    rows: Sequence[RowView],
    rows_count: int,
    people: People,
    clockface: Clockface,
    caution: str,
    *,
    is_again: bool = False,
) -> PreviewAnswer:
    about = shown.kept.about
    resembles, against = shown.resembles, shown.difference
    return PreviewAnswer(
        list=list_answer(shown, clockface),
        again=is_again,
        columns=about.get("columns", {}),
        ignored=about.get("ignored", []),
        titles=about.get("titles", []),
        encoding=about.get("encoding", ""),
        resembles=ResemblesAnswer(
            list_id=resembles[0].list_id, name=resembles[0].name, shared=resembles[1]
        )
        if resembles
        else None,
        difference=DifferenceAnswer(
            new=against.new, changed=against.changed, same=against.same, gone=against.gone
        )
        if against
        else None,
        gone=[gone_answer(each, people) for each in shown.gone],
        rows=[row_answer(row, people) for row in rows],
        rows_count=rows_count,
        caution=caution,
    )


def row_answer(shown: RowView, people: People) -> RowAnswer:
    row, proposal, decision = shown.row, shown.proposal, shown.decision
    candidates = [people[line_id] for line_id in proposal.candidates[:MOST_CANDIDATES]]
    return RowAnswer(
        row_number=row.row_number,
        read=_read(row),
        faults=[_cell_fault(fault) for fault in row.faults],
        agreement=proposal.agreement,
        effect=proposal.effect,
        line_id=proposal.line_id,
        person=_person(people[proposal.line_id]) if proposal.line_id else None,
        candidates=[_person(each) for each in candidates],
        candidates_count=len(proposal.candidates),
        reasons=[_reason(code) for code in dict.fromkeys(proposal.reasons)],
        contradiction=_contradiction(proposal.contradiction),
        decision=DecisionAnswer(**asdict(decision)) if decision else None,
        may_add=decision is None and shown.may_be_added,
        change=shown.change,
        seq=shown.seq,
    )


def gone_answer(gone: Gone, people: People) -> GoneAnswer:
    return GoneAnswer(
        line_id=gone.line_id,
        person=_person(people[gone.line_id]),
        row_number=gone.row_number,
        decision=GoneDecision(**gone.decision) if gone.decision else None,
    )


def applied_answer(
    applied: Applied, shown: ListView, people: People, clockface: Clockface
) -> AppliedAnswer:
    return AppliedAnswer(
        list=list_answer(shown, clockface),
        applied=receipt(applied.entry, clockface),
        receipts_count=applied.entries,
        irregularities=applied.irregularities,
        gone=[gone_answer(each, people) for each in applied.gone],
        tally=tally_answer(applied.tally),
    )


def settled_answer(
    settled: Settled, row: RowView, tally: Tally, people: People, clockface: Clockface
) -> SettledAnswer:
    return SettledAnswer(
        row=row_answer(row, people),
        tally=tally_answer(tally),
        receipts=[receipt(entry, clockface) for entry in settled.entries],
    )


def counted_answer(
    counted: Counted, people: People, clockface: Clockface, verdict: VerdictAnswer | None = None
) -> CountedAnswer:
    return CountedAnswer(
        row=row_answer(counted.row, people),
        receipt=receipt(counted.entry, clockface),
        count=counted.count,
        printed_total=counted.printed_total,
        not_found=counted.not_found,
        verdict=verdict,
    )


def file_faults(faults: Iterable[Fault]) -> list[dict[str, Any]]:
    """What is wrong with a file as a whole, for a problem body."""
    return [
        FileFaultAnswer(
            **_cell_fault(fault).model_dump(),
            file=fault.file,
            row=fault.row,
            what_to_do=fault.what_to_do,
        ).model_dump()
        for fault in faults
    ]


def person_answer(listed: Listed | None) -> PersonAnswer | None:
    return _person(listed) if listed else None


def _person(listed: Listed) -> PersonAnswer:
    printed = listed.line.printed
    return PersonAnswer(
        line_id=listed.line.line_id,
        name=printed.name_last_first,
        voter_number=printed.voter_number,
        birth_date=printed.birth_date.isoformat(),
        address=", ".join(part for part in (printed.street_address, printed.city) if part),
        address_protected=printed.address_protected,
        part=printed.part,
        standing=listed.standing,
    )


def _read(row: LateRow) -> ReadAnswer:
    last = " ".join(part for part in (row.last_name, row.suffix) if part)
    given = " ".join(part for part in (row.first_name, row.middle_name) if part)
    return ReadAnswer(
        voter_number=row.voter_number,
        name=", ".join(part for part in (last, given) if part),
        birth_date=row.birth_date.isoformat() if row.birth_date else "",
        initials=row.initials,
        reason=row.reason,
    )


def _cell_fault(fault: Fault) -> CellFaultAnswer:
    return CellFaultAnswer(
        column=fault.column,
        found=fault.found,
        expected=fault.expected,
        code=fault.code,
        sentence=fault.sentence,
    )


def _reason(code: str) -> CodedAnswer:
    sentence = late_sentence(code) or _FAULTS[code]
    return CodedAnswer(code=code, sentence=sentence, facts={})


def _contradiction(found: Contradiction | None) -> ContradictionAnswer | None:
    if found is None:
        return None
    return ContradictionAnswer(
        code=found.code,
        sentence=late_sentence(found.code),
        on_line=dict(found.on_line),
        on_list=dict(found.on_list),
    )


def _name(kept: KeptList | None) -> ListName | None:
    return ListName(list_id=kept.list_id, name=kept.name) if kept else None
